package desk

import "context"

// Kind is the kind of an event.
type Kind string

// The kinds of events.
const (
	Changed Kind = "changed" // a text or photo
	Worked  Kind = "work"    // running work went on, ended, or gave a part of its result
	Told    Kind = "told"    // something a face wants to tell every watcher
	Behind  Kind = "behind"  // events were lost: look at everything anew
)

// Event is something that happened on the desk.
type Event struct {
	Kind   Kind
	Number int      // of the state, see State
	Label  string   // of the action; of Told, what is told
	Names  []string // files that changed
	Work   Progress // of Worked
}

// mostWaiting is how many events a watcher may be late.
const mostWaiting = 64

// Watch hands out what happens from now until ctx ends or the desk is closed.
func (d *Desk) Watch(ctx context.Context) <-chan Event {
	c := make(chan Event, mostWaiting)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		close(c)
		return c
	}
	d.watched[c] = true
	d.wait.Go(func() {
		select {
		case <-ctx.Done():
		case <-d.quit:
		}
		d.mu.Lock()
		defer d.mu.Unlock()
		delete(d.watched, c)
		close(c)
	})
	return c
}

// Tell lets every watcher know something.
func (d *Desk) Tell(what string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.tell(Event{Kind: Told, Number: d.state.Number, Label: what})
}

// tell is called with the lock held. A watcher that is late loses what it had
// not taken, and learns that it did.
func (d *Desk) tell(e Event) {
	for c := range d.watched {
		select {
		case c <- e:
			continue
		default:
		}
		for len(c) > 0 {
			select {
			case <-c:
			default:
			}
		}
		c <- Event{Kind: Behind, Number: d.state.Number}
	}
}
