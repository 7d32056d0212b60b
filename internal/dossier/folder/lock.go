package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// LockName is the file that says that somebody edits the dossier. It holds the
// number of the process.
const LockName = ".cupel-lock"

// Lock is a held lock.
type Lock struct{ file string }

// InUse is the error of [Acquire] for a dossier that somebody edits.
type InUse struct {
	File    string
	Process int // 0 if the file does not say
}

func (e *InUse) Error() string {
	who := "another program"
	if e.Process != 0 {
		who = fmt.Sprintf("process %d", e.Process)
	}
	return fmt.Sprintf("the dossier is open in %s: close it there, or delete %s if that program is gone", who, e.File)
}

// Acquire takes the lock of the dossier in dir. A lock left behind by a process
// of this machine that is gone is taken over. Readers need no lock: a text is
// replaced as a whole.
func Acquire(dir string) (*Lock, error) {
	file := filepath.Join(dir, LockName)
	for range 2 {
		err := writeLock(file)
		if err == nil {
			return &Lock{file}, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		process := holder(file)
		if process == 0 || alive(process) {
			return nil, &InUse{File: file, Process: process}
		}
		if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	return nil, &InUse{File: file}
}

// writeLock makes the lock file, which must not be there.
func writeLock(file string) error {
	f, err := os.OpenFile(file, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(f, "%d\n", os.Getpid())
	if err := errors.Join(err, f.Close()); err != nil {
		os.Remove(file)
		return err
	}
	return nil
}

// holder is the process that a lock names, 0 when it names none.
func holder(file string) int {
	text, err := os.ReadFile(file)
	if err != nil {
		return 0
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || n < 1 {
		return 0
	}
	return n
}

// alive reports whether the process may still be there; in doubt it is.
func alive(process int) bool {
	p, err := os.FindProcess(process)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}

// Release gives the lock back.
func (l *Lock) Release() error { return os.Remove(l.file) }
