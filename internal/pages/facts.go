package pages

import (
	"maps"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/ringout"
	"cupel/internal/study"
)

// facts are what several pages ask of one state, computed once.
type facts struct {
	of      string // the texts that figures are computed of
	touched string // the texts that say where pads are
	audit   answer.Audit
	check   answer.Check
	grades  map[evidence.Grade]int // of the nets
	beeps   int                    // entries of the ring-out log
	pads    int                    // of the sample
	placed  int                    // of them, on a photo
}

// facts are those of the visit's state. A reading changes no figure, so what was
// computed stays.
func (v *visit) facts() facts {
	v.s.mu.Lock()
	defer v.s.mu.Unlock()
	d, of := v.dossier(), ""
	if d != nil {
		of = figures(d)
	}
	if v.s.once.grades == nil || v.s.once.of != of {
		f := facts{of: of, grades: map[evidence.Grade]int{}}
		if d != nil {
			// Texts with errors are never Good, and a study refuses nothing else here.
			f.audit, _ = study.Audit(d)
			f.check, _ = study.Check(d)
			for _, n := range d.Board.Nets {
				f.grades[n.Grade]++
			}
		}
		v.s.once = f
	}
	if d != nil {
		if t := touched(d); t != v.s.once.touched {
			v.s.once.touched = t
			v.s.once.pads, v.s.once.placed = counted(study.Sample(d).Pads)
		}
	}
	f := v.s.once
	f.beeps = lines(v.State.Texts["ringout.csv"])
	return f
}

// touched tells dossiers apart by the texts that say which pads there are, and
// where.
func touched(d *dossier.Dossier) string {
	texts := maps.Clone(d.Texts)
	delete(texts, ringout.LogName)
	return dossier.Hash(texts)
}

// counted counts pads and those that were placed.
func counted(pads []ringout.Pad) (all, placed int) {
	for i := range pads {
		if pads[i].At != nil {
			placed++
		}
	}
	return len(pads), placed
}

// lines counts the entries of a log: its lines without the first.
func lines(text []byte) int { return max(strings.Count(string(text), "\n")-1, 0) }

// dossier is what the pages speak of: the last good texts. It is nil where
// there never were any.
func (v *visit) dossier() *dossier.Dossier { return v.State.Good }

// mistakes are what is wrong with the texts as they are now.
type mistakes struct {
	Text string
	Good bool // the rest of the page stands, from the last good texts
}

// mistakes is nil where the texts are in order or there are none yet.
func (v *visit) mistakes() *mistakes {
	d := v.State.Dossier
	if v.State.Empty() || d.Findings.Err() == nil {
		return nil
	}
	first := d.Findings[0]
	for _, f := range d.Findings {
		if f.Level > first.Level {
			first = f
		}
	}
	return &mistakes{
		Text: v.T("mistake.bar", "n", len(d.Findings), "file", first.Place.File, "line", first.Place.Line),
		Good: v.State.Good != nil,
	}
}
