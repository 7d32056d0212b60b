package study

import (
	"context"
	"fmt"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/ringout/rehearse"
	"cupel/internal/ringout/strip"
)

// Rehearsal is what a rehearsal is asked for.
type Rehearsal struct {
	ErrorRate float64 // of each kind of error of the meter
	Seed      uint64
	// Truth is the text of the board that is probed, in the file named; nil is the
	// dossier's own.
	Truth     []byte
	TruthFile string
}

// OtherPads is the code of the finding that a board to rehearse against has other
// pads than the dossier's. The code never changes its meaning.
const OtherPads = "L203"

// RingoutRehearse plays the whole ring-out of a board that is known. Its error is
// *finding.Errors if a text is wrong.
func RingoutRehearse(ctx context.Context, d *dossier.Dossier, q Rehearsal) (answer.RingoutRehearse, error) {
	if err := d.Findings.Err(); err != nil {
		return answer.RingoutRehearse{}, err
	}
	s := Sample(d)
	truth, nets, err := truthOf(d, s, q)
	if err != nil {
		return answer.RingoutRehearse{}, err
	}
	r, err := rehearse.Play(ctx, s, truth, rehearse.Options{
		Rates: rehearse.Even(q.ErrorRate), Plan: planner.Options{ErrorRate: q.ErrorRate}, Seed: q.Seed,
	})
	if err != nil {
		return answer.RingoutRehearse{}, err
	}
	a := answer.RingoutRehearse{
		Head: answer.NewHead("ringout rehearse", d.Board.Name, d.Hash),
		Pads: r.Pads, Nets: r.Nets, Floor: r.Pads - r.Nets, Questions: r.Questions,
		Touches: r.Touches, TouchesPerPad: number(float64(r.Touches) / float64(r.Pads)), Time: r.Touches * rehearse.Touch,
		ClosingTouches: r.Closing, ClosingTouchesBridged: r.ClosingBridged,
		NaivePairs: r.NaivePairs, Representative: r.Representative, Seed: q.Seed, ErrorRate: number(q.ErrorRate),
		Errors: answer.MeterErrors{FalseBeep: r.Errors.FalseBeep, MissedBeep: r.Errors.MissedBeep, LowValue: r.Errors.LowValue},
	}
	for _, n := range r.Wrong {
		a.WrongNets = append(a.WrongNets, mistaken(n, nets))
	}
	for _, n := range r.Flagged {
		a.Flagged = append(a.Flagged, mistaken(n, nets))
	}
	return a, nil
}

// truthOf is the net of each pad of the sample, and the nets' names.
func truthOf(d *dossier.Dossier, s *ringout.Sample, q Rehearsal) (strip.Truth, []board.Net, error) {
	b := d.Board
	if q.Truth != nil {
		var list finding.List
		b = boardfile.Read(q.TruthFile, q.Truth, d.Sheets, &list)
		if err := list.Err(); err != nil {
			return nil, nil, err
		}
	}
	known, nets := strip.Board(b, d.Sheets.Sheet)
	truth := make(strip.Truth, len(s.Pads))
	var list finding.List
	for i := range s.Pads {
		x, ok := known.Pad(s.Pads[i].Name)
		if !ok {
			truth[i] = board.NoNet
			if s.Pads[i].Part != ringout.NoPart {
				list.Add(otherPad(q.TruthFile, s.Pads[i].Name))
			}
			continue
		}
		truth[i] = nets[x]
	}
	return truth, b.Nets, list.Err()
}

func otherPad(file, pad string) finding.Finding {
	return finding.Finding{
		Code: OtherPads, Level: finding.Error, Place: finding.Place{File: file},
		Text: fmt.Sprintf("there is no pad %s on the board to rehearse against", pad),
		Do:   "both boards must have the same parts with the same sheets",
	}
}

// mistaken says what is wrong with a net that differs from the truth.
func mistaken(n rehearse.Net, nets []board.Net) string {
	var names []string
	for _, id := range n.True {
		if id == board.NoNet {
			names = append(names, boardfile.Nothing)
		} else {
			names = append(names, nets[id].Name)
		}
	}
	const most = 6
	pads := strings.Join(n.Pads[:min(most, len(n.Pads))], " ")
	if more := len(n.Pads) - most; more > 0 {
		pads += fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, " + ") + ": " + pads
}
