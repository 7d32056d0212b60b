package heat

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"testing"
	"testing/fstest"

	"cupel/internal/conductor"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
)

const celsius = 273.15

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s = %.6g, want %.6g ± %g %%", what, got, want, relative*100)
	}
}

// subject reads a dossier from texts.
func subject(t testing.TB, texts map[string]string) Subject {
	t.Helper()
	tree := fstest.MapFS{}
	for name, text := range texts {
		tree[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fromTree(t, tree)
}

func fromTree(t testing.TB, tree fs.FS) Subject {
	t.Helper()
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	return Subject{Board: d.Board, Sheets: d.Sheets.Sheet}
}

func demoBoard(t testing.TB, name string) Subject {
	t.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo board %s", name)
	}
	return fromTree(t, tree)
}

// fet is a sheet of which everything that bears on heat is stated: its gate is so
// strong that on-resistance hardly hangs on the cells.
const fet = `cupel: 1
sheet: fet-own
kind: mosfet-n
package: {name: TO-252, pins: {g: 1, d: 2, s: 3}}
limits: {v_ds: 40 V, v_gs: 20 V, t_j: 150 °C}
source: own example
figures:
  v_gs_th: {value: typ 1.0 V, at: {i_d: 250 µA, t_j: 25 °C}}
  r_ds_on: {value: %s, at: {v_gs: 11 V, t_j: 25 °C}}
  r_ds_on_low: {value: %s, at: {v_gs: 5 V, t_j: 25 °C}}
  r_ds_on_tempco: %s
  c_iss: typ 1 nF
  c_oss: typ 300 pF
  c_rss: typ 100 pF
  v_sd: {value: typ 0.75 V, at: {i_s: 8 A, t_j: 25 °C}}
  r_th: %s
  r_th_jc: typ 0.1 K/W
`

// oneSwitch is a board that is nothing but switches: count FETs in the negative
// line, held on from the top of three cells. Its copper carries nothing away and
// adds nothing.
const oneSwitch = `cupel: 1
board: one-switch
cells: 3
pads: {B-: bminus, T1: tap1, T2: tap2, B+: tap3, P+: tap3, P-: pminus}
parts:
  R1: {value: 1 MΩ, pins: [tap3, gate]}
  R2: {value: 10 MΩ, pins: [tap1, bminus]}
  R3: {value: 10 MΩ, pins: [tap2, bminus]}
  Q1: {sheet: fet-own, count: %d, pins: {g: gate, d: pminus, s: bminus}}
copper:
  path:
    - {width: 100 mm, length: 0.1 mm, thickness: 100 µm}
%s`

func oneFET(t *testing.T, count int, kPerW, more string) Subject {
	return subject(t, map[string]string{
		"board.yaml":         fmt.Sprintf(oneSwitch, count, more),
		"parts/fet-own.yaml": fmt.Sprintf(fet, "typ 17 mΩ", "typ 17.1 mΩ", "0.5 %/K", "typ "+kPerW+" K/W"),
	})
}

// The closed form of one resistance that warms itself (power-device texts, from
// memory): 17 mΩ, 40 K/W, 0.5 %/K settles at 100 °C under 8.95622 A at 25 °C and
// 8.01069 A at 40 °C, and runs away above 17.15 A. The simulated FET's gate sags
// with the cells, which is worth a few tenths of a per cent.
func TestOneFETIsTheClosedForm(t *testing.T) {
	s := oneFET(t, 1, "40", "")
	for ambient, amps := range map[float64]float64{25: 8.95622, 40: 8.01069} {
		a, err := Study(context.Background(), s, Question{Ambient: ambient + celsius})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "honest current", a.Honest, amps, 0.01)
		near(t, "runaway", a.Runaway, 17.14986, 0.015)
		if l := a.Limits[0]; l.Kind != Junction || l.Part != "Q1" || l.Kelvin != 100+celsius {
			t.Errorf("first limit %+v", l)
		}
		if a.Trip.Cold != 0 || a.Trip.Hot != 0 {
			t.Errorf("a board without a protector trips: %+v", a.Trip)
		}
		if !(a.Low < a.Honest && a.Honest < a.High) {
			t.Errorf("%g to %g around %g", a.Low, a.High, a.Honest)
		}
	}
}

