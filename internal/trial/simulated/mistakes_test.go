package simulated_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// ends is how a board with a mistake in it ended.
type ends struct {
	findings []string // errors and warnings
	refused  bool     // an error: nothing is computed
	failed   error    // the computation's, if it had one
	lost     []string // what differs from the whole board
}

// screened is the whole board: what its mistaken copies are compared with.
type screened struct {
	board string
	names *regexp.Regexp // any part, net or pad of it
	x     trial.Screening
	want  []trial.Check
}

func screen(t testing.TB, name string) screened {
	t.Helper()
	s, b := on(t, name), edited(t, name, nil).Board
	x := trial.NewScreening(s.Can())
	want, err := x.Run(t.Context(), s.Rig)
	s.must(err)
	var words []string
	for _, p := range b.Parts {
		words = append(words, p.Ref)
	}
	for _, n := range b.Nets {
		words = append(words, n.Name)
	}
	for _, p := range b.Pads {
		words = append(words, p.Name)
	}
	return screened{name, regexp.MustCompile(`\b(` + strings.Join(words, "|") + `)`), x, want}
}

// mistaken says what becomes of the board with an edit.
func (w screened) mistaken(t *testing.T, e edit) ends {
	t.Helper()
	d := editedFreely(t, w.board, nil, e)
	check, err := study.Check(d)
	if err != nil {
		return ends{findings: []string{err.Error()}, refused: true}
	}
	var out ends
	for _, f := range check.Findings {
		if f.Level != finding.Note.String() {
			out.findings = append(out.findings, string(f.Code)+" "+f.Text)
		}
		out.refused = out.refused || f.Level == finding.Error.String()
	}
	if out.refused {
		return out
	}
	out.lost, out.failed = w.compare(t.Context(), d)
	return out
}

func (w screened) compare(ctx context.Context, d *dossier.Dossier) ([]string, error) {
	r, err := simulated.New(d.Board, elaborator(d), simulated.Options{})
	if err != nil {
		return nil, err
	}
	if can := r.Can(); !can.Discharge || !can.Charge {
		return []string{can.Missing}, nil
	}
	got, err := w.x.Run(ctx, r)
	if err != nil {
		return nil, err
	}
	var lost []string
	for i, c := range got {
		if i < len(w.want) && !alike(c, w.want[i]) {
			lost = append(lost, fmt.Sprintf("%s %s %s cell %d: %s %.3g", c.Trial, c.State, c.What, c.Cell, c.Word, c.Value))
		}
	}
	if len(got) != len(w.want) {
		lost = append(lost, fmt.Sprintf("%d things looked at, not %d", len(got), len(w.want)))
	}
	return lost, nil
}

// alike allows a number of a screening 2 %: mistakes that do less are none.
func alike(a, b trial.Check) bool {
	return a.Word == b.Word && (math.IsNaN(a.Value) && math.IsNaN(b.Value) || math.Abs(a.Value-b.Value) <= 0.02*math.Abs(b.Value)+1e-9)
}

// crossed exchanges the nets of two names within a line that begins with of, and
// the lines that belong to it: two pins of a part, two pads.
func crossed(of, a, b string) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		block := regexp.MustCompile(`(?m)^ *` + regexp.QuoteMeta(strings.TrimSpace(of)) + `:.*\n(?:    .*\n)*`).FindStringIndex(text)
		if block == nil {
			t.Fatalf("no %s", of)
		}
		old := text[block[0]:block[1]]
		na, nb := netOf(t, old, a), netOf(t, old, b)
		with := setNet(setNet(old, a, nb), b, na)
		return text[:block[0]] + with + text[block[1]:]
	}
}

func pinPattern(pin string) *regexp.Regexp {
	return regexp.MustCompile(`([{ ]` + regexp.QuoteMeta(pin) + `: )([a-z0-9-]+)`)
}

func netOf(t testing.TB, block, pin string) string {
	t.Helper()
	m := pinPattern(pin).FindStringSubmatch(block)
	if m == nil {
		t.Fatalf("no %s in %q", pin, block)
	}
	return m[2]
}

func setNet(block, pin, net string) string {
	return pinPattern(pin).ReplaceAllString(block, "${1}"+net)
}

// renamed exchanges two nets at every part, and leaves the pads.
func renamed(a, b string) edit {
	word := regexp.MustCompile(`[A-Za-z0-9-]+:?`) // with a colon it is a key
	to := map[string]string{a: b, b: a}
	return func(t testing.TB, text string) string {
		t.Helper()
		head, parts, ok := strings.Cut(text, "\nparts:\n")
		if !ok {
			t.Fatal("no parts")
		}
		return head + "\nparts:\n" + word.ReplaceAllStringFunc(parts, func(w string) string {
			if n, ok := to[w]; ok {
				return n
			}
			return w
		})
	}
}

