package pages

import "cupel/internal/evidence"

func ringoutPage() *page {
	return &page{name: "ringout", links: ringoutLinks, show: showRingout}
}

func ringoutLinks(v *visit) []link {
	f, d := v.facts(), v.dossier()
	out := []link{{Text: v.T("chain.photos", "n", len(v.State.Photos)), Proven: part(min(len(v.State.Photos), 2), 2)}}
	if d == nil {
		return out
	}
	pins := len(d.Board.Pads)
	for _, p := range d.Board.Parts {
		pins += len(p.Pins) * max(p.Count, 1)
	}
	nets := len(d.Board.Nets)
	return append(out,
		link{Text: v.T("chain.pads", "n", pins), Proven: part(pins, pins)},
		link{Text: v.T("chain.beeps", "n", f.beeps), Proven: part(f.grades[evidence.Proven], nets)},
	)
}

func showRingout(v *visit) (string, any, error) {
	return v.T("ringout.first.empty"), nil, nil
}
