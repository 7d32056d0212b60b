package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// report adds a cell of the matrix.
func (r row) report(l *logbook, x released, all []released, h held) {
	o := protection.NeverReleases
	switch {
	case x.hiccup > 0:
		o = protection.Chatters
	case x.on && !math.IsNaN(x.time):
		o = protection.Found
	case x.on:
		o = protection.Undefined
	}
	res := l.add(protection.ReleaseDelay, o)
	res.Step = "column " + x.col.name
	if h.name != "" {
		res.Step += ", " + h.name
		res.Conditions = append(res.Conditions, Condition{"tripped cell", h.volts, "V"})
	}
	res.Stimulus = fmt.Sprintf("tripped by %s, %s, %.3g s", r.t, x.col.says, x.col.seconds)
	res.Word = r.word(x, all)
	switch o {
	case protection.Found:
		res.Value, res.Low, res.High = x.time, x.time, x.time
	case protection.Undefined:
		res.Note = "it came on, but when was not seen"
	case protection.NeverReleases:
		res.SearchedTo, res.SearchedUnit = x.col.seconds, "s"
		res.Note = note(x.state)
	}
}

// note says what kind of not on a direction is, when it is not plainly open.
func note(d direction) string {
	if d.word == isOpen || d.word == "" {
		return ""
	}
	return "the direction is " + d.String()
}

// word is the word of a cell of the matrix: by itself, by what has to be done,
// or not at all.
func (r row) word(x released, all []released) string {
	on := map[string]bool{}
	for _, y := range all {
		on[y.col.name] = y.on || y.hiccup > 0
	}
	switch {
	case x.hiccup > 0:
		return fmt.Sprintf("hiccup %.2g Hz", x.hiccup)
	case !x.on:
		return "stays"
	case !on["N"]:
		return needs(x.col, on)
	case r.keeps(x.col):
		return "auto"
	case r.t.port == dischargePort && r.s.a.Discharge && !on["L1"]:
		return "needs load removed"
	case r.t.port == chargePort && r.s.a.Charge && !on["C1"]:
		return "needs charger removed"
	}
	return "auto"
}

// needs is what a release under a column says is needed, when nothing by itself
// is not enough: what the simplest column that releases too does.
func needs(c column, on map[string]bool) string {
	switch {
	case (c.name == columnC0.name || c.name == columnCL.name) && on[columnC1.name]:
		return columnC1.needs
	case c.name == columnL0.name && on[columnL1.name]:
		return columnL1.needs
	case c.name == columnCL.name && on[columnC0.name]:
		return columnC0.needs
	}
	return c.needs
}

// keeps reports whether a column leaves something at the tripped port that
// makes a current flow when the direction comes back.
func (r row) keeps(c column) bool {
	if r.t.port == chargePort {
		return c.name == columnC1.name
	}
	return c.name == columnL1.name || c.name == columnCL.name
}

// wanted is the current that flows when the tripped direction is on, with what
// a column left attached.
func (r row) wanted() float64 {
	set := r.s.set
	switch {
	case r.t.port == chargePort:
		return set.charger.Amps
	case set.load.Kind == rig.ConstantCurrent:
		return set.load.Value
	case set.load.Kind == rig.Resistance:
		return r.s.pack() / set.load.Value
	}
	return r.s.pack() / (r.s.packOhms() + set.load.Value + set.load.Lead.Ohms)
}

// ended judges the tripped direction at the end of a watch: by what the column
// left attached, or by a probe. To put a probe in the place of the load that
// tripped would be to take that load away.
func (r row) ended(c column) (direction, error) {
	switch {
	case !r.keeps(c):
		return r.s.probe(r.t.port)
	case r.wanted() <= probeAmps*1.01:
		return r.s.state(r.t.port)
	}
	amps, err := r.s.read(r.t.port.amps())
	d := direction{word: isOpen, amps: amps}
	if amps >= r.wanted()/2 {
		d.word = isOn
	}
	return d, err
}
