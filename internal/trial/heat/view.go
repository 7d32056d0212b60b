package heat

import (
	"cupel/internal/board"
	"cupel/internal/elaborate"
	"cupel/internal/quantity"
)

// view is how parts and assumptions are taken.
type view int

const (
	typical view = iota
	adverse
	favourable
)

// worse is the value of q in this view when more of it is worse.
func (v view) worse(q quantity.Quantity) float64 {
	switch v {
	case adverse:
		return q.High()
	case favourable:
		return q.Low()
	}
	return q.Nominal()
}

// better is the value of q when more of it is better.
func (v view) better(q quantity.Quantity) float64 {
	switch v {
	case adverse:
		return q.Low()
	case favourable:
		return q.High()
	}
	return q.Nominal()
}

// guessed is a value that nobody stated, known within a factor either way.
func guessed(d quantity.Dimension, value, factor float64) quantity.Quantity {
	return quantity.Quantity{Dim: d, Min: value / factor, Typ: value, Max: value * factor}
}

// choice takes parts as a view has them. In every bank the first FET has the
// least on-resistance that its spread within a lot allows, the others share what
// that takes from the mean: the first then carries most and runs hottest.
type choice struct {
	view  view
	count map[string]int // parts in parallel, by reference
}

func newChoice(b *board.Board, v view) choice {
	c := choice{v, map[string]int{}}
	for _, p := range b.Parts {
		c.count[p.Ref] = p.Count
	}
	return c
}

// Pick implements [elaborate.Choice].
func (c choice) Pick(w elaborate.Which, q quantity.Quantity) float64 {
	switch w.Figure {
	case "r_ds_on":
		return c.view.worse(q) * c.spread(w, q)
	case "r_ds_on_tempco", "r":
		return c.view.worse(q)
	case "v_oc1":
		return c.view.better(q)
	}
	return q.Nominal()
}

// spread is how far one of several FETs lies from the mean of its bank. Where a
// sheet gives only a typical value and a maximum, parts lie as far below as
// above.
func (c choice) spread(w elaborate.Which, q quantity.Quantity) float64 {
	n := c.count[w.Ref]
	if w.Unit == 0 || n < 2 {
		return 1
	}
	apart := w.Spread.Part * (q.High() - q.Nominal()) / q.Nominal()
	if w.Unit == 1 {
		return 1 - apart
	}
	return 1 + apart/float64(n-1)
}
