package pages

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// screens is where the walk leaves its pictures, for somebody to look at.
var screens = flag.String("screens", "", "a `FOLDER` for the pictures of the walk")

// required reports whether a check must not be skipped.
func required() bool { return os.Getenv("CUPEL_REQUIRE") == "all" }

// browser opens a browser window, or says why the test is skipped.
func browser(t *testing.T) context.Context {
	t.Helper()
	program := ""
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		if required() {
			t.Fatal("no Chromium: install the distribution's package chromium")
		}
		t.Skip("no Chromium here: install the distribution's package chromium to walk through the pages")
	}
	// The sandbox of the browser does not start as root, which CI is.
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.WindowSize(1280, 800),
		chromedp.UserDataDir(profile(t)), chromedp.WSURLReadTimeout(stepTime))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, shut := chromedp.NewContext(ctx)
	t.Cleanup(shut)
	ctx, cancel := context.WithTimeout(ctx, walkTime)
	t.Cleanup(cancel)
	// The window lives as long as the context it is first used with.
	if err := chromedp.Run(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// profile is a folder for the browser. It still writes there while it ends, which
// t.TempDir takes for a mistake.
func profile(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "cupel-browser-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 50 {
			if os.RemoveAll(dir) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	})
	return dir
}

// tools is the folder of the development checks, with what npm put there.
const tools = "../../tools/web"

// axe is the text of axe-core; empty where it is not installed.
func axe(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(tools, "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		if required() {
			t.Fatal("axe-core is not installed: run npm ci in tools/web")
		}
		t.Log("axe-core is not installed, so accessibility was not checked: run npm ci in tools/web")
		return ""
	}
	return string(text)
}

