package study

import (
	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/ringout/session"
)

// NetsOf are the nets that pads are on as far as the readings say, in the order of
// the pads; pads that the sample does not have are left out.
func NetsOf(d *dossier.Dossier, s *session.Session, pads ...string) answer.List[answer.RungNet] {
	var known []int
	for _, name := range pads {
		if p, ok := s.Sample().Pad(name); ok {
			known = append(known, p)
		}
	}
	return netsOf(d, s, known)
}
