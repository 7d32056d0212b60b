package folder

import (
	"os"
	"path/filepath"
	"testing"
)

func TestAppend(t *testing.T) {
	for _, c := range []struct {
		name, before string
		sound        int
		want         string
	}{
		{"no text yet", "", 0, "head\none\ntwo\n"},
		{"whole lines", "head\nold\n", 9, "head\nold\none\ntwo\n"},
		{"a torn line behind", "head\nold\nto", 9, "head\nold\none\ntwo\n"},
		{"a torn head", "hea", 0, "head\none\ntwo\n"},
	} {
		dir := t.TempDir()
		file := filepath.Join(dir, "ringout.csv")
		if c.before != "" {
			if err := os.WriteFile(file, []byte(c.before), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		a, err := Append(dir, "ringout.csv", c.sound, []byte("head\n"))
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range []string{"one\n", "two\n"} {
			if _, err := a.Write([]byte(line)); err != nil {
				t.Fatal(err)
			}
		}
		if err := a.Close(); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(file); string(got) != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestAppendRefuses(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "ringout.csv"), []byte("head\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Append(dir, "ringout.csv", 100, nil); err == nil {
		t.Error("a text shorter than it was read was appended to")
	}
	if _, err := Append(dir, "../x.csv", 0, nil); err == nil {
		t.Error("a name outside the dossier was taken")
	}
}
