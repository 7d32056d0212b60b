package cli

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"cupel/internal/answer"
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
	if path == "" || path == "-" || a.force {
		return nil
	}
	switch _, err := os.Lstat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return wrong("", "%w", err)
	}
	return wrong("name another, or add --force", "%s exists", path)
}

// write puts b into the file path whole or not at all: it is written beside
// and renamed.
func (a *app) write(path string, b []byte) error {
	if err := a.free(path); err != nil {
		return err
	}
	if err := replace(path, b); err != nil {
		return wrong("", "%w", err)
	}
	return nil
}

func replace(path string, b []byte) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = io.Copy(f, bytes.NewReader(b))
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
