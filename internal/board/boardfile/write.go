package boardfile

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/quantity"
)

// Print prints b as a text that reads back as the same board, one line a part.
func Print(b *board.Board) []byte {
	var w bytes.Buffer
	fmt.Fprintf(&w, "cupel: %d\nboard: %s\n", Version, scalar(b.Name))
	if b.Title != "" {
		fmt.Fprintf(&w, "title: %s\n", scalar(b.Title))
	}
	fmt.Fprintf(&w, "cells: %d\npads: {%s}\n", b.Cells, pads(b))
	counted(&w, b.Counted)
	if len(b.Parts) == 0 {
		w.WriteString("parts: {}\n")
	} else {
		w.WriteString("parts:\n")
	}
	for i := range b.Parts {
		fmt.Fprintf(&w, "  %s: {%s}\n", scalar(b.Parts[i].Ref), part(b, &b.Parts[i]))
	}
	grades(&w, b)
	copper(&w, b.Copper)
	return w.Bytes()
}

func pads(b *board.Board) string {
	var s []string
	for _, p := range b.Pads {
		s = append(s, scalar(p.Name)+": "+netName(b, p.Net))
	}
	return strings.Join(s, ", ")
}

func counted(w *bytes.Buffer, list []board.Counted) {
	if len(list) == 0 {
		return
	}
	var s []string
	for _, c := range list {
		s = append(s, fmt.Sprintf("%s: %d", scalar(c.Letters), c.Count))
	}
	fmt.Fprintf(w, "counted: {%s}\n", strings.Join(s, ", "))
}

func netName(b *board.Board, n board.NetID) string {
	if n == board.NoNet {
		return Nothing
	}
	return scalar(b.Nets[n].Name)
}

func part(b *board.Board, p *board.Part) string {
	var s []string
	add := func(key, value string) { s = append(s, key+": "+value) }
	if p.Sheet != "" {
		add("sheet", scalar(p.Sheet))
	}
	if v := value(p); v != "" {
		add("value", scalar(v))
	}
	if p.Kind != "" && !told(p) {
		add("kind", string(p.Kind))
	}
	if p.Count > 1 {
		add("count", strconv.Itoa(p.Count))
	}
	if p.Size != "" {
		add("size", scalar(p.Size))
	}
	add("pins", pins(b, p))
	return strings.Join(s, ", ")
}

// told reports whether the reference alone tells the kind.
func told(p *board.Part) bool {
	b, ok := byRef(p.Ref)
	return ok && b.kind == p.Kind
}

// value prints value and ratings; the value as it was written, if it was.
func value(p *board.Part) string {
	if !p.Value.Given() {
		return ""
	}
	words := []string{p.Value.String()}
	if p.Value.Text != "" {
		words[0] = p.Value.Text
	}
	for _, r := range []struct {
		v   float64
		dim quantity.Dimension
	}{{p.Rated.Voltage, quantity.Voltage}, {p.Rated.Power, quantity.Power}, {p.Rated.Tempco, quantity.TempcoRelative}} {
		if r.v != 0 {
			q := quantity.Absent(r.dim)
			q.Typ = r.v
			words = append(words, q.String())
		}
	}
	if p.Rated.Dielectric != "" {
		words = append(words, p.Rated.Dielectric)
	}
	return strings.Join(words, " ")
}

// pins prints a bare part's pins in order and a sheet's by name: a reader of
// the text need not know the sheet's order.
func pins(b *board.Board, p *board.Part) string {
	var s []string
	for _, pin := range p.Pins {
		if p.Sheet == "" {
			s = append(s, netName(b, pin.Net))
			continue
		}
		s = append(s, scalar(pin.Name)+": "+netName(b, pin.Net))
	}
	if p.Sheet == "" {
		return "[" + strings.Join(s, ", ") + "]"
	}
	return "{" + strings.Join(s, ", ") + "}"
}

func grades(w *bytes.Buffer, b *board.Board) {
	head := "nets:\n"
	for _, n := range b.Nets {
		if n.Grade == handWritten && n.Note == "" {
			continue
		}
		fmt.Fprintf(w, "%s  %s: {grade: %s", head, scalar(n.Name), n.Grade)
		if n.Note != "" {
			fmt.Fprintf(w, ", note: %s", scalar(n.Note))
		}
		w.WriteString("}\n")
		head = ""
	}
}

// unquoted are the words that YAML reads as the text they are wherever they
// stand, between braces too.
var unquoted = regexp.MustCompile(`^[\pL\pN_][\pL\pN_.+/%±·° -]*$`)

// scalar prints s as a YAML value, quoted where it could be read otherwise.
func scalar(s string) string {
	switch strings.ToLower(s) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return quoted(s)
	}
	if unquoted.MatchString(s) && !strings.HasSuffix(s, " ") {
		return s
	}
	return quoted(s)
}

// quoted is s in single quotes, or in double ones where it has characters that
// must be escaped.
func quoted(s string) string {
	if strings.IndexFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) >= 0 {
		return strconv.QuoteToASCII(s)
	}
	return "'" + strings.ReplaceAll(s, "'", "''") + "'"
}
