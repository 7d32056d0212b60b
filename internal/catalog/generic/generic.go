// Package generic holds the part sheets that come with Cupel: no real type, but
// what is typical of a class. A result that rests on one says so.
package generic

import (
	"embed"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"cupel/internal/catalog"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/finding"
)

//go:embed sheets/*.yaml
var sheets embed.FS

const (
	folder = "sheets/"
	ending = ".yaml"
)

// Names lists the sheets in order.
func Names() []string {
	files, _ := fs.Glob(sheets, folder+"*"+ending) // the pattern is well formed
	for i, f := range files {
		files[i] = strings.TrimSuffix(strings.TrimPrefix(f, folder), ending)
	}
	return files
}

// Text returns the text of a sheet, for a dossier to start its own from.
func Text(name string) ([]byte, bool) {
	src, err := fs.ReadFile(sheets, folder+name+ending)
	return src, err == nil
}

var read sync.Map // name to *catalog.Sheet

// Sheet returns the sheet of that name. It is shared: do not change it.
func Sheet(name string) (*catalog.Sheet, bool) {
	if s, ok := read.Load(name); ok {
		return s.(*catalog.Sheet), true
	}
	src, ok := Text(name)
	if !ok {
		return nil, false
	}
	var list finding.List
	s := sheetfile.Read(name+ending, src, &list)
	if err := list.Err(); err != nil {
		panic("generic sheet: " + err.Error()) // a test reads every one of them
	}
	s.Generic = true
	kept, _ := read.LoadOrStore(name, s)
	return kept.(*catalog.Sheet), true
}

// Sheets are the sheets a dossier brings along, and behind them the generic
// ones. The zero value has the generic ones alone.
type Sheets struct{ Own map[string]*catalog.Sheet }

// Sheet returns the dossier's sheet of that name, else the generic one.
func (s Sheets) Sheet(name string) (*catalog.Sheet, bool) {
	if own, ok := s.Own[name]; ok {
		return own, true
	}
	return Sheet(name)
}

// Names lists all names in order.
func (s Sheets) Names() []string {
	names := Names()
	for name := range s.Own {
		names = append(names, name)
	}
	slices.Sort(names)
	return slices.Compact(names)
}
