package pages

import (
	"bytes"
	"errors"
	"maps"
	"strconv"
	"strings"
	"sync"
	"time"

	"cupel/internal/board/boardfile"
	"cupel/internal/desk"
	"cupel/internal/dossier"
	"cupel/internal/quantity"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
	"cupel/internal/study"
)

// rings keeps the ring-out that goes on, so that an entry does not take the
// whole log in again. Its zero value has none.
type rings struct {
	entry   sync.Mutex // held while an entry is taken in: one at a time
	mu      sync.Mutex
	of      *dossier.Dossier
	session *session.Session
}

// with hands out the session of a dossier, to one at a time.
func (r *rings) with(d *dossier.Dossier, do func(*session.Session) error) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.of != d {
		s, _, err := study.Ringout(d, session.Options{})
		if err != nil {
			return err
		}
		r.of, r.session = d, s
	}
	return do(r.session)
}

// knows makes the session that of the dossier now, where it differs from the one
// before by the log alone, which the session has taken in itself.
func (r *rings) knows(before, now *dossier.Dossier) {
	if now == nil || now == before || len(now.Log.Entries) != len(r.session.Log().Entries) {
		return
	}
	for name, text := range now.Texts {
		if name != ringout.LogName && !bytes.Equal(text, before.Texts[name]) {
			return
		}
	}
	r.of = now
}

// ringDossier is the dossier that is rung out: the last good texts, with the log
// as it is now even while other texts have mistakes.
func (v *visit) ringDossier() *dossier.Dossier {
	d := v.dossier()
	if d == nil || d == v.State.Dossier || bytes.Equal(d.Texts[ringout.LogName], v.State.Texts[ringout.LogName]) {
		return d
	}
	texts := maps.Clone(d.Texts)
	texts[ringout.LogName] = v.State.Texts[ringout.LogName]
	return dossier.Again(d, texts)
}

// entryTries is how often an entry is given to the desk while others write to the
// log at the same time.
const entryTries = 5

// ringEnter takes an entry in. A module that lost the line sends the same entry
// again; what is in the log already is only acknowledged.
func ringEnter(v *visit) error {
	v.s.rings.entry.Lock()
	defer v.s.rings.entry.Unlock()
	v.State = v.s.desk.Now()
	for try := 1; ; try++ {
		d := v.ringDossier()
		if d == nil {
			return v.sorry("refused.nodossier")
		}
		clash, settled := 0, 0
		err := v.s.rings.with(d, func(s *session.Session) error {
			e, err := v.entry(s)
			if err != nil {
				return err
			}
			if taken(s.Log(), e) {
				return nil
			}
			before, roots := len(s.Copper().Contradictions()), len(s.Copper().Roots())
			if _, err = s.Add(e, v.keep(d)); err != nil {
				return err
			}
			clash = len(s.Copper().Contradictions()) - before
			settled = roots - len(s.Copper().Roots())
			v.s.rings.knows(d, v.State.Good)
			return nil
		})
		var conflict *desk.Conflict
		if errors.As(err, &conflict) && try < entryTries {
			v.State = v.s.desk.Now()
			continue
		}
		if err != nil {
			return v.refusal(err)
		}
		return v.done("", map[string]any{"clash": clash > 0, "joined": settled})
	}
}

// refusal is an error of an entry as a person reads it.
func (v *visit) refusal(err error) error {
	var conflict *desk.Conflict
	var ready *sorry
	if errors.As(err, &conflict) || errors.As(err, &ready) {
		return err
	}
	return v.sorry("ringout.refused", "why", err.Error())
}

// entry reads an entry from its form: the pads of the question with a result, or
// a line that names its own.
func (v *visit) entry(s *session.Session) (ringout.Entry, error) {
	e := ringout.Entry{Kind: ringout.EntryKind(v.field("kind")), A: v.field("a"), B: strings.Fields(v.field("b"))}
	result := v.field("result")
	if line := strings.Fields(v.field("line")); len(line) > 0 {
		own, word, err := v.typed(line)
		if err != nil {
			return e, err
		}
		if own.A != "" {
			e = own
		}
		result = word
	}
	r, value, err := ringout.ReadResult(result)
	if err != nil {
		return e, v.sorry("ringout.noreading", "what", result)
	}
	if e.Kind == ringout.Sweep && r != ringout.Open {
		return e, v.sorry("ringout.whichpad", "a", e.A)
	}
	e.Result, e.Value = r, value
	if last, ok := s.Log().Last(); ok {
		e.Meter, e.By = last.Meter, last.By
	}
	if by := v.field("by"); by != "" {
		e.By = by
	}
	e.InCircuit, e.Note, e.When = v.field("board") == "in circuit", v.field("note"), v.field("when")
	if e.When == "" {
		e.When = time.Now().Format("2006-01-02 15:04:05.000")
	}
	return e, nil
}

