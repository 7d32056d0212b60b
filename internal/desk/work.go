package desk

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// Progress is how far a piece of long work is.
type Progress struct {
	Name string // "predict"
	// Key says what was asked, and of which texts: a result with another key
	// answers another question.
	Key         string
	Running     bool
	Stopped     bool // by the person
	Done, Total int
	// Remaining is estimated from the pace so far; 0 is not known.
	Remaining time.Duration
	// Result is what there is by now: parts of it while Running.
	Result any
	Err    error
	Number int // grows with every part of the result
}

// work is a Progress with what carries it on.
type work struct {
	Progress
	began  time.Time
	cancel context.CancelFunc
	ended  chan struct{}
}

// Tools are what running work has in hand.
type Tools struct {
	d *Desk
	w *work
}

// Tell says how far the work is.
func (t Tools) Tell(done, total int) {
	t.d.mu.Lock()
	defer t.d.mu.Unlock()
	t.w.Done, t.w.Total = done, total
	t.w.Remaining = remaining(clock().Sub(t.w.began), done, total)
	t.d.tell(Event{Kind: Worked, Number: t.d.state.Number, Work: t.w.Progress})
}

// remaining is what is left at the pace so far; of a beginning it says nothing.
func remaining(past time.Duration, done, total int) time.Duration {
	if done <= 0 || total <= done {
		return 0
	}
	return time.Duration(float64(past) / float64(done) * float64(total-done))
}

// Post shows a part of the result.
func (t Tools) Post(result any) {
	t.d.mu.Lock()
	defer t.d.mu.Unlock()
	t.w.Result = result
	t.w.Number++
	t.d.parts++
	t.d.tell(Event{Kind: Worked, Number: t.d.state.Number, Work: t.w.Progress})
}

// Start begins work of that name and key. Work of the same name and key that
// runs or has ended well is left alone; other work of that name is stopped
// first.
func (d *Desk) Start(name, key string, do func(context.Context, Tools) (any, error)) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return
	}
	old := d.works[name]
	if old != nil && old.Key == key && (old.Running || old.Err == nil && !old.Stopped) {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	w := &work{Progress: Progress{Name: name, Key: key, Running: true}, began: clock(), cancel: cancel, ended: make(chan struct{})}
	d.works[name] = w
	d.parts++
	if old != nil {
		old.cancel()
	}
	d.wait.Go(func() {
		defer close(w.ended)
		defer cancel()
		if old != nil {
			<-old.ended
		}
		result, err := attempt(func() (any, error) { return do(ctx, Tools{d, w}) })
		d.conclude(w, result, err, ctx.Err() != nil)
	})
}

// attempt turns a crash of the work into its error.
func attempt(do func() (any, error)) (result any, err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("this is a defect of cupel, please report it: %v", v)
		}
	}()
	return do()
}

func (d *Desk) conclude(w *work, result any, err error, stopped bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	w.Running, w.Stopped, w.Err, w.Remaining = false, stopped, err, 0
	if stopped && errors.Is(err, context.Canceled) {
		w.Err = nil
	}
	if result != nil {
		w.Result = result
	}
	w.Number++
	d.parts++
	d.tell(Event{Kind: Worked, Number: d.state.Number, Work: w.Progress})
}

// Stop stops the work of that name; what it had by then stays.
func (d *Desk) Stop(name string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if w := d.works[name]; w != nil && w.Running {
		w.Stopped = true
		w.cancel()
	}
}

// Work is how far the work of that name is. Its zero value is no such work.
func (d *Desk) Work(name string) Progress {
	d.mu.Lock()
	defer d.mu.Unlock()
	if w := d.works[name]; w != nil {
		return w.Progress
	}
	return Progress{}
}

// Parts grows with every part of any result, and with every work that begins: who
// has seen one number and finds another has missed something.
func (d *Desk) Parts() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.parts
}

// Running lists all work that runs.
func (d *Desk) Running() []Progress {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []Progress
	for _, w := range d.works {
		if w.Running {
			out = append(out, w.Progress)
		}
	}
	return out
}
