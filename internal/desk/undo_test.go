package desk

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"
)

// again closes a desk and opens its folder anew, after something was done to it.
func again(t *testing.T, d *Desk, meanwhile func(dir string)) *Desk {
	t.Helper()
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if meanwhile != nil {
		meanwhile(d.Dir())
	}
	now, err := Open(d.Dir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { now.Close() })
	return now
}

// twoActions is a desk on which a dossier was begun, then a note written and then
// another text of it, of which the last is undone.
func twoActions(t *testing.T) *Desk {
	t.Helper()
	d, err := Open(filepath.Join(t.TempDir(), "board"))
	if err != nil {
		t.Fatal(err)
	}
	begin(t, d)
	for _, text := range []string{"one\n", "one\ntwo\n"} {
		if _, err := d.Do(Edit{Label: text, Files: []File{{Name: "notes.txt", Base: d.Now().Hash("notes.txt"), Text: []byte(text)}}}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := d.Undo(); err != nil {
		t.Fatal(err)
	}
	return d
}

// What can be undone and done again outlives the program.
func TestUndoAfterStart(t *testing.T) {
	d := again(t, twoActions(t), nil)
	if now := d.Now(); now.Undo != "one\n" || now.Redo != "one\ntwo\n" {
		t.Fatalf("undo %q redo %q", now.Undo, now.Redo)
	}
	if _, err := d.Redo(); err != nil || string(on(t, d, "notes.txt")) != "one\ntwo\n" {
		t.Errorf("%v %q", err, on(t, d, "notes.txt"))
	}
	d = again(t, d, nil)
	for range 3 {
		if _, err := d.Undo(); err != nil {
			t.Fatal(err)
		}
	}
	if !d.Now().Empty() || on(t, d, "notes.txt") != nil {
		t.Error("undone to the beginning something is left")
	}
}

// A journal that does not fit its folder, or that came from somebody else, undoes
// nothing and breaks nothing.
func TestUndoThatDoesNotFit(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "victim")
	if err := os.WriteFile(outside, []byte("mine\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) func(string) {
		return func(dir string) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	journalOf := func(name string) string {
		return fmt.Sprintf(`{"Did":{"Label":"x","Files":[{"Name":%q,"Before":{"There":true,"Text":"bWluZQ=="},"After":{}}]}}`+"\n", name)
	}
	for name, meanwhile := range map[string]func(string){
		"a text that changed":  write("notes.txt", "other\n"),
		"a text that is gone":  func(dir string) { os.Remove(filepath.Join(dir, "notes.txt")) },
		"no journal":           write(journal, "no journal"),
		"a name outside":       write(journal, journalOf("../victim")),
		"a hidden name":        write(journal, journalOf(".profile")),
		"lengths below nought": write(journal, `{"Did":{"Label":"x","Files":[{"Name":"new.txt","Before":{"There":true},"After":{},"Head":-1}]}}`),
		"a link": func(dir string) {
			os.Remove(filepath.Join(dir, journal))
			if err := os.Symlink(outside, filepath.Join(dir, journal)); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			d := again(t, twoActions(t), meanwhile)
			if label, err := d.Undo(); err == nil {
				t.Errorf("undone: %q", label)
			}
			if _, err := d.Do(Edit{Label: "after", Files: []File{{Name: "more.txt", Text: []byte("more\n")}}}); err != nil {
				t.Fatal(err)
			}
			if label, err := d.Undo(); err != nil || label != "after" {
				t.Errorf("%q %v", label, err)
			}
			if text, err := os.ReadFile(outside); err != nil || string(text) != "mine\n" {
				t.Errorf("outside: %q %v", text, err)
			}
		})
	}
}

// A line that was not written to its end costs that action alone.
func TestJournalCutShort(t *testing.T) {
	d := twoActions(t)
	d = again(t, d, func(dir string) {
		f, err := os.OpenFile(filepath.Join(dir, journal), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if _, err := f.WriteString(`{"Did":{"Label":"half`); err != nil {
			t.Fatal(err)
		}
	})
	if now := d.Now(); now.Undo != "one\n" || now.Redo != "one\ntwo\n" {
		t.Errorf("undo %q redo %q", now.Undo, now.Redo)
	}
}

// A log of changes goes to any text that was, over any edits and new starts.
func TestUndoIsAStack(t *testing.T) {
	root := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "")
		if err != nil {
			t.Fatal(err)
		}
		d, err := Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer func() { d.Close() }()
		texts, at := [][]byte{nil}, 0 // as they were one after another, and the present one
		for range rapid.IntRange(1, 12).Draw(t, "moves") {
			switch rapid.IntRange(0, 4).Draw(t, "move") {
			case 0:
				if _, err := d.Undo(); err == nil {
					at--
				}
			case 1:
				if _, err := d.Redo(); err == nil {
					at++
				}
			case 2:
				if err := d.Close(); err != nil {
					t.Fatal(err)
				}
				if d, err = Open(dir); err != nil {
					t.Fatal(err)
				}
			default:
				text := rapid.SliceOfN(rapid.SampledFrom([]byte("ab\n")), 0, 6).Draw(t, "text")
				if bytes.Equal(text, texts[at]) {
					continue
				}
				if _, err := d.Do(Edit{Label: "x", Files: []File{{Name: "x.txt", Base: d.Now().Hash("x.txt"), Text: text}}}); err != nil {
					t.Fatal(err)
				}
				texts = append(texts[:at+1], text)
				at++
			}
			if at < 0 || at >= len(texts) || !bytes.Equal(d.Now().Texts["x.txt"], texts[at]) {
				t.Fatalf("at %d of %q there is %q", at, texts, d.Now().Texts["x.txt"])
			}
		}
		for ; at > 0; at-- {
			if _, err := d.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		if _, there := d.Now().Texts["x.txt"]; there {
			t.Fatal("undone to the beginning the text is there")
		}
	})
}