// typed reads a line: "0,4", "U3.2 R11.1 c", "s U3.2 R1.1 R2.1", "b U3.2 R1.1
// R2.1 o".
func (v *visit) typed(words []string) (ringout.Entry, string, error) {
	all := strings.Join(words, " ")
	if _, _, err := ringout.ReadResult(all); err == nil {
		return ringout.Entry{}, all, nil
	}
	switch {
	case words[0] == "s" && len(words) >= 3:
		return ringout.Entry{Kind: ringout.Sweep, A: words[1], B: words[2:]}, string(ringout.Open), nil
	case words[0] == "b" && len(words) >= 4:
		last := len(words) - 1
		return ringout.Entry{Kind: ringout.Bridge, A: words[1], B: words[2:last]}, words[last], nil
	case words[0] != "s" && words[0] != "b" && len(words) >= 3:
		return ringout.Entry{Kind: ringout.Pair, A: words[0], B: words[1:2]}, strings.Join(words[2:], " "), nil
	}
	return ringout.Entry{}, "", v.sorry("ringout.line", "what", all)
}

// taken reports whether an entry is in the log: the same pads at the same moment.
func taken(log ringout.Log, e ringout.Entry) bool {
	for i := len(log.Entries) - 1; i >= 0; i-- {
		x := log.Entries[i]
		if x.When == e.When && x.A == e.A && x.Kind == e.Kind && strings.Join(x.B, " ") == strings.Join(e.B, " ") {
			return true
		}
	}
	return false
}

// keep writes an entry behind the log as it was in d. The desk can undo it.
func (v *visit) keep(d *dossier.Dossier) session.Keep {
	return func(e ringout.Entry) error {
		old, there := d.Texts[ringout.LogName]
		b := bytes.NewBuffer(bytes.Clone(old[:d.Log.Sound]))
		base := ""
		if there {
			base = desk.Hash(old)
		}
		if b.Len() == 0 {
			b.Write(ringout.Header())
		}
		if err := ringout.AppendEntry(b, e); err != nil {
			return err
		}
		label := labelled("label.reading", strings.TrimSpace(e.A+" "+strings.Join(e.B, " ")))
		if e.Kind == ringout.Undo {
			label = labelled("label.struck", strconv.Itoa(e.Undoes))
		}
		state, err := v.s.desk.Do(desk.Edit{Label: label, Files: []desk.File{{Name: ringout.LogName, Base: base, Text: b.Bytes()}}})
		v.State = state
		return err
	}
}

// ringStrike takes an entry back by a later one, or that one back in turn.
func ringStrike(v *visit) error {
	d := v.ringDossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	err := v.s.rings.with(d, func(s *session.Session) error {
		by := ringout.Entry{When: time.Now().Format("2006-01-02 15:04:05.000"), Note: v.field("note")}
		if last, ok := s.Log().Last(); ok {
			by.By = last.By
		}
		if _, err := s.Undo(atoi(v.field("number")), by, v.keep(d)); err != nil {
			return err
		}
		v.s.rings.knows(d, v.State.Good)
		return nil
	})
	if err != nil {
		return v.refusal(err)
	}
	return v.done("", nil)
}

// ringLater puts the question off. It comes back when the program is started
// anew, and is never counted as answered.
func ringLater(v *visit) error {
	d := v.ringDossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	err := v.s.rings.with(d, func(s *session.Session) error {
		if ask, ok := s.Next(); ok && s.Sample().Pads[ask.A].Name == v.field("a") {
			s.PutOff(ask)
		}
		return nil
	})
	if err != nil {
		return v.refusal(err)
	}
	v.s.desk.Tell("later")
	return v.done("", nil)
}

// ringApply writes the nets that the readings show into board.yaml.
func ringApply(v *visit) error {
	d := v.ringDossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	var text []byte
	err := v.s.rings.with(d, func(s *session.Session) error {
		a, now := study.RingoutApply(d, s)
		if now == nil {
			for _, f := range a.Findings {
				if f.Level == "error" {
					return v.sorry("ringout.unwritten", "why", f.Text)
				}
			}
		}
		text = now
		return nil
	})
	if err != nil {
		return v.refusal(err)
	}
	if text == nil {
		return v.done("", nil)
	}
	err = v.edit(labelled("label.applied", boardfile.Name), desk.File{Name: boardfile.Name, Base: desk.Hash(d.Texts[boardfile.Name]), Text: text})
	if err != nil {
		return err
	}
	return v.done("", nil)
}

// ohms and volts print a reading.
func (v *visit) ohms(x float64) string  { return v.Format(x, quantity.Resistance) }
func (v *visit) volts(x float64) string { return v.Format(x, quantity.Voltage) }
