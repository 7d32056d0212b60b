package report

import (
	"strings"

	"cupel/internal/answer"
)

// Sheets prints which part sheets there are, and the pins to be named.
func Sheets(a answer.SheetList) string {
	g := grid{columns: []column{{head: "sheet"}, {head: "what", width: 40}, {head: "pins", width: 25}}}
	for _, s := range a.Sheets {
		g.row(s.Name, string(s.Title), strings.Join(s.Pins, " "))
	}
	return plain(g.String(), paragraph("", "To look into one, or to begin one of your own from it: cupel schema part --sheet NAME"))
}
