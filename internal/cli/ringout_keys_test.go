package cli

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"cupel/internal/ringout/session"
)

// sitting is a person at the keyboard of a raw terminal.
func sitting(t *testing.T) (*keys, *bytes.Buffer) {
	t.Helper()
	texts, _ := demo.Texts("hive-3s")
	dir := filepath.Join(t.TempDir(), "hive-3s")
	if err := folder.Create(dir, texts); err != nil {
		t.Fatal(err)
	}
	r, err := (&app{}).ringoutToWrite([]string{dir}, session.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.close() })
	var out bytes.Buffer
	return &keys{seat: &seat{ringing: r, raw: true}, out: &out}, &out
}

func TestKeys(t *testing.T) {
	const up, rub = "\x1b[A", "\x7f"
	for _, c := range []struct {
		name, typed string
		want        []string // the entries that come of it
	}{
		{"one key an answer", "/B- U1.5\rc", []string{"B- – U1.5 connected"}},
		{"nothing by Enter alone", "\r\r", nil},
		{"a value ends with Enter", "T1 R2.1\r0,4\r", []string{"T1 – R2.1 400 mΩ"}},
		{"a letter within a line does not act", "T1 R2.1 c\r", []string{"T1 – R2.1 connected"}},
		{"rubbed out", "T1 R2.2" + rub + "1\ro", []string{"T1 – R2.1 open"}},
		{"arrows do nothing", up + "T1 R2.1\r" + up + "o", []string{"T1 – R2.1 open"}},
		{"Esc wipes the line", "T1 R9\x1bT1 R2.1\rc", []string{"T1 – R2.1 connected"}},
		{"jump, then the other", "T1\rR2.1\rc", []string{"T1 – R2.1 connected"}},
		{"jump with no other takes no answer", "T1\rc", nil},
		{"undo and redo", "T1 R2.1 c\ruy", []string{"T1 – R2.1 connected", "undoes 1", "undoes 2"}},
		{"Ctrl-Z undoes", "T1 R2.1 c\r\x1a", []string{"T1 – R2.1 connected", "undoes 1"}},
		{"sweep and bridge", "s T1 R3.1 R4.1\rb T2 R2.1 R4.1 c\r", []string{"sweep T1 – R3.1 R4.1 open", "bridge T2 – R2.1 R4.1 connected"}},
		{"the end", "qT1 R2.1 c\r", nil},
		{"Ctrl-C ends", "\x03T1 R2.1 c\r", nil},
	} {
		k, out := sitting(t)
		for _, r := range c.typed {
			if !k.press(r) {
				break
			}
		}
		var got []string
		for _, line := range strings.Split(out.String(), "\r\n") {
			for _, verb := range []string{" connected", " open", "Ω", "undoes"} {
				if strings.Contains(line, verb) && line[0] >= '1' && line[0] <= '9' {
					_, rest, _ := strings.Cut(line, " ")
					got = append(got, rest)
					break
				}
			}
		}
		if strings.Join(got, "|") != strings.Join(c.want, "|") {
			t.Errorf("%s: %q, want %q; shown:\n%s", c.name, got, c.want, out)
		}
		if n := len(k.added); n != len(c.want) {
			t.Errorf("%s: %d entries, want %d", c.name, n, len(c.want))
		}
		if strings.Contains(strings.ReplaceAll(out.String(), "\r\n", ""), "\n") {
			t.Errorf("%s: a line ends without a return: %q", c.name, out)
		}
	}
}

// A question put off gives way to another.
func TestPutOff(t *testing.T) {
	k, _ := sitting(t)
	seen := map[string]bool{}
	for range 5 {
		a, ok := k.question()
		if !ok || seen[k.wording(a)] {
			t.Fatalf("asked %v again", k.wording(a))
		}
		seen[k.wording(a)] = true
		k.press('n')
	}
	if len(k.added) != 0 {
		t.Error("putting off made entries")
	}
}
