package pattern

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/quantity"

	"pgregory.net/rapid"
)

// exhaustive finds the places of p by trying every choice of parts and pins: the
// dumb way that Find is held against. It looks at required parts only.
func exhaustive(g *Graph, p *Pattern, labels Labels) []string {
	var out []string
	s := &search{g: g, p: p, labels: labels, nets: make([]board.NetID, len(p.nets))}
	var vars []int
	for i, v := range p.Parts {
		if !v.Optional {
			vars = append(vars, i)
		}
	}
	chosen := make([]int, len(vars))
	ways := make([][]int, len(vars))
	var try func(depth int)
	try = func(depth int) {
		if depth < len(vars) {
			for part := range g.kinds {
				v := &p.Parts[vars[depth]]
				if !s.fits(v, part) || slices.Contains(chosen[:depth], part) {
					continue
				}
				for _, w := range s.ways(v, part) {
					chosen[depth], ways[depth] = part, w
					try(depth + 1)
				}
			}
			return
		}
		for i := range s.nets {
			s.nets[i] = board.NoNet
		}
		for d, part := range chosen {
			if !s.bind(&p.Parts[vars[d]], part, ways[d]) {
				return
			}
		}
		cell, ok := p.Cell, true
		for i := range p.Conds {
			c := p.Conds[i]
			one := &search{g: g, p: &Pattern{Conds: []Cond{c}}, labels: labels, nets: s.nets}
			if cell, ok = one.holds(cell); !ok {
				return
			}
		}
		m := Match{Parts: map[string][]int{}}
		for d, part := range chosen {
			m.Parts[p.Parts[vars[d]].Name] = []int{part}
		}
		for i := range p.Conds {
			if !s.whole(&p.Conds[i], &m) {
				return
			}
		}
		out = append(out, shown(p, m.Parts, s.nets, cell))
	}
	try(0)
	sort.Strings(out)
	return slices.Compact(out)
}

func shown(p *Pattern, parts map[string][]int, nets []board.NetID, cell int) string {
	var b strings.Builder
	for _, v := range p.Parts {
		if !v.Optional {
			fmt.Fprintf(&b, "%s=%d ", v.Name, parts[v.Name][0])
		}
	}
	fmt.Fprintf(&b, "%v k=%d", nets, cell)
	return b.String()
}

func found(g *Graph, p *Pattern, labels Labels) []string {
	var out []string
	for _, m := range Find(g, p, labels) {
		nets := make([]board.NetID, len(p.nets))
		for i, n := range p.nets {
			nets[i] = m.Nets[n]
		}
		out = append(out, shown(p, m.Parts, nets, m.Cell))
	}
	sort.Strings(out)
	return out
}

