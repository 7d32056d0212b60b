package sheetfile

import (
	"math"
	"slices"

	"cupel/internal/catalog"
	"cupel/internal/finding/text"
	"cupel/internal/quantity"
)

// housing reads the package. Its pins are the part's pins; a sheet without a
// package has the pins that its kind needs.
func (r reader) housing() {
	v := r.root.Get("package")
	if !v.Given() {
		r.sheet.Pins = r.traits.PinNames(true)
		if r.manyCells() {
			r.root.Need("package") // only its pins tell how many cells there are
		}
		return
	}
	m := v.Map().Fields("name", "pins")
	r.sheet.Package.Name = m.Need("name").Text()
	pins := m.Need("pins")
	if !pins.Given() {
		r.sheet.Pins = r.traits.PinNames(true)
		return
	}
	r.sheet.Package.Pads = r.pads(pins.Map().Fields(r.traits.PinNames(false)...))
	for _, p := range r.traits.Pins {
		_, there := r.sheet.Package.Pads[p.Name]
		if !there && p.Needed {
			pins.Fail(MissingPin, "add the pin "+p.Name+" with its pad number", "the package has no pin %s, %s", p.Name, p.Means)
		}
		if there {
			r.sheet.Pins = append(r.sheet.Pins, p.Name)
		}
	}
	r.checkInputs(pins)
}

// mostPads is the most pads of one part.
const mostPads = 400

// pads reads which pads a pin lies on.
func (r reader) pads(m text.Map) map[string][]int {
	pads := map[string][]int{}
	owner := map[int]string{}
	m.Each(func(key, value text.Value) {
		name := key.Text()
		pads[name] = nil // the pin is there, whatever its pads
		for _, v := range value.OneOrMore() {
			n := v.IntIn(1, mostPads)
			if n == 0 {
				continue
			}
			if other, taken := owner[n]; taken {
				v.Fail(PadTwice, "look up the pad numbers", "pad %d belongs to pin %s already", n, other)
				continue
			}
			owner[n] = name
			pads[name] = append(pads[name], n)
		}
	})
	return pads
}

// manyCells reports a kind that comes for so or so many cells.
func (r reader) manyCells() bool {
	return r.traits.Kind == catalog.StackProtector || r.traits.Kind == catalog.SecondaryProtector
}

// checkInputs reports a gap in the sense inputs.
func (r reader) checkInputs(pins text.Value) {
	if !r.manyCells() {
		return
	}
	for k := r.sheet.Cells() + 1; k <= catalog.MaxCells; k++ {
		if r.sheet.HasPin(catalog.SenseInput(k)) {
			missing := catalog.SenseInput(r.sheet.Cells() + 1)
			pins.Fail(MissingPin, "add the pin "+missing, "there is a sense input %s, but no %s", catalog.SenseInput(k), missing)
			return
		}
	}
}

func (r reader) limits() {
	r.sheet.Limits = map[string]quantity.Quantity{}
	v := r.root.Get("limits")
	m := v.Map().Fields(names(r.traits.Limits)...)
	for _, t := range r.traits.Limits {
		value := m.Get(t.Name)
		switch {
		case value.Given():
			r.sheet.Limits[t.Name] = positive(value, value.Quantity(t.Dim))
		case t.Needed && v.Given():
			v.Fail(MissingFigure, "add "+t.Name+": "+t.Means, "limits: %s is missing, %s", t.Name, t.Means)
		case t.Needed:
			r.root.Value().Fail(MissingFigure, "add limits: {"+t.Name+": …}", "the limit %s is missing, %s", t.Name, t.Means)
		}
	}
}

// positive reports a limit that is not above nothing.
func positive(v text.Value, q quantity.Quantity) quantity.Quantity {
	if q.Nominal() <= 0 {
		v.Fail(NotPositive, "write it as a positive number, also for P-channel and PNP parts", "the limit is %g, not above 0", q.Nominal())
	}
	return q
}

