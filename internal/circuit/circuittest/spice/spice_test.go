package spice

import (
	"math"
	"strings"
	"testing"
)

// TestParseRaw reads a file as ngspice writes it.
func TestParseRaw(t *testing.T) {
	const raw = "Title: t\nDate: today\nPlotname: DC transfer characteristic\nFlags: real\n" +
		"No. Variables: 2\nNo. Points: 2\nVariables:\n\t0\tv-sweep\tvoltage\n\t1\tI(v1)\tcurrent\n" +
		"Values:\n 0\t1.0\n\t-1e-3\n 1\t2.0\n\t-2e-3\n"
	p, err := parseRaw(raw)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Vectors["i(v1)"]; len(got) != 2 || got[1] != -2e-3 {
		t.Errorf("i(v1) = %v, want -1e-3 and -2e-3", got)
	}
	if _, err := p.Last("v(9)"); err == nil {
		t.Error("a vector that is not there was found")
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"short", "\n 1\t2.0\n\t-2e-3\n", "", "2 points"},
		{"complex", "Flags: real", "Flags: complex", "only real"},
		{"word", "2.0", "two", "point 1"},
		{"no values", "Values:", "", "no values"},
	} {
		if _, err := parseRaw(strings.Replace(raw, c.old, c.new, 1)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q", c.name, err, c.want)
		}
	}
}

// TestSpiceAnswers runs three decks whose answers are known, one an analysis:
// the divider and the RC step of any textbook.
func TestSpiceAnswers(t *testing.T) {
	op := Run(t, "divider\nV1 1 0 12\nR1 1 2 1k\nR2 2 0 2k\n.op\n.end\n")
	v, err := op.Last("v(2)")
	if err != nil || math.Abs(v-8) > 1e-9 {
		t.Errorf("divider %v V (%v), want 8", v, err)
	}
	dc := Run(t, "sweep\nV1 1 0 0\nR1 1 0 1k\n.dc V1 0 2 1\n")
	if got := dc.Vectors["i(v1)"]; len(got) != 3 || math.Abs(got[2]+2e-3) > 1e-12 {
		t.Errorf("sweep %v, want three points to -2 mA", got)
	}
	tran := Run(t, "step\nV1 1 0 PWL(0 0 1n 1)\nR1 1 2 1k\nC1 2 0 1u\n.tran 1u 2m 0 1u\n.meas tran after find v(2) at=1m\n")
	if got := tran.Measured["after"]; math.Abs(got-(1-math.Exp(-1))) > 1e-4 {
		t.Errorf("after one time constant %v, want 0.63212\n%s", got, tran.Log)
	}
	if !strings.HasPrefix(Version(t), "ngspice-") {
		t.Errorf("version %q", Version(t))
	}
}
