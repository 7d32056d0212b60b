package ipcd356

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"cupel/internal/finding"
)

// BadRecord is the code of the finding that a record cannot be read. The code
// never changes its meaning.
const BadRecord = "P101"

// Read reads a file. Records that cannot be read are error findings; the rest
// is read all the same.
func Read(file string, src []byte) (*File, finding.List) {
	r := &reader{name: file, file: &File{}, names: map[string]string{}, short: map[string]string{}}
	text := strings.TrimSuffix(strings.ReplaceAll(string(src), "\r\n", "\n"), "\n")
	for i, line := range strings.Split(text, "\n") {
		r.row, r.line = i+1, strings.TrimRight(line, " ")
		if r.ended {
			break
		}
		r.take()
	}
	if !r.ended {
		r.fail(1, "the file has no end mark, it may be cut", "the last record is 999")
	}
	r.resolve()
	return r.file, r.list
}

type reader struct {
	name     string
	file     *File
	row      int
	line     string
	ended    bool
	unplaced bool
	names    map[string]string // of NNAMEn
	short    map[string]string // of shortened references
	rows     []int             // of each pad
	list     finding.List
}

// fail reports what is wrong at a column of the present line.
func (r *reader) fail(column int, text, do string) { r.failAt(r.row, column, text, do) }

func (r *reader) failAt(row, column int, text, do string) {
	r.list.Add(finding.Finding{
		Code: BadRecord, Level: finding.Error, Text: text, Do: do, Source: r.line,
		Place: finding.Place{File: r.name, Line: row, Column: column},
	})
}

// take reads one line.
func (r *reader) take() {
	switch {
	case r.line == "":
	case !utf8.ValidString(r.line):
		r.fail(1, "the line is no text", "save the file as ASCII or UTF-8")
	case r.line[0] == 'C':
		r.comment()
	case r.line[0] == 'P':
		r.parameter()
	default:
		r.record()
	}
}

func (r *reader) comment() {
	text := strings.TrimSpace(r.line[1:])
	if text == unplaced {
		r.unplaced = true
		return
	}
	if rest, ok := strings.CutPrefix(text, whole+" "); ok {
		if s, name, ok := strings.Cut(rest, " "); ok {
			r.short[s] = name
			return
		}
	}
	r.file.Comments = append(r.file.Comments, text)
}

func (r *reader) parameter() {
	word, value, _ := strings.Cut(strings.TrimSpace(r.line[1:]), " ")
	value = strings.TrimSpace(value)
	switch {
	case word == "JOB":
		r.file.Job = value
	case word == "TITLE":
		r.file.Title = value
	case word == "UNITS":
		r.units(value)
	case strings.HasPrefix(word, aliasPrefix):
		if r.names[word] != "" {
			r.fail(4, word+" is given twice", "number the long names one after the other")
		}
		r.names[word] = value
	}
}

// units reads the units. A file without them counts as CUST 0.
func (r *reader) units(value string) {
	n, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(value, "CUST")))
	if err != nil || n < int(TenthMils) || n > int(TenthMilsRadians) || !strings.HasPrefix(value, "CUST") {
		r.fail(10, fmt.Sprintf("units %q are not known", value), "CUST 0 is 0.0001 inch, CUST 1 is 0.001 mm, CUST 2 is 0.0001 inch with radians")
		return
	}
	if len(r.file.Pads) > 0 && Units(n) != r.file.Units {
		r.fail(10, "the units change after the first pad", "state the units before the records")
		return
	}
	r.file.Units = Units(n)
}

// field is the text in columns c, "" beyond the line's end.
func (r *reader) field(c columns) string {
	if len(r.line) < c.from {
		return ""
	}
	return strings.TrimSpace(r.line[c.from-1 : min(c.to, len(r.line))])
}

// record reads a line that begins with an operation code.
func (r *reader) record() {
	code := r.field(colOp)
	op, err := strconv.Atoi(code)
	switch {
	case code == "999":
		r.ended = true
	case err != nil || len(code) != 3:
		r.fail(1, fmt.Sprintf("%q is no operation code", code), "a line begins with C, with P, or with three digits")
	case Op(op) == ThroughHole, Op(op) == Surface, Op(op) == NoCopper, Op(op) == Blind:
		r.pad(Op(op))
	case code[0] == '0' || op >= 300 && op < 400:
		r.file.Skipped++ // a continuation, a conductor, an outline: no pad
	default:
		r.fail(1, "operation code "+code+" is not known", "pads are 317, 327, 367 and 307; the end is 999")
	}
}

