package cli

import (
	"io"
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress returns what tells the person how far the work is, nil where nobody
// looks, and what wipes it away again.
func (a *app) progress(what string) (tell func(done, total int), wipe func()) {
	if a.quiet || !terminal(a.Err) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(-1,
		progressbar.OptionSetWriter(a.Err), progressbar.OptionSetDescription(what),
		progressbar.OptionSetWidth(30), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount(),
		progressbar.OptionSetPredictTime(true),
	)
	// A bar that cannot be drawn is no reason to stop the work.
	tell = func(done, total int) {
		if bar.GetMax() != total {
			bar.ChangeMax(total)
		}
		_ = bar.Set(done)
	}
	return tell, func() { _ = bar.Finish() }
}

// terminal reports whether w is a terminal.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
