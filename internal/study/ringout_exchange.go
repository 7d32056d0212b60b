package study

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board/ipcd356"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
)

// RingoutRecords gives the nets that the readings show as records of IPC-D-356A,
// whatever board.yaml says.
func RingoutRecords(d *dossier.Dossier, s *session.Session) (answer.Nets, error) {
	named := s.Copper().Netlist(byHand(d, s.Sample()))
	netOf := netOfPads(named, len(s.Sample().Pads))
	f := &ipcd356.File{Job: d.Board.Name, Title: d.Board.Title, Comments: []string{
		"RUNG OUT, " + strconv.Itoa(len(s.Log().Active())) + " ENTRIES", "INPUTS " + d.Hash[:min(len(d.Hash), 64)],
	}}
	a := answer.Nets{Head: answer.NewHead("ringout export", d.Board.Name, d.Hash), Pads: len(s.Sample().Pads)}
	for i, p := range s.Sample().Pads {
		f.Pads = append(f.Pads, netPad(s.Sample(), p, netOf[i]))
		if p.At == nil {
			a.Unplaced++
		}
	}
	var text strings.Builder
	if err := ipcd356.Write(&text, f); err != nil {
		return answer.Nets{}, fmt.Errorf("the nets do not fit into the format: %w", err)
	}
	a.Nets, a.Records = len(f.Nets()), text.String()
	return a, nil
}

// RingoutTable gives the nets that the readings show as CSV, one pad a line.
func RingoutTable(d *dossier.Dossier, s *session.Session) answer.Nets {
	named := s.Copper().Netlist(byHand(d, s.Sample()))
	a := answer.Nets{Head: answer.NewHead("ringout export", d.Board.Name, d.Hash), Pads: len(s.Sample().Pads), Nets: len(named)}
	var b strings.Builder
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"net", "grade", "pad", "side", "x_mm", "y_mm", "entries"}) // a builder takes everything
	row := func(net, grade string, pad int, because []int) {
		p := &s.Sample().Pads[pad]
		x, y := "", ""
		if p.At != nil {
			x, y = strconv.FormatFloat(p.At.X, 'g', -1, 64), strconv.FormatFloat(p.At.Y, 'g', -1, 64)
		} else {
			a.Unplaced++
		}
		_ = w.Write([]string{net, grade, p.Name, string(p.Side), x, y, strings.Trim(fmt.Sprint(because), "[]")})
	}
	in := map[int]bool{}
	for _, n := range named {
		for _, p := range n.Pads {
			in[p] = true
			because, _ := s.Copper().Why(n.Pads[0], p)
			row(n.Name, string(n.Grade), p, because)
		}
	}
	for _, n := range s.Copper().Nets() {
		if p := n.Pads[0]; !in[p] {
			row("", string(n.Grade), p, nil)
		}
	}
	w.Flush()
	a.Records = b.String()
	return a
}

// Imported is what a file holds that somebody brings along.
type Imported struct {
	Entries []ringout.Entry  // in order; their numbers are of no meaning
	Pads    []ringout.PadRow // sides, places, further pads
}

// RingoutImport reads what was written elsewhere: a log of readings, a list of
// pads, a spreadsheet of "a,b,result", or the places in records of IPC-D-356A. Its
// error is *finding.Errors with all mistakes.
func RingoutImport(file string, src []byte) (Imported, error) {
	head, _, _ := strings.Cut(strings.TrimPrefix(string(src), "\ufeff"), "\n")
	head = strings.TrimSpace(head)
	var in Imported
	var list finding.List
	switch {
	case head+"\n" == string(ringout.Header()):
		var log ringout.Log
		log, list = ringout.ReadLog(file, src)
		in.Entries = log.Active()
	case strings.HasPrefix(head, "a,b,result"):
		in.Entries, list = ringout.ReadPairs(file, src)
	case recordsOf(head):
		var f *ipcd356.File
		f, list = ipcd356.Read(file, src)
		in.Pads = placed(f)
	default:
		in.Pads, list = ringout.ReadPads(file, src)
	}
	return in, list.Err()
}

// recordsOf reports whether a file that begins so holds records of IPC-D-356A.
func recordsOf(head string) bool {
	return strings.HasPrefix(head, "C ") || strings.HasPrefix(head, "P ") || len(head) > 3 && head[0] == '3' && head[1] >= '0' && head[1] <= '9'
}

// placed takes the places from a netlist. Its nets are no readings: they belong
// into board.yaml.
func placed(f *ipcd356.File) []ringout.PadRow {
	var rows []ringout.PadRow
	for i := range f.Pads {
		p := &f.Pads[i]
		if p.At == nil {
			continue
		}
		row := ringout.PadRow{Name: p.Name(), Side: ringout.Both, At: &ringout.Point{X: p.At.X * 1e3, Y: p.At.Y * 1e3}}
		switch p.Access {
		case 1:
			row.Side = ringout.Top
		case 2:
			row.Side = ringout.Bottom
		}
		rows = append(rows, row)
	}
	return rows
}
