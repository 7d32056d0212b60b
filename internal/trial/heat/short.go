package heat

import (
	"math"
	"slices"

	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
)

// Short is what a short across the load's pads does to the FETs.
type Short struct {
	Ohms    float64 // of the short, beside a lead of 10 mΩ and 1 µH
	Peak    float64 // A
	Seconds float64 // until the current has gone; +Inf: not within the record
	Bank    string  // the bank that takes most
	Part    string  // its FET that takes most
	Joules  float64 // in the bank
	Share   float64 // of the part in the bank's loss
	Start   float64 // K, junction when the short begins
	Kelvin  float64 // its peak
	Low     float64 // K; the peak with the transient impedance at its least
	High    float64 // … and at its most
	Most    float64 // K, the sheet's most
	// Avalanche is the energy of the lead that one FET would take in avalanche were
	// the bank to open at once at the current at which it opens; Stands is what its
	// sheet gives. PeakVolts is what the bank really saw, Breaks its rating.
	Avalanche, Stands float64 // J; Stands NaN where no sheet says
	PeakVolts, Breaks float64
}

// shortSeconds is how long a short is watched.
const shortSeconds = 30e-3

// A short's own lead, as the trial of the short has it.
var shortLead = rig.Lead{Ohms: 10e-3, Henry: 1e-6}

// shorts looks at a dead short and at one whose current stays just under the short
// stage, with full cells and the parts as warm as rises say.
func (st *stand) shorts(rises []float64) ([]Short, error) {
	if len(st.rig.Circuit().Banks) == 0 {
		return nil, nil
	}
	var out []Short
	for _, ohms := range st.shortOhms() {
		s, ok, err := st.short(ohms, rises)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, s)
		}
	}
	return out, nil
}

// deadOhms is a short as dead as it gets.
const deadOhms = 1e-3

// shortOhms are the two resistances.
func (st *stand) shortOhms() []float64 {
	out := []float64{deadOhms}
	if h := st.can.Hints.LoadAmps; len(h) > 1 {
		pack := st.can.CellFull * float64(st.can.Cells)
		r := pack/(justUnder*h[len(h)-1]) - st.can.CellOhms*float64(st.can.Cells) - shortLead.Ohms
		if r > 2*deadOhms {
			out = append(out, r)
		}
	}
	return out
}

// justUnder is how near to the short stage a current stays below it.
const justUnder = 0.9

func (st *stand) short(ohms float64, rises []float64) (Short, bool, error) {
	out := Short{Ohms: ohms, Seconds: math.Inf(1)}
	st.rig.Rewind(st.rest)
	st.warm(rises)
	if err := st.cells(st.can.CellFull); err != nil {
		return out, false, err
	}
	if err := st.rig.Dwell(st.ctx, st.can.Times.Filter*5); err != nil {
		return out, false, err
	}
	banks := st.rig.Circuit().Banks
	points := []rig.Point{{Kind: rig.LoadAmps}}
	for _, b := range banks {
		points = append(points, rig.Point{Kind: rig.BankJoules, Part: b.Name}, rig.Point{Kind: rig.BankVolts, Part: b.Name})
	}
	gone := &fall{}
	record, err := st.rig.Capture(st.ctx, rig.Capture{
		Cause:  rig.Cause{Load: &rig.Load{Kind: rig.Short, Value: ohms, Lead: shortLead}},
		Points: points, Seconds: shortSeconds, Until: gone.over,
	})
	if err != nil {
		return out, false, err
	}
	out.Peak = slices.Max(record.Values[0])
	if gone.done {
		out.Seconds = record.Times[len(record.Times)-1]
	}
	worst := 0
	for i := range banks {
		if last(record.Values[1+2*i]) > last(record.Values[1+2*worst]) {
			worst = i
		}
	}
	st.peak(&out, banks[worst], record, 1+2*worst, rises)
	return out, true, nil
}

// fall ends a record when the current has gone.
type fall struct {
	peak float64
	done bool
}

// goneShare is the share of its peak at which a current has gone.
const goneShare = 0.02

func (f *fall) over(_ float64, values []float64) bool {
	f.peak = math.Max(f.peak, values[0])
	f.done = f.peak > 0 && values[0] < goneShare*f.peak && values[0] < f.peak-1
	return f.done
}

func last(v []float64) float64 { return v[len(v)-1] }

// peak follows the junction of a bank's hottest FET through the record.
func (st *stand) peak(out *Short, b elaborate.Bank, r rig.Record, joules int, rises []float64) {
	energy, volts := r.Values[joules], r.Values[joules+1]
	out.Bank, out.Joules, out.PeakVolts = b.Name, last(energy), slices.Max(volts)
	hot := 0
	out.Share, hot = st.shares(b)
	e := b.FETs[hot]
	out.Part, out.Start = e.Name(), st.ambient+e.Rise()
	p, ok := st.owner(e)
	if !ok {
		return
	}
	s, _ := st.subject.Sheets(p.Sheet)
	out.Most, out.Breaks = s.Limit("t_j").Nominal(), s.Limit("v_ds").Nominal()
	f, _ := s.Figure("e_as")
	out.Stands = f.Value.Nominal()
	way := st.transient(s).Respond()
	top := 0.0
	for i := 1; i < len(r.Times); i++ {
		if dt := r.Times[i] - r.Times[i-1]; dt > 0 {
			top = math.Max(top, way.Step(out.Share*(energy[i]-energy[i-1])/dt, dt))
		}
	}
	out.Kelvin, out.Low, out.High = out.Start+top, out.Start+top/dieFactor, out.Start+top*dieFactor
	pack := st.can.CellFull * float64(st.can.Cells)
	out.Avalanche = Avalanche(shortLead.Henry, opening(r.Values[0], volts, pack), out.Breaks, pack)
}

// shares is the largest share of one FET in its bank's loss, and which it is, told
// from their on-resistances. While a bank opens, the one with the lowest threshold
// takes more than that.
func (st *stand) shares(b elaborate.Bank) (share float64, hot int) {
	total, most := 0.0, 0.0
	for i, e := range b.FETs {
		p := e.Params()
		g := p.K * p.Parallel
		if p.SeriesOhms > 0 {
			g = p.K / (1 + p.K*p.SeriesOhms*overdrive)
		}
		total += g
		if g > most {
			most, hot = g, i
		}
	}
	return most / total, hot
}

// overdrive is the gate voltage above the threshold at which shares are told.
const overdrive = 5. // V

// opening is the current at which a bank opens: when it holds off half the pack.
func opening(amps, volts []float64, pack float64) float64 {
	for i, v := range volts {
		if v > pack/2 {
			return amps[i]
		}
	}
	return 0
}

// Avalanche is the energy that a FET takes in avalanche which opens a loop of an
// inductance at a current: that of the loop and what the cells add meanwhile
// (device application notes, from memory),
//
//	E = L·I²/2 · BV/(BV − V)
//
// +Inf where the cells alone hold it in breakdown.
func Avalanche(henry, amps, breakdown, volts float64) float64 {
	if amps == 0 {
		return 0
	}
	if breakdown <= volts {
		return math.Inf(1)
	}
	return henry * amps * amps / 2 * breakdown / (breakdown - volts)
}
