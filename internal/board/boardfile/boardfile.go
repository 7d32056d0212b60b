// Package boardfile reads board.yaml into a board, reporting every mistake of
// the text in one pass, and prints a board as such a text.
//
// Nets that are written by hand are graded "assumed" unless the text's nets
// section says otherwise: a hand-written net is somebody's word, and only a
// reading proves it.
package boardfile

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// Name is the name of the file in a dossier.
const Name = "board.yaml"

// Version is the version of the text that this package reads.
const Version = 1

// MaxCells is the most cells in series a board can have.
const MaxCells = 32

// Sheets knows the part sheets that a board may name.
type Sheets interface {
	Sheet(name string) (*catalog.Sheet, bool)
	Names() []string
}

// Read reads src, the content of file. Mistakes go to list; the board holds
// what could be understood and is never nil. It is sound when list has no
// error.
func Read(file string, src []byte, sheets Sheets, list *finding.List) *board.Board {
	from := len(*list)
	doc := text.Parse(file, src, list)
	b := &board.Board{Place: finding.Place{File: file}}
	if !doc.OK() {
		return b
	}
	r := &reader{doc: doc, board: b, sheets: sheets, ids: map[string]board.NetID{}, index: map[string]int{}}
	r.read(doc.Root().Fields(boardFields.Names()...))
	r.renameDuplicates((*list)[from:])
	return b
}

// reader reads one text.
type reader struct {
	doc    *text.Doc
	board  *board.Board
	sheets Sheets
	ids    map[string]board.NetID
	spots  []text.Value   // where each net is first named, by number
	index  map[string]int // of each part in the board, by its reference
	parts  spread
	pads   spread

	unwired []text.Value // keys of the parts of whose pins nothing is said
}

func (r *reader) read(root text.Map) {
	r.version(root)
	name := root.Need("board")
	r.board.Name = r.name(name, "board")
	if name.Given() {
		r.board.Place = name.Place()
	}
	if t := root.Get("title"); t.Given() {
		r.board.Title = t.Text()
	}
	r.board.Cells = root.Need("cells").IntIn(1, MaxCells)
	r.readPads(root.Need("pads"))
	r.readCounted(root.Get("counted"))
	r.readParts(root.Need("parts"))
	r.readNets(root.Get("nets"))
	r.readCopper(root.Get("copper"))
	r.check()
}

func (r *reader) version(root text.Map) {
	v := root.Need("cupel")
	if n := v.Text(); n != strconv.Itoa(Version) && n != "" {
		v.Fail(OtherVersion, "use a program that reads that version, or write cupel: 1",
			"the file is of version %q, this program reads version %d", n, Version)
	}
}

// plain is what names of boards and references of parts consist of: they
// become parts of file names and of other programs' texts.
var plain = regexp.MustCompile(`^[\pL\pN][\pL\pN_.+-]*$`)

// name reads a name that other texts can carry.
func (r *reader) name(v text.Value, what string) string {
	s := v.Text()
	if s != "" && !plain.MatchString(s) {
		v.Report(finding.Finding{
			Code: BadName, Level: finding.Error,
			Text:       what + " name \"" + s + "\" has characters that a name cannot have",
			Do:         "use letters, digits, - _ . and + only, beginning with a letter or digit",
			Suggestion: plainer(s),
		})
	}
	return s
}

// plainer is s with hyphens for what a name cannot have.
func plainer(s string) string {
	out := strings.Trim(unfit.ReplaceAllString(s, "-"), "-")
	if !plain.MatchString(out) {
		return ""
	}
	return out
}

var unfit = regexp.MustCompile(`[^\pL\pN_.+-]+`)

func (r *reader) readPads(v text.Value) {
	v.Map().Each(func(key, net text.Value) {
		p := board.Pad{Name: padName(key.Text()), Net: r.net(net), Place: key.Place()}
		r.pads.add(key)
		if p.Net != board.NoNet {
			n := &r.board.Nets[p.Net]
			n.Pads = append(n.Pads, len(r.board.Pads))
		}
		r.board.Pads = append(r.board.Pads, p)
	})
}

// readCounted reads how many parts were counted.
func (r *reader) readCounted(v text.Value) {
	if !v.Given() {
		return
	}
	v.Map().Each(func(key, count text.Value) {
		letters := key.Text()
		if letters == "" || strings.ContainsFunc(letters, func(c rune) bool { return !unicode.IsLetter(c) }) {
			key.Fail(BadName, "name the letters that the references begin with, as R, C, Q or U",
				"%q is not how references begin", letters)
			return
		}
		r.board.Counted = append(r.board.Counted, board.Counted{Letters: letters, Count: count.IntIn(0, maxCounted), Place: key.Place()})
	})
}

// padName writes the true minus sign of "B−" as the hyphen that keyboards have.
func padName(s string) string { return strings.ReplaceAll(s, "−", "-") }

// Nothing is what stands for the net of a pin that is connected to nothing.
const Nothing = "none"

// net returns the number of the net that v names.
func (r *reader) net(v text.Value) board.NetID {
	name := strings.TrimSpace(v.Text())
	if name == "" || name == Nothing {
		return board.NoNet
	}
	id, ok := r.ids[name]
	if !ok {
		id = board.NetID(len(r.board.Nets))
		r.ids[name] = id
		r.board.Nets = append(r.board.Nets, board.Net{Name: name, Grade: handWritten})
		r.spots = append(r.spots, v)
	}
	return id
}
