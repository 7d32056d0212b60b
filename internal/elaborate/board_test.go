package elaborate

import (
	"os"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

// read reads a board's text, which must be without errors.
func read(t *testing.T, text string) *board.Board {
	t.Helper()
	var list finding.List
	b := boardfile.Read("board.yaml", []byte(text), generic.Sheets{}, &list)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return b
}

func load(t *testing.T, name string) string { return loadFile(t, name) }

func loadFile(t testing.TB, name string) string {
	t.Helper()
	src, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

func elaborated(t *testing.T, text string) (*Circuit, finding.List) {
	t.Helper()
	return Elaborate(read(t, text), generic.Sheet, Options{})
}

// edit replaces one piece of a text, which must be there exactly once.
func edit(t *testing.T, text, old, new string) string {
	t.Helper()
	if n := strings.Count(text, old); n != 1 {
		t.Fatalf("%q stands %d times in the board", old, n)
	}
	return strings.Replace(text, old, new, 1)
}
