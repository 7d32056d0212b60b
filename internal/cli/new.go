package cli

import (
	"fmt"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board/boardfile"
	"cupel/internal/claim/claimfile"
	"cupel/internal/dossier"
	"github.com/spf13/cobra"
)

// Cells a new dossier may have in series, and has if nothing is said.
const (
	leastCells = 1
	mostCells  = 32
	usualCells = 4
)

func (a *app) newCommand() *cobra.Command {
	cells := usualCells
	c := &cobra.Command{
		Use: "new DIR [--cells N]", Short: "begin the dossier of a board of yours", GroupID: groupStart,
		Long: `Write the two texts of a new dossier into DIR, which must be empty or not there yet: board.yaml with
the pads of so many cells, claims.yaml with every figure still to be stated.`,
		Example: "cupel new lantern --cells 3",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return wrong("", "name the folder to make: cupel new DIR")
			}
			if cells < leastCells || cells > mostCells {
				return wrong("", "--cells %d: %d to %d cells in series", cells, leastCells, mostCells)
			}
			return a.begin(args[0], cells)
		},
	}
	c.Flags().IntVar(&cells, "cells", cells, "`N` cells in series")
	return c
}

func (a *app) begin(dir string, cells int) error {
	texts := blank(boardName(dir), cells)
	if err := create(dir, texts); err != nil {
		return err
	}
	ans := answer.Files{
		Head:  answer.NewHead("new", boardName(dir), dossier.Hash(texts)),
		Files: slices.Sorted(maps.Keys(texts)),
	}
	return a.print(ans, func() string {
		return fmt.Sprintf("%s\n%s\nnext: write the parts and nets into it, then: cupel check %s\n",
			in(dir, boardfile.Name), in(dir, claimfile.Name), dir)
	})
}

var notInName = regexp.MustCompile(`[^a-z0-9]+`)

// boardName makes a board's name of its folder's.
func boardName(dir string) string {
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	name := strings.Trim(notInName.ReplaceAllString(strings.ToLower(filepath.Base(dir)), "-"), "-")
	if name == "" || name[0] >= '0' && name[0] <= '9' {
		name = strings.TrimRight("board-"+name, "-")
	}
	return name
}

// blank are the texts of a dossier of which nothing is known but its cells.
func blank(name string, cells int) map[string][]byte {
	return map[string][]byte{
		boardfile.Name: fmt.Appendf(nil, blankBoard, name, cells, blankPads(cells)),
		claimfile.Name: []byte(blankClaims),
	}
}

func blankPads(cells int) string {
	pads := []string{"B-: bminus"}
	for k := 1; k < cells; k++ {
		pads = append(pads, fmt.Sprintf("T%d: tap%d", k, k))
	}
	top := fmt.Sprintf("tap%d", cells)
	return strings.Join(append(pads, "B+: "+top, "P+: "+top, "P-: pminus"), ", ")
}

const blankBoard = `# What is soldered where. One line a part; nets are named by whoever writes them.
cupel: 1
board: %s
cells: %d

# Where the outside connects. Tap k is the top of cell k, counted from the bottom.
pads: {%s}

# A part has a value, or a part sheet (one that comes with cupel, or a text in
# parts/), and the net of each pin. Examples:
#   R1: {value: 330 Ω ±5 %%, size: 0603, pins: [tap1, supply1]}
#   C1: {value: 1 µF ±10 %% 16 V X7R, size: 0603, pins: [supply1, bminus]}
#   U1: {sheet: cell-protector-4v25, pins: {vdd: supply1, vss: bminus, cs: sense, do: do1, co: co1}}
#   Q1: {sheet: nfet-40v-6m, count: 2, pins: {d: middle, g: gate-discharge, s: bminus}}
parts: {}
`

const blankClaims = `# What is stated of the board, and what you ask of it.
cupel: 1
source: {kind: table, where: where the figures stand}

# Examples:
#   - {protection: overcharge, quantity: detect, stated: 4.20/4.25/4.30 V, at: 25 °C}
#   - {protection: overdischarge, quantity: delay, stated: 50–150 ms}
#   - {protection: discharge-overcurrent, quantity: detect, stated: 60 A ±10 A}
#   - {protection: path, quantity: resistance, stated: max 10 mΩ}
#   - {protection: charge-overcurrent, stated: none}
#   - {protection: overcharge, quantity: detect, stated: max 4.35 V, kind: requirement}
figures: []
`
