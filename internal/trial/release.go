package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Release trips the board every way there is and looks what brings it back.
type Release struct{}

// Word names the trial.
func (Release) Word() protection.Trial { return protection.Release }

// trips lists the rows of the matrix: overcharge and overdischarge at cell 1,
// the middle one and the last, which on a chain of single-cell parts need not
// agree, and the currents.
func trips(a rig.Abilities) []trip {
	var ts []trip
	cells := []int{1}
	if m := (a.Cells + 1) / 2; m > 1 {
		cells = append(cells, m)
	}
	if a.Cells > cells[len(cells)-1] {
		cells = append(cells, a.Cells)
	}
	for _, k := range cells {
		ts = append(ts, trip{word: protection.Overcharge, cell: k, port: chargePort})
	}
	for _, k := range cells {
		ts = append(ts, trip{word: protection.Overdischarge, cell: k, port: dischargePort})
	}
	ts = append(ts, trip{word: protection.DischargeOvercurrent, stage: "1", port: dischargePort})
	if a.Short {
		ts = append(ts, trip{word: protection.LoadShort, stage: "short", port: dischargePort})
	}
	return append(ts, trip{word: protection.ChargeOvercurrent, stage: "1", port: chargePort})
}

// Jobs has one job a row.
func (Release) Jobs(a rig.Abilities) []Job {
	var jobs []Job
	for _, t := range trips(a) {
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.Release, Cell: t.cell, Tap: -1, State: t.state(), Stage: t.stage, Port: t.port.String(),
				Stimulus:  "tripped by " + t.String() + ", then each column from a fresh trip",
				OpenMeans: openMeans(t.port) + " after the column", Cautions: []string{cautionCells, cautionFault, cautionCharger},
				Conditions: []Condition{cellCondition(a.CellMiddle), ohmsCondition(a)},
			},
			name: "release after " + t.String(), after: []protection.Quantity{protection.ReleaseDelay}, absent: missingPort(a, t.port),
			run: func(s *stand, l *logbook) error { return row{s: s, t: t}.study(l) },
		}.job())
	}
	return jobs
}

// row is one trip under all columns.
type row struct {
	s *stand
	t trip
}

// held is a voltage the tripped cell is held at while the columns are applied.
type held struct {
	name  string
	volts float64
}

// nearDetect is how far back from detect a cell is held, V.
const nearDetect = 0.01

// helds lists the voltages: hardly back, and well past any release. A trip by
// current has one, where the cells are.
func (r row) helds() []held {
	if r.t.cell == 0 {
		return []held{{"", 0}}
	}
	near, side := r.t.detect-nearDetect, "−"
	if r.t.word == protection.Overdischarge {
		near, side = r.t.detect+nearDetect, "+"
	}
	return []held{
		{fmt.Sprintf("(a) cell at detect %s 10 mV", side), near},
		{"(b) cell past release", r.s.a.CellMiddle},
	}
}

func (r row) study(l *logbook) error {
	e, err := r.t.find(r.s)
	if err != nil {
		return err
	}
	if !e.found() {
		l.ending(protection.ReleaseDelay, e).SearchedUnit = "V"
		return nil
	}
	for _, h := range r.helds() {
		if err := r.columns(l, h); err != nil {
			return err
		}
	}
	return nil
}

// released is one cell of the matrix.
type released struct {
	col    column
	on     bool
	time   float64 // NaN: not seen
	hiccup float64 // Hz; 0: none
	state  direction
}

// columns applies every column and words the cells of the matrix.
func (r row) columns(l *logbook, h held) error {
	var cells []released
	for _, c := range columns {
		if c.charges && !r.s.a.Charge || c.loads && !r.s.a.Discharge {
			continue
		}
		x, err := r.column(cells, c, h)
		if err != nil {
			return err
		}
		cells = append(cells, x)
	}
	any := false
	for _, x := range cells {
		r.report(l, x, cells, h)
		any = any || x.on || x.hiccup > 0
	}
	if !any {
		res := l.add(protection.ReleaseAt, protection.NeverReleases)
		res.Step, res.Unit = h.name, ""
		res.SearchedTo, res.SearchedUnit = longWait, "s"
		res.Note = "under no column"
	}
	return nil
}

