package planner

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"cupel/internal/board"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// tower is a board with many pads: demo boards of one kind on one another, so
// that the top tap of each is the bottom of the next.
func tower(b *testing.B, pads int) (*ringout.Sample, strip.Truth) {
	storey, sheets := demoBoard(b, "sluice-5s")
	s := &ringout.Sample{}
	var truth strip.Truth
	for k := 0; len(s.Pads) < pads; k++ {
		one, net := strip.Board(storey, sheets)
		s.Cells += one.Cells
		for _, p := range one.Parts {
			var pins []ringout.Pin
			for i, x := range p.Pads {
				pins = append(pins, ringout.Pin{Name: one.Pads[x].Pin, Numbers: []int{i + 1}})
				truth = append(truth, net[x]+board.NetID(1000*k))
			}
			p.Ref, p.Pads = fmt.Sprint(p.Ref, "_", k), nil
			s.AddPart(p, pins)
		}
	}
	return s, truth
}

// probed is a copper after that many readings, about half of them beeps: each
// pad against others in order until its net is found.
func probed(b *testing.B, s *ringout.Sample, truth strip.Truth, readings int) *ringout.Copper {
	c := ringout.NewCopper(s, ringout.Rules{})
	rng := rand.New(rand.NewPCG(1, 2))
	first := map[board.NetID]int{}
	for n := 0; n < readings; n++ {
		x := rng.IntN(len(s.Pads))
		y, ok := first[truth[x]]
		if !ok || n%2 == 0 {
			y = rng.IntN(len(s.Pads))
			first[truth[x]] = x
		}
		if x == y {
			continue
		}
		e := ringout.Entry{Number: n + 1, Kind: ringout.Pair, A: s.Pads[x].Name, B: []string{s.Pads[y].Name}, Result: ringout.Open}
		if truth[x] == truth[y] {
			e.Result = ringout.Connected
		}
		if err := c.Add(e); err != nil {
			b.Fatal(err)
		}
	}
	return c
}

// The time a person waits for the next question. The goal is 20 ms at 2 000 pads
// and 5 000 readings.
func BenchmarkNext(b *testing.B) {
	for _, size := range []struct{ pads, readings int }{{290, 0}, {290, 400}, {2000, 0}, {2000, 2000}, {2000, 5000}} {
		b.Run(fmt.Sprintf("%d-pads-%d-readings", size.pads, size.readings), func(b *testing.B) {
			s, truth := tower(b, size.pads)
			c := probed(b, s, truth, size.readings)
			p := New(s, Options{})
			b.ResetTimer()
			for b.Loop() {
				p.Next(c)
			}
		})
	}
}
