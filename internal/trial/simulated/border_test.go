package simulated_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// A border is the largest (or the smallest) value of a part, or of a cell, with
// which sluice-5s still cuts a short within a millisecond, or leaves a charger alone. Between the ends of a
// search the board goes over once; a border at an end is said to be beyond it.

var writeBorders = flag.Bool("borders", false, "search all borders and write docs/short-borders.md")

const (
	bordersPage = "../../../docs/short-borders.md"
	cutWithin   = 1e-3 // s
	borderTo    = 0.02 // relative width of a found border
)

// border is one row of the page: what is searched, among which cells.
type border struct {
	what     string
	volts    float64 // V of every cell
	cellOhms float64 // Ω; 0: it is what is searched
	from, to float64 // where it cuts surely, and where it does not
}

var borders = []border{
	{"shifter", 4.2, 12e-3, 47e3, 50e6},
	{"shifter", 3.7, 12e-3, 47e3, 50e6},
	{"shifter", 3.2, 12e-3, 47e3, 50e6},
	{"shifter", 2.8, 12e-3, 47e3, 50e6},
	{"shifter", 3.7, 20e-3, 47e3, 50e6},
	{"shifter", 3.7, 30e-3, 47e3, 50e6},
	{"shifter", 2.8, 20e-3, 47e3, 50e6},
	{"shifter", 2.8, 30e-3, 47e3, 50e6},
	{"cell", 4.2, 0, 5e-3, 500e-3},
	{"cell", 3.7, 0, 5e-3, 500e-3},
	{"cell", 3.2, 0, 5e-3, 500e-3},
	{"cell", 2.8, 0, 5e-3, 500e-3},
	{"filter", 4.2, 12e-3, 2.2e-6, 1e-9},
	{"filter", 3.7, 12e-3, 2.2e-6, 1e-9},
	{"filter", 2.8, 12e-3, 2.2e-6, 1e-9},
	{"filter", 3.7, 30e-3, 2.2e-6, 1e-9},
	{"filter", 2.8, 30e-3, 2.2e-6, 1e-9},
	{"edge", 3.7, 12e-3, 10, 400},
	{"edge", 3.7, 20e-3, 10, 400},
	{"edge", 3.7, 30e-3, 10, 400},
}

// cuts reports whether a short of the value's board is cut in time; of an edge,
// whether the board leaves a charger alone.
func (b border) cuts(t *testing.T, value float64) bool {
	t.Helper()
	if b.what == "edge" {
		return b.passes(t, value)
	}
	opt, edits := simulated.Options{CellOhms: b.cellOhms}, []edit{}
	switch b.what {
	case "shifter": // the collector resistor of the lowest
		edits = append(edits, in("R105", "47 kΩ", fmt.Sprintf("%.6g kΩ", value/1e3)))
	case "cell":
		opt.CellOhms = value
	case "filter": // of every protector's supply, the lowest's alike
		to := fmt.Sprintf("%.6g nF", value*1e9)
		edits = append(edits, in("C[2-5]01", "1 µF", to), in("C101", "2.2 µF", to))
	}
	s := with(t, opt, sluice, edits...)
	s.all(b.volts)
	s.wait(0.3)
	return s.short(noted, 3*cutWithin).half < cutWithin
}

// passes reports whether a charge current that rises within 100 µs flows on for
// the millisecond in which no protector acts.
func (b border) passes(t *testing.T, amps float64, edits ...edit) bool {
	t.Helper()
	s := with(t, simulated.Options{CellOhms: b.cellOhms}, sluice, edits...)
	s.all(b.volts)
	s.wait(0.3)
	const headroom = 5 // V
	pack := float64(s.cells) * (b.volts + amps*b.cellOhms)
	rec, err := s.Capture(context.Background(), rig.Capture{
		Cause:   rig.Cause{Charger: &rig.Charger{Volts: pack + headroom, Amps: amps}},
		Points:  []rig.Point{{Kind: rig.ChargeAmps}},
		Seconds: cutWithin,
	})
	s.must(err)
	for j, at := range rec.Times {
		if at > 105e-6 && rec.Values[0][j] < amps/2 {
			return false
		}
	}
	return true
}

