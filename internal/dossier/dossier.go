// Package dossier reads a dossier from any file tree: the board, what is
// stated of it, and its part sheets.
package dossier

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/board/photo"
	"cupel/internal/board/photo/photofile"
	"cupel/internal/board/review"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/claim"
	"cupel/internal/claim/claimfile"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/ringout"
)

// Parts is the folder of the dossier's own part sheets.
const Parts = "parts"

// Roles is the text in which a person says what parts are for. It is read by
// whoever explains the board.
const Roles = "roles.yaml"

// Dossier is everything known of one board, as its texts say it.
type Dossier struct {
	Board  *board.Board
	Claims *claim.Sheet
	Sheets *Sheets
	// Log and Pads are what was rung out of the board, empty where nothing was.
	Log  ringout.Log
	Pads []ringout.PadRow
	// Photos is what was touched on photos of the board, empty where nothing was.
	Photos *photo.Photos
	Texts  map[string][]byte // by name in the tree, as "parts/x.yaml"
	Hash   string            // of the texts, see [Hash]
	// Findings are those about the texts. With an error among them the board
	// and the claims hold only what could be understood.
	Findings finding.List
	read     map[reader]finding.List // what each reader found, see [Again]
}

// Read reads the dossier at the root of tree. An error means that the tree
// could not be read; what is wrong with the texts is in Findings.
func Read(tree fs.FS) (*Dossier, error) {
	d := &Dossier{Texts: map[string][]byte{}, Sheets: newSheets()}
	for _, name := range []string{boardfile.Name, claimfile.Name, Roles, ringout.LogName, ringout.PadsName, photofile.Name} {
		if err := d.load(tree, name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	if err := d.loadSheets(tree); err != nil {
		return nil, err
	}
	d.understand()
	return d, nil
}

// reader is what reads one kind of texts.
type reader int

const (
	sheets reader = iota
	boards
	claims
	ringouts
	photos
)

// understand reads the texts, those of part sheets already read.
func (d *Dossier) understand() {
	d.findings(sheets, func() {})
	d.findings(boards, d.readBoard)
	d.findings(claims, d.readClaims)
	d.findings(ringouts, d.readRingout)
	d.findings(photos, d.readPhotos)
	d.sum()
}

// findings keeps what a reader finds apart from what others find.
func (d *Dossier) findings(r reader, read func()) {
	if d.read == nil {
		d.read = map[reader]finding.List{}
	}
	read()
	d.read[r], d.Findings = d.Findings, nil
}

// sum puts together what all readers found.
func (d *Dossier) sum() {
	for r := sheets; r <= photos; r++ {
		d.Findings = append(d.Findings, d.read[r]...)
	}
	d.Findings.Sort()
	d.Hash = Hash(d.Texts)
}

// Review says what the structural rules find in the board. It is empty while
// the texts have errors: half a board would break every rule. Of a board that is
// mostly not rung out it says that alone.
func (d *Dossier) Review() finding.List {
	if d.Findings.Has(finding.Error) {
		return nil
	}
	if n := unwired(d.Board); 2*n > len(d.Board.Parts) {
		return finding.List{{
			Code: NotRungOut, Level: finding.Error, Place: d.Board.Place,
			Text: fmt.Sprintf("%d of %d parts are on no net: nothing can be said of the circuit", n, len(d.Board.Parts)),
			Do:   "ring the board out, then: cupel ringout apply",
		}}
	}
	return review.Check(d.Board, d.Sheets.Sheet)
}

// unwired counts the parts of which no pin is on a net.
func unwired(b *board.Board) int {
	n := 0
	for i := range b.Parts {
		if !slices.ContainsFunc(b.Parts[i].Pins, func(p board.Pin) bool { return p.Net != board.NoNet }) {
			n++
		}
	}
	return n
}

// load reads one text of the tree.
func (d *Dossier) load(tree fs.FS, name string) error {
	f, err := tree.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	// One byte more than a text may have lets its reader see that it is too large.
	src, err := io.ReadAll(io.LimitReader(f, limit(name)+1))
	if err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	d.Texts[name] = src
	return nil
}

// MaxLog is the most bytes that a log of readings may have: some 100 000 entries.
const MaxLog = 16 << 20

func limit(name string) int64 {
	if name == ringout.LogName {
		return MaxLog
	}
	return text.MaxSize
}

func (d *Dossier) readBoard() {
	src, ok := d.Texts[boardfile.Name]
	if !ok {
		d.Board = &board.Board{Place: finding.Place{File: boardfile.Name}}
		d.Findings.Add(finding.Finding{
			Code: NoBoard, Level: finding.Error, Place: d.Board.Place,
			Text: "there is no " + boardfile.Name + " here",
			Do:   "name the folder of a dossier, or begin one with: cupel new DIR",
		})
		return
	}
	d.Board = boardfile.Read(boardfile.Name, src, d.Sheets, &d.Findings)
}

// readClaims reads what is stated; a board of which nothing is stated is none
// the worse.
func (d *Dossier) readClaims() {
	src, ok := d.Texts[claimfile.Name]
	if !ok {
		d.Claims = &claim.Sheet{Place: finding.Place{File: claimfile.Name}}
		return
	}
	d.Claims = claimfile.Read(claimfile.Name, src, d.Board.Cells, &d.Findings)
}

// readRingout reads what was rung out. Nothing need have been.
func (d *Dossier) readRingout() {
	var list finding.List
	src, ok := d.Texts[ringout.LogName]
	switch {
	case !ok:
	case len(src) > MaxLog:
		// The rest was not read: what looks like a torn line is none.
		d.Findings.Add(finding.Finding{
			Code: LogTooLong, Level: finding.Error, Place: finding.Place{File: ringout.LogName},
			Text: fmt.Sprintf("the log has more than %d MiB", MaxLog>>20), Do: "it holds far more entries than a board needs: keep the file elsewhere and begin anew",
		})
	default:
		d.Log, list = ringout.ReadLog(ringout.LogName, src)
		d.Findings = append(d.Findings, list...)
	}
	if src, ok := d.Texts[ringout.PadsName]; ok {
		d.Pads, list = ringout.ReadPads(ringout.PadsName, src)
		d.Findings = append(d.Findings, list...)
	}
}

// readPhotos reads what was touched on photos of the board.
func (d *Dossier) readPhotos() {
	src, ok := d.Texts[photofile.Name]
	if !ok {
		d.Photos = &photo.Photos{Place: finding.Place{File: photofile.Name}}
		return
	}
	d.Photos = photofile.Read(photofile.Name, src, &d.Findings)
}

// loadSheets reads the dossier's own part sheets.
func (d *Dossier) loadSheets(tree fs.FS) error {
	entries, err := fs.ReadDir(tree, Parts)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("read %s: %w", Parts, err)
	}
	for _, e := range entries {
		name := path.Join(Parts, e.Name())
		switch {
		case e.IsDir() || strings.HasPrefix(e.Name(), "."):
		case path.Ext(name) == ".yaml":
			if err := d.load(tree, name); err != nil {
				return err
			}
			d.readSheet(name)
		case path.Ext(name) == ".yml":
			d.Findings.Add(finding.Finding{
				Code: OtherEnding, Level: finding.Warning, Place: finding.Place{File: name},
				Text: "not read: part sheets end in .yaml", Do: "rename it",
			})
		}
	}
	return nil
}

func (d *Dossier) readSheet(name string) {
	s := sheetfile.Read(name, d.Texts[name], &d.Findings)
	if s == nil || s.Name == "" {
		return
	}
	if first, ok := d.Sheets.own[s.Name]; ok {
		d.Findings.Add(finding.Finding{
			Code: SheetTwice, Level: finding.Error, Place: finding.Place{File: name},
			Text: fmt.Sprintf("part sheet %s stands in %s too", s.Name, first.Place.File),
			Do:   "rename or delete one of the two",
		})
		return
	}
	if s.Place.File == "" {
		s.Place.File = name
	}
	d.Sheets.own[s.Name] = s
}
