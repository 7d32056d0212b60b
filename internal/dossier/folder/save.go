package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// Save writes the text called name ("board.yaml", "parts/x.yaml") of the
// dossier in dir. It writes beside the old text, forces that to disk and then
// takes its place: whatever happens, one of the two is there in full.
func Save(dir, name string, text []byte) error {
	if err := checkName(name); err != nil {
		return err
	}
	return Replace(filepath.Join(dir, filepath.FromSlash(name)), text)
}

// Replace writes a file the way [Save] does, wherever it lies.
func Replace(file string, text []byte) (err error) {
	// A link stays a link: the text it leads to is replaced.
	if real, err := filepath.EvalSymlinks(file); err == nil {
		file = real
	}
	folder := filepath.Dir(file)
	tmp, err := beside(file)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			tmp.Close()
			os.Remove(tmp.Name())
		}
	}()
	if _, err = tmp.Write(text); err != nil {
		return err
	}
	if info, statErr := os.Stat(file); statErr == nil {
		if err = tmp.Chmod(info.Mode().Perm()); err != nil {
			return err
		}
	}
	if err = tmp.Sync(); err != nil {
		return err
	}
	if err = tmp.Close(); err != nil {
		return err
	}
	if err = os.Rename(tmp.Name(), file); err != nil {
		return err
	}
	return syncDir(folder)
}

// beside makes a file beside another, with the rights that any new file gets.
func beside(file string) (*os.File, error) {
	const tries = 1000 // as many leftovers of crashes with the same process number are not to be expected
	var err error
	for n := range tries {
		name := fmt.Sprintf(".%s.%d-%d.new", filepath.Base(file), os.Getpid(), n)
		var f *os.File
		f, err = os.OpenFile(filepath.Join(filepath.Dir(file), name), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, err
}

// syncDir forces a renamed entry to disk. Windows keeps its folders itself and
// opens none; some file systems know no such call.
func syncDir(folder string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(folder)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}
