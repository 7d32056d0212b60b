package simulated_test

import (
	"context"
	"math"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// The demo boards.
const (
	sluice = "sluice-5s"
	hive   = "hive-3s"
)

// edit changes the text of a board.yaml as a person would by hand.
type edit func(t testing.TB, text string) string

// line puts another line, or several, in the place of a part's; none for "".
func line(part, with string) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		re := regexp.MustCompile(`(?m)^  ` + regexp.QuoteMeta(part) + `: .*\n`)
		if n := len(re.FindAllString(text, -1)); n != 1 {
			t.Fatalf("%d lines define %s", n, part)
		}
		if with != "" {
			with = "  " + strings.ReplaceAll(with, "\n", "\n  ") + "\n"
		}
		return re.ReplaceAllLiteralString(text, with)
	}
}

// without leaves a part out.
func without(part string) edit { return line(part, "") }

// in changes a word in the lines of parts: all whose names match the pattern.
func in(parts, old, new string) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		re := regexp.MustCompile(`(?m)^  (?:` + parts + `): .*$`)
		found := false
		text = re.ReplaceAllStringFunc(text, func(l string) string {
			found = found || strings.Contains(l, old)
			return strings.ReplaceAll(l, old, new)
		})
		if !found {
			t.Fatalf("no line of %s has %q in it", parts, old)
		}
		return text
	}
}

// both is several edits as one.
func both(edits ...edit) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		for _, e := range edits {
			text = e(t, text)
		}
		return text
	}
}

// edited reads a demo dossier with its board.yaml edited, and with part sheets
// of its own under their names.
func edited(t testing.TB, name string, sheets map[string]string, edits ...edit) *dossier.Dossier {
	t.Helper()
	d := editedFreely(t, name, sheets, edits...)
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	return d
}

