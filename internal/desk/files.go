package desk

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
	"time"

	"cupel/internal/board/boardfile"
	"cupel/internal/board/photo/photofile"
	"cupel/internal/claim/claimfile"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
)

// read are the texts outside parts/ that make a dossier.
var read = map[string]bool{
	boardfile.Name: true, claimfile.Name: true, dossier.Roles: true, ringout.LogName: true, ringout.PadsName: true, photofile.Name: true,
}

// Limits of what is read into memory.
const (
	mostText  = 4 << 20  // bytes, as the reader of texts has it
	mostPhoto = 64 << 20 // bytes; 12 megapixels take 5 to 10 MB as JPEG
)

// stamp tells whether a file was written since it was read.
type stamp struct {
	size int64
	at   time.Time
}

// list finds the texts and photos of a folder.
func list(dir string) (map[string]stamp, error) {
	out := map[string]stamp{}
	for _, sub := range []string{"", dossier.Parts} {
		entries, err := os.ReadDir(filepath.Join(dir, sub))
		if errors.Is(err, fs.ErrNotExist) && sub != "" {
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			name := path.Join(sub, e.Name())
			if e.IsDir() || strings.HasPrefix(e.Name(), ".") || !isText(name) && (sub != "" || !isPhoto(name)) {
				continue
			}
			info, err := os.Stat(filepath.Join(dir, sub, e.Name()))
			if err != nil || !info.Mode().IsRegular() {
				continue // gone by now, or nothing to read
			}
			out[name] = stamp{info.Size(), info.ModTime()}
		}
	}
	return out, nil
}

// isText reports whether a file of that name is one of the texts kept here.
// A report or an exported file is made from the dossier and no part of it.
func isText(name string) bool {
	if path.Dir(name) == dossier.Parts {
		return path.Ext(name) == ".yaml"
	}
	return slices.Contains([]string{".yaml", ".csv", ".txt", ".md"}, path.Ext(name))
}

func isSheet(name string) bool { return path.Dir(name) == dossier.Parts && path.Ext(name) == ".yaml" }

func isPhoto(name string) bool {
	return slices.Contains([]string{".jpg", ".jpeg", ".png"}, strings.ToLower(path.Ext(name)))
}

func photos(found map[string]stamp) []string {
	var out []string
	for name := range found {
		if isPhoto(name) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// plain reports whether a name stays inside the folder and is not hidden.
func plain(name string) bool {
	folder, base := path.Split(name)
	return fs.ValidPath(name) && filepath.IsLocal(filepath.FromSlash(name)) && !strings.HasPrefix(base, ".") &&
		(folder == "" || folder == dossier.Parts+"/") && !strings.ContainsAny(name, "\\\x00")
}

// Allowed reports whether the desk keeps a file of that name.
func Allowed(name string) bool {
	return plain(name) && (isText(name) || isPhoto(name) && path.Dir(name) == ".")
}

// read reads a file of the folder whole, and no larger than it may be.
func (d *Desk) read(name string) ([]byte, error) {
	f, err := os.Open(filepath.Join(d.dir, filepath.FromSlash(name)))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	most := int64(mostText)
	if isPhoto(name) {
		most = mostPhoto
	}
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(text)) > most {
		return nil, fmt.Errorf("%s is larger than %d MB: make it smaller", name, most>>20)
	}
	return text, err
}

// mark remembers how a file was left, so that our own writing is not taken for
// somebody else's.
func (d *Desk) mark(name string) {
	info, err := os.Stat(filepath.Join(d.dir, filepath.FromSlash(name)))
	if err != nil {
		delete(d.seen, name)
		return
	}
	d.seen[name] = stamp{info.Size(), info.ModTime()}
}
