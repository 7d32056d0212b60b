package report_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"cupel/internal/report"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func page(t *testing.T) string {
	t.Helper()
	a, w := sample()
	var b bytes.Buffer
	if err := report.Page(&b, a, w); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	a, _ := sample()
	for name, got := range map[string]string{"sample.txt": report.Text(a), "sample.html": page(t)} {
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), got); d != "" {
			t.Errorf("%s changed; look at it, then run with -update: %s", name, d)
		}
	}
}

func TestTextFitsAWindow(t *testing.T) {
	a, _ := sample()
	for _, line := range strings.Split(report.Text(a), "\n") {
		if n := utf8.RuneCountInString(line); n > 100 {
			t.Errorf("%d letters wide: %s", n, line)
		}
	}
}
