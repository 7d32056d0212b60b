package folder

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
)

// snapshot lists what lies in dir, with content.
func snapshot(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(p string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			fmt.Fprintln(&b, p)
			return err
		}
		text, err := os.ReadFile(p)
		fmt.Fprintf(&b, "%s %q\n", p, text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCreateThenRead(t *testing.T) {
	for _, name := range demo.Names() {
		dir := filepath.Join(t.TempDir(), "new", name) // not there yet
		texts, _ := demo.Texts(name)
		if err := Create(dir, texts); err != nil {
			t.Fatal(err)
		}
		d, err := Read(dir)
		if err != nil || len(d.Findings) != 0 {
			t.Fatalf("%v %v", err, d.Findings)
		}
		if d.Board.Name != name || d.Hash != dossier.Hash(texts) {
			t.Errorf("%s: read back as %s, hash %s", name, d.Board.Name, d.Hash)
		}
		// A second time it refuses, and touches nothing.
		before := snapshot(t, dir)
		var full *NotEmpty
		if err := Create(dir, texts); !errors.As(err, &full) {
			t.Errorf("a filled folder gave %v", err)
		}
		if after := snapshot(t, dir); after != before {
			t.Errorf("a refused folder was changed:\n%s\n%s", before, after)
		}
	}
}

func TestCreateRefuses(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	before := snapshot(t, dir)
	err := Create(dir, map[string][]byte{"board.yaml": []byte("y")})
	if err == nil || !strings.Contains(err.Error(), "is not empty, it holds mine.txt") {
		t.Errorf("%v", err)
	}
	for _, name := range []string{"../board.yaml", "/board.yaml", "a/b.yaml", "parts/../../x", "", ".", "parts/.x.yaml", ".cupel-lock"} {
		sub := filepath.Join(dir, "sub")
		if err := Create(sub, map[string][]byte{name: nil}); err == nil {
			t.Errorf("the name %q was taken", name)
		}
		if err := Save(dir, name, nil); err == nil {
			t.Errorf("the name %q was saved", name)
		}
	}
	if err := Create(filepath.Join(dir, "mine.txt"), nil); err == nil {
		t.Error("a file was taken for a folder")
	}
	if after := snapshot(t, dir); after != before {
		t.Errorf("a refused folder was changed:\n%s\n%s", before, after)
	}
}

// What was written goes when the rest cannot be.
func TestCreateTakesBack(t *testing.T) {
	dir := t.TempDir()
	long := "parts/" + strings.Repeat("x", 300) + ".yaml" // longer than a name may be
	err := Create(filepath.Join(dir, "d"), map[string][]byte{"board.yaml": []byte("a"), long: []byte("b")})
	if err == nil {
		t.Fatal("a name too long was written")
	}
	if after := snapshot(t, dir); after != dir+"\n" {
		t.Errorf("left behind:\n%s", after)
	}
}

func TestSaveReplaces(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "board.yaml")
	if err := os.WriteFile(file, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Save(dir, "board.yaml", []byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(file)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v %v", info.Mode(), err)
	}
	if got, want := snapshot(t, dir), fmt.Sprintf("%s\n%s \"new\"\n", dir, file); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	// Without its folder nothing is written, and nothing is left.
	if err := Save(dir, "parts/a.yaml", []byte("x")); err == nil {
		t.Error("saved into a folder that is not there")
	}
}

func TestSaveKeepsLinks(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	real := filepath.Join(other, "real.yaml")
	if err := os.WriteFile(real, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, filepath.Join(dir, "board.yaml")); err != nil {
		t.Skip(err)
	}
	if err := Save(dir, "board.yaml", []byte("new")); err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(real); string(text) != "new" {
		t.Errorf("the link's text is %q", text)
	}
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	l, err := Acquire(dir)
	if err != nil {
		t.Fatal(err)
	}
	var used *InUse
	if _, err := Acquire(dir); !errors.As(err, &used) || used.Process != os.Getpid() {
		t.Errorf("a held lock gave %v", err)
	}
	if err := l.Release(); err != nil {
		t.Fatal(err)
	}
	l, err = Acquire(dir)
	if err != nil {
		t.Fatal(err)
	}
	l.Release()
}

func TestLockLeftBehind(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, LockName)
	// Above the largest process number that systems give out (2²² on Linux).
	if err := os.WriteFile(file, []byte("1999999999\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	l, err := Acquire(dir)
	if err != nil {
		t.Fatal(err)
	}
	l.Release()
	// What does not say whose it is, is not taken.
	if err := os.WriteFile(file, []byte("?"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Acquire(dir); err == nil {
		t.Error("a lock of nobody knows whom was taken")
	}
}

func TestReadRefusesFiles(t *testing.T) {
	file := filepath.Join(t.TempDir(), "board.yaml")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Read(file); err == nil || !strings.Contains(err.Error(), "is a file") {
		t.Errorf("%v", err)
	}
	if _, err := Read(filepath.Join(file, "x")); err == nil {
		t.Error("nothing was read")
	}
}
