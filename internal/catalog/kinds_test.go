package catalog

import (
	"math"
	"testing"

	"cupel/internal/quantity"
)

func TestEveryTermIsSayable(t *testing.T) {
	for _, k := range Kinds() {
		seen := map[string]bool{}
		for _, term := range append(k.Limits, k.Figures...) {
			if term.Means == "" {
				t.Errorf("%s: %s has no meaning", k.Kind, term.Name)
			}
			if term.Needed && term.Default.Given() {
				t.Errorf("%s: %s is needed and has a default too", k.Kind, term.Name)
			}
			for _, c := range term.At {
				if d, ok := ConditionDimension(c.Name); !ok || d == quantity.None || math.IsNaN(c.Value.Nominal()) {
					t.Errorf("%s: condition %s of %s is not known", k.Kind, c.Name, term.Name)
				}
			}
		}
		for _, term := range k.Figures {
			if seen[term.Name] {
				t.Errorf("%s: the figure %s stands twice", k.Kind, term.Name)
			}
			seen[term.Name] = true
		}
	}
}

func TestEveryRuleDefaultIsAWord(t *testing.T) {
	for _, k := range Kinds() {
		for _, r := range k.Rules {
			found := false
			for _, w := range r.Words {
				found = found || w == r.Default
			}
			if !found {
				t.Errorf("%s: the default %q of %s is none of %q", k.Kind, r.Default, r.Name, r.Words)
			}
		}
	}
}

func TestDefaultsAreInOrder(t *testing.T) {
	for _, k := range Kinds() {
		for _, term := range k.Figures {
			q := term.Default
			if q.Given() && !(q.Min <= q.Typ && q.Typ <= q.Max) {
				t.Errorf("%s: default of %s: %g/%g/%g", k.Kind, term.Name, q.Min, q.Typ, q.Max)
			}
		}
	}
}

func TestCellsOfAStackProtector(t *testing.T) {
	s := Sheet{Kind: StackProtector, Pins: []string{"vdd", "v3", "v2", "v1", "vss"}}
	if got := s.Cells(); got != 3 {
		t.Errorf("cells = %d, want 3", got)
	}
}

func TestSilentSheetUsesTheDefault(t *testing.T) {
	s := Sheet{Kind: NPN, Figures: map[string]Figure{}}
	f, stated := s.Figure("t_s")
	if stated || f.Value.Nominal() != 200e-9 || f.Source != NoSource {
		t.Errorf("t_s = %v, stated %v", f, stated)
	}
	if w, stated := (&Sheet{Kind: Balancer}).Rule("sense"); stated || w != "continuous" {
		t.Errorf("sense = %q, stated %v", w, stated)
	}
	if got := s.Condition("h_fe", "i_c"); got != 2e-3 {
		t.Errorf("i_c of h_fe = %g", got)
	}
}
