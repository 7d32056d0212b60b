package ringout

import (
	"os"
	"regexp"
	"testing"
)

// The examples on the page about the format read back.
func TestPageExamples(t *testing.T) {
	page, err := os.ReadFile("../../docs/dossier-format.md")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```csv\n(.*?)```").FindAllSubmatch(page, -1)
	if len(blocks) != 2 {
		t.Fatalf("%d examples", len(blocks))
	}
	log, found := ReadLog(LogName, blocks[0][1])
	if len(found) > 0 || len(log.Entries) != 5 || len(log.Active()) != 3 {
		t.Errorf("%v %v", log, found)
	}
	rows, found := ReadPads(PadsName, blocks[1][1])
	if len(found) > 0 || len(rows) != 2 {
		t.Errorf("%v %v", rows, found)
	}
}
