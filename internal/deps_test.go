package internal_test

import (
	"os"
	"testing"
)

// table says who may import whom, and why. It is a statement of policy: a
// package that breaks it is moved, not the row. A change of this table is a
// change of its own.
//
// An import goes to the package's own level or below; a child may import its
// parent, a parent never its child. On top of that "only" names everything of
// ours that a package may import ("only nothing": none), "not" names what it
// may not import, children included, although its level would let it, and
// "child" lifts the rule of parents for the one child named.
//
// "for tests" marks a package that only tests may import; it may touch the
// world as they do. A row may stand here before its package does.
const table = `
level | package                 | imports                      | what it is, and why it stands there

# 0: words that everything uses
0 | quantity                    | only nothing                 | values with units: what every other word is made of
0 | finding                     | only nothing                 | what is wrong with an input: every reader of text hands these back
0 | finding/text                | only finding quantity        | YAML decoded and edited by place: the one package that sees the parser
0 | finding/shape               | only nothing                 | the keys of a text, once for its decoder and its JSON Schema
0 | finding/shape/shapetest     | only nothing, for tests      | a text against a schema, as an editor checks it
0 | evidence                    | only nothing                 | grades and bases: words alone
0 | protection                  | only quantity                | the one table of words of claims, trials, readings and labels
0 | uncertainty                 | only quantity                | GUM, sampling statistics, tolerance stacks: theory without a board

# 1: the board as an object
1 | board                       | only quantity finding evidence | parts, pins, nets, pads; knows no file, no sheet, no simulation
1 | board/boardfile             |                              | board.yaml to board and back
1 | board/pattern               |                              | subgraphs and slices: the board as a graph
1 | board/review                |                              | structural rules: what can be said before anything is computed
1 | board/boardtest             | only board, for tests        | boards of every topology, whole or with one thing wrong
1 | board/footprint             | only nothing                 | where the pads of a housing lie: geometry that knows no part
1 | board/photo                 | only quantity finding board/footprint | photos of a board on one ground: geometry that knows no file
1 | board/photo/photofile       |                              | photos.yaml to photos, and edits of it
1 | board/photo/picture         | only nothing                 | photos from anywhere decoded safely: knows no board
1 | board/ipcd356               |                              | bare-board test netlists
1 | catalog                     | not board claim              | part sheets: true of a part type whatever board it is on
1 | catalog/sheetfile           | not board claim              | parts/*.yaml to sheets
1 | catalog/generic             | not board claim              | the sheets that come with Cupel, embedded
1 | catalog/marking             | not board claim              | what is printed on a part to its value
1 | claim                       | not board catalog            | stated figures and verdicts: judged without knowing what was simulated
1 | claim/claimfile             | not catalog                  | claims.yaml to claims
1 | claim/audit                 |                              | can the stated figures be true together
1 | conductor                   | only quantity                | wire, strip, copper: resistance, heating, current
1 | thermal                     | only nothing                 | heat from a loss to the surroundings: theory that knows no part

# 2: the board as a circuit
2 | circuit                     | only quantity                | the equations; what is solved, not how
2 | circuit/sparse              | only nothing                 | linear algebra: knows no circuit
2 | circuit/waveform            | only quantity circuit        | sources over time
2 | circuit/device              | not board catalog elaborate  | parts by their equations; a sheet is turned into their numbers by elaborate
2 | circuit/protector           | only quantity                | pure state machines: no circuit, so that a scripted trace can drive them
2 | circuit/cell                | not board catalog            | the cell's model; parameter sets carry their paper
2 | circuit/newton              | not board catalog elaborate  | the equations solved at one instant
2 | circuit/bias                | not board catalog elaborate  | the operating point
2 | circuit/transient           | not board catalog elaborate  | integration in time, with located events
2 | circuit/deck                | not board catalog elaborate  | SPICE cards of a circuit, whichever
2 | circuit/circuittest/documented | only nothing, for tests   | the page on the mathematics held against the solvers' constants
2 | circuit/circuittest         | not elaborate trial, for tests | circuits with known answers and reference tables
2 | circuit/circuittest/spice   | not elaborate trial, for tests | runs the reference simulator where it is installed
2 | elaborate                   | not claim                    | board and sheets to circuit: the one place that knows both

# 3: experiments
3 | trial                       | only protection quantity finding evidence uncertainty trial/rig, child trial/rig | an experiment is written against the rig alone, so that prediction and measurement are the same
3 | trial/rig                   | only quantity protection     | the interface between an experiment and whatever it runs on
3 | trial/rig/rigtest           | only trial/rig protection quantity, for tests | the suite that every rig must pass
3 | trial/simulated             | not claim                    | a rig that is a simulated board; it does not know what is tried on it
3 | trial/wired                 | not circuit elaborate        | a rig of instruments
3 | trial/manual                | not circuit elaborate        | a rig that is a person with a meter
3 | trial/tolerance             |                              | corners and samples
3 | trial/heat                  |                              | losses, temperatures, honest current
3 | ringout                     | not circuit trial catalog    | readings to nets: measured, never computed from a simulation
3 | ringout/planner             | only ringout finding evidence | which pads to probe next: its input holds no net, so it cannot peek
3 | ringout/strip               | not circuit trial            | takes the parts off a known board: a sample, and apart from it the truth
3 | ringout/session           | only ringout ringout/planner finding | one ring-out going on: readings in, the next question out
3 | ringout/rehearse            | not circuit trial            | a board that is known plays the unknown one

# 4: understanding
4 | explain/role                |                              | what each part does, with its evidence: drawing and experiment put together
4 | explain/fault               |                              | what one fault silently removes
4 | explain/potential           |                              | voltage map and stress
4 | explain/story               |                              | how a protection acts, step by step
4 | schematic                   | not circuit elaborate trial  | the sheet as data: drawing and simulator do not know each other
4 | schematic/layout            | not circuit elaborate trial  | where symbols and wires go
4 | schematic/svg               | not circuit elaborate trial  | the sheet as a picture

# 5: answers
5 | dossier                     | not study report             | reads a dossier from any file tree
5 | dossier/folder              | not study report             | keeps a dossier on disk: lock, safe save, history
5 | dossier/demo                | not study report             | the demo dossiers, embedded
5 | answer                      | only nothing                 | answers as published data: a reader of them needs nothing of ours
5 | study                       | not report                   | a dossier into an answer; keeps no state
5 | study/batch                 | not report                   | numbered jobs on all cores, in order
5 | report                      | not study circuit trial elaborate, child report/plot | answers as tables and pages: every number is one of the answer's; plot only draws and knows no report
5 | report/plot                 | not study circuit trial elaborate | answers as figures

# 6: the open dossier and its two faces
6 | desk                        | not cli pages                | edits, undo, watchers, running work; decides nothing
6 | pages                       | not cli                      | local web pages
6 | cli                         |                              | commands, flags, exit codes
7 | cmd/cupel                   | only cli                     | sets the exit status, catches a crash
`

