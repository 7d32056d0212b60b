package dossier

import (
	"slices"

	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
)

// Sheets finds part sheets by name: the dossier's own first, then the generic
// ones that come with Cupel.
type Sheets struct {
	own map[string]*catalog.Sheet
}

func newSheets() *Sheets { return &Sheets{own: map[string]*catalog.Sheet{}} }

// Sheet returns the sheet of that name.
func (s *Sheets) Sheet(name string) (*catalog.Sheet, bool) {
	if own, ok := s.own[name]; ok {
		return own, true
	}
	return generic.Sheet(name)
}

// Own lists the names of the dossier's own sheets, in order.
func (s *Sheets) Own() []string {
	names := make([]string, 0, len(s.own))
	for n := range s.own {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// Names lists the names of all sheets, each once, in order.
func (s *Sheets) Names() []string {
	names := append(s.Own(), generic.Names()...)
	slices.Sort(names)
	return slices.Compact(names)
}
