// Package sheetfile reads the text of a part sheet.
//
// A sheet is one YAML file:
//
//	cupel: 1
//	sheet: nfet-30v-4m
//	kind: mosfet-n
//	title: Power N-FET, 30 V, 4 mΩ class
//	package: {name: SO-8, pins: {s: [1, 2, 3], g: 4, d: [5, 6, 7, 8]}}
//	limits: {v_ds: 30 V, v_gs: 20 V}
//	source: typical of the class, no source
//	figures:
//	  v_sd: 0.55/0.70/1.0 V
//	  r_ds_on: {value: typ 4.0 mΩ max 5.2 mΩ, at: {v_gs: 10 V}, source: figure 3 of the sheet}
//
// The source of the sheet is that of every figure without one of its own. Which
// pins, limits, figures and rules there may be is for the kind to say: see
// [catalog.Kinds].
package sheetfile

import (
	"path"
	"slices"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// Version is the version of the format.
const Version = 1

var topKeys = []string{"cupel", "sheet", "kind", "title", "package", "limits", "source", "figures", "rules", "curve", "spread"}

// Read reads the sheet in src, the content of file. Every mistake goes to
// list. The sheet is never nil; after an error finding it is not complete.
func Read(file string, src []byte, list *finding.List) *catalog.Sheet {
	doc := text.Parse(file, src, list)
	s := &catalog.Sheet{Place: finding.Place{File: file}}
	if !doc.OK() {
		return s
	}
	root := doc.Root().Fields(topKeys...)
	root.Need("cupel").IntIn(Version, Version)
	name := root.Need("sheet")
	s.Name, s.Place = name.Text(), name.Place()
	checkName(name, file)
	s.Title = root.Get("title").Text()
	kind := root.Need("kind").OneOf(kindNames()...)
	traits, ok := catalog.TraitsOf(catalog.Kind(kind))
	if !ok {
		return s // nothing below has a meaning without the kind
	}
	s.Kind = traits.Kind
	r := reader{root, traits, s}
	r.housing()
	r.limits()
	r.figures()
	r.rules()
	r.curve()
	r.spread()
	return s
}

// reader is the reading of one sheet whose kind is known.
type reader struct {
	root   text.Map
	traits catalog.Traits
	sheet  *catalog.Sheet
}

func kindNames() []string {
	var names []string
	for _, t := range catalog.Kinds() {
		names = append(names, string(t.Kind))
	}
	return names
}

// checkName reports a sheet that its file's name would hide, and a name that
// cannot stand in a board's text.
func checkName(name text.Value, file string) {
	s := name.Text()
	if s == "" {
		return
	}
	if bad := strings.IndexFunc(s, unfit); bad >= 0 {
		name.Fail(BadName, "use small letters, digits and hyphens", "the name %q of the sheet holds %q", s, []rune(s[bad:])[0])
		return
	}
	base := strings.TrimSuffix(path.Base(file), ".yaml")
	if strings.HasSuffix(file, ".yaml") && base != s {
		name.Warn(NameNotFile, "rename the file to "+s+".yaml, or the sheet to "+base, "the sheet %q lies in the file %q", s, path.Base(file))
	}
}

func unfit(r rune) bool {
	return !('a' <= r && r <= 'z' || '0' <= r && r <= '9' || r == '-')
}

// rules reads the named choices of a state machine.
func (r reader) rules() {
	names := make([]string, 0, len(r.traits.Rules))
	for _, rule := range r.traits.Rules {
		names = append(names, rule.Name)
	}
	if len(names) == 0 && r.root.Has("rules") {
		r.root.Get("rules").Fail(NotOfKind, "delete it", "a %s has no rules", r.traits.Kind)
		return
	}
	m := r.root.Get("rules").Map().Fields(names...)
	r.sheet.Rules = map[string]string{}
	m.Each(func(key, value text.Value) {
		rule, ok := r.traits.Rule(key.Text())
		if !ok {
			return
		}
		if word := value.OneOf(rule.Words...); word != "" {
			r.sheet.Rules[rule.Name] = word
		}
	})
}

// spread reads how a tolerance splits; without it all of it is part to part.
func (r reader) spread() {
	const lot, part = "common to a lot", "part to part"
	v := r.root.Get("spread")
	r.sheet.Spread = catalog.Spread{Lot: 0, Part: 1}
	if !v.Given() {
		return
	}
	m := v.Map().Fields(lot, part)
	a, b := m.Need(lot), m.Need(part)
	if !a.Given() || !b.Given() {
		return
	}
	s := catalog.Spread{Lot: a.Number(), Part: b.Number()}
	if d := s.Lot + s.Part - 1; s.Lot < 0 || s.Part < 0 || d > 1e-9 || d < -1e-9 {
		v.Fail(BadSpread, "give two shares that add to 1", "the shares %g and %g of the spread do not add to 1", s.Lot, s.Part)
		return
	}
	r.sheet.Spread = s
}

// curve reads a thermistor's points.
func (r reader) curve() {
	v := r.root.Get("curve")
	if !v.Given() {
		return
	}
	if !r.traits.Curve {
		v.Fail(NotOfKind, "delete it", "a %s has no curve", r.traits.Kind)
		return
	}
	m := v.Map().Fields("source", "points")
	c := catalog.Curve{Source: m.Need("source").Text()}
	m.Need("points").Map().Each(func(key, value text.Value) {
		if p, ok := point(key, value, c.Points); ok {
			c.Points = append(c.Points, p)
		}
	})
	if len(c.Points) == 1 {
		v.Fail(BadCurve, "give at least two points, or leave the curve out", "a curve of one point")
	}
	r.sheet.Curve = c
}

func names(terms []catalog.Term) []string {
	out := make([]string, 0, len(terms))
	for _, t := range terms {
		out = append(out, t.Name)
	}
	return slices.Clip(out)
}
