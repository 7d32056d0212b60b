package dossier

import (
	"bytes"
	"fmt"
	"strings"

	"cupel/internal/board/boardfile"
	"cupel/internal/claim/claimfile"
)

// New returns the texts of a dossier to begin with: the pads of a board of that
// many cells, and how parts and figures are written.
func New(name string, cells int) map[string][]byte {
	return map[string][]byte{
		boardfile.Name: newBoard(name, cells),
		claimfile.Name: []byte(newClaims),
	}
}

func newBoard(name string, cells int) []byte {
	var w bytes.Buffer
	fmt.Fprintf(&w, "cupel: %d\nboard: %s\ntitle: What the board is and where it sits\ncells: %d\n", boardfile.Version, name, cells)
	w.WriteString(`
# Pad: net. Taps count from the bottom. Add C- where the charger has a port of its
# own, H1, H2, … for any other place a probe can land.
`)
	pads := []string{"B-: bminus"}
	for k := 1; k < cells; k++ {
		pads = append(pads, fmt.Sprintf("T%d: tap%d", k, k))
	}
	top := fmt.Sprintf("tap%d", cells)
	pads = append(pads, "B+: "+top, "P+: "+top, "P-: pminus")
	fmt.Fprintf(&w, "pads: {%s}\n", strings.Join(pads, ", "))
	w.WriteString(`
# Reference: part, one a line, as
#   R1: {value: 330 Ω ±5 %, size: 0603, pins: [tap1, supply1]}
#   C1: {value: 1 µF ±10 % 16 V X7R, pins: [supply1, bminus]}
#   Q1: {sheet: nfet-30v-4m, count: 2, pins: {g: gate-discharge, s: bminus, d: middle}}
# A net begins where two pins carry its name. A sheet comes with the program or
# lies in parts/.
parts: {}
`)
	return w.Bytes()
}

const newClaims = `cupel: 1
source: {kind: print, where: where the figures stand}

# One entry a stated figure, as
#   - {protection: overcharge, quantity: detect, stated: 4.20/4.25/4.30 V, at: 25 °C}
#   - {protection: charge-overcurrent, stated: none}
#   - {protection: continuous, quantity: current, stated: min 20 A, kind: requirement}
figures: []
`