// TestFindAgainstExhaustive holds the search against trying everything, on
// small random boards.
func TestFindAgainstExhaustive(t *testing.T) {
	patterns := Must(t, `
pattern p
part T bjt-pnp b=base e=top c=out
part B resistor 1kΩ..100kΩ base low
tap low k-1
absent resistor base top
inner base
`, `
pattern q
part A resistor a b
part C capacitor b c
part D resistor b d
lone b
`, `
pattern r
part A mosfet-n g=x s=y d=z
part B mosfet-n g=y s=w d=z
part C resistor z w
label w hot
`)
	rapid.Check(t, func(t *rapid.T) {
		g := randomGraph(t)
		labels := Labels{}
		for n := range g.Board.Nets {
			if rapid.Bool().Draw(t, "hot") {
				labels.add(board.NetID(n), "hot")
			}
		}
		for _, p := range patterns {
			got, want := found(g, p, labels), exhaustive(g, p, labels)
			if !slices.Equal(got, want) {
				t.Fatalf("pattern %s: found\n%s\nwant\n%s", p.Name, strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		}
	})
}

// Must parses patterns.
func Must(t testing.TB, texts ...string) []*Pattern {
	t.Helper()
	var out []*Pattern
	for _, s := range texts {
		ps, err := Parse("test.txt", s)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, ps...)
	}
	return out
}

// randomGraph is a board of up to seven parts on up to six nets.
func randomGraph(t *rapid.T) *Graph {
	nets := rapid.IntRange(3, 6).Draw(t, "nets")
	b := &board.Board{Cells: 1, Nets: make([]board.Net, nets)}
	for k, pad := range []string{"B-", "B+"} {
		b.Pads = append(b.Pads, board.Pad{Name: pad, Net: board.NetID(k)})
		b.Nets[k].Pads = []int{k}
	}
	sheets := []string{"", "cap", "pnp-60v-100ma", "nfet-30v-30m-small"}
	for i := range rapid.IntRange(1, 7).Draw(t, "parts") {
		p := board.Part{Ref: fmt.Sprintf("X%d", i), Count: 1}
		names := []string{"1", "2"}
		switch sheet := rapid.SampledFrom(sheets).Draw(t, "sheet"); sheet {
		case "":
			p.Kind, p.Value = board.Resistor, quantity.Exact(quantity.Resistance, rapid.SampledFrom([]float64{100, 47e3}).Draw(t, "ohms"))
		case "cap":
			p.Kind, p.Value = board.Capacitor, quantity.Exact(quantity.Capacitance, 1e-7)
		default:
			p.Sheet = sheet
			s, _ := generic.Sheet(sheet)
			tr, _ := catalog.TraitsOf(s.Kind)
			names = tr.PinNames(true)
		}
		for _, name := range names {
			p.Pins = append(p.Pins, board.Pin{Name: name, Net: board.NetID(rapid.IntRange(-1, nets-1).Draw(t, "net"))})
		}
		b.Parts = append(b.Parts, p)
	}
	return NewGraph(b, generic.Sheet)
}

func TestParseMistakes(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"part R resistor a b", "does not begin with"},
		{"pattern p\npart R resitor a b", `test.txt:2: there is no kind of part "resitor"`},
		{"pattern p\npart R resistor a", "test.txt:2: "},
		{"pattern p\npart R resistor 1kV..2kΩ a b", "test.txt:2: "},
		{"pattern p\npart Q bjt-npn g=a b=c", `has no pin "g"`},
		{"pattern p\npart R resistor a b\ntap c k", `test.txt:3: no part lies on a net "c"`},
		{"pattern p\npart R resistor a b\nfoo a", `no line begins with "foo"`},
		{"pattern p\npart R resistor a b\nmaybe C capacitor b c", `net "c" lies on a part that may be missing alone`},
		{"pattern p\npart R resistor a b\nis Q x: y", "no such part above"},
		{"pattern p\npart R resistor a b\nexpect R open loses hope", "an effect is"},
		{"pattern p\nvary a\npart R resistor a b", "test.txt:2: vary a"},
	} {
		_, err := Parse("test.txt", c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error %v, want %q in it", c.text, err, c.want)
		}
	}
}

// TestLibrary reads every pattern, and holds that each claim names parts that
// its pattern has.
func TestLibrary(t *testing.T) {
	names := map[string]bool{}
	for _, p := range Library() {
		names[p.Name] = true
		for _, c := range p.Claims {
			if c.Role == "" || c.Piece == "" || c.Text == "" || p.Block == "" {
				t.Errorf("%s: claim of %s is not whole: %+v", p, c.Var, c)
			}
			for _, piece := range strings.Split(c.Text, "{")[1:] {
				name, _, _ := strings.Cut(piece, "}")
				if name != "k" && p.part(name) == nil && !slices.Contains(p.nets, name) {
					t.Errorf("%s: the text of %s names {%s}, which the pattern has not", p, c.Var, name)
				}
			}
		}
		for _, v := range p.Parts {
			if math.IsNaN(v.Low) || v.Low > v.High {
				t.Errorf("%s: part %s has the range %g..%g", p, v.Name, v.Low, v.High)
			}
		}
	}
	for _, p := range Library() {
		for _, y := range p.Yields {
			if !names[y] {
				t.Errorf("%s yields to %s, which does not exist", p, y)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add("pattern p\nvary a=b; c=d | a=e; c=f\npart R resistor 1kΩ..2kΩ x y\ntap x k\nis R $a: does {R}")
	f.Add("part\nis :\nvary =|=\nexpect a b c\ntap a")
	f.Fuzz(func(t *testing.T, src string) {
		ps, err := Parse("fuzz.txt", src)
		if err == nil && len(ps) == 0 {
			t.Error("no mistake and no pattern")
		}
	})
}
