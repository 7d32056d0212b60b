package study

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/claim/audit"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/finding"
)

// claimsOnly is a dossier of one text of claims, without a board.
func claimsOnly(text string) fs.FS {
	return fstest.MapFS{"claims.yaml": {Data: []byte(text)}}
}

// The demo boards' tables are true with themselves, but for the planted one:
// of its three faults the audit sees the one that stands in the table. What
// the gates' low tap and the shifter's resistor do shows in the trials alone,
// see TestPlantedFaultsShow.
func TestAuditOfDemos(t *testing.T) {
	infos, err := demo.List()
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range infos {
		tree, _ := demo.Tree(i.Name)
		d, err := dossier.Read(tree)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Audit(d)
		if err != nil {
			t.Fatal(err)
		}
		if string(a.Board) != i.Name || a.Answer != "audit" || a.Inputs == "" || !a.Complete {
			t.Errorf("%+v", a.Head)
		}
		var codes []string
		for _, f := range a.Findings {
			codes = append(codes, string(f.Code)+" "+f.Level)
		}
		want := ""
		if i.Planted {
			want = audit.BalanceAboveOvercharge + " error"
		}
		if got := strings.Join(codes, ", "); got != want {
			t.Errorf("%s: found %q, want %q", i.Name, got, want)
		}
	}
}

// A table can be audited before there is a board: its cells are counted in the
// table then.
func TestAuditWithoutBoard(t *testing.T) {
	d, err := dossier.Read(claimsOnly(`cupel: 1
about: {cells: 4}
figures:
  - {protection: overcharge, stated: 4.20/4.25/4.30 V}
  - {protection: continuous, quantity: charge_voltage, stated: 18.1 V}
`))
	if err != nil {
		t.Fatal(err)
	}
	a, err := Audit(d)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range a.Findings {
		if string(f.Code) != audit.ChargerAboveOvercharge {
			continue
		}
		if f.Arithmetic != "18.1 V ÷ 4 = 4.525 V > 4.20 V" || *f.Line != 5 || !strings.Contains(string(f.Source), "18.1 V") ||
			len(f.Figures) != 2 || *f.Figures[0].Value != 18.1 || f.Figures[0].Unit != "V" {
			t.Errorf("%+v", f)
		}
		return
	}
	t.Errorf("%+v", a.Findings)
}

// What is wrong with the texts is an error, also where nothing is there at all.
func TestAuditOfWrongTexts(t *testing.T) {
	for _, tree := range []fs.FS{
		claimsOnly("cupel: 1\nfigures: [{protection: overchrage, stated: 4 V}]\n"),
		fstest.MapFS{},
		fstest.MapFS{"board.yaml": {Data: []byte("cupel: 1\nboard: x\n")}, "claims.yaml": {Data: []byte("cupel: 1\nfigures: []\n")}},
	} {
		d, err := dossier.Read(tree)
		if err != nil {
			t.Fatal(err)
		}
		var wrong *finding.Errors
		if _, err := Audit(d); !errors.As(err, &wrong) {
			t.Errorf("%v", err)
		}
	}
}

// A figure that is stated twice is a warning of the text, and stands among the
// findings.
func TestAuditHandsOnWarnings(t *testing.T) {
	d, err := dossier.Read(claimsOnly("cupel: 1\nfigures:\n  - {protection: balance, stated: none}\n  - {protection: balance, stated: none}\n"))
	if err != nil {
		t.Fatal(err)
	}
	a, err := Audit(d)
	if err != nil || a.Findings[len(a.Findings)-1].Code != "C103" {
		t.Errorf("%v %+v", err, a.Findings)
	}
}
