package heat

import (
	"cupel/internal/catalog"
)

// Bleed is a bleed resistor under the highest cell voltage it meets, every cell
// bled at once.
type Bleed struct {
	Cell    int
	Part    string
	Volts   float64 // of the cell
	Amps    float64
	Watts   float64
	Kelvin  float64 // of its element
	Around  float64 // K, the board's mean
	Rating  float64 // W up to 70 °C
	Derated float64 // W, what it stands with the board that warm
	Grade   string  // what its rating was told from; empty where it is stated
}

// underOvercharge is how far below the overcharge threshold the cells stand.
const underOvercharge = 10e-3 // V

// bleeds looks at the bleed resistors on a board without load.
func (st *stand) bleeds() ([]Bleed, error) {
	volts := st.can.Hints.Overcharge - underOvercharge
	if len(st.rig.Circuit().Bleeds) == 0 || volts <= st.can.Hints.BalanceStart {
		return nil, nil
	}
	st.cool()
	st.rig.Rewind(st.rest)
	if err := st.cells(volts); err != nil {
		return nil, err
	}
	if err := st.rig.Dwell(st.ctx, 2*st.can.Times.Balance+5*st.can.Times.Filter); err != nil {
		return nil, err
	}
	x, err := st.rig.Unknowns()
	if err != nil {
		return nil, err
	}
	var out []Bleed
	total := 0.0
	for _, b := range st.rig.Circuit().Bleeds {
		r := Bleed{Cell: b.Cell, Part: b.Resistor.Name(), Volts: volts, Amps: b.Resistor.Current(x), Watts: b.Resistor.Power(x)}
		if r.Amps < 0 {
			r.Amps = -r.Amps
		}
		total += r.Watts
		out = append(out, r)
	}
	for i, b := range st.rig.Circuit().Bleeds {
		st.rate(&out[i], b.Part, st.ambient+total*st.cooling.ohms)
	}
	return out, nil
}

// rate sets what a bleed resistor stands with the board at a temperature.
func (st *stand) rate(r *Bleed, ref string, around float64) {
	p, _ := st.subject.Board.Part(ref)
	var s *catalog.Sheet
	if p.Sheet != "" {
		s, _ = st.subject.Sheets(p.Sheet)
	}
	r.Around = around
	r.Rating, r.Grade = ratedWatts(p, s)
	r.Derated = Derated(r.Rating, around)
	r.Kelvin = around + r.Watts*(chipMost-deratedFrom)/r.Rating
}

// cells sets every cell to a voltage.
func (st *stand) cells(volts float64) error {
	for k := 1; k <= st.can.Cells; k++ {
		if err := st.rig.SetCell(k, volts); err != nil {
			return err
		}
	}
	return nil
}

// cool makes every part as warm as the surroundings.
func (st *stand) cool() { st.warm(make([]float64, len(st.spots)+1)) }
