package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Appender writes lines behind a text of a dossier. A line counts as written
// once it is on the disk: a crash leaves every line that [Appender.Write]
// returned for, and of the next one a torn piece at most.
type Appender struct {
	file *os.File
	end  int64 // how much of the file is whole lines
}

// Append opens the text called name for lines to be added. The first sound bytes
// of it stay; what stands behind, a line that a crash tore, is cut off. A text
// of which nothing is whole begins anew with head. Hold the lock meanwhile.
func Append(dir, name string, sound int, head []byte) (*Appender, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	file := filepath.Join(dir, filepath.FromSlash(name))
	switch info, err := os.Stat(file); {
	case errors.Is(err, fs.ErrNotExist) || err == nil && sound == 0:
		// By a rename, so that the head is never torn again.
		if err := Save(dir, name, head); err != nil {
			return nil, err
		}
		sound = len(head)
	case err != nil:
		return nil, err
	case info.Size() < int64(sound):
		return nil, fmt.Errorf("%s has become shorter since it was read: read it again", file)
	}
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	if err != nil {
		return nil, err
	}
	a := &Appender{file: f, end: int64(sound)}
	if err := a.cut(); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return a, nil
}

// cut takes away what stands behind the whole lines.
func (a *Appender) cut() error {
	info, err := a.file.Stat()
	if err != nil {
		return err
	}
	if info.Size() > a.end {
		if err := a.file.Truncate(a.end); err != nil {
			return err
		}
	}
	return a.file.Sync()
}

// Write adds whole lines, and returns once they are on the disk. After an error
// the text is as before, so that the same line can be written again.
func (a *Appender) Write(lines []byte) (int, error) {
	n, err := a.file.WriteAt(lines, a.end)
	if err == nil {
		err = a.file.Sync()
	}
	if err != nil {
		return n, errors.Join(err, a.cut())
	}
	a.end += int64(n)
	return n, nil
}

// Close closes the text.
func (a *Appender) Close() error { return a.file.Close() }
