package desk

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"

	"cupel/internal/dossier"
	"cupel/internal/dossier/folder"
)

// Edit is one action of a person, on one file or several.
type Edit struct {
	Label string // what undo says of it: "board.yaml changed"
	Files []File
}

// File is what an edit makes of one file.
type File struct {
	Name string
	// Base is the hash of the text the edit was made from; empty where there
	// was none.
	Base string
	// Text is the new content; nil takes the file away.
	Text []byte
}

// Conflict is the error of an edit whose file is another by now.
type Conflict struct {
	Name   string
	Theirs []byte // as it is now; nil: taken away
	Yours  []byte // as the edit would have it
	Base   string // hash of theirs, to write over it knowingly
}

func (c *Conflict) Error() string {
	return fmt.Sprintf("%s was changed since you opened it: choose which of the two texts stays", c.Name)
}

// step is what becomes of one file: its text before and after; nil is no file.
type step struct {
	name          string
	before, after []byte
}

// Do carries out an edit and saves it. It is all of the edit or nothing.
func (d *Desk) Do(e Edit) (State, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.refresh(); err != nil {
		return d.state, err
	}
	var steps []step
	for _, f := range e.Files {
		c, err := d.step(f)
		if err != nil {
			return d.state, err
		}
		if c.before == nil || c.after == nil || !bytes.Equal(c.before, c.after) {
			steps = append(steps, c)
		}
	}
	if len(steps) == 0 {
		return d.state, nil
	}
	if err := d.write(steps); err != nil {
		return d.state, err
	}
	d.remember(acted(e.Label, steps))
	return d.state, nil
}

// step holds an edit's file against what is there.
func (d *Desk) step(f File) (step, error) {
	if !Allowed(f.Name) {
		return step{}, fmt.Errorf("%q is no name of a file of a dossier", f.Name)
	}
	if most := map[bool]int{true: mostPhoto, false: mostText}[isPhoto(f.Name)]; len(f.Text) > most {
		return step{}, fmt.Errorf("%s: %d bytes are more than the %d MB that are kept", f.Name, len(f.Text), most>>20)
	}
	now, err := d.content(f.Name)
	if err != nil {
		return step{}, err
	}
	base := ""
	if now != nil {
		base = Hash(now)
	}
	if f.Base != base {
		return step{}, &Conflict{Name: f.Name, Theirs: now, Yours: f.Text, Base: base}
	}
	return step{name: f.Name, before: now, after: f.Text}, nil
}

// content is what a file holds now; nil when there is none.
func (d *Desk) content(name string) ([]byte, error) {
	if text, ok := d.state.Texts[name]; ok {
		if text == nil {
			text = []byte{}
		}
		return text, nil
	}
	if !isPhoto(name) {
		return nil, nil
	}
	text, err := d.read(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return text, err
}

// write puts all changes on disk, or puts back what it had written.
func (d *Desk) write(files []step) error {
	texts := maps.Clone(d.state.Texts)
	for i, c := range files {
		if err := d.put(c.name, c.after); err != nil {
			for _, back := range files[:i] {
				err = errors.Join(err, d.put(back.name, back.before))
			}
			return err
		}
		if isPhoto(c.name) {
			continue
		}
		if c.after == nil {
			delete(texts, c.name)
		} else {
			texts[c.name] = c.after
		}
	}
	d.settle(texts)
	return nil
}

// put writes one file, or takes it away.
func (d *Desk) put(name string, text []byte) error {
	defer d.mark(name)
	sub := filepath.Join(d.dir, dossier.Parts)
	if text == nil {
		err := os.Remove(filepath.Join(d.dir, filepath.FromSlash(name)))
		if isSheet(name) {
			_ = os.Remove(sub) // goes only when it is empty
		}
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return err
	}
	if isSheet(name) {
		if err := os.MkdirAll(sub, 0o777); err != nil {
			return err
		}
	}
	return folder.Save(d.dir, name, text)
}
