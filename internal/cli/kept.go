package cli

import (
	"bufio"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"sync"

	"cupel/internal/explain/fault"
)

// results is a file of results that work adds to as it goes: a line each, so
// that what was done stays done when the work is stopped.
type results struct {
	mu   sync.Mutex
	have map[string]fault.Result
	out  *os.File
}

// line is a line of such a file.
type keptLine struct {
	Key    string
	Result fault.Result
}

// open opens the file of --keep, else the user's cache. Without a cache, or if it
// is not wanted, nothing is kept.
func (k kept) open() (fault.Store, func(), error) {
	path := k.file
	if path == "" && !k.fresh {
		path = cacheFile()
	}
	if path == "" {
		return nil, func() {}, nil
	}
	r, err := openResults(path)
	switch {
	case err == nil:
		return r, func() { r.out.Close() }, nil
	case k.file == "":
		return nil, func() {}, nil // a cache that cannot be used costs time alone
	}
	return nil, nil, wrong("", "%w", err)
}

// openResults opens a file of results, which need not be there yet.
func openResults(path string) (*results, error) {
	k := &results{have: map[string]fault.Result{}}
	src, err := os.Open(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, err
	default:
		k.read(src)
		src.Close()
	}
	k.out, err = os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	return k, err
}

// read takes every whole line. A line that was cut short, or is none of ours,
// counts as work not done.
func (k *results) read(src *os.File) {
	lines := bufio.NewScanner(src)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var l keptLine
		if json.Unmarshal(lines.Bytes(), &l) == nil && l.Key != "" {
			k.have[l.Key] = l.Result
		}
	}
}

func (k *results) Get(key string) (fault.Result, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	r, ok := k.have[key]
	return r, ok
}

// Put adds a result. That it could not be written costs the time to compute it
// again, and nothing else.
func (k *results) Put(key string, r fault.Result) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.have[key] = r
	if b, err := json.Marshal(keptLine{key, r}); err == nil {
		_, _ = k.out.Write(append(append([]byte("\n"), b...), '\n'))
	}
}
