package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

// demoSamples is how many boards a first look draws: enough for a histogram with
// a shape (study leaves out one of fewer than twelve values), few enough that
// nobody waits for it.
const demoSamples = 12

func (a *app) demoCommand() *cobra.Command {
	var name string
	var list bool
	var workers, samples int
	var open bool
	var q serving
	c := &cobra.Command{
		Use: "demo [DIR] [--board NAME] [--list] [--serve]", Short: "write a demo dossier, predict it, and report", GroupID: groupStart,
		Long: `Write the dossier of a demo board into DIR, which must be empty or not there yet (without DIR: a new
folder named after the board), check it, run every trial, print the table and write DIR/report.html.
A first look at tolerances is in it: some random boards under the trials of cell voltages and of the load's
current, without the worst corners that "cupel predict --samples" searches.
With --serve its pages are opened instead, as "cupel serve DIR" does.`,
		Example: "cupel demo shed --board hive-3s",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			if list {
				return a.listDemos()
			}
			if open {
				return a.serveDemo(c.Context(), args, name, q)
			}
			return a.demo(c.Context(), args, name, asked{workers: workers, samples: samples, seed: 1, rough: true})
		},
	}
	c.Flags().StringVar(&name, "board", demo.Default(), "the demo board `NAME`")
	c.Flags().IntVar(&workers, "workers", 0, workersUsage)
	c.Flags().BoolVar(&open, "serve", false, "serve the pages of the demo board")
	q.flags(c)
	c.Flags().IntVar(&samples, "samples", demoSamples, "draw `N` random boards for the first look; 0: typical parts only")
	c.Flags().BoolVar(&list, "list", false, "list the demo boards and write nothing")
	_ = c.RegisterFlagCompletionFunc("board", cobra.FixedCompletions(demo.Names(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

func (a *app) listDemos() error {
	infos, err := demo.List()
	if err != nil {
		return err
	}
	ans := answer.DemoList{Head: answer.NewHead("demo --list", "", "")}
	for _, i := range infos {
		ans.Boards = append(ans.Boards, answer.DemoBoard{Name: i.Name, Cells: i.Cells, Planted: i.Planted, Title: answer.Text(i.Title)})
	}
	return a.print(ans, func() string {
		var b strings.Builder
		for _, d := range ans.Boards {
			fmt.Fprintf(&b, "%-12s %2d cells  %s\n", d.Name, d.Cells, d.Title)
		}
		return b.String()
	})
}

// demo is the whole way in one command. It ends well whatever the verdicts:
// that a stated figure fails is what it shows.
func (a *app) demo(ctx context.Context, args []string, name string, q asked) error {
	if err := a.free(a.out); err != nil {
		return err
	}
	dir, texts, err := demoIn(args, name)
	if err != nil {
		return err
	}
	d, err := folder.Read(dir)
	if err != nil {
		return err
	}
	check, err := study.Check(d)
	if err != nil {
		return judge(err)
	}
	p, err := a.predict(ctx, d, q)
	if err != nil {
		return err
	}
	if err := a.printDemo(dir, slices.Sorted(maps.Keys(texts)), check, p); err != nil {
		return err
	}
	if !p.Answer.Complete {
		return &exit{status: Stopped}
	}
	return nil
}

// demoIn writes the dossier of a demo board into the folder of the arguments, or
// into one named after the board.
func demoIn(args []string, name string) (dir string, texts map[string][]byte, err error) {
	texts, ok := demo.Texts(name)
	if !ok {
		do := "one of: " + strings.Join(demo.Names(), ", ")
		if near := finding.Nearest(name, demo.Names()); near != "" {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		return "", nil, wrong(do, "there is no demo board %q", name)
	}
	dir = name
	if len(args) > 0 {
		dir = args[0]
	}
	return dir, texts, create(dir, texts)
}

// serveDemo writes the demo dossier and serves its pages. One that is there from
// the time before is served as it was left.
func (a *app) serveDemo(ctx context.Context, args []string, name string, q serving) error {
	dir := append(first(args), name)[0]
	if d, err := folder.Read(dir); err == nil && d.Board.Name == name {
		return a.serve(ctx, dir, q)
	}
	dir, _, err := demoIn(args, name)
	if err != nil {
		return err
	}
	return a.serve(ctx, dir, q)
}

// create writes a new dossier; a folder that holds anything is not touched.
func create(dir string, texts map[string][]byte) error {
	err := folder.Create(dir, texts)
	var full *folder.NotEmpty
	if errors.As(err, &full) {
		return wrong("name a folder that is empty or not there yet", "%s is not empty: it holds %s", dir, full.Holds)
	}
	if err != nil {
		return wrong("", "%w", err)
	}
	return nil
}

func (a *app) printDemo(dir string, files []string, check answer.Check, p study.Prediction) error {
	var page bytes.Buffer
	if err := report.Page(&page, p.Answer, p.Waveforms); err != nil {
		return err
	}
	path := in(dir, reportName)
	if err := folder.Replace(path, page.Bytes()); err != nil {
		return wrong("", "%w", err)
	}
	ans := answer.Demo{Head: p.Answer.Head, Files: files, Report: reportName, Prediction: p.Answer.Prediction}
	ans.Answer = "demo"
	ans.Findings = append(slices.Clone(check.Findings), ans.Findings...)
	return a.print(ans, func() string {
		return fmt.Sprintf("%s%s\nreport: %s\n", report.Findings(check.Findings), report.Summary(p.Answer), path)
	})
}
