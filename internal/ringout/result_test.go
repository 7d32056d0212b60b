package ringout

import "testing"

func TestReadResult(t *testing.T) {
	for _, c := range []struct {
		s    string
		want Result
		v    float64
	}{
		{"connected", Connected, 0},
		{"c", Connected, 0},
		{"Open", Open, 0},
		{"OL", Open, 0},
		{"0.4", Ohms, 0.4},
		{"0,4", Ohms, 0.4},
		{"4k7", Ohms, 4700},
		{"43 Ω", Ohms, 43},
		{">20M", Ohms, 20e6},
		{"0.61 V", Drop, 0.61},
		{"610 mV", Drop, 0.61},
	} {
		r, v, err := ReadResult(c.s)
		if err != nil || r != c.want || v < c.v*(1-1e-12) || v > c.v*(1+1e-12) {
			t.Errorf("%q: %s %g %v, want %s %g", c.s, r, v, err, c.want, c.v)
		}
	}
	for _, s := range []string{"", "maybe", "-3", "1-2", "10 A", ">0.6 V", "4k7 ±5 %"} {
		if r, v, err := ReadResult(s); err == nil {
			t.Errorf("%q gave %s %g", s, r, v)
		}
	}
}
