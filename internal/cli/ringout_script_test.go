package cli_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
	"github.com/rogpeppe/go-internal/testscript"
)

// ringoutCmds are what scripts of a ring-out need besides cupel itself.
var ringoutCmds = map[string]func(*testscript.TestScript, bool, []string){
	"tear": tear, "dossier": writeDossier, "edit": edit, "rung": rung, "unwire": unwire,
}

// tear takes the end off a file's last line, as a crash does: tear FILE.
func tear(ts *testscript.TestScript, _ bool, args []string) {
	file := ts.MkAbs(args[0])
	info, err := os.Stat(file)
	ts.Check(err)
	ts.Check(os.Truncate(file, info.Size()-2))
}

// writeDossier writes a demo dossier without computing anything: dossier NAME DIR.
func writeDossier(ts *testscript.TestScript, _ bool, args []string) {
	texts, ok := demo.Texts(args[0])
	if !ok {
		ts.Fatalf("no demo board %s", args[0])
	}
	ts.Check(folder.Create(ts.MkAbs(args[1]), texts))
}

// edit replaces a text that stands once in a file: edit FILE OLD NEW.
func edit(ts *testscript.TestScript, _ bool, args []string) {
	src := ts.ReadFile(args[0])
	if strings.Count(src, args[1]) != 1 {
		ts.Fatalf("%q stands %d times in %s", args[1], strings.Count(src, args[1]), args[0])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(src, args[1], args[2], 1)), 0o644))
}

// unwire takes the pins out of a board whose parts stand on one line each or have
// their pins on lines of their own: unwire FILE.
func unwire(ts *testscript.TestScript, _ bool, args []string) {
	var out []string
	skip := false
	for _, line := range strings.Split(ts.ReadFile(args[0]), "\n") {
		before, pins, found := strings.Cut(line, ", pins: ")
		switch {
		case strings.TrimSpace(line) == "pins:":
			skip = true
			continue
		case skip && strings.HasPrefix(line, "      "):
			continue
		case found:
			line = before + pins[strings.IndexAny(pins, "]}")+1:]
		}
		skip = false
		out = append(out, line)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Join(out, "\n")), 0o644))
}

// rung writes the log of somebody who rang out the board of another dossier, each
// pad against one pad of every net there was, without a mistake: rung DIR TRUTH.
func rung(ts *testscript.TestScript, _ bool, args []string) {
	d, err := folder.Read(ts.MkAbs(args[1]))
	ts.Check(err)
	ts.Check(d.Findings.Err())
	b := bytes.NewBuffer(ringout.Header())
	for _, e := range ringing(d) {
		ts.Check(ringout.AppendEntry(b, e))
	}
	ts.Check(os.WriteFile(filepath.Join(ts.MkAbs(args[0]), ringout.LogName), b.Bytes(), 0o644))
}

func ringing(d *dossier.Dossier) []ringout.Entry {
	s, truth := strip.Board(d.Board, d.Sheets.Sheet)
	var out []ringout.Entry
	var first []int
	for i := range s.Pads {
		joined := false
		for _, r := range first {
			e := ringout.Entry{Number: len(out) + 1, Kind: ringout.Pair, A: s.Pads[r].Name, B: []string{s.Pads[i].Name}, Result: ringout.Open}
			if truth[r] == truth[i] && truth[i] >= 0 {
				e.Result, joined = ringout.Connected, true
			}
			out = append(out, e)
		}
		if !joined {
			first = append(first, i)
		}
	}
	return out
}