// mistake is an edit of a board.
type mistake struct {
	what string
	edit edit
}

// padMistakes exchange every two pads that are not one net: two leads of the
// harness, or two labels.
func padMistakes(b *board.Board) (ms []mistake) {
	for i, p := range b.Pads {
		for _, q := range b.Pads[i+1:] {
			if p.Net != q.Net {
				ms = append(ms, mistake{"pads " + p.Name + " and " + q.Name, crossed("pads", p.Name, q.Name)})
			}
		}
	}
	return ms
}

// pinMistakes exchange every two pins of the parts with a sheet whose names
// match: parts that stand the wrong way, traces that cross. Of a part with many
// pins only neighbours.
func pinMistakes(b *board.Board, refs *regexp.Regexp) (ms []mistake) {
	for i := range b.Parts {
		p := &b.Parts[i]
		if p.Sheet == "" || !refs.MatchString(p.Ref) || strings.HasPrefix(p.Ref, "TH") { // no direction
			continue
		}
		for j := range p.Pins {
			for k := j + 1; k < len(p.Pins) && (len(p.Pins) < 8 || k == j+1); k++ {
				if x, y := p.Pins[j], p.Pins[k]; x.Net != y.Net {
					ms = append(ms, mistake{"pins " + x.Name + " and " + y.Name + " of " + p.Ref, crossed(p.Ref, x.Name, y.Name)})
				}
			}
		}
	}
	return ms
}

// harmless are mistakes that take nothing away that a screening looks at, and
// why.
var harmless = map[string]string{
	"sluice-5s: pins d and s of Q7":   "the body diode then passes what Q7 should hold off; TestFollowerReversed shows it",
	"hive-3s: pads H1 and H2":         "a thermistor has no direction",
	"hive-3s: pins tov and tuv of U1": "their capacitors are equal",
	"hive-3s: pins tuv and toc of U1": "their capacitors are equal",
	"hive-3s: pins 1 and 2 of TH1":    "a thermistor has no direction",
}

// TestMistakes exchanges two pads or two pins at a time. Each mistake is refused
// or warned of by name, or computed with what it loses, or known to lose nothing.
func TestMistakes(t *testing.T) {
	t.Parallel()
	refs := map[string]*regexp.Regexp{sluice: regexp.MustCompile(`^[A-Z]+(10)?[1-9]$`), hive: regexp.MustCompile(`.`)}
	if testing.Short() {
		refs[sluice] = regexp.MustCompile(`^[A-Z]+[1-9]$`) // below the slices
	}
	for _, name := range []string{sluice, hive} {
		w, b := screen(t, name), edited(t, name, nil).Board
		counts := map[string]int{}
		for _, m := range append(padMistakes(b), pinMistakes(b, refs[name])...) {
			counts[w.judge(t, m)]++
		}
		t.Logf("%s: %v", name, counts)
	}
}

// judge says how a mistake ended, and complains where that is not good enough.
func (w screened) judge(t *testing.T, m mistake) string {
	out, why := w.mistaken(t, m.edit), harmless[w.board+": "+m.what]
	named := w.names.MatchString
	word := "lost"
	switch {
	case len(out.findings) > 0:
		if word = "warned of"; out.refused {
			word = "refused"
		}
		if !slices.ContainsFunc(out.findings, named) {
			t.Errorf("%s: %s: %s, but nothing is named: %q", w.board, m.what, word, out.findings)
		}
	case out.failed != nil:
		word = "not computed"
		var not *rig.NotComputed
		if !errors.As(out.failed, &not) {
			t.Errorf("%s: %s: %v", w.board, m.what, out.failed)
		}
	case len(out.lost) == 0:
		if word = "harmless"; why == "" {
			t.Errorf("%s: %s: passes unseen", w.board, m.what)
		}
		return word
	}
	if why != "" {
		t.Errorf("%s: %s: %s, but %s", w.board, m.what, word, why)
	}
	return word
}

// Q7 with drain and source exchanged is the sense resistor alone once a load
// holds P− up: the trap of TestTrapFalseOvercharge.
func TestFollowerReversed(t *testing.T) {
	s := on(t, sluice, crossed("Q7", "d", "s"))
	s.all(4.2)
	s.wait(0.5)
	k := s.strike(rig.Load{Kind: rig.Resistance, Value: 0.1}, 1.5)
	if v := s.net("supply1"); !(v > 5) || k.events(rig.Sets+"OV") == 0 {
		t.Errorf("supply1 at %.2f V, events %v", v, k.rec.Events)
	}
}

