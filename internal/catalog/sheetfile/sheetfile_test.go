package sheetfile

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"cupel/internal/finding"
)

// TestMistakes reads testdata; a line's wanted findings stand behind it as
// patterns: # want "…" "…".
func TestMistakes(t *testing.T) {
	files, _ := filepath.Glob("testdata/*.yaml")
	if len(files) == 0 {
		t.Fatal("no test data")
	}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var list finding.List
		Read(filepath.Base(file), src, &list)
		checkWants(t, string(src), list)
	}
}

var (
	want    = regexp.MustCompile(`# want (".*")$`)
	pattern = regexp.MustCompile(`"((?:[^"\\]|\\.)*)"`)
)

func checkWants(t *testing.T, src string, list finding.List) {
	t.Helper()
	told := make([]bool, len(list))
	for i, line := range strings.Split(src, "\n") {
		m := want.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		for _, p := range pattern.FindAllStringSubmatch(m[1], -1) {
			re := regexp.MustCompile(strings.ReplaceAll(p[1], `\"`, `"`))
			if !tell(list, told, i+1, re) {
				t.Errorf("line %d: nothing like %s is reported", i+1, re)
			}
		}
	}
	for i, f := range list {
		if !told[i] {
			t.Errorf("not wanted: %s (suggestion %q)", f, f.Suggestion)
		}
	}
}

func tell(list finding.List, told []bool, line int, re *regexp.Regexp) bool {
	for i, f := range list {
		said := f.Text
		if f.Suggestion != "" {
			said += `; did you mean "` + f.Suggestion + `"`
		}
		if !told[i] && f.Place.Line == line && re.MatchString(said) {
			told[i] = true
			return true
		}
	}
	return false
}

func TestNotYAML(t *testing.T) {
	var list finding.List
	if s := Read("x.yaml", []byte("a: [b"), &list); s == nil || !list.Has(finding.Error) {
		t.Errorf("sheet %v, findings %v", s, list)
	}
}

func FuzzRead(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.yaml")
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var list finding.List
		s := Read("x.yaml", src, &list)
		if s.Kind == "" && !list.Has(finding.Error) {
			t.Error("neither a kind nor a finding")
		}
		for _, x := range list {
			if x.Text == "" || x.Code == "" {
				t.Errorf("an empty finding %+v", x)
			}
		}
	})
}