// TestEdgeOpensTheChargePath is the pair to the page's word on R5.
func TestEdgeOpensTheChargePath(t *testing.T) {
	for _, c := range []struct {
		ohms   string
		passes bool
	}{{"1 MΩ", false}, {"100 kΩ", true}} {
		b := border{what: "edge", volts: 3.7, cellOhms: 12e-3}
		if b.passes(t, 80, in("R5", "1 MΩ", c.ohms)) != c.passes {
			t.Errorf("R5 of %s: 80 A within 100 µs flow on: %v", c.ohms, !c.passes)
		}
	}
}

// search halves the logarithm between a value that cuts and one that does not.
// ok is false where there is no border between the ends.
func (b border) search(t *testing.T) (value float64, ok bool) {
	t.Helper()
	good, bad := b.from, b.to
	if !b.cuts(t, good) || b.cuts(t, bad) {
		return math.NaN(), false
	}
	for math.Abs(math.Log(bad/good)) > borderTo {
		if r := math.Sqrt(good * bad); b.cuts(t, r) {
			good = r
		} else {
			bad = r
		}
	}
	return math.Sqrt(good * bad), true
}

// shown is a border as the page has it.
func (b border) shown(value float64, ok bool) string {
	if !ok {
		return "none found"
	}
	switch b.what {
	case "shifter":
		return fmt.Sprintf("%.2f MΩ", value/1e6)
	case "cell":
		return fmt.Sprintf("%.3g mΩ", value*1e3)
	case "edge":
		return fmt.Sprintf("%.1f A", value)
	}
	return fmt.Sprintf("%.3g nF", value*1e9)
}

const bordersHead = `# Where a short stops being cut in time, and where a charger is cut for nothing

Written by ` + "`go test ./internal/trial/simulated -run ShortBorders -borders`" + `. sluice-5s is
shorted through 5 mΩ and a loop of 10 mΩ and 1 µH, and one value is searched by halving, to
2 %, until the board just still cuts within a millisecond; at the end of the page, until a
charger is just still left alone. All else stays nominal, 25 °C.
A value is a border of this board with these parts, not a design rule.

`

var borderTitles = map[string]string{
	"shifter": "## Largest collector resistor of the lowest level shifter (R105, fitted: 47 kΩ)",
	"cell":    "## Largest resistance of a cell",
	"edge":    "## Largest charge current whose edge of 100 µs does not open the charge path",
	"filter":  "## Smallest capacitor at the protectors' supplies (fitted: 1 µF, the lowest 2.2 µF)",
}

var borderReasons = map[string]string{
	"shifter": "Its current pulls the gates down from a cell that sags: empty and resistive cells leave it less.",
	"cell": `The current is sensed over the discharge bank. Fuller cells drive its gates harder, its
resistance falls faster than the current grows, and the short stage is missed sooner.`,
	"edge": `What counts is not the current but its edge: 42 to 43 mV/µs at tap 5. In 100 µs
80 A lift tap 5 over cells of 12 mΩ by 4.8 V, from 18.5 V to 23.3 V, and the taps below in
proportion. The capacitances of Q102 to Q502 carry that into the line charge-fault, which R5 of
1 MΩ alone holds down: it comes to 0.48 V, and Q2 begins to conduct. Its microamperes take the
base of Q3, on 1 MΩ as well, to 22.8 V, half a volt under tap 5. The collector of Q3, at P−
before, comes to 14.2 V, feeds Q4 through R8 and D1, and Q4 takes the gates of the charge bank
from 11.1 V to 4.5 V: the path opens, and the charger pulls P− to −6.6 V. The edge over, R5 and
R7 let go and the gates return through R11 within a millisecond. No protector has acted. With
100 kΩ for R5 the same 80 A pass. How steep a charger's edge is no sheet says; the 100 µs are
assumed, and one that is plugged in while it is on may be faster.`,
	"filter": "It has to feed its protector through the delay of the short stage while the cells are down.",
}

