package pattern

import (
	"embed"
	"io/fs"
	"path"
	"slices"
	"sync"

	"cupel/internal/board"
)

//go:embed patterns/*.txt
var texts embed.FS

// Library returns the patterns that come with Cupel. They are shared: do not
// change them.
var Library = sync.OnceValue(func() []*Pattern {
	names, _ := fs.Glob(texts, "patterns/*.txt") // the pattern is well formed
	var out []*Pattern
	for _, name := range names {
		src, _ := fs.ReadFile(texts, name)
		ps, err := Parse(path.Base(name), string(src))
		if err != nil {
			panic("pattern: " + err.Error()) // a test reads every one of them
		}
		out = append(out, ps...)
	}
	return out
})

// seeds are the labels that a board has before any pattern is tried: the
// current of load and charger flows through its poles.
func seeds(g *Graph) Labels {
	l := Labels{}
	for n, tap := range g.taps {
		switch tap {
		case 0:
			l[board.NetID(n)] = []string{"low path"}
		case g.Board.Cells:
			l[board.NetID(n)] = []string{"high path"}
		}
	}
	return l
}

// Recognise finds every place of the graph that is wired as one of the patterns
// says, and the labels they leave.
func Recognise(g *Graph, patterns []*Pattern) ([]Match, Labels) {
	labels := seeds(g)
	var out []Match
	for fresh := true; fresh; {
		fresh, out = false, nil
		for _, p := range patterns {
			found := Find(g, p, labels)
			out = append(out, found...)
			for _, m := range found {
				for _, k := range p.Marks {
					fresh = labels.add(m.Nets[p.nets[k.Net]], k.Label) || fresh
				}
			}
		}
	}
	for n := range labels {
		slices.Sort(labels[n])
	}
	return out, labels
}
