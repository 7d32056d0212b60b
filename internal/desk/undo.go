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

// remember adds an action to the log; what was undone before is gone.
func (d *Desk) remember(a action) {
	d.log = append(d.log[:d.done:d.done], a)
	for len(d.log) > mostActions || len(d.log) > 1 && size(d.log) > mostKept {
		d.log = d.log[1:]
	}
	d.done = len(d.log)
	d.name()
	d.tell(Event{Kind: Changed, Number: d.state.Number, Label: a.label, Names: names(a)})
}

func size(log []action) int {
	n := 0
	for _, a := range log {
		for _, c := range a.files {
			n += len(c.before) + len(c.after)
		}
	}
	return n
}

func names(a action) []string {
	var out []string
	for _, c := range a.files {
		out = append(out, c.name)
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
	var back []change
	for _, c := range a.files {
		back = append(back, change{name: c.name, before: c.after, after: c.before})
	}
	if err := d.write(back); err != nil {
		return "", err
	}
	d.done--
	d.moved(a)
	return a.label, nil
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
	if err := d.write(a.files); err != nil {
		return "", err
	}
	d.done++
	d.moved(a)
	return a.label, nil
}

func (d *Desk) moved(a action) {
	d.name()
	d.tell(Event{Kind: Changed, Number: d.state.Number, Label: a.label, Names: names(a)})
}
