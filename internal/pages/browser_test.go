package pages_test

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// browser opens a browser window, or says why the test is skipped.
func browser(t *testing.T) context.Context {
	t.Helper()
	program := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		if os.Getenv("CUPEL_REQUIRE") == "all" {
			t.Fatal("no Chromium: install the distribution's package chromium")
		}
		t.Skip("no Chromium here: install the distribution's package chromium to walk through the pages")
	}
	// The sandbox of the browser does not start as root, which CI is.
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.WindowSize(1280, 800))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, shut := chromedp.NewContext(ctx)
	t.Cleanup(shut)
	ctx, cancel := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(cancel)
	return ctx
}