// outside says which of our packages may import a module of others outside
// tests, and why it is worth depending on.
const outside = `
module                          | packages                     | what for

github.com/spf13/cobra          | cli                          | commands, help, completion
github.com/spf13/pflag          | cli                          | the flags under cobra
github.com/schollz/progressbar  | cli                          | progress of long work on a terminal
golang.org/x/term               | cli                          | is this a terminal, how wide is it
go.yaml.in/yaml                 | finding/text                 | the parser under our decoder
gonum.org/v1/gonum              | uncertainty circuit elaborate trial ringout explain claim | dense algebra, distributions, optimisation
gonum.org/v1/plot               | report                       | static plots
modernc.org/sqlite              | bench                        | the archive of readings
github.com/google/go-cmp        | circuit/circuittest trial/rig/rigtest | differences, in test suites
`

// worldly names the packages of levels 0 to 5 that may touch files, clocks and
// cores: the dossier on disk, and the runner of batches.
var worldly = []string{"dossier/folder", "study/batch"}

// tagged names the packages whose types may carry JSON tags. What pages tells its
// own modules is published nowhere.
var tagged = []string{"answer", "report", "pages"}

// TestTree holds the real tree against the table. It looks at no test files:
// a test may import what it likes.
func TestTree(t *testing.T) {
	policy, err := parsePolicy(table, outside)
	if err != nil {
		t.Fatal(err)
	}
	problems, err := policy.check(os.DirFS(".."))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Error(p)
	}
}