// TestNamesOfNetsDoNotMatter exchanges neighbouring nets at every part at once.
// Where neither has a pad that is another name for the same board: every reading
// stays. Where one has, it is the harness crossed, and is not passed over.
func TestNamesOfNetsDoNotMatter(t *testing.T) {
	for _, name := range []string{sluice, hive} {
		b, want := edited(t, name, nil).Board, on(t, name).drain()
		for i := range b.Nets[1:] {
			x, y := &b.Nets[i], &b.Nets[i+1]
			what := fmt.Sprintf("%s: nets %s and %s", name, x.Name, y.Name)
			d := editedFreely(t, name, nil, renamed(x.Name, y.Name))
			check, err := study.Check(d)
			if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if wired(b, x) || wired(b, y) {
				if !slices.ContainsFunc(check.Findings, func(f answer.Finding) bool { return f.Level == finding.Error.String() }) {
					t.Errorf("%s: no error: %+v", what, check.Findings)
				}
				continue
			}
			if len(check.Findings) > 0 {
				t.Errorf("%s: %+v", what, check.Findings)
			}
			got := on(t, name, renamed(x.Name, y.Name)).drain()
			for k := range got {
				if math.Abs(got[k]-want[k]) > 1e-10 {
					t.Errorf("%s: cell %d gives %.9g A, before %.9g A", what, k+1, got[k], want[k])
				}
			}
		}
	}
}

// wired reports whether a cell, a load or a charger hangs on a net. A pad for a
// lead of a thermistor that stands on the board changes nothing.
func wired(b *board.Board, n *board.Net) bool {
	return slices.ContainsFunc(n.Pads, func(p int) bool { return b.Pads[p].Name[0] != 'H' })
}

// TestMistakesByHand are mistakes of other kinds: each is an error that names
// part and net, and nothing is predicted.
func TestMistakesByHand(t *testing.T) {
	for _, c := range []struct {
		board, name string
		edit        edit
		says        string // in one finding
	}{
		{sluice, "a gate on a net of its own", in("Q6", "g: gate-charge", "g: gate-chargee"), `Q6\.g`},
		{sluice, "a supply pin on a net of its own", in("U301", "vdd: supply3", "vdd: suply3"), `U301.*suply3`},
		{sluice, "two taps on one net", inPads("T3: tap3", "T3: tap2"), `tap2.*cell 3`},
		{sluice, "a link over a cell", line("R12", "R12: {value: 2.2 kΩ, pins: [middle, sense-far]}\nR92: {sheet: link-copper, pins: [tap2, tap3]}"), `R92: cell 3`},
		{sluice, "a bank the wrong way round", crossed("Q5", "d", "s"), `Q5`},
		{sluice, "a zener the wrong way round", crossed("D2", "a", "k"), `D2.*gate-discharge`},
		{hive, "a sense pin on a net of its own", in("R6", "sense", "sens"), `sense.*U1|U1.*sense`},
		{hive, "two cells on one net", inPads("T2: tap2", "T2: tap1"), `tap1.*cell 2`},
		{hive, "a bank the wrong way round", crossed("Q1", "d", "s"), `Q1`},
	} {
		d := editedFreely(t, c.board, nil, c.edit)
		check, err := study.Check(d)
		if err != nil {
			t.Errorf("%s: %s: %v", c.board, c.name, err)
			continue
		}
		found := false
		for _, f := range check.Findings {
			found = found || f.Level == finding.Error.String() && regexp.MustCompile(c.says).MatchString(f.Text)
		}
		if !found {
			t.Errorf("%s: %s: want an error like %q, got %q", c.board, c.name, c.says, texts(check.Findings))
		}
		_, err = study.Predict(t.Context(), d, study.Question{Trials: []protection.Trial{protection.Path}}, batch.Runner(batch.Options{Workers: 1}))
		var wrong *finding.Errors
		if !errors.As(err, &wrong) {
			t.Errorf("%s: %s: predicted all the same: %v", c.board, c.name, err)
		}
	}
}

func texts(fs []answer.Finding) (all []string) {
	for _, f := range fs {
		all = append(all, f.Level+" "+string(f.Code)+" "+f.Text)
	}
	return all
}

// inPads changes a word in the line of the pads.
func inPads(old, new string) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		if !strings.Contains(text, old) {
			t.Fatalf("no pad %q", old)
		}
		return strings.Replace(text, old, new, 1)
	}
}
