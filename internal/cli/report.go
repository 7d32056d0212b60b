package cli

import (
	"bytes"
	"fmt"
	"path/filepath"

	"cupel/internal/answer"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

// reportName is the name of the report in a dossier's folder.
const reportName = "report.html"

func (a *app) reportCommand() *cobra.Command {
	var q asked
	c := &cobra.Command{
		Use: "report [DIR]", Short: "write what predict finds as one page for a browser and for paper", GroupID: groupPublish,
		Long: `Predict, and write the result as one page with tables and figures that opens from a file, needs no
script and prints on A4. It goes to DIR/report.html unless --out names another file.`,
		Example: "cupel report sluice-5s --out sluice.html",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir, d, err := open(args)
			if err != nil {
				return err
			}
			path := a.out
			if path == "" {
				path = in(dir, reportName)
			}
			if err := a.free(path); err != nil {
				return err
			}
			p, err := a.predict(c.Context(), d, q)
			if err != nil {
				return err
			}
			if err := a.writeReport(path, p); err != nil {
				return err
			}
			return verdict(p.Answer, false)
		},
	}
	q.flags(c)
	return c
}

// writeReport writes the page and says where it is.
func (a *app) writeReport(path string, p study.Prediction) error {
	var b bytes.Buffer
	if err := report.Page(&b, p.Answer, p.Waveforms); err != nil {
		return err
	}
	if path == "-" {
		_, err := a.Out.Write(b.Bytes())
		return err
	}
	if err := a.write(path, b.Bytes()); err != nil {
		return err
	}
	if !a.json {
		fmt.Fprintln(a.Out, path)
		return nil
	}
	return answer.Encode(a.Out, answer.Files{
		Head:  answer.Head{Cupel: answer.Format, Answer: "report", Board: p.Answer.Board, Inputs: p.Answer.Inputs, Complete: p.Answer.Complete},
		Files: answer.List[string]{filepath.Base(path)},
	})
}
