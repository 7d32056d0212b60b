package elaborate

import (
	"regexp"
	"testing"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

// mistakes are edits of a sound board, each with the finding that must name
// the nets and parts.
var mistakes = []struct {
	name, board, old, new string
	code                  string
	level                 finding.Level
	text                  string
}{
	// A pin, a part or a net in the wrong place.
	{
		"gate of a bank on a net of its own", "chain-5s.yaml",
		"Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GC, s: PN}}", "Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GCX, s: PN}}",
		FloatingNet, finding.Error, `net GCX floats.*Q6\.g`,
	},
	{
		"middle of two capacitors", "stack-3s.yaml",
		"C9: {value: 100 nF ±10 % 50 V X7R, size: 0603, pins: [PN, GND]}", "C9: {value: 100 nF ±10 % 50 V X7R, pins: [PN, MC]}\n  C19: {value: 100 nF ±10 % 50 V X7R, pins: [MC, GND]}",
		FloatingNet, finding.Warning, `net MC floats.*C9\.2, C19\.1`,
	},
	{
		"sense pin open", "stack-3s.yaml",
		"R6: {value: 1 kΩ ±5 %, size: 0603, pins: [SN, CS]}", "R6: {value: 1 kΩ ±5 %, size: 0603, pins: [SN, CSX]}",
		FloatingNet, finding.Error, `net CS floats.*U1\.cs`,
	},
	{
		"supply of a protector lost", "chain-5s.yaml",
		"vdd: V3, vss: C2, cs: C2", "vdd: V3X, vss: C2, cs: C2",
		NoSupply, finding.Error, `U301\.vdd, on net V3X, has no path to a cell`,
	},
	{
		"supply pins exchanged", "chain-5s.yaml",
		"U402: {sheet: cell-balancer-4v18, pins: {vdd: W4, vss: C3, out: BO4}}", "U402: {sheet: cell-balancer-4v18, pins: {vdd: C3, vss: W4, out: BO4}}",
		Backwards, finding.Error, `U402 stands the wrong way round: vdd on net C3, vss on net W4`,
	},
	{
		"protector across two cells", "chain-5s.yaml",
		"vdd: V3, vss: C2, cs: C2", "vdd: V3, vss: C1, cs: C1",
		WrongSpan, finding.Error, `U301 watches 2 cells instead of one: vdd on net V3, vss on net C1`,
	},
	{
		"supply filter on the tap below", "chain-5s.yaml",
		"R301: {value: 330 Ω ±5 %, size: 0603, pins: [C3, V3]}", "R301: {value: 330 Ω ±5 %, size: 0603, pins: [C2, V3]}",
		NoSupply, finding.Error, `U301 sees no cell: vdd on net V3, vss on net C2`,
	},
	{
		"two taps exchanged", "chain-5s.yaml",
		"T2: C2, T3: C3", "T2: C3, T3: C2",
		Backwards, finding.Error, `U301 stands the wrong way round`,
	},
	{
		"two sense inputs exchanged", "stack-3s.yaml",
		"v3: V3, v2: V2, v1: V1", "v3: V3, v2: V1, v1: V2",
		Backwards, finding.Error, `U1 stands the wrong way round: v2 on net V1, v1 on net V2`,
	},
	{
		"a cell watched twice", "chain-5s.yaml",
		"vdd: V3, vss: C2, cs: C2, do: DO3, co: CO3", "vdd: V2, vss: C1, cs: C1, do: DO3, co: CO3",
		Unwatched, finding.Warning, `no protector watches cell 3; U201 and U301 both watch cell 2`,
	},
	{
		"load pad on a control net", "chain-5s.yaml", "P-: PN", "P-: BQ",
		NoPath, finding.Warning, `leads from net GND to pad P- on net BQ`,
	},

	// A part the wrong way round.
	{
		"discharge bank backwards", "chain-5s.yaml",
		"Q5: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GD, s: GND}}", "Q5: {sheet: nfet-40v-6m, count: 2, pins: {d: GND, g: GD, s: MID}}",
		Backwards, finding.Error, `nothing can block discharging: between nets GND and PN every FET faces the other way \(Q5, Q6\)`,
	},
	{
		"charge bank backwards", "chain-5s.yaml",
		"Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GC, s: PN}}", "Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: PN, g: GC, s: MID}}",
		Backwards, finding.Error, `nothing can block charging: .*\(Q5, Q6\)`,
	},
	{
		"discharge FET of a separate port backwards", "stack-3s.yaml",
		"Q1: {sheet: nfet-30v-4m, count: 2, pins: {d: PN, g: GD, s: SN}}", "Q1: {sheet: nfet-30v-4m, count: 2, pins: {d: SN, g: GD, s: PN}}",
		Backwards, finding.Error, `nothing can block discharging: between nets GND and PN every FET faces the other way \(Q1\)`,
	},
	{
		"charge FET of a separate port backwards", "stack-3s.yaml",
		"Q2: {sheet: nfet-30v-4m, pins: {d: SN, g: GC, s: CN}}", "Q2: {sheet: nfet-30v-4m, pins: {d: CN, g: GC, s: SN}}",
		Backwards, finding.Error, `nothing can block charging: between nets GND and CN every FET faces the other way \(Q2\)`,
	},
	{
		"no charge bank at all", "chain-5s.yaml",
		"Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GC, s: PN}}", "Q6: {sheet: link-copper, pins: [MID, PN]}",
		Backwards, finding.Warning, `nothing can block charging: .*\(Q5\)`,
	},
	{
		"one FET of a bank backwards", "chain-5s.yaml",
		"Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GC, s: PN}}", "Q6: {sheet: nfet-40v-6m, count: 2, pins: {d: MID, g: GC, s: PN}}\n  Q16: {sheet: nfet-40v-6m, pins: {d: PN, g: GC, s: MID}}",
		Backwards, finding.Error, `FET Q16 faces the other way`,
	},
	{
		"bleed switch backwards", "chain-5s.yaml",
		"Q203: {sheet: nfet-20v-1r5-small, pins: {d: BR2, g: BO2, s: C1}}", "Q203: {sheet: nfet-20v-1r5-small, pins: {d: C1, g: BO2, s: BR2}}",
		Backwards, finding.Error, `body diode of Q203 conducts for good from net BR2 to net C1`,
	},
	{
		"gate clamp backwards", "chain-5s.yaml",
		"D2: {sheet: zener-15v-350mw, pins: {a: GND, k: GD}}", "D2: {sheet: zener-15v-350mw, pins: {a: GD, k: GND}}",
		Backwards, finding.Error, `zener D2 conducts for good from net GD to net GND`,
	},
	{
		"free-wheeling diode backwards", "stack-3s.yaml",
		"D1: {sheet: schottky-40v-3a, pins: {a: PN, k: C3}}", "D1: {sheet: schottky-40v-3a, pins: {a: C3, k: PN}}",
		Backwards, finding.Warning, `diode D1 conducts for good from net C3 to net PN`,
	},
	{
		"collector and emitter exchanged", "chain-5s.yaml",
		"Q401: {sheet: pnp-60v-100ma, pins: {c: PD4, b: BD4, e: V4}}", "Q401: {sheet: pnp-60v-100ma, pins: {c: V4, b: BD4, e: PD4}}",
		Backwards, finding.Error, `Q401 stands the wrong way round: collector on net V4, emitter on net PD4`,
	},

	// A loop of sources: a cell shorted.
	{
		"two taps on one net", "chain-5s.yaml", "T2: C2, T3: C3", "T2: C2, T3: C2",
		CellShorted, finding.Error, `cell 3 is shorted: both its taps are on net C2`,
	},
	{
		"a link across a cell", "stack-3s.yaml",
		"R13: {value: 10 kΩ ±1 %, size: 0603, pins: [TR, TS]}", "R13: {value: 10 kΩ ±1 %, size: 0603, pins: [TR, TS]}\n  R20: {value: 5 mΩ, pins: [C1T, BR]}\n  R21: {value: 5 mΩ, pins: [BR, C2T]}",
		CellShorted, finding.Error, `cell 2 is shorted: R20, R21 join nets C1T and C2T`,
	},

	// Delay capacitors.
	{
		"delay capacitor missing", "stack-3s.yaml",
		"C6: {value: 100 nF ±10 % 16 V X7R, size: 0603, pins: [KV, GND]}", "C6: {value: 100 nF ±10 % 16 V X7R, size: 0603, pins: [KU, GND]}",
		DelayOpen, finding.Warning, `pin U1\.tov has no capacitor to vss`,
	},
	{
		"delay pin shorted", "stack-3s.yaml", "tov: KV", "tov: GND",
		DelayShorted, finding.Warning, `pin U1\.tov is on the net of vss: its delay never ends`,
	},
}

func TestMistakesAreFound(t *testing.T) {
	for _, m := range mistakes {
		t.Run(m.name, func(t *testing.T) {
			_, list := elaborated(t, edit(t, load(t, m.board), m.old, m.new))
			re := regexp.MustCompile(m.text)
			for _, f := range list {
				if f.Code == m.code && f.Level == m.level && re.MatchString(f.Text) {
					if f.Do == "" {
						t.Errorf("%s: does not say what to do", f)
					}
					return
				}
			}
			t.Errorf("want %s %s like %q, got %v", m.level, m.code, m.text, list)
		})
	}
}

func TestSheetMissing(t *testing.T) {
	b := read(t, load(t, "stack-3s.yaml"))
	none := func(name string) (*catalog.Sheet, bool) {
		if name == "nfet-30v-4m" {
			return nil, false
		}
		return generic.Sheet(name)
	}
	_, list := Elaborate(b, none, Options{})
	if len(list) != 2 || list[0].Code != SheetMissing {
		t.Errorf("findings %v", list)
	}
}

// A board that was put together by a program, not read from a text.
func TestBoardsNobodyChecked(t *testing.T) {
	sound := func() *board.Board { return read(t, highSide) }
	for _, c := range []struct {
		name  string
		spoil func(b *board.Board)
		code  string
	}{
		{"no pad B−", func(b *board.Board) { b.Pads[0].Name = "X1" }, NoReference},
		{"a tap without a pad", func(b *board.Board) { b.Cells = 2; b.Pads[1].Name = "T2" }, NoTap},
		{"a net that is not there", func(b *board.Board) { b.Parts[1].Pins[0].Net = 99 }, NetMissing},
		{"a part without a pin", func(b *board.Board) { b.Parts[1].Pins = b.Parts[1].Pins[:1] }, PinMissing},
		{"a resistor of nothing", func(b *board.Board) { b.Parts[1].Value.Typ, b.Parts[1].Value.Min, b.Parts[1].Value.Max = -1, -1, -1 }, BadFigures},
	} {
		b := sound()
		c.spoil(b)
		_, list := Elaborate(b, generic.Sheet, Options{})
		found := false
		for _, f := range list {
			found = found || f.Code == c.code
		}
		if !found {
			t.Errorf("%s: want %s, got %v", c.name, c.code, list)
		}
	}
}
