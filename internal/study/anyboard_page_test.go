package study_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// keptAs is where what came of a board is kept; empty where nothing is.
func keptAs(kind string, i int) string {
	dir := os.Getenv(keepEnv)
	if dir == "" {
		return ""
	}
	return filepath.Join(dir, fmt.Sprintf("%s-%04d.json", kind, i))
}

// record keeps what came of a board.
func record(kind string, i int, c tally) error {
	file := keptAs(kind, i)
	if file == "" {
		return nil
	}
	text, err := json.Marshal(c)
	if err != nil {
		return err
	}
	if err := os.WriteFile(file+".new", text, 0o600); err != nil {
		return err
	}
	return os.Rename(file+".new", file)
}

// recall reads what came of a board in an earlier run.
func recall(t *testing.T, kind string, i int, c *tally) bool {
	t.Helper()
	file := keptAs(kind, i)
	if file == "" {
		return false
	}
	text, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return false
	}
	if err == nil {
		err = json.Unmarshal(text, c)
	}
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return true
}

const pageHead = `# Any board

Written by ` + "`make anyboard`" + ` from what it kept of every board, so also from a run that was
stopped. Boards are made by internal/board/boardtest from their number: chains of 2 to 24
cells, stack protectors, cascades; common, separate and half port; a shunt, a neck of foil,
one bank or both as the sense; level shifters that speak at a fault and ones that speak
while all is well; FETs on either side; NMC and LFP; balancing, thermistors, second-level
detectors. A mutant is such a board with a part open, bridged or turned, or with two nets
exchanged everywhere.

A board passes if each of its trials ends in an outcome, or the board is refused or not
computed with the part, net or cell named, and with the time of a run that broke off. A job
that takes two hours by the clock, beside other work, counts as hanging.
`

// TestAnyBoardPage writes docs/any-board.md from all that is kept.
func TestAnyBoardPage(t *testing.T) {
	if os.Getenv(keepEnv) == "" {
		t.Skip("run by make anyboard: it writes a page of what was kept")
	}
	page := pageHead
	page += chapter(t, "Boards", "board", allBoards, "every trial, of the lowest, the middle and the highest cell")
	page += chapter(t, "Mutants", "mutant", allMutants, "the path and one other trial of one cell, each trial in its turn")
	if err := os.WriteFile(filepath.Join("..", "..", "docs", "any-board.md"), []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

// chapter tells what came of one kind of board.
func chapter(t *testing.T, title, kind string, of int, tried string) string {
	t.Helper()
	var all []tally
	var wrong []string
	for i := range of {
		var c tally
		if recall(t, kind, i, &c) {
			all = append(all, c)
			wrong = append(wrong, c.Wrong...)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n## %s\n\n%d of %d were tried: %s. %d of them did what must not be.\n", title, len(all), of, tried, len(wrong))
	if len(all) > 0 {
		fmt.Fprintf(&b, "\n```text\n%s\n```\n", strings.Join(totals(all), "\n"))
	}
	for _, w := range wrong {
		first, _, _ := strings.Cut(w, "\n")
		fmt.Fprintf(&b, "\n- %s\n", first)
	}
	return b.String()
}
