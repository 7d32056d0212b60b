// Package desk is the dossier that lies open: it carries out edits with undo
// and redo, tells watchers of changes, and keeps long work running.
//
// # The rules
//
// The desk decides nothing. Whoever faces the person says what to write and what
// to run; the desk writes it safely, remembers what was there before, and tells
// everybody who watches. Every edit is on disk before [Desk.Do] returns.
//
// An edit names the hash of each text it was made from. Where the text is
// another by now the edit is refused with a [Conflict], which carries both
// texts; nothing is overwritten unseen. What another program writes into the
// folder becomes an action like any other, so it can be undone too. What can be
// undone outlives the program, in a hidden file of the folder.
package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"sync"
	"time"

	"cupel/internal/dossier"
	"cupel/internal/dossier/folder"
)

// State is the dossier at one moment. It is never changed after it was handed
// out; its maps are not to be written to.
type State struct {
	// Number grows with every change.
	Number int
	// Texts are all texts of the folder by name, those that the dossier does not
	// read included: "board.yaml", "ringout.csv", "parts/x.yaml".
	Texts map[string][]byte
	// Photos are the names of the pictures in the folder.
	Photos []string
	// Dossier is made of the texts as they are.
	Dossier *dossier.Dossier
	// Good is the last dossier without an error in its texts, nil if there was
	// none since the desk was opened.
	Good *dossier.Dossier
	// Undo and Redo are what would be undone and done again; empty for nothing.
	Undo, Redo string
}

// Empty reports whether no dossier was begun here.
func (s State) Empty() bool { return s.Texts["board.yaml"] == nil }

// Hash is the hash of the named text, empty when there is none: what an edit
// names as its base.
func (s State) Hash(name string) string {
	text, ok := s.Texts[name]
	if !ok {
		return ""
	}
	return Hash(text)
}

// Hash identifies a text.
func Hash(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Desk is an open dossier. Its methods may be called from everywhere at once.
type Desk struct {
	dir  string
	lock *folder.Lock

	mu      sync.Mutex
	state   State
	seen    map[string]stamp // what lies in the folder, as it was last read
	log     []action
	done    int // actions of the log that stand; the rest was undone
	noted   int // bytes of the journal
	closed  bool
	watched map[chan Event]bool
	works   map[string]*work
	parts   int // see Parts

	quit chan struct{}
	wait sync.WaitGroup
}

// Open opens the dossier in dir, which may be empty or not there yet, and holds
// its lock until Close.
func Open(dir string) (*Desk, error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	lock, err := folder.Acquire(dir)
	if err != nil {
		return nil, err
	}
	d := &Desk{
		dir: dir, lock: lock, seen: map[string]stamp{},
		watched: map[chan Event]bool{}, works: map[string]*work{}, quit: make(chan struct{}),
	}
	if err := d.load(); err != nil {
		return nil, errors.Join(err, lock.Release())
	}
	d.wait.Go(d.poll)
	return d, nil
}

// Dir is the folder of the dossier.
func (d *Desk) Dir() string { return d.dir }

// Now is the dossier at this moment.
func (d *Desk) Now() State {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.state
}

// Close stops all work, waits for it, and gives the lock back.
func (d *Desk) Close() error {
	d.mu.Lock()
	if d.closed {
		d.mu.Unlock()
		return nil
	}
	d.closed = true
	for _, w := range d.works {
		w.cancel()
	}
	close(d.quit)
	d.mu.Unlock()
	d.wait.Wait()
	return d.lock.Release()
}

// load reads the whole folder for the first time.
func (d *Desk) load() error {
	found, err := list(d.dir)
	if err != nil {
		return err
	}
	texts := map[string][]byte{}
	for name := range found {
		if isPhoto(name) {
			continue
		}
		if texts[name], err = d.read(name); err != nil {
			return err
		}
	}
	d.seen = found
	d.settle(texts)
	d.recall()
	return nil
}

// settle makes the texts the present state. It is called with the lock held,
// or before anybody else knows the desk.
func (d *Desk) settle(texts map[string][]byte) {
	now := State{Number: d.state.Number + 1, Texts: texts, Good: d.state.Good, Photos: photos(d.seen)}
	now.Dossier = dossier.Again(d.state.Dossier, ofDossier(texts))
	if !now.Empty() && now.Dossier.Findings.Err() == nil {
		now.Good = now.Dossier
	}
	d.state = now
	d.name()
}

// name says what undo and redo would do.
func (d *Desk) name() {
	d.state.Undo, d.state.Redo = "", ""
	if d.done > 0 {
		d.state.Undo = d.log[d.done-1].Label
	}
	if d.done < len(d.log) {
		d.state.Redo = d.log[d.done].Label
	}
}

// ofDossier are the texts that the dossier reads.
func ofDossier(texts map[string][]byte) map[string][]byte {
	out := maps.Clone(texts)
	maps.DeleteFunc(out, func(name string, _ []byte) bool { return !read[name] && !isSheet(name) })
	return out
}

// Photo returns a picture of the folder.
func (d *Desk) Photo(name string) ([]byte, error) {
	if !isPhoto(name) || !plain(name) {
		return nil, fmt.Errorf("%q is no name of a photo: %w", name, fs.ErrNotExist)
	}
	return d.read(name)
}

// clock is how long something takes, for what is left of running work.
var clock = time.Now