// sameAs names the column that is the same experiment for a trip: taking away
// what tripped leaves nothing attached.
func (r row) sameAs(c column) string {
	switch {
	case c.name == "L0" && r.t.port == dischargePort, c.name == "C0" && r.t.port == chargePort:
		return "N"
	}
	return ""
}

// column runs one column, or takes what is known of it: what releases with
// nothing attached within 10 s does so within 60 s.
func (r row) column(done []released, c column, h held) (released, error) {
	for _, d := range done {
		if d.col.name == r.sameAs(c) || c.name == columnT.name && d.col.name == columnN.name && d.on {
			d.col = c
			return d, nil
		}
	}
	return r.run(c, h)
}

// run trips the board afresh, holds the cell, applies the column and watches.
func (r row) run(c column, h held) (released, error) {
	s := r.s
	out := released{col: c, time: math.NaN()}
	if err := r.start(c, h); err != nil {
		return out, err
	}
	rec, err := s.r.Capture(s.ctx, rig.Capture{Points: r.points(), Seconds: c.seconds})
	if err != nil {
		return out, err
	}
	out.time, out.hiccup = r.seen(rec, c)
	if out.hiccup > 0 {
		return out, nil
	}
	out.state, err = r.ended(c)
	if err != nil {
		return out, err
	}
	out.on = out.state.on()
	if out.on && math.IsNaN(out.time) {
		return r.timed(out, c, h)
	}
	return out, nil
}

// start is the moment the watch over a column begins.
func (r row) start(c column, h held) error {
	if err := r.t.make(r.s); err != nil {
		return err
	}
	if r.t.cell > 0 {
		if err := r.s.cell(r.t.cell, h.volts); err != nil {
			return err
		}
	}
	// Columns that begin with a charger share that beginning.
	return c.doHeld(r.s, func(s *stand) error {
		return s.from(fmt.Sprint("held ", r.t, h.name), func() error { return holdCharger(s) })
	})
}

// points are what is watched: the currents there can be, and the gates.
func (r row) points() []rig.Point {
	var ps []rig.Point
	for _, p := range r.s.ports() {
		ps = append(ps, p.amps())
	}
	for _, b := range r.s.a.Banks {
		ps = append(ps, rig.Point{Kind: rig.GateVolts, Part: b})
	}
	return ps
}

// hiccups is how often a direction must come on within a watch to be said to
// hiccup: twice may be an inrush and the release.
const hiccups = 3

// seen reads the record for when the tripped direction came back: from its
// current where the column makes one flow, from its gate otherwise. The gate
// only tells when; whether is for the probe to say.
func (r row) seen(rec rig.Record, c column) (when, hz float64) {
	when = math.NaN()
	for i, p := range rec.Points {
		flows := p == r.t.port.amps() && r.keeps(c)
		gate := p.Kind == rig.GateVolts && p.Part == r.t.port.String()
		if !flows && !gate {
			continue
		}
		ref := highest(rec.Values[i])
		if flows {
			ref = r.wanted()
		}
		ts := rises(rec.Times, rec.Values[i], ref)
		n := len(ts)
		if flows && n >= hiccups {
			return math.NaN(), float64(n-1) / (ts[n-1] - ts[0])
		}
		if n > 0 && (flows || math.IsNaN(when)) {
			when = ts[n-1]
		}
	}
	return when, 0
}

// rises lists when v passes half of ref upwards, having been below a quarter of
// it before: an inrush or a ripple is no rise.
func rises(times, v []float64, ref float64) []float64 {
	if ref <= 0 {
		return nil
	}
	var at []float64
	low := math.Abs(v[0]) < ref/4
	for j := 1; j < len(v); j++ {
		x := math.Abs(v[j])
		switch {
		case x < ref/4:
			low = true
		case low && x >= ref/2:
			low = false
			at = append(at, cross(times, v, j, ref/2))
		}
	}
	return at
}

// cross is when v came to level before sample j, on the line from the last
// sample below.
func cross(times, v []float64, j int, level float64) float64 {
	was, is := math.Abs(v[j-1]), math.Abs(v[j])
	if is == was {
		return times[j]
	}
	return times[j-1] + (times[j]-times[j-1])*math.Max(0, (level-was)/(is-was))
}

// timed finds the time by probing, where nothing showed it.
func (r row) timed(out released, c column, h held) (released, error) {
	e, err := r.s.timeUntilOn("", r.t.port, func() error { return r.start(c, h) })
	if e.found() {
		out.time = e.value()
	}
	return out, err
}
