package boardfile

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/quantity"
)

// copper prints the section of copper.
func copper(w *bytes.Buffer, c *board.Copper) {
	if c == nil {
		return
	}
	whole := newEntry().size("area", c.Area).size("thickness", c.Thickness).count("layers", c.Layers, 0).size("cover", c.Cover)
	w.WriteString("copper:")
	if len(whole.words)+len(c.Path)+len(c.Wires)+len(c.Strips) == 0 {
		w.WriteString(" {}")
	}
	w.WriteString("\n")
	for _, s := range whole.words {
		fmt.Fprintf(w, "  %s\n", s)
	}
	list(w, "path", c.Path, func(t board.Track) *entry {
		e := newEntry().text("name", t.Name).size("width", t.Width).size("length", t.Length).size("thickness", t.Thickness)
		if t.Inner {
			e.text("layer", inner)
		}
		return e.count("parallel", t.Parallel, 1)
	})
	list(w, "wires", c.Wires, func(l board.Wire) *entry {
		e := newEntry().text("name", l.Name)
		if l.Area.Given() {
			e.size("area", l.Area)
		} else {
			e.count("awg", l.AWG, math.MaxInt)
		}
		return e.size("length", l.Length).size("limit", l.Limit).count("parallel", l.Parallel, 1)
	})
	list(w, "strips", c.Strips, func(s board.Strip) *entry {
		return newEntry().text("name", s.Name).text("material", string(s.Material)).size("width", s.Width).
			size("thickness", s.Thickness).size("length", s.Length).count("parallel", s.Parallel, 1)
	})
}

func list[T any](w *bytes.Buffer, key string, items []T, of func(T) *entry) {
	for i, item := range items {
		if i == 0 {
			fmt.Fprintf(w, "  %s:\n", key)
		}
		fmt.Fprintf(w, "    - {%s}\n", strings.Join(of(item).words, ", "))
	}
}

// entry collects what is stated of one thing.
type entry struct{ words []string }

func newEntry() *entry { return &entry{} }

func (e *entry) text(key, s string) *entry {
	if s != "" {
		e.words = append(e.words, key+": "+scalar(s))
	}
	return e
}

func (e *entry) size(key string, q quantity.Quantity) *entry {
	if !q.Given() {
		return e
	}
	if q.Text != "" {
		return e.text(key, q.Text)
	}
	return e.text(key, q.String())
}

// count prints n unless it is what stands for absent.
func (e *entry) count(key string, n, absent int) *entry {
	if n != absent {
		e.words = append(e.words, key+": "+strconv.Itoa(n))
	}
	return e
}
