// Package claimfile reads claims.yaml, the figures stated of a board, reporting
// every mistake of the text in one pass.
package claimfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// Name is the name of the file in a dossier.
const Name = "claims.yaml"

// Version is the version of the text that this package reads.
const Version = 1

// Read reads src, the content of file, for a board of that many cells (0: not
// known). Mistakes go to list; the sheet holds the claims that could be
// understood and is never nil.
func Read(file string, src []byte, cells int, list *finding.List) *claim.Sheet {
	doc := text.Parse(file, src, list)
	sheet := &claim.Sheet{Place: finding.Place{File: file}}
	if !doc.OK() {
		return sheet
	}
	r := &reader{cells: cells, list: list, first: map[string]int{}}
	root := doc.Root().Fields(fileFields.Names()...)
	version(root)
	sheet.Source = source(root.Get("source"))
	sheet.About = r.about(root.Get("about"))
	for _, v := range root.Need("figures").List() {
		if c, ok := r.claim(v); ok {
			sheet.Claims = append(sheet.Claims, c)
		}
	}
	return sheet
}

func version(root text.Map) {
	v := root.Need("cupel")
	if n := v.Text(); n != strconv.Itoa(Version) && n != "" {
		v.Fail(OtherVersion, "use a program that reads that version, or write cupel: 1",
			"the file is of version %q, this program reads version %d", n, Version)
	}
}

func source(v text.Value) claim.Source {
	if !v.Given() {
		return claim.Source{}
	}
	m := v.Map().Fields(sourceFields.Names()...)
	s := claim.Source{Kind: m.Need("kind").OneOf(claim.SourceKinds...)}
	if w := m.Get("where"); w.Given() {
		s.Where = w.Text()
	}
	return s
}

type reader struct {
	cells int
	list  *finding.List
	first map[string]int // line of each figure, to find it stated twice
}

// claim reads one figure; ok is false when it says nothing that can be judged.
func (r *reader) claim(v text.Value) (c claim.Claim, ok bool) {
	before := len(*r.list)
	m := v.Map().Fields(figureFields.Names()...)
	c = claim.Claim{Kind: claim.Stated, At: math.NaN(), Value: quantity.Absent(quantity.None), Place: v.Place()}
	subject := r.subject(&c, m)
	r.narrow(&c, m)
	if k := m.Get("kind"); k.Given() {
		c.Kind = claim.Kind(k.OneOf(words(claim.Kinds)...))
	}
	if n := m.Get("note"); n.Given() {
		c.Note = n.Text()
	}
	stated := m.Need("stated")
	c.Place = stated.Place()
	if !subject || !stated.Given() {
		return c, false
	}
	if isNone(stated) {
		c.None = true
	} else {
		c.Value = r.value(c, stated)
	}
	if len(*r.list) == before { // else it may be another than it seems
		r.twice(c, v)
	}
	return c, c.None || c.Value.Given()
}

// value reads the figure itself. Where its unit belongs to another quantity of
// the same protection the finding says which.
func (r *reader) value(c claim.Claim, v text.Value) quantity.Quantity {
	dim, _ := protection.Dimension(c.Protection, c.Quantity)
	q := v.Stated(dim)
	if q.Given() || !v.IsSingle() || len(*r.list) == 0 {
		return q
	}
	other, err := quantity.ParseAny(v.Text())
	if f := &(*r.list)[len(*r.list)-1]; err == nil && f.Code == text.WrongUnit {
		for _, n := range protection.Numbers(c.Protection) {
			if d, _ := protection.Dimension(c.Protection, n); d == other.Dim {
				f.Do = fmt.Sprintf("correct the unit, or write quantity: %s if that is what is stated", n)
				break
			}
		}
	}
	return q
}

// isNone reports whether the board is stated not to do it at all.
func isNone(v text.Value) bool {
	return v.IsSingle() && strings.EqualFold(strings.TrimSpace(v.Text()), None)
}

// None is what is written where the board does not do it at all.
const None = "none"

// subject reads what the figure is of.
func (r *reader) subject(c *claim.Claim, m text.Map) bool {
	c.Protection = protection.Trial(m.Need("protection").OneOf(words(protection.Claimable())...))
	q := m.Get("quantity")
	if c.Protection == "" {
		return false
	}
	c.Quantity = protection.Main(c.Protection)
	if !q.Given() {
		return true
	}
	valid := words(protection.Numbers(c.Protection))
	c.Quantity = protection.Quantity(q.OneOf(valid...))
	return c.Quantity != ""
}

// narrow reads which cell, stage, state, port and temperature it is of.
func (r *reader) narrow(c *claim.Claim, m text.Map) {
	if v := m.Get("stage"); v.Given() {
		c.Stage = stage(c.Protection, v)
	}
	if v := m.Get("cell"); v.Given() {
		most := r.cells
		if most == 0 {
			most = maxCells
		}
		c.Cell = v.IntIn(1, most)
	}
	if v := m.Get("state"); v.Given() {
		c.State = v.OneOf(states()...)
	}
	if v := m.Get("port"); v.Given() {
		c.Port = v.OneOf(ports...)
	}
	if v := m.Get("at"); v.Given() {
		if q := v.Quantity(quantity.Temperature); q.Given() {
			c.At = q.Nominal()
		}
	}
}

// stage reads which of several stages of protection t is spoken of.
func stage(t protection.Trial, v text.Value) string {
	valid, ok := stages[t]
	switch {
	case t == "":
		return v.OneOf(allStages...)
	case !ok:
		v.Fail(NoStages, "delete the stage", "%s has no stages", t.Label())
		return ""
	}
	return v.OneOf(valid...)
}

// twice warns of a figure that is stated twice. Both are kept: a board's print
// and its table may differ, and then not both can hold.
func (r *reader) twice(c claim.Claim, v text.Value) {
	key := fmt.Sprintf("%s|%s|%g", c.Name(), c.Kind, c.Temperature())
	line, ok := r.first[key]
	if !ok {
		r.first[key] = v.Place().Line
		return
	}
	v.Warn(StatedTwice, "keep both if the board's papers differ, with a note where each stands; else delete one",
		"%s is already stated on line %d", c.Name(), line)
}
