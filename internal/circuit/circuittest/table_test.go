package circuittest

import (
	"math"
	"strings"
	"testing"
)

func TestTableGoesRound(t *testing.T) {
	want := Table{Comment: []string{"by hand", ""}, Columns: []string{"v_V", "i_A"}, Rows: [][]float64{{0, 1e-12}, {0.5, -3.25}}}
	var b strings.Builder
	if err := want.Write(&b); err != nil {
		t.Fatal(err)
	}
	got, err := ReadTable(strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if d := Differences(got, want, Limits{}); d != nil {
		t.Errorf("%q\n%s", d, b.String())
	}
	for _, bad := range []string{"a,b\n1", "a\nx"} {
		if _, err := ReadTable(strings.NewReader(bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

func TestDifferences(t *testing.T) {
	base := Table{Columns: []string{"v", "i"}, Rows: [][]float64{{1, 2}}}
	for _, c := range []struct {
		name string
		got  Table
		tol  Tolerance
		want string // part of the one difference; empty: none
	}{
		{"equal", base, Tolerance{}, ""},
		{"other columns", Table{nil, []string{"v"}, nil}, Tolerance{}, "columns"},
		{"off", Table{nil, base.Columns, [][]float64{{1, 2.1}}}, Tolerance{Relative: 0.01}, "off by 0.1"},
		{"near", Table{nil, base.Columns, [][]float64{{1, 2.1}}}, Tolerance{Relative: 0.1}, ""},
		{"nothing computed", Table{nil, base.Columns, [][]float64{{1, math.NaN()}}}, Tolerance{Relative: 0.1}, "NaN"},
		{"elsewhere", Table{nil, base.Columns, [][]float64{{1.1, 2}}}, Tolerance{Relative: 0.5}, "v = 1.1"},
		{"short", Table{nil, base.Columns, nil}, Tolerance{}, "0 rows"},
	} {
		d := Differences(c.got, base, Limits{Volts: c.tol, Amps: c.tol})
		if (c.want == "") != (d == nil) || c.want != "" && !strings.Contains(d[0], c.want) {
			t.Errorf("%s: %q, want %q", c.name, d, c.want)
		}
	}
}
