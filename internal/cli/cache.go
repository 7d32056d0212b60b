package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Results that were not asked for for so long, or by so much, are thrown away;
// our own choice. A board of 100 parts makes about 1 MB.
const (
	cacheAge   = 30 * 24 * time.Hour
	cacheBytes = 64 << 20
)

// cacheFile is where this program keeps results of faults from one call to the
// next, by the content they were computed from; empty where the user has no
// cache. Another build of the program has a file of its own: it may compute
// otherwise.
func cacheFile() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	dir = filepath.Join(dir, "cupel")
	program, err := ownHash()
	if err != nil || os.MkdirAll(dir, 0o755) != nil {
		return ""
	}
	tidyCache(dir)
	return filepath.Join(dir, "faults-"+program+".jsonl")
}

// tidyCache removes what is old or has grown too large.
func tidyCache(dir string) {
	files, _ := filepath.Glob(filepath.Join(dir, "faults-*.jsonl"))
	for _, f := range files {
		if s, err := os.Stat(f); err == nil && (time.Since(s.ModTime()) > cacheAge || s.Size() > cacheBytes) {
			_ = os.Remove(f)
		}
	}
}

// ownHash names this build of the program by its content.
func ownHash() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)[:8]), nil
}
