package pages

import (
	"errors"
	"fmt"
	"maps"
	"sync"
	"sync/atomic"

	"cupel/internal/dossier"
	"cupel/internal/explain/fault"
	"cupel/internal/ringout"
)

// figures tells dossiers apart by the texts that figures are computed of. Unlike
// the hash of the dossier it stays while somebody rings out: readings change no
// figure until they are written into the board.
func figures(d *dossier.Dossier) string {
	texts := maps.Clone(d.Texts)
	delete(texts, ringout.LogName)
	delete(texts, ringout.PadsName)
	return dossier.Hash(texts)
}

// memo keeps what was computed of the texts as they are, so that a page that is
// drawn again computes nothing again. Several that ask for the same at once wait
// for the first. Its zero value is empty.
type memo struct {
	mu   sync.Mutex
	hash string // of the texts all of it is of
	have map[string]*entry
}

type entry struct {
	once  sync.Once
	done  atomic.Bool
	value any
	err   error
}

// recall is what was made of the texts with that hash under that name.
func recall[T any](m *memo, hash, name string, make func() (T, error)) (T, error) {
	m.mu.Lock()
	if m.hash != hash || m.have == nil {
		m.hash, m.have = hash, map[string]*entry{}
	}
	e := m.have[name]
	if e == nil {
		e = &entry{}
		m.have[name] = e
	}
	m.mu.Unlock()
	e.once.Do(func() {
		defer e.done.Store(true)
		defer func() {
			if crash := recover(); crash != nil {
				e.err = fmt.Errorf("this is a defect of cupel, please report it: %v", crash)
			}
		}()
		e.value, e.err = make()
	})
	value, _ := e.value.(T)
	return value, e.err
}

// known is what was made under that name before, or the error it ended with; the
// zero value where nobody asked yet.
func known[T any](m *memo, hash, name string) (T, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var none T
	e := m.have[name]
	if m.hash != hash || e == nil || !e.done.Load() {
		return none, errUnknown
	}
	value, _ := e.value.(T)
	return value, e.err
}

// errUnknown is the error of what nobody asked for yet.
var errUnknown = errors.New("not computed yet")

// outcomes keeps results of faults by their content: a part that is touched again
// is not tried again, and a board that changed a little is tried a little.
type outcomes struct {
	mu   sync.Mutex
	have map[string]fault.Result
}

// mostOutcomes bounds what is kept: a board of 300 parts has some 2000 faults.
const mostOutcomes = 20_000

// Get returns a result that was kept.
func (o *outcomes) Get(key string) (fault.Result, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	r, ok := o.have[key]
	return r, ok
}

// Put keeps a result.
func (o *outcomes) Put(key string, r fault.Result) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.have == nil || len(o.have) >= mostOutcomes {
		o.have = map[string]fault.Result{}
	}
	o.have[key] = r
}
