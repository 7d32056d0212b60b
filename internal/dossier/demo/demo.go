// Package demo embeds the demo dossiers: boards of our own in scenarios of our
// own, ready to be written into a folder or read where they lie.
package demo

import (
	"embed"
	"io/fs"
	"path"
	"slices"

	"cupel/internal/dossier"
)

//go:embed boards
var boards embed.FS

const root = "boards"

// names lists the demo boards, the one shown when none is asked for first.
var names = []string{"sluice-5s", "hive-3s", "dome-8s", "trolley-10s"}

// planted names those with faults put into them on purpose: their texts are
// sound, and what is wrong is for the audit and the trials to find.
var planted = map[string]bool{"trolley-10s": true}

// Info is one demo board.
type Info struct {
	Name, Title string
	Cells       int
	// Planted is true where faults were put into the board on purpose.
	Planted bool
}

// Default is the demo board shown when none is asked for.
func Default() string { return names[0] }

// Names lists the demo boards.
func Names() []string { return slices.Clone(names) }

// Sound lists those without planted faults.
func Sound() []string {
	return slices.DeleteFunc(Names(), func(name string) bool { return planted[name] })
}

// Tree returns the dossier of that name as a file tree.
func Tree(name string) (fs.FS, bool) {
	if !slices.Contains(names, name) {
		return nil, false
	}
	tree, err := fs.Sub(boards, path.Join(root, name))
	return tree, err == nil
}

// Texts returns the texts of the dossier of that name, by their names in it.
func Texts(name string) (map[string][]byte, bool) {
	tree, ok := Tree(name)
	if !ok {
		return nil, false
	}
	texts := map[string][]byte{}
	err := fs.WalkDir(tree, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		texts[p], err = fs.ReadFile(tree, p)
		return err
	})
	return texts, err == nil
}

// List describes the demo boards, in the order of Names.
func List() ([]Info, error) {
	var out []Info
	for _, n := range names {
		tree, _ := Tree(n)
		d, err := dossier.Read(tree)
		if err != nil {
			return nil, err
		}
		if err := d.Findings.Err(); err != nil {
			return nil, err
		}
		out = append(out, Info{Name: n, Title: d.Board.Title, Cells: d.Board.Cells, Planted: planted[n]})
	}
	return out, nil
}