// A board that cools badly has no solution where a well-cooled one has: 400 K/W
// runs away above 1/√(0.005·400·0.017) = 5.42 A.
func TestRunawayIsFound(t *testing.T) {
	s := oneFET(t, 1, "400", "")
	a, err := Study(context.Background(), s, Question{Ambient: 25 + celsius, Amps: 6})
	if err != nil {
		t.Fatal(err)
	}
	if a.Settles || len(a.Parts) != 0 {
		t.Errorf("6 A settles: %+v", a.Parts)
	}
	near(t, "runaway", a.Runaway, 1/math.Sqrt(0.005*400*0.017), 0.015)
	for amps, want := range map[float64]bool{4: true, 5: true, 5.6: false} {
		st, err := newStand(context.Background(), s, typical, 25+celsius)
		if err != nil {
			t.Fatal(err)
		}
		got, err := st.settle(amps)
		if err != nil || (got.away == nil) != want {
			t.Errorf("%g A: settles %v, want %v (%v)", amps, got.away == nil, want, err)
		}
	}
}

// Two FETs share; the one that the lot's spread makes better runs hotter, and
// takes most. Where nothing is said of spread they are alike.
func TestParallelFETs(t *testing.T) {
	for r, apart := range map[string]float64{"typ 17 mΩ": 0, "typ 17 mΩ max 20.4 mΩ": 0.2} {
		s := subject(t, map[string]string{
			"board.yaml":         fmt.Sprintf(oneSwitch, 2, ""),
			"parts/fet-own.yaml": fmt.Sprintf(fet, r, "typ 17.1 mΩ", "0.5 %/K", "typ 40 K/W"),
		})
		a, err := Study(context.Background(), s, Question{Ambient: 25 + celsius, Amps: 10})
		if err != nil {
			t.Fatal(err)
		}
		// Cold, currents are as 1/R: 1.2/0.8 of each other. Warm, the hotter one's
		// resistance grows more, so they are nearer.
		ratio, cold := a.Parts[0].Amps/a.Parts[1].Amps, (1+apart)/(1-apart)
		if apart == 0 {
			near(t, "ratio", ratio, 1, 1e-6)
			near(t, "temperature", a.Parts[0].Kelvin, a.Parts[1].Kelvin, 1e-6)
			continue
		}
		if !(ratio > 1.1 && ratio < cold && a.Parts[0].Kelvin > a.Parts[1].Kelvin) {
			t.Errorf("ratio %g, cold %g: %+v", ratio, cold, a.Parts[:2])
		}
	}
}

// 0.3 m of 24 AWG binds before anything else, at the current that conductor has
// for it alone.
func TestThinWireBinds(t *testing.T) {
	s := oneFET(t, 4, "40", "  wires:\n    - {name: load leads, awg: 24, length: 30 cm, limit: 80 °C}\n")
	a, err := Study(context.Background(), s, Question{Ambient: 25 + celsius})
	if err != nil {
		t.Fatal(err)
	}
	want := conductor.Wire(conductor.Gauge(24).Area(), 0.3).Amps(80+celsius, 25+celsius, bareFilm.Typ)
	if l := a.Limits[0]; l.Kind != WireIn || l.Part != "load leads" {
		t.Fatalf("first limit %+v", l)
	}
	near(t, "honest current", a.Honest, want, 1e-3)
	// Next the wire itself runs away, long before the FETs are warm.
	w := conductor.Wire(conductor.Gauge(24).Area(), 0.3)
	grows := w.Ohms(26+celsius) - w.Ohms(25+celsius)
	if l := a.Limits[1]; l.Kind != Runaway || math.Abs(l.Amps-1/math.Sqrt(grows*w.KelvinPerWatt(bareFilm.Typ))) > 0.05 {
		t.Errorf("second limit: %+v", a.Limits)
	}
}

// What cools better carries more, what stands in a warmer place less.
func TestOrder(t *testing.T) {
	honest := func(copper string, ambient float64) float64 {
		a, err := Study(context.Background(), oneFET(t, 2, "40", copper), Question{Ambient: ambient + celsius})
		if err != nil {
			t.Fatal(err)
		}
		return a.Honest
	}
	small, large := honest("  area: 10 cm²\n", 40), honest("  area: 40 cm²\n", 40)
	thick := honest("  area: 40 cm²\n  thickness: 70 µm\n", 40)
	warm := honest("  area: 40 cm²\n", 60)
	if !(small < large && large < thick && warm < large) {
		t.Errorf("small %g, large %g, thick %g, warm %g", small, large, thick, warm)
	}
}

