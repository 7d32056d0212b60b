package cli_test

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"cupel/internal/finding"
	"cupel/internal/ringout"
)

// A process that is killed while 1000 readings go in loses none that it said it
// has, and the next one goes on behind them: again and again until all are in.
func TestKillLosesNothing(t *testing.T) {
	const all, kills = 1000, 8
	texts, _ := demo.Texts("sluice-5s")
	dir := filepath.Join(t.TempDir(), "board")
	if err := folder.Create(dir, texts); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	told := 0 // entries acknowledged so far, in all lives
	for life := range kills {
		last := life == kills-1
		die := told + 1 + rng.IntN(2*all/kills)
		told = enter(t, dir, told, all, die, last)
		log := readLog(t, dir)
		if len(log.Entries) < told {
			t.Fatalf("life %d: %d entries were acknowledged, %d are there", life, told, len(log.Entries))
		}
		for i, e := range log.Entries {
			if e.Number != i+1 || e.Note != fmt.Sprint("reading ", i) {
				t.Fatalf("life %d: entry %d is %+v", life, i+1, e)
			}
		}
		told = len(log.Entries) // one may be in that could not be acknowledged any more
	}
	if told != all {
		t.Errorf("%d of %d entries are in", told, all)
	}
}

// enter feeds readings from number from on to a process, kills it once it has
// acknowledged die of them, unless it may live on, and returns how many it did.
func enter(t *testing.T, dir string, from, all, die int, live bool) int {
	t.Helper()
	if live {
		die = all + 1
	}
	cmd := exec.Command("cupel", "ringout", "enter", dir, "--by", "ana")
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer in.Close()
		for i := from; i < all; i++ {
			// A pair that nothing says anything of; the note tells which reading it is.
			if _, err := io.WriteString(in, fmt.Sprintf("# reading %d\nT1 R101.2 o\n", i)); err != nil {
				return // it was killed
			}
		}
	}()
	told := from
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		n := 0
		if _, err := fmt.Sscanf(lines.Text(), "%d T1", &n); err != nil {
			t.Fatalf("not an acknowledgement: %q", lines.Text())
		}
		told = n
		if told >= die {
			break
		}
	}
	if told >= die {
		if err := cmd.Process.Kill(); err != nil { // SIGKILL
			t.Fatal(err)
		}
		// What it had written to the pipe before it died was acknowledged too.
		for lines.Scan() {
			n := 0
			if _, err := fmt.Sscanf(lines.Text(), "%d T1", &n); err == nil && strings.HasSuffix(lines.Text(), "open") {
				told = n
			}
		}
	}
	_ = cmd.Wait()
	return told
}

func readLog(t *testing.T, dir string) ringout.Log {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(dir, ringout.LogName))
	if err != nil {
		t.Fatal(err)
	}
	log, list := ringout.ReadLog(ringout.LogName, src)
	if list.Has(finding.Error) {
		t.Fatal(list)
	}
	return log
}
