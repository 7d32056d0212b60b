package cli

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"cupel/internal/explain/fault"
)

// TestCache holds that results are found again by the next call, that old files
// go, and that --fresh and a user without a cache do without.
func TestCache(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	for call := range 2 {
		keep, done, err := kept{}.open()
		if err != nil || keep == nil {
			t.Fatalf("no cache: %v", err)
		}
		if _, ok := keep.Get("key"); ok != (call == 1) {
			t.Errorf("call %d finds the result: %v", call, ok)
		}
		keep.Put("key", fault.Result{Shows: true})
		done()
	}
	old := filepath.Join(filepath.Dir(cacheFile()), "faults-0000.jsonl")
	long := time.Now().Add(-2 * cacheAge)
	if err := os.WriteFile(old, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(old, long, long); err != nil {
		t.Fatal(err)
	}
	cacheFile()
	if _, err := os.Stat(old); err == nil {
		t.Error("an old file stays")
	}
	if keep, _, err := (kept{fresh: true}).open(); keep != nil || err != nil {
		t.Errorf("--fresh keeps: %v %v", keep, err)
	}
	t.Setenv("XDG_CACHE_HOME", "")
	t.Setenv("HOME", "")
	if keep, _, err := (kept{}).open(); keep != nil || err != nil {
		t.Errorf("without a home something is kept: %v %v", keep, err)
	}
}