// By hand, 5-cell demo board at 40 °C. Upper bound: two FETs of 6 mΩ share
// each way and lie alone on their maker's board, 50 K/W, to 100 °C:
// √(60 K/(50·0.006·1.34))·2 = 24.4 A. Lower bound: half the estimated board
// (13 cm²: 39 K/W at 10 W/(m²·K)) takes all four FETs of 7.5 mΩ and 2.5 mΩ of
// copper, and they must stay 20 K below 100 °C for what is between:
// √(40 K/(39·(0.0075·1.34·1 + 0.0025)))·1 = 9.0 A. Shifters that leak make the
// board cut before the junctions are at their limit: an NPN of 15 nA doubles
// every 10 K, five of them lift 1 MΩ to some 0.3 V at 80 °C.
func TestFiveCells(t *testing.T) {
	a, err := Study(context.Background(), demoBoard(t, "sluice-5s"), Question{Ambient: 40 + celsius})
	if err != nil {
		t.Fatal(err)
	}
	if !(a.Honest > 9 && a.Honest < 24.4) {
		t.Errorf("honest current %g A", a.Honest)
	}
	if !(a.Low < a.Honest && a.Honest < a.High && a.Honest < a.Runaway) {
		t.Errorf("%g in %g to %g, runaway %g", a.Honest, a.Low, a.High, a.Runaway)
	}
	for i := 1; i < len(a.Limits); i++ {
		if a.Limits[i].Amps < a.Limits[i-1].Amps {
			t.Errorf("limits out of order: %+v", a.Limits)
		}
	}
	// Its trip is sensed on FETs: warm, it comes down.
	if !(a.Trip.Low < a.Trip.Hot && a.Trip.Hot < 0.9*a.Trip.Cold && a.Trip.Cold < a.Trip.High) {
		t.Errorf("trips %+v", a.Trip)
	}
	for _, p := range a.Parts {
		if !(p.Watts > 0 && p.Kelvin > 40+celsius) || p.Kelvin > p.Limit+0.1 {
			t.Errorf("%+v", p)
		}
	}
	if len(a.Parts) != 5 { // two FETs each way and the copper
		t.Errorf("%d places", len(a.Parts))
	}
	checkBleeds(t, a.Bleeds)
	checkDiodes(t, a.Diodes)
	checkShorts(t, a.Shorts)
}

// In air hot enough its leaking shifters cut whatever flows: it carries nothing.
func TestAirThatCuts(t *testing.T) {
	a, err := Study(context.Background(), demoBoard(t, "sluice-5s"), Question{Ambient: 100 + celsius})
	if err != nil {
		t.Fatal(err)
	}
	if a.Honest != 0 || len(a.Limits) != 1 || !a.Limits[0].Warmth || a.Trip.Cold < 20 {
		t.Errorf("%+v", a)
	}
}

// 4.24 V over 43 Ω and a switch of an ohm or so: some 0.4 W in a part of 1 W.
func checkBleeds(t *testing.T, bs []Bleed) {
	if len(bs) != 5 {
		t.Fatalf("%d bleed resistors", len(bs))
	}
	for _, b := range bs {
		near(t, "bleed power", b.Watts, b.Volts*b.Volts/43, 0.1)
		near(t, "derated", b.Derated, Derated(1, b.Around), 1e-9)
		if b.Rating != 1 || b.Kelvin <= b.Around || b.Grade != "" {
			t.Errorf("%+v", b)
		}
	}
}

// A body diode: 0.7 to 0.9 V instead of some ten millivolts.
func checkDiodes(t *testing.T, ds []Diode) {
	if len(ds) != 2 {
		t.Fatalf("%d banks", len(ds))
	}
	for _, d := range ds {
		if !d.Carries {
			t.Errorf("%s bank: %s", d.Bank, d.Why)
			continue
		}
		if d.Volts < 0.6 || d.Volts > 1.0 || d.Watts < 0.4*d.Volts*d.Amps || d.Watts <= 5*d.Channel {
			t.Errorf("%+v", d)
		}
		if d.Most >= d.Amps || d.Kelvin < d.Limit || !(d.Seconds > 0.1 && d.Seconds < 1800) {
			t.Errorf("%+v", d)
		}
	}
}

func checkShorts(t *testing.T, ss []Short) {
	if len(ss) != 2 {
		t.Fatalf("%d shorts", len(ss))
	}
	for _, s := range ss {
		if !(s.Joules > 0 && s.Low < s.Kelvin && s.Kelvin < s.High && s.Start > 40+celsius && s.Seconds < shortSeconds) {
			t.Errorf("%+v", s)
		}
		// All of the energy at once into the die would be hotter by far.
		if adiabatic := s.Joules * s.Share / s.Seconds * 2.8; s.Kelvin-s.Start > adiabatic {
			t.Errorf("warmer than at rest under the mean power: %+v", s)
		}
	}
	if ss[0].Peak <= ss[1].Peak {
		t.Error("the dead short has less current")
	}
}

// The whole answer for the 5-cell board.
func BenchmarkStudy(b *testing.B) {
	s := demoBoard(b, "sluice-5s")
	for b.Loop() {
		if _, err := Study(context.Background(), s, Question{Ambient: 40 + celsius}); err != nil {
			b.Fatal(err)
		}
	}
}
