package claimfile

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"
	"cupel/internal/protection"
	"cupel/internal/quantity"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
	yaml "go.yaml.in/yaml/v4"
)

var update = flag.Bool("update", false, "rewrite the wanted findings of testdata")

// listing prints findings as the case files want them.
func listing(list finding.List) string {
	var b strings.Builder
	list.Sort()
	for _, f := range list {
		fmt.Fprintf(&b, "%d:%d %s %s: %s\n", f.Place.Line, f.Place.Column, f.Level, f.Code, f.Text)
		if f.Suggestion != "" {
			fmt.Fprintf(&b, "\tdid you mean %s?\n", f.Suggestion)
		}
	}
	return b.String()
}

// Each case file holds texts with mistakes, each followed by its findings.
func TestMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, name := range files {
		a, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i+1 < len(a.Files); i += 2 {
			text, want := a.Files[i], &a.Files[i+1]
			var list finding.List
			Read(text.Name, text.Data, 5, &list)
			got := listing(list)
			if *update {
				want.Data = []byte(got)
			} else if string(want.Data) != got {
				t.Errorf("%s, %s: findings differ (-want +got):\n%s", name, text.Name, cmp.Diff(string(want.Data), got))
			}
			for _, f := range list {
				if f.Source == "" || f.Do == "" {
					t.Errorf("%s: %s has no source line or nothing to do", name, f)
				}
			}
		}
		if *update {
			if err := os.WriteFile(name, txtar.Format(a), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// good is the example of the design, with what else a figure can carry.
const good = `cupel: 1
source: {kind: print, where: white legend on the top side}
figures:
  - {protection: overcharge, quantity: detect, stated: 4.20/4.25/4.30 V, at: 25 °C}
  - {protection: overcharge, quantity: delay, stated: 0.5–1.5 s}
  - {protection: discharge-overcurrent, quantity: detect, stated: 60 A ±10 A}
  - {protection: path, quantity: resistance, stated: max 10 mΩ}
  - {protection: charge-overcurrent, stated: none}
  - {protection: continuous, quantity: current, stated: min 20 A, at: 40 °C, kind: requirement}
  - {protection: discharge-overcurrent, quantity: detect, stage: 2, stated: 120 A}
  - {protection: balance, stated: 4.17/4.12/4.23 V, cell: 3, note: as printed}
  - {protection: supply-current, quantity: current, state: after overdischarge, stated: max 5 µA}
  - {protection: temperature, quantity: cut_temperature, stage: hot, port: charge, stated: 45 °C ±5 °C}
`

func TestReadsWhatIsThere(t *testing.T) {
	var list finding.List
	s := Read("claims.yaml", []byte(good), 5, &list)
	if len(list) != 0 {
		t.Fatalf("findings: %v", list)
	}
	if s.Source != (claim.Source{Kind: "print", Where: "white legend on the top side"}) || len(s.Claims) != 10 {
		t.Fatalf("%+v", s)
	}
	c := s.Claims
	for i, want := range []string{
		"overcharge detect", "overcharge delay", "discharge overcurrent detect", "path resistance", "charge overcurrent detect",
		"continuous current", "discharge overcurrent detect, stage 2", "balance start, cell 3",
		"supply current, after overdischarge", "temperature cut, stage hot, charge port",
	} {
		if c[i].Name() != want {
			t.Errorf("claim %d is called %q, want %q", i, c[i].Name(), want)
		}
	}
	if v := c[0].Value; v.Min != 4.20 || v.Typ != 4.25 || v.Max != 4.30 || v.Dim != quantity.Voltage || c[0].At != 298.15 || c[0].Kind != claim.Stated {
		t.Errorf("%+v", c[0])
	}
	if v := c[2].Value; v.Min != 50 || v.Typ != 60 || v.Max != 70 {
		t.Errorf("%+v", v)
	}
	if v := c[3].Value; !math.IsNaN(v.Min) || v.Max != 0.01 || !math.IsNaN(c[3].At) {
		t.Errorf("%+v", c[3])
	}
	if !c[4].None || c[4].Value.Given() || c[4].Quantity != protection.Detect {
		t.Errorf("%+v", c[4])
	}
	if c[5].Kind != claim.Requirement || c[5].At != 313.15 {
		t.Errorf("%+v", c[5])
	}
	// What somebody else printed is kept as it is, out of order or not.
	if v := c[7].Value; v.Min != 4.17 || v.Typ != 4.12 || c[7].Note != "as printed" || c[7].Cell != 3 {
		t.Errorf("%+v", c[7])
	}
	if c[0].Place.String() != "claims.yaml:4:56" {
		t.Errorf("place %s", c[0].Place)
	}
}

// A trip current is often stated as the voltage that trips.
func TestUnitOfAnotherQuantity(t *testing.T) {
	var list finding.List
	Read("claims.yaml", []byte("cupel: 1\nfigures:\n  - {protection: discharge-overcurrent, stated: 100 mV ±15 mV}\n"), 5, &list)
	if len(list) != 1 || !strings.Contains(list[0].Do, "quantity: sensed_voltage") {
		t.Errorf("%+v", list)
	}
}

func TestSchemaIsTheReaders(t *testing.T) {
	var v any
	if err := yaml.Unmarshal([]byte(good), &v); err != nil {
		t.Fatal(err)
	}
	if bad := shapetest.Check(Schema(), v); len(bad) != 0 {
		t.Errorf("%q", bad)
	}
	var list finding.List
	Read("claims.yaml", []byte("source: {where: x}\nfigures: [{note: a}]\n"), 0, &list)
	for _, key := range append(append(fileFields.Needed(), sourceFields.Needed()...), figureFields.Needed()...) {
		if key != "figures" && !strings.Contains(listing(list), fmt.Sprintf("needs the key %q", key)) {
			t.Errorf("the reader does not ask for %s: %s", key, listing(list))
		}
	}
}

func TestCodesAreListed(t *testing.T) {
	for i, c := range Codes() {
		if c.Meaning == "" || c.Code != fmt.Sprintf("C%d", 101+i) {
			t.Errorf("code %+v", c)
		}
	}
}

// Nothing crashes the reader, and what it hands out can be judged.
func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	a, err := txtar.ParseFile("testdata/figures.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for i := 0; i < len(a.Files); i += 2 {
		f.Add(a.Files[i].Data)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var list finding.List
		for _, c := range Read("claims.yaml", src, 5, &list).Claims {
			if c.None == c.Value.Given() {
				t.Errorf("%+v states neither or both", c)
			}
			if c.Unit() == "" {
				t.Errorf("%+v has no unit", c)
			}
			p := claim.Prediction{
				Trial: c.Protection, Quantity: c.Quantity, Cell: c.Cell, Stage: c.Stage, State: c.State,
				Temperature: c.Temperature(), Outcome: protection.Found, Value: 1, Low: math.NaN(), High: math.NaN(),
			}
			if j := claim.Judge(c, []claim.Prediction{p}); j.Verdict == "" || j.Verdict == claim.NotTested || j.Reason == "" {
				t.Errorf("%+v: %+v", c, j)
			}
		}
		for _, x := range list {
			if x.Place.File == "" || x.Code == "" {
				t.Errorf("%+v", x)
			}
		}
	})
}