// TestShortBorders writes the page, or holds some of it: beyond a border the
// board does not cut, within it it does.
func TestShortBorders(t *testing.T) {
	if *writeBorders {
		searchBorders(t)
		return
	}
	if testing.Short() {
		t.Skip("shorts")
	}
	t.Parallel()
	text, err := os.ReadFile(bordersPage)
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range []int{1, 7, 9, 13, 17} {
		b := borders[i]
		value, ok := b.onPage(t, string(text))
		if !ok {
			t.Errorf("%s at %g V: no border on the page", b.what, b.volts)
			continue
		}
		within, beyond := value/1.05, value*1.05
		if b.to < b.from {
			within, beyond = beyond, within
		}
		if !b.cuts(t, within) || b.cuts(t, beyond) {
			t.Errorf("%s at %g V and %g Ω: the border is not at %s; search again with -borders", b.what, b.volts, b.cellOhms, b.shown(value, true))
		}
	}
}

// TestBordersMove wants the page's borders to move the right way: a shifter
// resistor may be larger, a filter smaller and an edge higher the fuller and the
// better the cells; with the current sensed over the bank a cell must be better the fuller
// it is.
func TestBordersMove(t *testing.T) {
	text, err := os.ReadFile(bordersPage)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, a := range borders {
		for _, b := range borders {
			easier := a.volts >= b.volts && a.cellOhms <= b.cellOhms && a != b
			va, ok := a.onPage(t, string(text))
			vb, also := b.onPage(t, string(text))
			if a.what != b.what || !easier || !ok || !also {
				continue
			}
			compared++
			grows := a.what == "shifter" || a.what == "edge"
			if va > vb != grows {
				t.Errorf("%s: %s at %g V of %g Ω, %s at %g V of %g Ω", a.what, a.shown(va, true), a.volts, a.cellOhms, b.shown(vb, true), b.volts, b.cellOhms)
			}
		}
	}
	if compared < 10 {
		t.Errorf("only %d pairs of borders to compare", compared)
	}
}

// row is how a line of the page begins.
func (b border) row() string {
	if b.cellOhms == 0 {
		return fmt.Sprintf("| %.1f V | searched | ", b.volts)
	}
	return fmt.Sprintf("| %.1f V | %.0f mΩ | ", b.volts, b.cellOhms*1e3)
}

// onPage reads a border back.
func (b border) onPage(t *testing.T, text string) (float64, bool) {
	t.Helper()
	_, part, ok := strings.Cut(text, borderTitles[b.what])
	part, _, _ = strings.Cut(part, "\n## ")
	_, rest, found := strings.Cut(part, b.row())
	if !ok || !found {
		t.Fatalf("%s has no row %q under %q", bordersPage, b.row(), borderTitles[b.what])
	}
	var v float64
	var unit string
	if _, err := fmt.Sscanf(rest, "%g %s", &v, &unit); err != nil {
		return 0, false
	}
	return v * map[string]float64{"MΩ": 1e6, "mΩ": 1e-3, "nF": 1e-9, "A": 1}[unit], true
}

func searchBorders(t *testing.T) {
	var page strings.Builder
	page.WriteString(bordersHead)
	what := ""
	for _, b := range borders {
		if b.what != what {
			if what != "" {
				page.WriteString("\n")
			}
			what = b.what
			fmt.Fprintf(&page, "%s\n\n%s\n\n| every cell | resistance of a cell | border |\n|---|---|---|\n", borderTitles[what], borderReasons[what])
		}
		value, ok := b.search(t)
		fmt.Fprintf(&page, "%s%s |\n", b.row(), b.shown(value, ok))
	}
	if err := os.WriteFile(bordersPage, []byte(page.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
