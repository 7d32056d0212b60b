package sheetfile_test

import (
	"os"
	"path/filepath"
	"testing"

	"cupel/internal/catalog/sheetfile"
	"cupel/internal/finding/shape/shapetest"

	yaml "go.yaml.in/yaml/v4"
)

// Every sheet that comes with the program fits the schema.
func TestGenericSheetsFitTheSchema(t *testing.T) {
	files, err := filepath.Glob("../generic/sheets/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sheets: %v", err)
	}
	schema := sheetfile.Schema()
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := yaml.Unmarshal(src, &v); err != nil {
			t.Fatal(err)
		}
		for _, bad := range shapetest.Check(schema, v) {
			t.Errorf("%s: %s", filepath.Base(name), bad)
		}
	}
	if bad := shapetest.Check(schema, map[string]any{"sheet": "x"}); len(bad) != 3 {
		t.Errorf("a sheet without version, kind and figures gives %q", bad)
	}
}
