package dossier

import (
	"maps"
	"path"
	"slices"
)

// OfTexts is the dossier of texts that are in memory already, named as in
// Dossier.Texts.
func OfTexts(texts map[string][]byte) *Dossier {
	d := &Dossier{Texts: maps.Clone(texts), Sheets: newSheets()}
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		if path.Dir(name) == Parts {
			d.readSheet(name)
		}
	}
	d.understand()
	return d
}
