package audit

import (
	"math"
	"slices"
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// family is one chemistry, or two that share their thresholds.
type family int

const (
	lithiumCobalt family = iota // NMC and LCO
	lithiumIron                 // LFP
	titanate                    // LTO
)

var families = []family{lithiumCobalt, lithiumIron, titanate}

var familyNames = map[family]string{lithiumCobalt: "NMC or LCO", lithiumIron: "LFP", titanate: "LTO"}

var familyOf = map[string]family{
	claim.NMC: lithiumCobalt, claim.LCO: lithiumCobalt, claim.LFP: lithiumIron, claim.LTO: titanate,
}

// band is what typical figures of a chemistry lie between, in V.
type band struct{ from, to float64 }

// bands are the thresholds per cell as tables of boards state them (common
// practice, no source; those of LTO are known least).
var bands = map[row]map[family]band{
	{protection.Overcharge, protection.Detect}: {
		lithiumCobalt: {4.20, 4.35}, lithiumIron: {3.60, 3.90}, titanate: {2.70, 2.90},
	},
	{protection.Overcharge, protection.ReleaseAt}: {
		lithiumCobalt: {4.05, 4.19}, lithiumIron: {3.40, 3.80}, titanate: {2.60, 2.75},
	},
	{protection.Overdischarge, protection.Detect}: {
		lithiumCobalt: {2.30, 3.00}, lithiumIron: {2.00, 2.50}, titanate: {1.50, 2.00},
	},
	{protection.Overdischarge, protection.ReleaseAt}: {
		lithiumCobalt: {2.90, 3.20}, lithiumIron: {2.30, 2.70}, titanate: {1.80, 2.20},
	},
	{protection.Balance, protection.Start}: {
		lithiumCobalt: {4.10, 4.20}, lithiumIron: {3.45, 3.60}, titanate: {2.55, 2.75},
	},
}

// bandRows are the rows of bands in the order they are looked at.
var bandRows = []row{
	{protection.Overcharge, protection.Detect},
	{protection.Overcharge, protection.ReleaseAt},
	{protection.Overdischarge, protection.Detect},
	{protection.Overdischarge, protection.ReleaseAt},
	{protection.Balance, protection.Start},
}

// beside is how far beside its band a figure may stand, in V: makers round
// (own choice).
const beside = 0.05

// fits lists the families in whose band v lies.
func fits(r row, v float64) []family {
	var out []family
	for _, f := range families {
		if b := bands[r][f]; v >= b.from-beside-1e-9 && v <= b.to+beside+1e-9 {
			out = append(out, f)
		}
	}
	return out
}

// placed is one figure with the families it fits.
type placed struct {
	figure
	row  row
	fits []family
}

// placed lists the figures that tell the chemistry. What fits no family but
// lies inside the limits of the cells' own maker tells nothing.
func (t *table) placed() []placed {
	var out []placed
	for _, r := range bandRows {
		for _, f := range t.of(r.of, r.q) {
			if f.limited() && !f.both() && math.IsNaN(f.q.Typ) {
				continue // one limit alone says little
			}
			p := placed{f, r, fits(r, f.q.Nominal())}
			if len(p.fits) > 0 || !t.allowed(p) {
				out = append(out, p)
			}
		}
	}
	return out
}

// allowed reports whether the maker of the cells sets a limit on that side and
// the figure keeps it.
func (t *table) allowed(p placed) bool {
	cell, v := t.sheet.About.Cell, p.q.Nominal()
	if p.row.of == protection.Overdischarge {
		return cell.Lowest.Given() && v >= cell.Lowest.Value.Nominal()
	}
	return cell.Highest.Given() && v <= cell.Highest.Value.Nominal()
}

// kindOfCells is the chemistry stated, or the one that all thresholds fit.
func (t *table) kindOfCells() (name string, stated bool) {
	if c := t.sheet.About.Chemistry; c.Text != "" {
		return c.Text, true
	}
	left := slices.Clone(families)
	told := false
	for _, p := range t.placed() {
		left = common(left, p.fits)
		told = true
	}
	if !told || len(left) != 1 {
		return "", false
	}
	return map[family]string{lithiumCobalt: claim.NMC, lithiumIron: claim.LFP, titanate: claim.LTO}[left[0]], false
}

func common(a, b []family) []family {
	var out []family
	for _, f := range a {
		if slices.Contains(b, f) {
			out = append(out, f)
		}
	}
	return out
}

// chemistry is the rule MixedChemistry: all thresholds of one family, and that
// of the cells it is sold for.
func chemistry(t *table) {
	ps := t.placed()
	if c := t.sheet.About.Chemistry; c.Text != "" {
		for _, p := range ps {
			if !slices.Contains(p.fits, familyOf[c.Text]) {
				t.notOf(p, c)
			}
		}
		return
	}
	for _, p := range ps {
		if len(p.fits) == 0 {
			t.ofNone(p)
		}
	}
	for i, p := range ps {
		for _, q := range ps[:i] {
			if len(p.fits) > 0 && len(q.fits) > 0 && len(common(p.fits, q.fits)) == 0 {
				t.mixed(q, p)
				return
			}
		}
	}
}

func (t *table) notOf(p placed, c claim.Word) {
	v := p.nominal()
	b := bands[p.row][familyOf[c.Text]]
	t.add(report{
		code: MixedChemistry, level: finding.Error, at: p.figure, by: []number{v},
		text: sprintf("%s at %s does not suit %s cells", p.name, v.text, c.Text),
		sum:  []string{sprintf("%s against %s to %s for %s (common practice)", v.text, volts(b.from), volts(b.to), c.Text)},
		do:   "find out whether it is the board's table at all; if the cells' maker sets other limits, state them under cell",
	})
}

func (t *table) ofNone(p placed) {
	v := p.nominal()
	var usual []string
	for _, f := range families {
		b := bands[p.row][f]
		usual = append(usual, sprintf("%s to %s for %s", volts(b.from), volts(b.to), familyNames[f]))
	}
	t.add(report{
		code: MixedChemistry, level: finding.Warning, at: p.figure, by: []number{v},
		text: sprintf("%s at %s suits no usual chemistry", p.name, v.text),
		sum:  []string{v.text + " against " + strings.Join(usual, ", ") + " (common practice)"},
		do:   "ask for which cells the board is made; if their maker sets other limits, state them under cell",
	})
}

func (t *table) mixed(a, b placed) {
	va, vb := a.nominal(), b.nominal()
	t.add(report{
		code: MixedChemistry, level: finding.Error, at: b.figure, by: []number{va, vb},
		text: sprintf("%s at %s is of %s, %s at %s of %s", a.name, va.text, names(a.fits), b.name, vb.text, names(b.fits)),
		sum: []string{
			sprintf("%s: %s (common practice)", va.text, names(a.fits)), sprintf("%s: %s (common practice)", vb.text, names(b.fits)),
		},
		do: "one of the two was copied from another board's table; measure one cell of it",
	})
}

func names(fs []family) string {
	var out []string
	for _, f := range fs {
		out = append(out, familyNames[f])
	}
	return strings.Join(out, " or ")
}

func volts(v float64) string { return show(v, quantity.Voltage) }