func (r reader) figures() {
	r.sheet.Figures = map[string]catalog.Figure{}
	source := r.root.Get("source").Text()
	v := r.root.Need("figures")
	m := v.Map().Fields(names(r.traits.Figures)...)
	for _, t := range r.traits.Figures {
		value := m.Get(t.Name)
		if value.Given() {
			r.sheet.Figures[t.Name] = r.figure(t, value, source)
			continue
		}
		if t.Needed && v.IsMap() {
			v.Fail(MissingFigure, "add "+t.Name+": "+t.Means, "figures: %s is missing, %s", t.Name, t.Means)
		}
	}
}

// figure reads a figure: its value alone, or a map of value, condition and
// source.
func (r reader) figure(t catalog.Term, v text.Value, source string) catalog.Figure {
	f := catalog.Figure{At: t.At, Source: source, Place: v.Place()}
	value := v
	if v.IsMap() {
		m := v.Map().Fields("value", "at", "source")
		value = m.Need("value")
		if s := m.Get("source"); s.Given() {
			f.Source = s.Text()
		}
		f.At = r.conditions(t, m.Get("at").Map())
	}
	f.Value = value.Quantity(t.Dim)
	checkFigure(t, value, f.Value)
	if f.Source == "" {
		v.Warn(NoSource, "add where it was read, for the figure or, as source:, for the sheet", "%s has no source", t.Name)
	}
	return f
}

// conditions reads what stands behind "at"; what it leaves out is as usual.
func (r reader) conditions(t catalog.Term, m text.Map) []catalog.Condition {
	var out []catalog.Condition
	m.Fields(catalog.Conditions()...).Each(func(key, value text.Value) {
		if d, ok := catalog.ConditionDimension(key.Text()); ok {
			out = append(out, catalog.Condition{Name: key.Text(), Value: value.Quantity(d)})
		}
	})
	for _, usual := range t.At {
		if !slices.ContainsFunc(out, func(c catalog.Condition) bool { return c.Name == usual.Name }) {
			out = append(out, usual)
		}
	}
	return out
}

// signed are the dimensions a figure may be negative in; charger detection is
// the one voltage that is.
func signed(t catalog.Term) bool {
	switch t.Dim {
	case quantity.TempcoRelative, quantity.TempcoVoltage:
		return true
	}
	return t.Name == "v_chd"
}

func checkFigure(t catalog.Term, v text.Value, q quantity.Quantity) {
	lowest := math.Min(nanTo(q.Min, math.Inf(1)), math.Min(nanTo(q.Typ, math.Inf(1)), nanTo(q.Max, math.Inf(1))))
	if lowest < 0 && !signed(t) {
		v.Fail(NotPositive, "write it as a positive number, also for P-channel and PNP parts", "%s is %g, below 0", t.Name, lowest)
	}
	if t.Needed && q.Given() && q.Nominal() == 0 {
		v.Fail(NotPositive, "look the figure up: "+t.Means, "%s is 0", t.Name)
	}
}

func nanTo(v, def float64) float64 {
	if math.IsNaN(v) {
		return def
	}
	return v
}

// point reads one point of a curve and checks it against those before it: an
// NTC falls.
func point(key, value text.Value, before []catalog.Point) (catalog.Point, bool) {
	t, ohms := key.Quantity(quantity.Temperature), value.Quantity(quantity.Resistance)
	if !t.Given() || !ohms.Given() {
		return catalog.Point{}, false
	}
	p := catalog.Point{Kelvin: t.Nominal(), Ohms: ohms.Nominal()}
	if len(before) == 0 {
		return p, true
	}
	last := before[len(before)-1]
	if p.Kelvin <= last.Kelvin {
		key.Fail(BadCurve, "order the points by temperature", "this point is not warmer than the one before it")
		return p, false
	}
	if p.Ohms >= last.Ohms || p.Ohms <= 0 {
		value.Fail(BadCurve, "look the point up", "%g Ω is not between 0 and the %g Ω of the colder point", p.Ohms, last.Ohms)
		return p, false
	}
	return p, true
}
