package footprint

import (
	"math"
	"testing"

	"cupel/internal/catalog/generic"
)

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func TestOf(t *testing.T) {
	for _, c := range []struct {
		name  string
		pads  int
		a, b  int
		yard  float64
		sure  bool
		width float64
	}{
		{"0603", 2, 1, 2, 1.524, false, 1.524},
		{"2512", 2, 1, 2, 6.35, false, 6.35},
		{"SOD-123", 2, 1, 2, 3.3, false, 3.3},
		{"SOT-23", 3, 1, 2, 1.9, true, 1.9},
		{"SOT-23-5", 5, 1, 3, 1.9, true, 1.9},
		{"SOT-23-6", 6, 1, 3, 1.9, true, 1.9},
		{"SO-8", 8, 1, 4, 3.81, true, 3.81},
		{"TSSOP-16", 16, 1, 8, 4.55, true, 4.55},
		{"DFN 5×6", 8, 1, 4, 3.81, true, 3.81},
		{"TO-252", 3, 1, 3, 4.56, true, 4.56},
	} {
		f, ok := Of(c.name)
		if !ok || len(f.Pads) != c.pads || f.Name != c.name {
			t.Errorf("%s: %v, %+v", c.name, ok, f)
			continue
		}
		a, b, mm, sure := f.Yardstick()
		if a != c.a || b != c.b || !near(mm, c.yard) || sure != c.sure || !near(f.Size().X, c.width) {
			t.Errorf("%s: yardstick %d–%d %.3f mm %v, width %.3f", c.name, a, b, mm, sure, f.Size().X)
		}
	}
	for _, name := range []string{"", "0000", "SO", "SO-7", "SO-800", "TSSOP-x", "blade", "strip", "12345"} {
		if f, ok := Of(name); ok {
			t.Errorf("%q has a footprint: %+v", name, f)
		}
	}
}

// Numbers go on counter-clockwise around every part with pins on two sides:
// the area that they enclose has the sign of that turn, with y down.
func TestCounterClockwise(t *testing.T) {
	for _, name := range []string{"SOT-23", "SOT-23-5", "SOT-23-6", "SO-8", "TSSOP-20", "MSOP-8"} {
		f, _ := Of(name)
		var area float64
		for i, p := range f.Pads {
			q := f.Pads[(i+1)%len(f.Pads)]
			if p.Number != i+1 {
				t.Errorf("%s: pad %d stands at place %d", name, p.Number, i+1)
			}
			area += p.At.X*q.At.Y - q.At.X*p.At.Y
		}
		if area >= 0 {
			t.Errorf("%s is numbered clockwise", name)
		}
	}
}

// Every housing that a generic sheet names has a pad for each pad of the sheet,
// except those that lie on no board like the others.
func TestGenericSheets(t *testing.T) {
	// A heater fuse has a third pad wherever its maker put it.
	other := map[string]bool{"5432": true, "4 mm": true, "blade": true, "strip": true, "radial 6.3 mm": true}
	for _, name := range generic.Names() {
		s, _ := generic.Sheet(name)
		if s.Package.Name == "" || other[s.Package.Name] {
			continue
		}
		f, ok := Of(s.Package.Name)
		if !ok {
			t.Errorf("%s: no footprint of %q", name, s.Package.Name)
			continue
		}
		for pin, pads := range s.Package.Pads {
			for _, n := range pads {
				if _, ok := f.Pad(n); !ok {
					t.Errorf("%s: %s has no pad %d, pin %s", name, s.Package.Name, n, pin)
				}
			}
		}
	}
}
