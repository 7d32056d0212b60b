package dossier

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"cupel/internal/catalog/sheetfile"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

const formatPage = "../../docs/dossier-format.md"

func page(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(formatPage)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The page's examples read without a finding; its sheet lacks only what is cut
// from it for shortness.
func TestPageExamples(t *testing.T) {
	blocks := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(page(t), -1)
	if len(blocks) != 3 {
		t.Fatalf("%d examples", len(blocks))
	}
	d, err := Read(tree("board.yaml", blocks[0][1], "claims.yaml", blocks[1][1]))
	if err != nil || len(d.Findings) != 0 || len(d.Review()) != 0 {
		t.Errorf("%v\n%s%s", err, texts(d.Findings), texts(d.Review()))
	}
	var list finding.List
	sheetfile.Read("nfet-30v-4m.yaml", []byte(blocks[2][1]), &list)
	for _, f := range list {
		if f.Code != sheetfile.MissingFigure && f.Code != sheetfile.NoSource {
			t.Error(f)
		}
	}
}

// The page lists the quantities that claims can have.
func TestPageListsTheQuantities(t *testing.T) {
	text := page(t)
	for _, p := range protection.Claimable() {
		var qs []string
		for _, q := range protection.Numbers(p) {
			unit := protection.UnitOf(p, q)
			if dim, _ := protection.Dimension(p, q); dim == quantity.Temperature {
				unit = "°C" // as people type it
			}
			qs = append(qs, fmt.Sprintf("`%s` %s", q, unit))
		}
		row := fmt.Sprintf("| `%s` | %s |", p, strings.Join(qs, ", "))
		if !strings.Contains(text, row+"\n") {
			t.Errorf("the page lacks the row %s", row)
		}
	}
}
