package pages

import "cupel/internal/evidence"

func circuitPage() *page {
	return &page{name: "circuit", links: circuitLinks, show: showCircuit}
}

func circuitLinks(v *visit) []link {
	d := v.dossier()
	if d == nil {
		return nil
	}
	f := v.facts()
	known := f.grades[evidence.Proven] + f.grades[evidence.Implied] + f.grades[evidence.Assumed]
	return []link{graded(v.T("chain.nets", "known", known, "all", len(d.Board.Nets)), f.grades)}
}

func showCircuit(v *visit) (string, any, error) {
	return v.T("circuit.first.empty"), nil, nil
}