// pad reads the record of a pad.
func (r *reader) pad(op Op) {
	if strings.IndexFunc(r.line, func(c rune) bool { return c > '~' || c < ' ' }) >= 0 {
		r.fail(1, "a record has ASCII characters alone: the columns cannot be counted", "take tabs and other characters away")
		return
	}
	before := len(r.list)
	p := Pad{Op: op, Net: r.field(colNet), Ref: r.field(colRef), Pin: r.field(colPin), MidPoint: r.letter(colMid, "M") == "M"}
	if p.Net == "N/C" {
		p.Net = ""
	}
	if p.Ref == "" {
		r.fail(colRef.from, "the reference is missing", "it stands in columns 21 to 26")
	}
	if s := r.field(colBlank); s != "" {
		r.fail(colBlank.from, fmt.Sprintf("%q stands where the format is blank", s), "a longer net name is given by NNAME")
	}
	r.letter(colDash, "-")
	p.Hole = r.hole()
	if r.letter(colA, "A") == "A" {
		p.Access = int(r.number(colAccess))
	}
	r.place(&p)
	if len(r.list) == before {
		r.file.Pads = append(r.file.Pads, p)
		r.rows = append(r.rows, r.row)
	}
}

// letter reads a column that holds one of the letters or nothing.
func (r *reader) letter(c columns, allowed string) string {
	s := r.field(c)
	if s != "" && !strings.Contains(allowed, s) {
		r.fail(c.from, fmt.Sprintf("%q in column %d, where %s or nothing stands", s, c.from, strings.Join(strings.Split(allowed, ""), " or ")), "count the columns: the line may be shifted")
	}
	return s
}

func (r *reader) hole() *Hole {
	if r.letter(colD, "D") != "D" {
		return nil
	}
	return &Hole{Diameter: r.number(colHole) * r.file.Units.step(), Plated: r.letter(colPlated, "PU") != "U"}
}

func (r *reader) place(p *Pad) {
	step := r.file.Units.step()
	if r.letter(colX, "X") == "X" && r.letter(colY, "Y") == "Y" {
		p.At = &Point{X: r.number(colXAt) * step, Y: r.number(colYAt) * step}
	}
	if r.letter(colW, "X") == "X" {
		p.Width = r.number(colWidth) * step
	}
	if r.letter(colH, "Y") == "Y" {
		p.Height = r.number(colHeight) * step
	}
	if r.letter(colR, "R") == "R" {
		p.Rotation = r.number(colTurn) * r.file.Units.turn()
	}
}

// number reads a whole number; the digits may be padded with spaces, after the
// sign too.
func (r *reader) number(c columns) float64 {
	s := r.field(c)
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(strings.TrimPrefix(strings.Replace(s, " ", "", -1), "+"))
	if err != nil || strings.ContainsAny(strings.TrimLeft(s, "+- "), " +-") {
		r.fail(c.from, fmt.Sprintf("%q in columns %d to %d is no whole number", s, c.from, c.to), "count the columns: the line may be shifted")
		return 0
	}
	return float64(n)
}

// resolve puts whole names in place of the short ones.
func (r *reader) resolve() {
	for i := range r.file.Pads {
		p := &r.file.Pads[i]
		if name, ok := r.names[p.Net]; ok {
			p.Net = name
		} else if strings.HasPrefix(p.Net, aliasPrefix) {
			r.line = ""
			r.failAt(r.rows[i], colNet.from, p.Net+" stands for a long name that is not given", "add the line: P  "+p.Net+"  NAME")
		}
		if name, ok := r.short[p.Ref]; ok {
			p.Ref = name
		}
		if name, ok := r.short[p.Pin]; ok {
			p.Pin = name
		}
		if r.unplaced && p.At != nil && *p.At == (Point{}) {
			p.At = nil
		}
	}
}
