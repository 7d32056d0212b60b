package role_test

import (
	"strings"
	"testing"

	"cupel/internal/explain/role"
	"cupel/internal/finding"
)

// TestSaid holds that a person's word stands over what was found, which is kept,
// and that a mistake in it is told with its place.
func TestSaid(t *testing.T) {
	d := open(t, "hive-3s")
	var list finding.List
	said := role.ReadSaid("roles.yaml", []byte("cupel: 1\nroles:\n  R8: {role: snubber, block: load port, reason: seen on the maker's drawing}\n"), d.Board, &list)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	for _, p := range role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Said: said}) {
		if p.Ref != "R8" {
			continue
		}
		if p.Role != "snubber" || p.Block != "load port" || p.Grade != "assumed" || p.Reason != "seen on the maker's drawing" {
			t.Errorf("R8 is %+v", p)
		}
		if p.Evidence[0].Kind != role.ByPerson || !strings.Contains(p.Sentence, "Found was: gate bleed") {
			t.Errorf("what was found is gone: %s %v", p.Sentence, p.Evidence)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"cupel: 2\nroles: {R8: {role: a, reason: b}}", role.SaidVersion},
		{"cupel: 1\nroles: {R800: {role: a, reason: b}}", role.SaidNoPart},
		{"cupel: 1\nroles: {R8: {role: a}}", "T"},
		{"cupel: 1\nroles: {R8: {role: a, reason: b, cel: 2}}", "T"},
		{"cupel: 1\nroles: {R8: {role: a, reason: b, cell: 9}}", "T"},
	} {
		var list finding.List
		role.ReadSaid("roles.yaml", []byte(c.text), d.Board, &list)
		if !list.Has(finding.Error) || !strings.HasPrefix(list[0].Code, c.want) || list[0].Place.Line == 0 {
			t.Errorf("%q: %v", c.text, list)
		}
	}
}
