package desk

import "errors"

// ErrNothing is the error of undoing or doing again where there is nothing.
var ErrNothing = errors.New("there is nothing to undo")

// mostActions is how far back undo goes, and mostKept how many bytes the log
// may hold: the oldest go first.
const (
	mostActions = 1000
	mostKept    = 256 << 20
)

// action is an edit that was carried out.
type action struct {
	Label string
	Files []change
}

func acted(label string, steps []step) action {
	a := action{Label: label}
	for _, s := range steps {
		a.Files = append(a.Files, changed(s))
	}
	return a
}

// remember adds an action to the log; what was undone before is gone.
func (d *Desk) remember(a action) {
	d.add(a)
	d.note(entry{Did: &a})
	d.moved(a)
}

func (d *Desk) add(a action) {
	d.log = append(d.log[:d.done:d.done], a)
	for len(d.log) > mostActions || len(d.log) > 1 && size(d.log) > mostKept {
		d.log = d.log[1:]
	}
	d.done = len(d.log)
}

func size(log []action) int {
	n := 0
	for _, a := range log {
		for _, c := range a.Files {
			n += len(c.Before.Text) + len(c.After.Text)
		}
	}
	return n
}

func names(a action) []string {
	var out []string
	for _, c := range a.Files {
		out = append(out, c.Name)
	}
	return out
}

// Undo takes the last action back, whoever made it, and says which: every file
// of it is byte for byte what it was.
func (d *Desk) Undo() (string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.refresh(); err != nil {
		return "", err
	}
	if d.done == 0 {
		return "", ErrNothing
	}
	a := d.log[d.done-1]
	if err := d.play(a, change.back); err != nil {
		return "", err
	}
	d.done--
	d.note(entry{Undone: true})
	d.moved(a)
	return a.Label, nil
}

// Redo does again what was undone last.
func (d *Desk) Redo() (string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.refresh(); err != nil {
		return "", err
	}
	if d.done == len(d.log) {
		return "", ErrNothing
	}
	a := d.log[d.done]
	if err := d.play(a, change.again); err != nil {
		return "", err
	}
	d.done++
	d.note(entry{Redone: true})
	d.moved(a)
	return a.Label, nil
}

// play writes the files of an action as they were before it, or after it.
func (d *Desk) play(a action, turn func(change, []byte) ([]byte, error)) error {
	var steps []step
	for _, c := range a.Files {
		now, err := d.content(c.Name)
		if err != nil {
			return err
		}
		next, err := turn(c, now)
		if err != nil {
			return err
		}
		steps = append(steps, step{name: c.Name, before: now, after: next})
	}
	return d.write(steps)
}

func (d *Desk) moved(a action) {
	d.name()
	d.tell(Event{Kind: Changed, Number: d.state.Number, Label: a.Label, Names: names(a)})
}
