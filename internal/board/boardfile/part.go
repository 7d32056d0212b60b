package boardfile

import (
	"fmt"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/quantity"
)

func (r *reader) readParts(v text.Value) {
	v.Map().Each(func(key, part text.Value) {
		r.parts.add(key)
		switch {
		case part.IsSingle() && part.Text() != "":
			part.Fail(text.WrongKind, fmt.Sprintf("write %s: {value: %s, pins: [NET, NET]}, or {sheet: NAME, pins: …}", key.Text(), part.Text()),
				"%s is a single value, expected a map of keys and values", key.Text())
		default:
			if m := part.Map(); part.IsMap() {
				r.readPart(key, m)
			}
		}
	})
	r.countedRefs()
}

func (r *reader) readPart(key text.Value, m text.Map) {
	m.Fields(partFields.Names()...)
	p := board.Part{Ref: r.name(key, "part"), Value: quantity.Absent(quantity.None), Count: 1, Place: key.Place()}
	if v := m.Get("size"); v.Given() {
		p.Size = v.Text()
	}
	if v := m.Get("count"); v.Given() {
		p.Count = max(1, v.IntIn(1, MaxCount))
	}
	pins := r.identify(&p, key, m)
	index := len(r.board.Parts)
	if m.Has("pins") || pins == nil {
		p.Pins = r.readPins(key, p, pins, m.Need("pins"))
	} else {
		p.Pins = unwired(key, pins)
		r.unwired = append(r.unwired, key)
	}
	for i, pin := range p.Pins {
		if pin.Net != board.NoNet {
			n := &r.board.Nets[pin.Net]
			n.Pins = append(n.Pins, board.PinRef{Part: index, Pin: i})
		}
	}
	r.index[p.Ref] = index
	r.board.Parts = append(r.board.Parts, p)
}

// identify says what the part is and returns its pins' names; nil when that
// cannot be known.
func (r *reader) identify(p *board.Part, key text.Value, m text.Map) []string {
	sheet, value := m.Get("sheet"), m.Get("value")
	if !sheet.Given() {
		if !value.Given() && !known(m) {
			return nil // a misspelt key, already told
		}
		if !value.Given() {
			key.Fail(SheetOrValue, "add sheet: NAME, or value: 4.7 kΩ for a bare resistor, capacitor or inductor",
				"part %s has neither a sheet nor a value", p.Ref)
			return nil
		}
		r.readBare(p, key, m)
		return []string{"1", "2"}
	}
	p.Sheet = sheet.Text()
	s, ok := r.sheets.Sheet(p.Sheet)
	if !ok {
		r.unknownSheet(sheet, p.Sheet)
		return nil
	}
	if value.Given() {
		r.valueBesideSheet(p, s, m)
	}
	return s.Pins
}

// known reports whether the part has no key but those a part can have.
func known(m text.Map) bool {
	for _, k := range m.Keys() {
		if !contains(partFields.Names(), k) {
			return false
		}
	}
	return true
}

func (r *reader) unknownSheet(v text.Value, name string) {
	if name == "" {
		return
	}
	v.Report(finding.Finding{
		Code: UnknownSheet, Level: finding.Error,
		Text:       fmt.Sprintf("unknown part sheet %q", name),
		Do:         "name a sheet that comes with the program (cupel schema part --list), or add parts/" + name + ".yaml to the dossier",
		Suggestion: r.likelySheet(name),
	})
}

// likelySheet is the sheet that was most likely meant: the nearest by letters,
// else the first whose name goes on where this one ends.
func (r *reader) likelySheet(name string) string {
	names := r.sheets.Names()
	if near := finding.Nearest(name, names); near != "" {
		return near
	}
	for _, n := range names {
		if strings.HasPrefix(n, strings.ToLower(name)+"-") {
			return n
		}
	}
	return ""
}

// valueBesideSheet reads a value that stands beside a sheet: a sheet of
// resistors, capacitors or inductors can be one of a series, no other can.
func (r *reader) valueBesideSheet(p *board.Part, s *catalog.Sheet, m text.Map) {
	for _, b := range bares {
		if b.sheet == s.Kind {
			r.readValue(p, b, m.Get("value"))
			return
		}
	}
	m.Get("value").Fail(SheetOrValue, "delete the value: the sheet says what the part is",
		"part %s has a value beside the sheet %s, which is a %s", p.Ref, s.Name, s.Kind)
}

