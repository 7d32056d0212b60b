package study

import (
	"cupel/internal/answer"
	"cupel/internal/catalog/generic"
)

// Sheets lists the part sheets that come with Cupel, by kind.
func Sheets() answer.SheetList {
	a := answer.SheetList{Head: answer.NewHead("schema part --list", "", "")}
	for _, name := range generic.Names() {
		s, _ := generic.Sheet(name)
		a.Sheets = append(a.Sheets, answer.SheetName{Name: name, Kind: string(s.Kind), Title: answer.Text(s.Title), Pins: s.Pins})
	}
	return a
}
