package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"cupel/internal/board/boardfile"
	"cupel/internal/dossier"
	"cupel/internal/dossier/folder"
	"cupel/internal/finding"
	"cupel/internal/trial/rig"
)

// where is the folder a command speaks of: its argument, or the present one if
// that holds a board.
func where(args []string) (string, error) {
	if len(args) > 0 {
		return args[0], nil
	}
	if _, err := os.Stat(boardfile.Name); err == nil {
		return ".", nil
	}
	return "", wrong("name the folder of a dossier; to see one: cupel demo", "no DIR was given and there is no %s here", boardfile.Name)
}

// open reads the dossier a command speaks of.
func open(args []string) (dir string, d *dossier.Dossier, err error) {
	dir, err = where(args)
	if err != nil {
		return "", nil, err
	}
	d, err = folder.Read(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil, wrong("to begin one: cupel new "+dir, "there is no folder %s", dir)
	case err != nil:
		return "", nil, wrong("", "%w", err)
	}
	return dir, d, nil
}

// subject is open for a command that prints one answer: it says early that --out may
// not be replaced.
func (a *app) subject(args []string) (*dossier.Dossier, error) {
	if err := a.free(a.out); err != nil {
		return nil, err
	}
	_, d, err := open(args)
	return d, err
}

// judge turns what a study returns as an error into an exit: mistakes in the
// texts are the person's, a board that finds no rest was not computed.
func judge(err error) error {
	var mistakes *finding.Errors
	var not *rig.NotComputed
	switch {
	case err == nil:
		return nil
	case errors.As(err, &mistakes):
		return &exit{status: Wrong, err: errors.New(mistakes.List.Summary() + ": nothing was computed"), findings: mistakes.List}
	case errors.As(err, &not):
		return &exit{
			status: NotComputed, err: errors.New("not computed: " + not.Text),
			do: "look at the parts and nets it names: a net without a path to B−, a part the wrong way round",
		}
	}
	return err
}

// in is the name of a file in a folder, as a person would write it.
func in(dir, name string) string { return filepath.Join(dir, name) }