// TestTypes holds the modules against their types.
func TestTypes(t *testing.T) {
	program := filepath.Join(tools, "node_modules", ".bin", "tsc")
	if _, err := os.Stat(program); err != nil {
		if required() {
			t.Fatal("the TypeScript compiler is not installed: run npm ci in tools/web")
		}
		t.Skip("the TypeScript compiler is not installed: run npm ci in tools/web to check the modules")
	}
	if out, err := exec.Command(program, "-p", tools).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

// walker goes through the pages as a person does.
type walker struct {
	*testing.T
	ctx  context.Context
	url  string
	axe  string
	seen int
}

// The longest that a step may take, with room for a machine that does other work:
// two minutes of simulation came first in a step that waits for all trials.
const (
	stepTime = 4 * time.Minute
	walkTime = 15 * time.Minute
)

func (w *walker) run(actions ...chromedp.Action) {
	w.Helper()
	if err := w.try(stepTime, actions...); err != nil {
		w.Fatalf("%v", err)
	}
}

func (w *walker) try(within time.Duration, actions ...chromedp.Action) error {
	ctx, cancel := context.WithTimeout(w.ctx, within)
	defer cancel()
	return chromedp.Run(ctx, actions...)
}

// elsewhere reports whether an error says that the page, or a node of it, was
// replaced while it was asked: what is asked is then asked of the new one.
func elsewhere(err error) bool {
	return errors.Is(err, errUnready) || err != nil && slices.ContainsFunc([]string{
		"navigated or closed", "context was destroyed", "Cannot find context", "Cannot find default execution context", "Execution context",
		"Could not find node", "No node with given id", "Could not compute box model", "does not have a layout object", "net::ERR_ABORTED",
		"Cannot read properties of null", // a page that is not there yet
	}, func(text string) bool { return strings.Contains(err.Error(), text) })
}

// errUnready is the error of a page that is not yet as it must be.
var errUnready = errors.New("the page is not ready")

// again does something until the page holds still for it.
func (w *walker) again(do func() error) {
	w.Helper()
	end := time.Now().Add(stepTime)
	for {
		err := do()
		if err == nil {
			return
		}
		if !elsewhere(err) || time.Now().After(end) {
			w.Fatalf("%v", err)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// eval is the value of an expression on the page, which changes nothing there.
func (w *walker) eval(expression string) string {
	w.Helper()
	var out any
	w.again(func() error { return w.try(stepTime, chromedp.Evaluate(expression, &out)) })
	return fmt.Sprint(out)
}

// act runs statements on the page, once: one that leads to another page may lose
// its answer on the way.
func (w *walker) act(statements string) {
	w.Helper()
	if err := w.try(stepTime, chromedp.Evaluate("(() => { "+statements+"; return true; })()", nil)); err != nil && !elsewhere(err) {
		w.Fatalf("%v", err)
	}
}

// open goes to a page, whose modules have run then.
func (w *walker) open(path, ready string) {
	w.Helper()
	w.again(func() error { return w.try(stepTime, chromedp.Navigate(w.url+path), chromedp.WaitReady(ready)) })
}

// click presses the mouse on a node, which may be replaced by a fresh one just
// then.
func (w *walker) click(node string) {
	w.Helper()
	w.again(func() error { return w.try(stepTime, chromedp.Click(node, chromedp.ByQuery)) })
}

// keys types into a field. The page around it may be made anew meanwhile, so the
// field is found by the page itself.
func (w *walker) keys(field, text string) {
	w.Helper()
	w.until("the field "+field+" has the focus", fmt.Sprintf(`(document.querySelector(%[1]q)?.focus(), document.activeElement === document.querySelector(%[1]q))`, field))
	w.run(chromedp.KeyEvent(text))
}

// sizes are the windows in which the first line is read.
var sizes = []struct{ wide, high int64 }{{1280, 800}, {360, 740}, {2560, 1440}}

// look reads a page's first line in every size, where it must be seen without
// scrolling, and holds the page against the rules of accessibility in both themes.
func (w *walker) look(path string, says ...string) {
	w.Helper()
	if path != "" {
		w.open(path, "#sheet")
	}
	for _, size := range sizes {
		w.run(chromedp.EmulateViewport(size.wide, size.high))
		line := w.eval(`(() => { scrollTo(0, 0); const h = document.querySelector("#first h1"), r = h.getBoundingClientRect();
			return (r.bottom <= innerHeight && r.top >= 0 ? "" : "OUT OF SIGHT: ") + h.textContent.trim(); })()`)
		for _, want := range says {
			if !strings.Contains(line, want) {
				w.Errorf("%s at %d×%d: the first line is %q, want %q in it", path, size.wide, size.high, line, want)
			}
		}
		if strings.HasPrefix(line, "OUT OF SIGHT") || strings.TrimSpace(line) == "" {
			w.Errorf("%s at %d×%d: %q", path, size.wide, size.high, line)
		}
		if over := w.eval(`document.documentElement.scrollWidth - innerWidth`); over != "0" && !strings.HasPrefix(over, "-") {
			w.Errorf("%s at %d px is %s px wider than the window: %s", path, size.wide, over, w.eval(widest))
		}
		w.picture(path, size.wide)
	}
	w.run(chromedp.EmulateViewport(1280, 800))
	for _, theme := range []string{"light", "dark"} {
		w.check(path, theme)
	}
}

// widest names what reaches beyond the window.
const widest = `[...document.querySelectorAll("main *, header *, footer *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".wide, .chain, svg, pre, .paper, .desk")).slice(0, 3).map(e => e.tagName + "." + e.className + "#" + e.id).join(" ")`

// picture leaves a picture of the page.
func (w *walker) picture(path string, wide int64) {
	if *screens == "" {
		return
	}
	var png []byte
	w.run(chromedp.FullScreenshot(&png, 100))
	w.seen++
	name := fmt.Sprintf("%02d%s-%d.png", w.seen, strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, path), wide)
	if err := os.WriteFile(filepath.Join(*screens, name), png, 0o644); err != nil {
		w.Error(err)
	}
}

// check runs axe-core.
func (w *walker) check(path, theme string) {
	w.Helper()
	if w.axe == "" {
		return
	}
	var found string
	w.run(emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}, {Name: "prefers-reduced-motion", Value: "reduce"}}))
	w.again(func() error {
		return w.try(stepTime, chromedp.Evaluate(w.axe+"; true", nil),
			chromedp.Evaluate(`axe.run(document, {resultTypes: ["violations"]}).then(r => JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target + " " + n.failureSummary).join("; "))))`,
				&found, awaited))
	})
	var violations []string
	if err := json.Unmarshal([]byte(found), &violations); err != nil {
		w.Fatal(err)
	}
	for _, v := range violations {
		w.Errorf("%s in %s: %s", path, theme, v)
	}
}

// until waits for a condition on the page.
func (w *walker) until(what, condition string) {
	w.Helper()
	for end := time.Now().Add(stepTime); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if w.eval(condition) == "true" {
			return
		}
	}
	w.Fatalf("it never came: %s; the first line is %q", what, w.eval(`document.querySelector("#first h1")?.textContent`))
}

// replaceText types a text into a field at once, as pasting does.
func (w *walker) replaceText(field, text string) {
	w.Helper()
	quoted, err := json.Marshal(text)
	if err != nil {
		w.Fatal(err)
	}
	w.act(fmt.Sprintf(`const f = document.querySelector(%q); f.value = %s; f.dispatchEvent(new Event("input", {bubbles: true}))`, field, quoted))
}

// hear sees that nothing goes wrong unseen: a page that breaks says so in the
// browser's log.
func (w *walker) hear() {
	chromedp.ListenTarget(w.ctx, func(e any) { w.heard(e) })
}

// in serves a board, or an empty folder, and gives the walker of it; with a
// language in the made-up one, under the tag of languages that have none.
func in(t *testing.T, board, language string) (*walker, *served) {
	t.Helper()
	ctx := browser(t)
	x := serve(t, board)
	if language != "" {
		langs, err := languages(map[string][]byte{"mis": longer(t)})
		if err != nil {
			t.Fatal(err)
		}
		x.Server.langs, x.Server.usual = langs, "mis"
	}
	w := &walker{T: t, ctx: ctx, url: x.url, axe: axe(t)}
	w.hear()
	return w, x
}
