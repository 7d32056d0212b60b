// Package folder keeps a dossier on disk: it makes one, saves its texts so that
// a crash leaves the old or the new text and never half of one, and holds a
// lock while somebody edits it.
package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"cupel/internal/dossier"
)

// Read reads the dossier in dir.
func Read(dir string) (*dossier.Dossier, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("%s is a file, expected the folder of a dossier", dir)
	}
	return dossier.Read(os.DirFS(dir))
}

// NotEmpty is the error of [Create] for a folder that holds something.
type NotEmpty struct{ Dir, Holds string }

func (e *NotEmpty) Error() string {
	return fmt.Sprintf("%s is not empty, it holds %s: name a new or an empty folder", e.Dir, e.Holds)
}

// Create makes a dossier of texts in dir, which must be empty or not there yet.
// It touches nothing in a folder that holds anything, and takes away what it
// wrote when it cannot finish.
func Create(dir string, texts map[string][]byte) (err error) {
	for name := range texts {
		if err := checkName(name); err != nil {
			return err
		}
	}
	made, err := emptyDir(dir)
	if err != nil {
		return err
	}
	var undo []string
	if made {
		undo = append(undo, dir)
	}
	defer func() {
		if err != nil {
			for _, p := range slices.Backward(undo) {
				os.Remove(p) // what cannot be taken away stays for its owner to see
			}
		}
	}()
	for _, name := range sorted(texts) {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if sub := filepath.Dir(file); sub != dir {
			if err := os.Mkdir(sub, 0o777); err == nil {
				undo = append(undo, sub)
			} else if !errors.Is(err, fs.ErrExist) {
				return err
			}
		}
		undo = append(undo, file)
		if err := Save(dir, name, texts[name]); err != nil {
			return err
		}
	}
	return nil
}

func sorted(texts map[string][]byte) []string {
	names := make([]string, 0, len(texts))
	for n := range texts {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// emptyDir makes sure that dir is there and empty; made says that it was not
// there before.
func emptyDir(dir string) (made bool, err error) {
	f, err := os.Open(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return true, os.MkdirAll(dir, 0o777)
	}
	if err != nil {
		return false, err
	}
	defer f.Close()
	first, err := f.Readdirnames(1)
	switch {
	case len(first) > 0:
		return false, &NotEmpty{Dir: dir, Holds: first[0]}
	case err != nil && err != io.EOF:
		return false, err
	}
	return false, nil
}

// checkName refuses names that would lie outside the dossier's folder, or where
// no dossier has a text.
func checkName(name string) error {
	folder, base := path.Split(name)
	if !fs.ValidPath(name) || !filepath.IsLocal(filepath.FromSlash(name)) || strings.HasPrefix(base, ".") ||
		folder != "" && folder != dossier.Parts+"/" {
		return fmt.Errorf("%q is no name of a dossier's text", name)
	}
	return nil
}
