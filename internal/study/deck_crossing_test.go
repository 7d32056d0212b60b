package study_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/board/boardtest"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/protection"
	"cupel/internal/study"
)

// atEdges is how far crossing and delay may lie from the scripted edge. It is a
// thousandth of the shortest release and a hundredth of the shortest delay of a
// short.
const atEdges = 1e-6 // s

// scripted is a circuit whose decks are run in ngspice.
type scripted struct {
	name   string
	read   func(t *testing.T) *dossier.Dossier
	trials []protection.Trial
}

// trips are the trials in which something crosses and is cut.
var trips = []protection.Trial{
	protection.Overcharge, protection.Overdischarge, protection.DischargeOvercurrent, protection.ChargeOvercurrent, protection.LoadShort,
}

// scriptedCircuits are all demo boards through every trip, and boards of other
// topologies through one each.
func scriptedCircuits() []scripted {
	var all []scripted
	for _, name := range demo.Names() {
		words := trips
		if name == "trolley-10s" {
			// ngspice takes minutes over its overcharge and its short, and none of the
			// helps brings it through its overdischarge.
			words = []protection.Trial{protection.DischargeOvercurrent, protection.ChargeOvercurrent}
		}
		all = append(all, scripted{name, func(t *testing.T) *dossier.Dossier { return read(t, name) }, words})
	}
	for i, s := range []boardtest.Spec{
		{Topology: boardtest.Chain, Cells: 2, Sense: boardtest.OneBank},
		{Topology: boardtest.Chain, Cells: 3, Phosphate: true, Sense: boardtest.Shunt, Balance: true},
		{Topology: boardtest.Chain, Cells: 4, Signal: boardtest.Fine, Sense: boardtest.Neck},
		{Topology: boardtest.Chain, Cells: 3, High: true},
		{Topology: boardtest.Stack, Cells: 4, Port: boardtest.Half},
		{Topology: boardtest.Stack, Cells: 5, Port: boardtest.Separate, Sense: boardtest.OneBank},
		{Topology: boardtest.Stack, Cells: 7, Phosphate: true},
		{Topology: boardtest.Stack, Cells: 4, High: true, Secondary: true},
		{Topology: boardtest.Cascade, Cells: 9},
		{Topology: boardtest.Cascade, Cells: 13, Port: boardtest.Separate},
	} {
		all = append(all, scripted{s.Name(), func(t *testing.T) *dossier.Dossier { return made(t, s) }, trips[i%len(trips):][:1]})
	}
	return all
}

// TestDeckCrossingsInNgspice runs exported decks in ngspice. Each finds for
// itself when its waveforms cross the thresholds; with the part's delay that
// must be where Cupel's run has the edge.
func TestDeckCrossingsInNgspice(t *testing.T) {
	spice.Need(t)
	if testing.Short() {
		t.Skip("ngspice takes seconds over a deck")
	}
	for _, c := range scriptedCircuits() {
		for _, word := range c.trials {
			t.Run(c.name+" "+string(word), func(t *testing.T) {
				t.Parallel()
				cards := cardsOf(t, c.read(t), word)
				want := strings.Count(cards, "\n.meas tran crossing_")
				if want == 0 {
					if !strings.Contains(cards, "\n.op\n") {
						t.Fatal("something is scripted, and no edge goes back to a crossing")
					}
					t.Skip("nothing acts in this trial")
				}
				late := lateEdges(t, cards)
				if len(late) != want {
					t.Errorf("ngspice found %d of %d crossings", len(late), want)
				}
				for name, by := range late {
					if !(math.Abs(by) <= atEdges) {
						t.Errorf("%s: the crossing and the delay are %.3g µs from the scripted edge", name, by*1e6)
					}
				}
			})
		}
	}
}

func cardsOf(t *testing.T, d *dossier.Dossier, word protection.Trial) string {
	t.Helper()
	return cards(t, d, study.DeckQuestion{Trial: word})
}

func cards(t *testing.T, d *dossier.Dossier, q study.DeckQuestion) string {
	t.Helper()
	a, err := study.Deck(t.Context(), d, q)
	if err != nil {
		t.Fatal(err)
	}
	return a.Cards
}

// TestDeckLogicInNgspice runs decks that emulate the ICs: they must act where they
// act in Cupel's run. Their delays end within steps of the deck, so to a
// thousandth and the deck's largest steps.
func TestDeckLogicInNgspice(t *testing.T) {
	spice.Need(t)
	if testing.Short() {
		t.Skip("ngspice takes seconds over a deck")
	}
	for _, c := range []struct {
		board string
		word  protection.Trial
	}{{"hive-3s", protection.Overdischarge}, {"hive-3s", protection.DischargeOvercurrent}, {"dome-8s", protection.ChargeOvercurrent}} {
		t.Run(c.board+" "+string(c.word), func(t *testing.T) {
			t.Parallel()
			text := cards(t, read(t, c.board), study.DeckQuestion{Trial: c.word, Logic: true})
			late := lateEdges(t, text)
			if want := strings.Count(text, "\n.meas tran late_"); len(late) != want || want == 0 {
				t.Errorf("ngspice found %d of %d edges", len(late), want)
			}
			for name, by := range late {
				if math.Abs(by) > 100e-6 {
					t.Errorf("%s: %.3g µs from Cupel's edge", name, by*1e6)
				}
			}
		})
	}
}

// complaint is what ngspice says where a run ends early.
var complaint = regexp.MustCompile(`(?im)^.*(too small|abort|error|fail).*$`)

// helps are what a run that ends early is asked again with, as the deck's head
// says: a tenth of a picofarad at every node, no iteration from nothing.
var helps = []string{"", "cshunt=1e-13 ", "cshunt=1e-13 noopiter ", "noopiter "}

// lateEdges are how far the edges lie from where they are scripted, s.
func lateEdges(t *testing.T, cards string) map[string]float64 {
	t.Helper()
	var said []string
	for _, help := range helps {
		late, out := map[string]float64{}, spice.Run(t, strings.Replace(cards, "\n.options ", "\n.options "+help, 1))
		for name, v := range out.Measured {
			if strings.HasPrefix(name, "late_") {
				late[name] = v
			}
		}
		if len(late) > 0 {
			return late
		}
		said = append(said, complaint.FindAllString(out.Log, 5)...)
	}
	t.Error(strings.Join(said, "\n"))
	return nil
}

var watched = regexp.MustCompile(`(?m)^(Bwatch_\d+ .*-\()([-0-9.e]+)\)$`)

// TestDeckCrossingsAreFound moves the thresholds of a deck by 5 mV: the edges are
// then where they were scripted and no longer where they would belong, and the
// deck must say so. It does not repeat Cupel's times.
func TestDeckCrossingsAreFound(t *testing.T) {
	spice.Need(t)
	cards := cardsOf(t, read(t, "hive-3s"), protection.Overdischarge)
	moved := watched.ReplaceAllStringFunc(cards, func(line string) string {
		m := watched.FindStringSubmatch(line)
		level, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		return m[1] + strconv.FormatFloat(level+5e-3, 'g', -1, 64) + ")"
	})
	if moved == cards {
		t.Fatal("no threshold in the deck")
	}
	for name, by := range lateEdges(t, moved) {
		if math.Abs(by) < 2*atEdges {
			t.Errorf("%s: %.3g µs off with a threshold moved by 5 mV", name, by*1e6)
		}
	}
}
