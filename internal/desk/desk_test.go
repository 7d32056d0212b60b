package desk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"cupel/internal/dossier"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func open(t *testing.T) *Desk {
	t.Helper()
	d, err := Open(filepath.Join(t.TempDir(), "board"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

func begin(t *testing.T, d *Desk) {
	t.Helper()
	e := Edit{Label: "begun"}
	for name, text := range dossier.New("pump-1s", 1) {
		e.Files = append(e.Files, File{Name: name, Text: text})
	}
	if _, err := d.Do(e); err != nil {
		t.Fatal(err)
	}
}

// on reads what is on disk; nil for nothing.
func on(t *testing.T, d *Desk, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(d.Dir(), name))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return text
}

// An edit is on disk when Do returns; undo brings back every byte, redo the
// edit, and a new edit forgets what was undone.
func TestUndo(t *testing.T) {
	d := open(t)
	if !d.Now().Empty() {
		t.Fatal("an empty folder holds a dossier")
	}
	begin(t, d)
	before := on(t, d, "board.yaml")
	after := append(bytes.Clone(before), "# more\r\n"...)
	if _, err := d.Do(Edit{Label: "more", Files: []File{
		{Name: "board.yaml", Base: d.Now().Hash("board.yaml"), Text: after},
		{Name: "parts/own.yaml", Text: []byte("cupel: 1\n")},
	}}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(on(t, d, "board.yaml"), after) || on(t, d, "parts/own.yaml") == nil {
		t.Error("the edit is not on disk")
	}
	if label, err := d.Undo(); err != nil || label != "more" {
		t.Errorf("%q %v", label, err)
	}
	if !bytes.Equal(on(t, d, "board.yaml"), before) || on(t, d, "parts/own.yaml") != nil {
		t.Error("undone is not as it was before")
	}
	if now := d.Now(); now.Undo != "begun" || now.Redo != "more" {
		t.Errorf("undo %q redo %q", now.Undo, now.Redo)
	}
	if _, err := d.Redo(); err != nil || !bytes.Equal(on(t, d, "board.yaml"), after) {
		t.Errorf("done again: %v", err)
	}
	for range 2 {
		if _, err := d.Undo(); err != nil {
			t.Fatal(err)
		}
	}
	if !d.Now().Empty() || on(t, d, "claims.yaml") != nil {
		t.Error("the beginning is not undone")
	}
	if _, err := d.Undo(); !errors.Is(err, ErrNothing) {
		t.Errorf("undo of nothing: %v", err)
	}
	begin(t, d)
	if _, err := d.Redo(); !errors.Is(err, ErrNothing) {
		t.Errorf("what was undone is still there after a new edit: %v", err)
	}
}

// A second writer is refused, with both texts, and nothing is written.
func TestConflict(t *testing.T) {
	d := open(t)
	begin(t, d)
	base := d.Now().Hash("claims.yaml")
	edit := func(text string) error {
		_, err := d.Do(Edit{Label: text, Files: []File{{Name: "claims.yaml", Base: base, Text: []byte(text)}}})
		return err
	}
	if err := edit("first\n"); err != nil {
		t.Fatal(err)
	}
	var c *Conflict
	if err := edit("second\n"); !errors.As(err, &c) || string(c.Theirs) != "first\n" || string(c.Yours) != "second\n" {
		t.Fatalf("the second writer got %v", err)
	}
	if got := on(t, d, "claims.yaml"); string(got) != "first\n" {
		t.Errorf("on disk is %q", got)
	}
	base = c.Base
	if err := edit("second\n"); err != nil {
		t.Errorf("written over knowingly: %v", err)
	}
}

func TestNames(t *testing.T) {
	d := open(t)
	for _, name := range []string{"../x.yaml", "/x.yaml", "a/b.yaml", "parts/../../x.yaml", "", ".", ".cupel-lock", "parts/.x.yaml", "x.exe", "parts\\x.yaml", "parts/x.csv"} {
		if _, err := d.Do(Edit{Files: []File{{Name: name, Text: []byte("x")}}}); err == nil {
			t.Errorf("%q was taken", name)
		}
	}
	if _, err := d.Photo("../board.jpg"); err == nil {
		t.Error("a photo outside the folder was read")
	}
	if _, err := d.Do(Edit{Files: []File{{Name: "big.csv", Text: make([]byte, mostText+1)}}}); err == nil {
		t.Error("a text too large was taken")
	}
}

// What another program writes is seen, told, and can be undone.
func TestOutside(t *testing.T) {
	d := open(t)
	begin(t, d)
	before := on(t, d, "claims.yaml")
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	happens := d.Watch(ctx)
	if err := os.WriteFile(filepath.Join(d.Dir(), "claims.yaml"), []byte("cupel: 1\n# by another\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	select {
	case e := <-happens:
		if e.Kind != Changed || e.Label != Outside {
			t.Errorf("told %+v", e)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("nobody was told")
	}
	if _, err := d.Undo(); err != nil || !bytes.Equal(on(t, d, "claims.yaml"), before) {
		t.Errorf("not undone: %v", err)
	}
}

// The last good dossier stays while a text has mistakes.
func TestGood(t *testing.T) {
	d := open(t)
	begin(t, d)
	good := d.Now().Good
	if good == nil {
		t.Fatal("a new dossier is not good")
	}
	now, err := d.Do(Edit{Files: []File{{Name: "board.yaml", Base: d.Now().Hash("board.yaml"), Text: []byte("cupel: [\n")}}})
	if err != nil || now.Good != good || now.Dossier.Findings.Err() == nil {
		t.Errorf("%v, good %v", err, now.Good == good)
	}
}

// Work tells how far it is, shows parts of its result, and can be stopped.
func TestWork(t *testing.T) {
	d := open(t)
	on, off := make(chan bool), make(chan bool)
	d.Start("count", "a", func(ctx context.Context, w Tools) (any, error) {
		w.Tell(1, 4)
		w.Post("a part")
		on <- true
		<-ctx.Done()
		off <- true
		return "as far as it came", ctx.Err()
	})
	<-on
	if w := d.Work("count"); !w.Running || w.Done != 1 || w.Total != 4 || w.Result != "a part" || len(d.Running()) != 1 {
		t.Errorf("%+v", w)
	}
	d.Start("count", "a", func(context.Context, Tools) (any, error) { t.Error("begun twice"); return nil, nil })
	d.Stop("count")
	<-off
	settled(t, d, "count")
	if w := d.Work("count"); !w.Stopped || w.Err != nil || w.Result != "as far as it came" {
		t.Errorf("stopped: %+v", w)
	}
	d.Start("count", "b", func(context.Context, Tools) (any, error) { panic("a defect") })
	settled(t, d, "count")
	if w := d.Work("count"); w.Err == nil || w.Key != "b" {
		t.Errorf("a crash gave %+v", w)
	}
}

func settled(t *testing.T, d *Desk, name string) {
	t.Helper()
	for range 1000 {
		if !d.Work(name).Running {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("it does not end")
}

func TestRemaining(t *testing.T) {
	for _, c := range []struct {
		past        time.Duration
		done, total int
		want        time.Duration
	}{{time.Second, 1, 4, 3 * time.Second}, {time.Second, 0, 4, 0}, {time.Second, 4, 4, 0}} {
		if got := remaining(c.past, c.done, c.total); got != c.want {
			t.Errorf("%d of %d: %v", c.done, c.total, got)
		}
	}
}

// A watcher that takes nothing learns that it missed something, and holds
// nobody up.
func TestLateWatcher(t *testing.T) {
	d := open(t)
	happens := d.Watch(t.Context())
	for i := range 3 * mostWaiting {
		d.Tell(fmt.Sprint(i))
	}
	behind := false
	for len(happens) > 0 {
		behind = (<-happens).Kind == Behind || behind
	}
	if !behind {
		t.Error("it was not told that it is behind")
	}
}

func TestLocked(t *testing.T) {
	d := open(t)
	if _, err := Open(d.Dir()); err == nil {
		t.Error("a dossier was opened twice")
	}
}
