package sheetfile

import (
	"slices"
	"testing"
)

// The schema knows the keys that the reader knows.
func TestSchemaHasTheReadersKeys(t *testing.T) {
	if got := sheetFields().Names(); !slices.Equal(got, topKeys) {
		t.Errorf("schema has %q, the reader %q", got, topKeys)
	}
}
