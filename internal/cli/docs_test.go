package cli

import (
	"bufio"
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"
)

// everyCommand visits the commands a person can type, in the order of help.
func everyCommand(visit func(*cobra.Command)) {
	a := &app{Streams: Streams{In: strings.NewReader(""), Out: &bytes.Buffer{}, Err: &bytes.Buffer{}}}
	walk(a.root(), func(c *cobra.Command) {
		if !c.Hidden {
			visit(c)
		}
	})
}

// TestDocs holds docs/cli.md equal to the help texts; -update rewrites it.
func TestDocs(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("# The command line\n\nThe help texts of every command. A test keeps this page equal to them.\n")
	everyCommand(func(c *cobra.Command) {
		var help bytes.Buffer
		c.SetOut(&help)
		if err := c.Help(); err != nil {
			t.Fatal(err)
		}
		b.WriteString("\n## " + c.CommandPath() + "\n\n```\n" + strings.TrimSpace(help.String()) + "\n```\n")
	})
	b.WriteString(statuses)
	path := filepath.Join("..", "..", "docs", "cli.md")
	if *updateDocs {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(b.String(), string(got)); d != "" {
		t.Errorf("docs/cli.md is not what help says; run: go test ./internal/cli -run Docs -update\n%s", d)
	}
}

const statuses = `
## Exit status

| status | when |
|---|---|
| 0 | done; whatever cannot be told or was not tested is a result |
| 1 | predict: a stated figure fails; check, audit: an error finding |
| 2 | texts, arguments or files are wrong; a folder is not empty; a file exists |
| 3 | something was not computed: no convergence, a crash |
| 130 | stopped by the person; what is complete was written |

A figure that fails gives 1 even if another could not be computed.
`

// serves runs a command that goes on until it is interrupted: it says where it
// serves, and ends well. The port of an example may be taken.
func serves(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	for i, word := range cmd.Args {
		if strings.HasPrefix(word, "127.0.0.1:") {
			cmd.Args[i] = "127.0.0.1:0"
		}
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || !strings.Contains(line, "http://127.0.0.1:") {
		t.Errorf("it says %q: %v", line, err)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("interrupted: %v", err)
	}
}

// TestExamples runs the example of every command where a dossier of that name
// lies. One that simulates may end with a verdict.
func TestExamples(t *testing.T) {
	texts, _ := demo.Texts("sluice-5s")
	everyCommand(func(c *cobra.Command) {
		if c.Runnable() && c.Example == "" {
			t.Errorf("%s has no example", c.CommandPath())
		}
		if c.Example == "" || !c.HasParent() {
			return
		}
		t.Run(c.Name(), func(t *testing.T) {
			if testing.Short() && (c.Name() == "demo" || c.Name() == "report" || c.Name() == "rehearse") {
				t.Skip("runs every trial, or a whole ring-out")
			}
			dir := t.TempDir()
			if err := folder.Create(filepath.Join(dir, "sluice-5s"), texts); err != nil {
				t.Fatal(err)
			}
			if c.Name() == "merge" { // it needs files that other commands write
				for _, i := range []string{"1", "2"} {
					shard := exec.Command("cupel", "predict", "sluice-5s", "--trial", "temperature", "--samples", "2", "--shard", i+"/2", "--out", "shard-"+i+".json")
					shard.Dir = dir
					if out, err := shard.CombinedOutput(); err != nil {
						t.Fatalf("%v\n%s", err, out)
					}
				}
			}
			if c.HasParent() && c.Parent().Name() == "ringout" { // some need a reading, or a file of them
				beeps := []byte("a,b,result\nT1,R101.1,connected\n")
				if err := os.WriteFile(filepath.Join(dir, "beeps.csv"), beeps, 0o644); err != nil {
					t.Fatal(err)
				}
				add := exec.Command("cupel", "ringout", "add", "sluice-5s", "T1", "R101.1", "connected")
				add.Dir = dir
				if out, err := add.CombinedOutput(); err != nil {
					t.Fatalf("%v\n%s", err, out)
				}
			}
			words := strings.Fields(c.Example)
			cmd := exec.Command(words[0], words[1:]...)
			cmd.Dir = dir
			if c.Name() == "serve" {
				serves(t, cmd)
				return
			}
			out, err := cmd.CombinedOutput()
			if status := cmd.ProcessState.ExitCode(); status != Done && !(c.Name() == "predict" && status == Negative) {
				t.Errorf("%s: %v\n%s", c.Example, err, out)
			}
		})
	})
}
