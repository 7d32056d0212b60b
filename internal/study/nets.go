package study

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board/ipcd356"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
)

// Nets gives the nets of a board pad by pad, as records of IPC-D-356A. Parts in
// parallel have pads of their own.
func Nets(d *dossier.Dossier) (answer.Nets, error) {
	if _, err := sound(d); err != nil {
		return answer.Nets{}, err
	}
	sample := Sample(d)
	nets := byHand(d, sample) // vias and test points of pads.csv are on no net here
	f := &ipcd356.File{Job: d.Board.Name, Title: d.Board.Title, Comments: []string{
		"INPUTS " + d.Hash[:min(len(d.Hash), 64)],
		"SIDES NOT STATED COUNT AS THE PRIMARY SIDE, SIZES NOT STATED AS 0",
	}}
	for i, p := range sample.Pads {
		f.Pads = append(f.Pads, netPad(sample, p, nets[i]))
	}
	var text strings.Builder
	if err := ipcd356.Write(&text, f); err != nil {
		return answer.Nets{}, fmt.Errorf("the nets do not fit into the format: %w", err)
	}
	a := answer.Nets{Head: answer.NewHead("export nets", d.Board.Name, d.Hash), Pads: len(f.Pads), Nets: len(f.Nets()), Records: text.String()}
	for i := range f.Pads {
		if f.Pads[i].At == nil {
			a.Unplaced++
		}
	}
	return a, nil
}

// netPad is a pad as a record. Which number a pin's pad has is in the pad's
// name; a pad of the board itself is its own reference.
func netPad(s *ringout.Sample, p ringout.Pad, net string) ipcd356.Pad {
	out := ipcd356.Pad{Op: ipcd356.Surface, Net: net, Ref: p.Name, Access: 1}
	if p.Part != ringout.NoPart {
		out.Ref = s.Parts[p.Part].Ref
		out.Pin = strings.TrimPrefix(p.Name, out.Ref+".")
	}
	switch p.Side {
	case ringout.Bottom:
		out.Access = 2
	case ringout.Both:
		out.Op, out.Access = ipcd356.ThroughHole, 0
	}
	if p.At != nil {
		out.At = &ipcd356.Point{X: p.At.X * 1e-3, Y: p.At.Y * 1e-3}
	}
	return out
}