// readPins reads the nets of the pins, by name or in order. Without names the
// part is not known; its pins are then taken as they stand.
func (r *reader) readPins(key text.Value, p board.Part, names []string, v text.Value) []board.Pin {
	if v.IsList() {
		return r.positional(p, names, v)
	}
	var pins []board.Pin
	m := v.Map()
	m.Each(func(k, net text.Value) {
		if names != nil && !contains(names, k.Text()) {
			r.unknownPin(p, names, m, k)
			return
		}
		pins = append(pins, board.Pin{Name: k.Text(), Net: r.net(net), Place: k.Place()})
	})
	if v.IsMap() {
		r.missingPins(key, p, names, m)
	}
	return inOrder(pins, names)
}

// unwired are the pins of a part of whose nets nothing is said: it was counted
// and is yet to be rung out.
func unwired(key text.Value, names []string) []board.Pin {
	var pins []board.Pin
	for _, n := range names {
		pins = append(pins, board.Pin{Name: n, Net: board.NoNet, Place: key.Place()})
	}
	return pins
}

// checkWired says once that parts are on no net yet.
func (r *reader) checkWired() {
	n := len(r.unwired)
	if n == 0 {
		return
	}
	which := fmt.Sprintf("part %s is on no net", r.unwired[0].Text())
	if n > 1 {
		which = fmt.Sprintf("%d parts are on no net, the first is %s", n, r.unwired[0].Text())
	}
	r.unwired[0].Warn(NotWired, "ring them out, or write pins: {PIN: NET, …}", "%s", which)
}

func (r *reader) unknownPin(p board.Part, names []string, m text.Map, k text.Value) {
	var free []string
	for _, n := range names {
		if !m.Has(n) {
			free = append(free, n)
		}
	}
	k.Report(finding.Finding{
		Code: UnknownPin, Level: finding.Error,
		Text:       fmt.Sprintf("%s has no pin %q", described(p), k.Text()),
		Do:         "its pins are " + strings.Join(names, ", "),
		Suggestion: finding.Nearest(k.Text(), free),
	})
}

func (r *reader) missingPins(key text.Value, p board.Part, names []string, m text.Map) {
	for _, n := range names {
		if !m.Has(n) {
			key.Fail(MissingPin, fmt.Sprintf("add %s: NET, or %s: %s if it is connected to nothing", n, n, Nothing),
				"nothing is said of pin %s.%s", p.Ref, n)
		}
	}
}

func (r *reader) positional(p board.Part, names []string, v text.Value) []board.Pin {
	var pins []board.Pin
	nets := v.List()
	if names != nil && len(nets) != len(names) {
		v.Fail(PinCount, fmt.Sprintf("give one net for each pin, in the order [%s]", strings.Join(names, ", ")),
			"%s has %d pins, the list has %d nets", described(p), len(names), len(nets))
	}
	for i, net := range nets {
		name := strconv.Itoa(i + 1)
		if names != nil {
			if i >= len(names) {
				break
			}
			name = names[i]
		}
		pins = append(pins, board.Pin{Name: name, Net: r.net(net), Place: net.Place()})
	}
	return pins
}

// described is how messages call the part: "U1 (cell-protector-4v25)".
func described(p board.Part) string {
	if p.Sheet == "" {
		return p.Ref
	}
	return p.Ref + " (" + p.Sheet + ")"
}

// inOrder puts the pins into the order of names: two texts of one part make
// the same part.
func inOrder(pins []board.Pin, names []string) []board.Pin {
	if names == nil {
		return pins
	}
	var out []board.Pin
	for _, n := range names {
		for _, p := range pins {
			if p.Name == n {
				out = append(out, p)
			}
		}
	}
	return out
}

func contains(names []string, s string) bool {
	for _, n := range names {
		if n == s {
			return true
		}
	}
	return false
}

// countedRefs reports a part whose reference is that of one of several in
// parallel: Q1 with count 2 is Q1.1 and Q1.2.
func (r *reader) countedRefs() {
	for i := range r.board.Parts {
		p := &r.board.Parts[i]
		whole, n, ok := strings.Cut(p.Ref, ".")
		at, known := r.index[whole]
		if !ok || !known {
			continue
		}
		count := r.board.Parts[at].Count
		if k, err := strconv.Atoi(n); err == nil && k >= 1 && k <= count && count > 1 {
			r.doc.Report(finding.Finding{
				Code: RefTwice, Level: finding.Error, Place: p.Place,
				Text: fmt.Sprintf("part %s is already one of the %d of %s", p.Ref, count, whole),
				Do:   fmt.Sprintf("rename it, or lower the count of %s", whole),
			})
		}
	}
}
