package thermal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The page on the mathematics says what the search for rest allows.
func TestDocumented(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "mathematics.md"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(page)), " ")
	for _, want := range []string{
		fmt.Sprintf("no place is further than %g K from rest", still),
		fmt.Sprintf("or %d looks without rest", searchMost),
	} {
		if !strings.Contains(text, want) {
			t.Errorf("docs/mathematics.md does not say %q", want)
		}
	}
}