// editedFreely does the same with edits that may be mistakes.
func editedFreely(t testing.TB, name string, sheets map[string]string, edits ...edit) *dossier.Dossier {
	t.Helper()
	texts, ok := demo.Texts(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	tree := fstest.MapFS{}
	for file, text := range texts {
		if file == "board.yaml" {
			text = []byte(both(edits...)(t, string(text)))
		}
		tree[file] = &fstest.MapFile{Data: text}
	}
	for file, text := range sheets {
		tree["parts/"+file+".yaml"] = &fstest.MapFile{Data: []byte(text)}
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func elaborator(d *dossier.Dossier) simulated.Elaborator {
	return func(kelvin float64) (*elaborate.Circuit, error) {
		c, list := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{Kelvin: kelvin})
		return c, list.Err()
	}
}

// stand is a demo board on the rig, with the short words tests are written in.
type stand struct {
	t testing.TB
	*simulated.Rig
	cells int
}

// on puts a demo board, edited or not, on a rig with cells of 12 mΩ at 3.7 V.
func on(t testing.TB, name string, edits ...edit) *stand {
	t.Helper()
	return with(t, simulated.Options{}, name, edits...)
}

// with is on, in other surroundings.
func with(t testing.TB, opt simulated.Options, name string, edits ...edit) *stand {
	t.Helper()
	d := edited(t, name, nil, edits...)
	r, err := simulated.New(d.Board, elaborator(d), opt)
	if err != nil {
		t.Fatal(err)
	}
	return &stand{t, r, d.Board.Cells}
}

func (s *stand) must(err error) {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
}

// all sets every cell.
func (s *stand) all(volts float64) {
	s.t.Helper()
	for k := 1; k <= s.cells; k++ {
		s.cell(k, volts)
	}
}

func (s *stand) cell(k int, volts float64) { s.t.Helper(); s.must(s.SetCell(k, volts)) }
func (s *stand) wait(seconds float64)      { s.t.Helper(); s.must(s.Dwell(context.Background(), seconds)) }
func (s *stand) load(l rig.Load)           { s.t.Helper(); s.must(s.SetLoad(l)) }

// amps draws a constant current.
func (s *stand) amps(i float64) { s.t.Helper(); s.load(rig.Load{Kind: rig.ConstantCurrent, Value: i}) }

// ohms hangs a resistor between P+ and P−; +Inf takes the load off.
func (s *stand) ohms(r float64) {
	s.t.Helper()
	if math.IsInf(r, 1) {
		s.load(rig.Load{})
		return
	}
	s.load(rig.Load{Kind: rig.Resistance, Value: r})
}

// charger attaches a charger; 0 V takes it off.
func (s *stand) charger(volts, amps float64) {
	s.t.Helper()
	s.must(s.SetCharger(rig.Charger{Volts: volts, Amps: amps}))
}

// get reads a point.
func (s *stand) get(p rig.Point) float64 {
	s.t.Helper()
	v, err := s.Read(p)
	s.must(err)
	return v.Value
}

// net reads a net over B−.
func (s *stand) net(name string) float64 {
	s.t.Helper()
	return s.get(rig.Point{Kind: rig.NetVolts, Part: name})
}

// drain reads what every cell gives, A.
func (s *stand) drain() []float64 {
	s.t.Helper()
	is := make([]float64, s.cells)
	for k := range is {
		is[k] = s.get(rig.Point{Kind: rig.CellAmps, N: k + 1})
	}
	return is
}

// conducts reports whether the discharge direction is on: 5 mA with less than
// 0.2 V lost. It leaves the port empty.
func (s *stand) conducts() bool {
	s.t.Helper()
	s.ohms(float64(s.cells) * 3.7 / 5e-3)
	s.wait(3e-3)
	ok := math.Abs(s.get(rig.Point{Kind: rig.MinusDrop})) < 0.2
	s.ohms(math.Inf(1))
	s.wait(3e-3)
	return ok
}

// charges reports the same of the charge direction.
func (s *stand) charges() bool {
	s.t.Helper()
	s.charger(float64(s.cells)*3.7+3, 5e-3)
	s.wait(3e-3)
	ok := math.Abs(s.get(rig.Point{Kind: rig.ChargeDrop})) < 0.2
	s.charger(0, 0)
	s.wait(3e-3)
	return ok
}

// strike is what a capture of a load switched on showed.
type strike struct {
	rec    rig.Record
	peak   float64 // A
	half   float64 // s, when the current fell below half of its peak and stayed; NaN: it did not
	joules float64 // in the discharge bank until the current had gone, or the end
	volts  float64 // highest of P− over B−
	supply float64 // lowest of all protectors' supplies, V
}

// strike switches a load on and watches.
func (s *stand) strike(l rig.Load, seconds float64) strike {
	s.t.Helper()
	return s.strikeCause(rig.Cause{Load: &l}, seconds)
}

func (s *stand) strikeCause(cause rig.Cause, seconds float64) strike {
	s.t.Helper()
	points := []rig.Point{{Kind: rig.LoadAmps}, {Kind: rig.BankJoules, Part: "discharge"}, {Kind: rig.MinusDrop}}
	for _, part := range s.Can().Supplies {
		points = append(points, rig.Point{Kind: rig.SupplyVolts, Part: part})
	}
	rec, err := s.Capture(context.Background(), rig.Capture{Cause: cause, Points: points, Seconds: seconds})
	s.must(err)
	out := strike{rec: rec, half: math.NaN(), supply: math.Inf(1)}
	for j := range rec.Times {
		out.peak = math.Max(out.peak, rec.Values[0][j])
		out.volts = math.Max(out.volts, rec.Values[2][j])
		for _, v := range rec.Values[3:] {
			out.supply = math.Min(out.supply, v[j])
		}
	}
	last := len(rec.Times) - 1
	out.joules = rec.Values[1][last]
	for j := last; j >= 0 && rec.Values[0][j] < out.peak/2; j-- {
		out.half = rec.Times[j]
	}
	for j := range rec.Times {
		if rec.Times[j] >= out.half && rec.Values[0][j] < 0.05*out.peak {
			out.joules = rec.Values[1][j]
			break
		}
	}
	return out
}

// short closes a resistance across the load port, through 10 mΩ and 1 µH.
func (s *stand) short(ohms, seconds float64) strike {
	s.t.Helper()
	return s.strike(rig.Load{Kind: rig.Short, Value: ohms}, seconds)
}

// draw switches a constant current on.
func (s *stand) draw(amps, seconds float64) strike {
	s.t.Helper()
	return s.strike(rig.Load{Kind: rig.ConstantCurrent, Value: amps}, seconds)
}

// events counts the events of a record, and those of one kind.
func (k strike) events(what string) (n int) {
	for _, e := range k.rec.Events {
		if strings.HasPrefix(e.What, what) {
			n++
		}
	}
	return n
}

// first is the time of the first such event of a part.
func first(rec rig.Record, part, what string) float64 {
	for _, e := range rec.Events {
		if e.Part == part && e.What == what {
			return e.Time
		}
	}
	return math.NaN()
}
