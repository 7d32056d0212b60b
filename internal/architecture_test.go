package internal_test

import (
	"io/fs"
	"os"
	"path"
	"regexp"
	"strings"
	"testing"
)

// quoted is a name between backticks.
var quoted = regexp.MustCompile("`([a-z0-9/]+)`")

// TestArchitecture holds ARCHITECTURE.md against the tree: every package is named
// there, and every name there that stands in the table of imports exists.
func TestArchitecture(t *testing.T) {
	page, err := os.ReadFile("../ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, m := range quoted.FindAllStringSubmatch(string(page), -1) {
		named[m[1]] = true
	}
	exist := packages(t)
	for pkg := range exist {
		if !named[pkg] {
			t.Errorf("ARCHITECTURE.md does not name %s: say under its step of the work what it does", pkg)
		}
	}
	policy, err := parsePolicy(table, outside)
	if err != nil {
		t.Fatal(err)
	}
	for pkg := range policy.rows {
		if named[pkg] && !exist[pkg] {
			t.Errorf("ARCHITECTURE.md names %s, which does not exist", pkg)
		}
	}
}

// packages are the folders with Go files that are no tests.
func packages(t *testing.T) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	err := fs.WalkDir(os.DirFS(".."), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return skip(name, d)
		case strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go"):
			found[strings.TrimPrefix(path.Dir(name), "internal/")] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}
