// Package documented holds the page on the mathematics against the constants of the
// solvers.
package documented

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Says fails t for every phrase that docs/mathematics.md does not hold. The
// solvers build the phrases from their constants, so that the page cannot drift
// from the code. Line ends count as spaces.
func Says(t *testing.T, phrases ...string) {
	t.Helper()
	page, err := os.ReadFile(filepath.Join("..", "..", "..", "docs", "mathematics.md"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(page)), " ")
	for _, p := range phrases {
		if !strings.Contains(text, p) {
			t.Errorf("docs/mathematics.md does not say %q", p)
		}
	}
}
