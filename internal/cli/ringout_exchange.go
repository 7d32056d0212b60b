package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier/folder"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) ringoutImportCommand() *cobra.Command {
	var q seen
	c := &cobra.Command{
		Use: "import DIR FILE", Short: "take in readings or places of pads from a file",
		Long: `Take in what was written elsewhere; the first line of FILE says what it is. Readings: a log as ringout.csv, or
a spreadsheet saved as CSV with the columns a,b,result,note. They are added behind those there are, under new
numbers. Pads: the columns pad,side,x_mm,y_mm,note, or records of IPC-D-356A, of which only the places are taken.
They go into pads.csv; pads that no part brings, as vias and test points, are added. If one line is wrong,
nothing is taken in.`,
		Example: "cupel ringout import sluice-5s beeps.csv",
		Args:    exactly(2),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			src, err := os.ReadFile(args[1])
			if err != nil {
				return wrong("", "%w", err)
			}
			in, err := study.RingoutImport(args[1], src)
			if err != nil {
				return judge(err)
			}
			return a.takeIn(args[0], in, &q)
		},
	}
	q.flags(c)
	return c
}

func (a *app) takeIn(dir string, in study.Imported, q *seen) error {
	r, err := a.ringoutToWrite([]string{dir}, session.Options{})
	if err != nil {
		return err
	}
	nets := len(r.session.Copper().Roots())
	added, err := r.takeIn(in, q)
	if err := errors.Join(asWrong(err), r.close()); err != nil {
		return err
	}
	return a.printAdded(r, added, nets)
}

// takeIn keeps pads first: readings may name them. All readings are tried before
// one is kept.
func (r *ringing) takeIn(in study.Imported, q *seen) ([]ringout.Entry, error) {
	if len(in.Pads) > 0 {
		var b bytes.Buffer
		if err := ringout.WritePads(&b, ringout.MergePads(r.dossier.Pads, in.Pads)); err != nil {
			return nil, err
		}
		if err := folder.Save(r.dir, ringout.PadsName, b.Bytes()); err != nil {
			return nil, err
		}
	}
	var all []ringout.Entry
	for i, e := range in.Entries {
		e, err := r.brought(e, q)
		if err != nil {
			return nil, err
		}
		e.Number = r.session.Log().Next() + i
		if err := r.session.Copper().Holds(e); err != nil {
			return nil, fmt.Errorf("reading %d of the file: %w", i+1, err)
		}
		all = append(all, e)
	}
	var added []ringout.Entry
	for _, e := range all {
		e, err := r.session.Add(e, r.keep)
		if err != nil {
			return added, err
		}
		added = append(added, e)
	}
	return added, nil
}

// brought is a reading with what the flags say, where it does not say itself.
func (r *ringing) brought(e ringout.Entry, q *seen) (ringout.Entry, error) {
	with, err := q.entry(ringout.Entry{}, r.session.Log())
	if err != nil {
		return e, err
	}
	if e.By == "" {
		e.By = with.By
	}
	if e.When == "" {
		e.When = with.When
	}
	if e.Meter == (ringout.Meter{}) {
		e.Meter = with.Meter
	}
	if e.Note == "" {
		e.Note = with.Note
	}
	return e, nil
}

// The forms of an export.
const (
	asCSV     = "csv"
	asIPCD356 = "ipc-d-356a"
)

func (a *app) ringoutExportCommand() *cobra.Command {
	as := asCSV
	c := &cobra.Command{
		Use: "export DIR [--as FORM]", Short: "give the nets that the readings show to another program",
		Long: `Print the nets that the readings show, pad by pad: as CSV (RFC 4180) with grades and the entries that prove
them, or as records of IPC-D-356A for the tester of bare boards. board.yaml is not asked and not changed, but for
the names of nets. The readings themselves are in ringout.csv, which is CSV too.`,
		Example: "cupel ringout export sluice-5s --as ipc-d-356a --out sluice-5s.356",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			r, err := a.ringout(args, session.Options{})
			if err != nil {
				return err
			}
			var ans answer.Nets
			switch as {
			case asCSV:
				ans = study.RingoutTable(r.dossier, r.session)
			case asIPCD356:
				ans, err = study.RingoutRecords(r.dossier, r.session)
			default:
				err = wrong("one of: "+strings.Join([]string{asCSV, asIPCD356}, ", "), "--as: there is no form %q", as)
			}
			if err != nil {
				return asWrong(err)
			}
			return a.print(ans, func() string { return ans.Records })
		},
	}
	c.Flags().StringVar(&as, "as", as, "`FORM` is csv or ipc-d-356a")
	return c
}
