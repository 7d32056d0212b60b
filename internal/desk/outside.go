package desk

import (
	"bytes"
	"maps"
	"time"
)

// pollEvery is how often the folder is looked at for what other programs write.
const pollEvery = time.Second

// Outside is the label of an action that another program made.
const Outside = "changed by another program"

// poll looks at the folder until the desk is closed.
func (d *Desk) poll() {
	t := time.NewTicker(pollEvery)
	defer t.Stop()
	for {
		select {
		case <-d.quit:
			return
		case <-t.C:
			d.mu.Lock()
			// What cannot be read now is tried again in a second; an edit
			// meanwhile gives the error to whoever makes it.
			_ = d.refresh()
			d.mu.Unlock()
		}
	}
}

// refresh takes in what other programs wrote.
func (d *Desk) refresh() error {
	found, err := list(d.dir)
	if err != nil {
		return err
	}
	if maps.Equal(found, d.seen) {
		return nil
	}
	var steps []step
	texts := maps.Clone(d.state.Texts)
	for name, s := range found {
		if old, ok := d.seen[name]; ok && old == s || isPhoto(name) {
			continue
		}
		text, err := d.read(name)
		if err != nil {
			return err
		}
		if before, ok := texts[name]; !ok || !bytes.Equal(before, text) {
			steps = append(steps, step{name, texts[name], text})
			texts[name] = text
		}
	}
	for name := range d.state.Texts {
		if _, ok := found[name]; !ok {
			steps = append(steps, step{name, texts[name], nil})
			delete(texts, name)
		}
	}
	d.seen = found
	if len(steps) == 0 {
		d.state.Photos = photos(found)
		return nil
	}
	d.settle(texts)
	d.remember(acted(Outside, steps))
	return nil
}
