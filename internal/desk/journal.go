package desk

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"cupel/internal/dossier/folder"
)

// journal is the file in which undo outlives the program. It is no part of the
// dossier: who deletes it loses what could be undone and nothing else.
const journal = ".cupel-undo"

// entry is a line of the journal: one of the three happened.
type entry struct {
	Did            *action
	Undone, Redone bool
}

// mostJournal is the size at which the journal is begun anew, with what of it
// still matters. Texts in it take four bytes for three.
const mostJournal = 2 * mostKept

// journal is the path of the journal, unless that is something else than a file:
// a folder that came from others must not lead the pen out of it.
func (d *Desk) journal() (file string, ok bool) {
	file = filepath.Join(d.dir, journal)
	info, err := os.Lstat(file)
	return file, errors.Is(err, fs.ErrNotExist) || err == nil && info.Mode().IsRegular()
}

// note writes down what happened. A journal that cannot be written costs undo
// after the next start: that is no reason to refuse an action that is saved.
func (d *Desk) note(e entry) {
	if d.noted > mostJournal {
		d.rewrite()
		return
	}
	file, ok := d.journal()
	if !ok {
		return
	}
	line, err := json.Marshal(e)
	if err != nil {
		return
	}
	f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return
	}
	n, _ := f.Write(append(line, '\n'))
	d.noted += n
	_ = f.Close()
}

// rewrite begins the journal anew with what can still be undone or done again.
func (d *Desk) rewrite() {
	var b bytes.Buffer
	lines := json.NewEncoder(&b)
	for i := range d.log {
		_ = lines.Encode(entry{Did: &d.log[i]})
	}
	for range len(d.log) - d.done {
		_ = lines.Encode(entry{Undone: true})
	}
	d.noted = b.Len()
	file, ok := d.journal()
	if !ok {
		return
	}
	if b.Len() == 0 {
		_ = os.Remove(file)
		return
	}
	_ = folder.Replace(file, b.Bytes())
}

// recall takes the journal up again, where the folder is still as the last
// action left it. What changed while no desk was open cannot be undone, and
// neither can what went before.
func (d *Desk) recall() {
	file, ok := d.journal()
	if !ok {
		return
	}
	f, err := os.Open(file)
	if err != nil {
		return
	}
	defer f.Close()
	lines := json.NewDecoder(io.LimitReader(f, 2*mostJournal))
	for err == nil {
		var e entry
		if err = lines.Decode(&e); err == nil {
			err = d.replay(e)
		}
	}
	stands := d.stands()
	if !stands {
		d.log, d.done = nil, 0
	}
	if d.noted = int(lines.InputOffset()); !stands || !errors.Is(err, io.EOF) {
		d.rewrite() // without what no longer holds, or a line that was not written to its end
	}
	d.name()
}

// replay does to the log what an entry of the journal says.
func (d *Desk) replay(e entry) error {
	switch {
	case e.Did != nil:
		d.add(*e.Did)
	case e.Undone && d.done > 0:
		d.done--
	case e.Redone && d.done < len(d.log):
		d.done++
	default:
		return fs.ErrInvalid
	}
	return nil
}

// stands reports whether every file of the log is as the actions that stand left
// it.
func (d *Desk) stands() bool {
	want := map[string]side{}
	for _, a := range d.log[:d.done] {
		for _, c := range a.Files {
			want[c.Name] = c.After
		}
	}
	for _, a := range d.log[d.done:] {
		for _, c := range a.Files {
			if _, ok := want[c.Name]; !ok {
				want[c.Name] = c.Before
			}
		}
	}
	for name, s := range want {
		now, err := d.content(name)
		if err != nil || !Allowed(name) || !s.holds(now) {
			return false
		}
	}
	return true
}
