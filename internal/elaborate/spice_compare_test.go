package elaborate_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/transient"
	"cupel/internal/dossier/demo"
)

var comparing = flag.Bool("compare", false, "time shorts against ngspice and write docs/compare.md")

// turns is how often every setting of both programs is run, one after the other.
const turns = 5

// setting is one accuracy asked of a program, and what it gave.
type setting struct {
	label   string
	run     func() (figures map[string]float64, seconds float64)
	seconds []float64
	last    map[string]float64
}

// medianMs is the middle of the times taken, in ms.
func (s *setting) medianMs() float64 {
	slices.Sort(s.seconds)
	return 1e3 * s.seconds[len(s.seconds)/2]
}

// offs returns how far peak current and turn-off time lie from the reference,
// each relative to its own size.
func (s *setting) offs(reference map[string]float64) (peak, off float64) {
	peak = math.Abs(s.last["i_peak"]/reference["i_peak"] - 1)
	off = math.Abs(s.last["t_half"]-reference["t_half"]) / (reference["t_half"] - shortAt)
	return peak, off
}

// TestCompareSpeed draws work–precision curves of both programs over the same
// analogue circuit: a short of each demo board with the outputs of the ICs as
// they moved. The errors are those against ngspice at its tightest.
func TestCompareSpeed(t *testing.T) {
	if !*comparing {
		t.Skip("run by make compare: it takes minutes")
	}
	spice.Need(t)
	var page strings.Builder
	fmt.Fprintf(&page, compareHead, spice.Version(t), turns)
	for _, name := range demo.Sound() { // a planted fault may leave nothing cut to time
		compareBoard(t, name, &page)
	}
	t.Log("\n" + page.String())
	if err := os.WriteFile(filepath.Join("..", "..", "docs", "compare.md"), []byte(page.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

const compareHead = `# Against ngspice, in one run

Made by ` + "`make compare`" + `; %s. A short of 12 mΩ with 10 mΩ and 1 µH of leads,
cells at 3.7 V, 380 µs. Both programs solve the same analogue circuit: ngspice is told by
scripts when each output of an IC moved, Cupel finds that out as it goes. Times are the
middle of %d runs taken in turn, of the transient alone; errors are those against ngspice
at its tightest, of the peak current and of the time from the short to half of it.
`

func compareBoard(t *testing.T, name string, page *strings.Builder) {
	base := newShort(t, name)
	peak := base.run(t, transient.Options{})["i_peak"]
	text := base.deck(t, peak/2)
	reference, _ := timedSpice(t, text, 1e-5, 100e-9)
	var ours, theirs []*setting
	for _, volts := range []float64{50e-3, 20e-3, 5e-3, 1e-3, 0.2e-3, 0.05e-3} {
		ours = append(ours, &setting{
			label: fmt.Sprintf("%g mV a step", volts*1e3),
			run:   func() (map[string]float64, float64) { return timedShort(t, name, volts) },
		})
	}
	for _, o := range []struct{ reltol, step float64 }{{1e-2, 5e-6}, {1e-3, 2e-6}, {1e-4, 1e-6}, {1e-5, 0.5e-6}} {
		theirs = append(theirs, &setting{
			label: fmt.Sprintf("reltol %g, steps to %g µs", o.reltol, o.step*1e6),
			run:   func() (map[string]float64, float64) { return timedSpice(t, text, o.reltol, o.step) },
		})
	}
	for range turns {
		for _, s := range slices.Concat(ours, theirs) {
			figures, seconds := s.run()
			s.last, s.seconds = figures, append(s.seconds, seconds)
		}
	}
	fmt.Fprintf(page, "\n## %s\n\npeak %.4f A, half of it after %.3f µs\n\n", name, reference["i_peak"], 1e6*(reference["t_half"]-shortAt))
	writeCurve(page, "Cupel", ours, reference)
	writeCurve(page, "ngspice", theirs, reference)
	for _, target := range []float64{1e-3, 1e-4} {
		writeRatio(page, target, ours, theirs, reference)
	}
}

// timedShort runs the short on Cupel from a circuit of its own.
func timedShort(t *testing.T, name string, volts float64) (map[string]float64, float64) {
	s := newShort(t, name)
	began := time.Now()
	f := s.run(t, transient.Options{Volts: volts})
	return f, time.Since(began).Seconds()
}

var (
	reltol  = regexp.MustCompile(`reltol=[0-9.e-]+`)
	tran    = regexp.MustCompile(`(?m)^(\.tran) \S+ (\S+).*$`)
	seconds = regexp.MustCompile(`Transient analysis time = ([0-9.e+-]+)`)
)

// timedSpice runs a deck at an accuracy and a largest step.
func timedSpice(t *testing.T, text string, rel, step float64) (map[string]float64, float64) {
	text = reltol.ReplaceAllString(text, fmt.Sprintf("reltol=%g", rel))
	text = tran.ReplaceAllString(text, fmt.Sprintf("$1 %g $2 0 %g", step, step))
	out := spice.Run(t, text)
	m := seconds.FindStringSubmatch(out.Log)
	if m == nil {
		t.Fatalf("ngspice said nothing of its time\n%s", out.Log)
	}
	took, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return out.Measured, took
}

func writeCurve(page *strings.Builder, program string, curve []*setting, reference map[string]float64) {
	fmt.Fprintf(page, "| %s | time, ms | peak off, %% | turn-off off, ns |\n|---|---|---|---|\n", program)
	for _, s := range curve {
		peak, off := s.offs(reference)
		fmt.Fprintf(page, "| %s | %.1f | %.5f | %.1f |\n", s.label, s.medianMs(), 100*peak, 1e9*off*(reference["t_half"]-shortAt))
	}
	page.WriteString("\n")
}

// writeRatio sets the quickest setting of each program that keeps both errors
// below the target side by side, or says which has none.
func writeRatio(page *strings.Builder, target float64, ours, theirs []*setting, reference map[string]float64) {
	quickest := func(curve []*setting) *setting {
		var best *setting
		for _, s := range curve {
			if peak, off := s.offs(reference); peak <= target && off <= target && (best == nil || s.medianMs() < best.medianMs()) {
				best = s
			}
		}
		return best
	}
	a, b := quickest(ours), quickest(theirs)
	switch {
	case a == nil || b == nil:
		fmt.Fprintf(page, "At %g %% no ratio is claimed: Cupel %s, ngspice %s.\n\n", 100*target, reached(a), reached(b))
	default:
		fmt.Fprintf(page, "At %g %% Cupel takes %.1f ms (%s), ngspice %.1f ms (%s): **%.0f times**.\n\n",
			100*target, a.medianMs(), a.label, b.medianMs(), b.label, b.medianMs()/a.medianMs())
	}
}

func reached(s *setting) string {
	if s == nil {
		return "does not reach it"
	}
	return "reaches it"
}
