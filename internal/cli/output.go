package cli

import (
	"bytes"
	"errors"
	"io/fs"
	"os"

	"cupel/internal/answer"
	"cupel/internal/dossier/folder"
)

// print prints an answer: as JSON, or as the text made from it.
func (a *app) print(ans any, text func() string) error {
	var b bytes.Buffer
	if a.json {
		if err := answer.Encode(&b, ans); err != nil {
			return err
		}
	} else {
		b.WriteString(text())
	}
	return a.deliver(b.Bytes())
}

// deliver writes what a command prints to stdout or to the file of --out.
func (a *app) deliver(b []byte) error {
	if a.out == "" || a.out == "-" {
		_, err := a.Out.Write(b)
		return err
	}
	return a.write(a.out, b)
}

// free says early that --out names a file that may not be replaced, before
// any work is done for it.
func (a *app) free(path string) error {
	if path == "" || path == "-" {
		return nil
	}
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return wrong("", "%w", err)
	case info.IsDir():
		return wrong("name a file in it", "%s is a folder", path)
	case a.force || !info.Mode().IsRegular():
		return nil
	}
	return wrong("name another, or add --force", "%s exists", path)
}

// write puts b into the file path whole or not at all. A pipe or a device is
// written to as it is: nothing may take its place.
func (a *app) write(path string, b []byte) error {
	if err := a.free(path); err != nil {
		return err
	}
	put := folder.Replace
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		put = func(path string, b []byte) error { return os.WriteFile(path, b, 0) }
	}
	if err := put(path, b); err != nil {
		return wrong("", "%w", err)
	}
	return nil
}
