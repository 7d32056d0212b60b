package ipcd356

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Write writes f. Its error names what the format cannot hold.
func Write(w io.Writer, f *File) error {
	e := &writer{file: f, aliases: map[string]string{}, short: map[string]string{}}
	for i := range f.Pads {
		e.record(&f.Pads[i])
	}
	if e.err != nil {
		return e.err
	}
	var b strings.Builder
	for _, lines := range [][]string{e.head(), e.names, e.records, {"999"}} {
		for _, line := range lines {
			fmt.Fprintf(&b, "%-*s\n", width, line)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

type writer struct {
	file    *File
	aliases map[string]string // NNAMEn of a net
	short   map[string]string // of a reference or pin that is too long
	names   []string          // the lines that give long names
	records []string
	notes   []string
	err     error
}

func (e *writer) fail(format string, args ...any) {
	if e.err == nil {
		e.err = fmt.Errorf(format, args...)
	}
}

// head is the header in the order that the format wants, then the comments.
func (e *writer) head() []string {
	lines := []string{
		parameter("JOB", e.file.Job),
		parameter("CODE", "00"),
		parameter("UNITS", "CUST "+strconv.Itoa(int(e.file.Units))),
		parameter("TITLE", e.file.Title),
		parameter("NUM", ""),
		parameter("REV", ""),
		parameter("VER", "IPC-D-356A"),
	}
	for _, c := range e.file.Comments {
		lines = append(lines, "C  "+oneLine(c))
	}
	for i := range e.file.Pads {
		if e.file.Pads[i].At == nil {
			lines = append(lines, "C  "+unplaced)
			break
		}
	}
	for _, n := range e.notes {
		lines = append(lines, "C  "+n)
	}
	return append(lines, parameter("IMAGE", "PRIMARY"))
}

// parameter is a line with its value cut to what a record holds: job and title
// are for a person.
func parameter(name, value string) string {
	line := []rune(fmt.Sprintf("P  %-5s %s", name, oneLine(value)))
	return strings.TrimRight(string(line[:min(len(line), width)]), " ")
}

// oneLine is a text without line breaks and tabs.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// record adds one pad.
func (e *writer) record(p *Pad) {
	line := newLine()
	switch p.Op {
	case ThroughHole, Surface, NoCopper, Blind:
	default:
		e.fail("%s: there is no operation code %d for a pad", padName(p), p.Op)
	}
	line.put(colOp, strconv.Itoa(int(p.Op)))
	line.put(colNet, e.net(p.Net))
	line.put(colRef, e.shorten(p.Ref, colRef.to-colRef.from+1))
	if p.Pin != "" {
		line.put(colDash, "-")
		line.put(colPin, e.shorten(p.Pin, colPin.to-colPin.from+1))
	}
	if p.MidPoint {
		line.put(colMid, "M")
	}
	e.hole(line, p)
	line.put(colA, "A")
	line.put(colAccess, e.count(p, "access", float64(p.Access), 2))
	e.place(line, p)
	e.records = append(e.records, line.String())
}

func (e *writer) hole(line line, p *Pad) {
	if p.Hole == nil {
		return
	}
	line.put(colD, "D")
	line.put(colHole, e.count(p, "hole", p.Hole.Diameter/e.file.Units.step(), 4))
	line.put(colPlated, map[bool]string{true: "P", false: "U"}[p.Hole.Plated])
}

func (e *writer) place(line line, p *Pad) {
	at := Point{}
	if p.At != nil {
		at = *p.At
	}
	step := e.file.Units.step()
	line.put(colX, "X")
	line.put(colXAt, e.signed(p, "x", at.X/step))
	line.put(colY, "Y")
	line.put(colYAt, e.signed(p, "y", at.Y/step))
	line.put(colW, "X")
	line.put(colWidth, e.count(p, "width", p.Width/step, 4))
	line.put(colH, "Y")
	line.put(colHeight, e.count(p, "height", p.Height/step, 4))
	line.put(colR, "R")
	line.put(colTurn, e.count(p, "rotation", p.Rotation/e.file.Units.turn(), 3))
}

// count is a whole number of so many digits.
func (e *writer) count(p *Pad, what string, v float64, digits int) string {
	v = math.Round(v)
	if !(v >= 0 && v < math.Pow10(digits)) {
		e.fail("%s: %s %g does not fit into %d digits", padName(p), what, v, digits)
		return ""
	}
	return fmt.Sprintf("%0*.0f", digits, v)
}

func (e *writer) signed(p *Pad, what string, v float64) string {
	v = math.Round(v) + 0 // no −0
	if !(math.Abs(v) < 1e6) {
		e.fail("%s: %s %g does not fit into 6 digits", padName(p), what, v)
		return ""
	}
	return fmt.Sprintf("%+07.0f", v)
}

func padName(p *Pad) string {
	if p.Pin == "" {
		return p.Ref
	}
	return p.Ref + "." + p.Pin
}

// longestName is how long a net name may be: what is left of its line.
const longestName = 66

// net is what stands in the column of a net: its name, or an alias.
func (e *writer) net(name string) string {
	room := colNet.to - colNet.from + 1
	if name == "" {
		return "N/C"
	}
	if plain(name) && len(name) <= room && name != "N/C" && !strings.HasPrefix(name, aliasPrefix) {
		return name
	}
	if alias := e.aliases[name]; alias != "" {
		return alias
	}
	if n := len([]rune(name)); n > longestName || name != oneLine(name) {
		e.fail("net %q cannot be written: a name has at most %d characters and no space at its ends", name, longestName)
	}
	alias := aliasPrefix + strconv.Itoa(len(e.aliases)+1)
	e.aliases[name] = alias
	e.names = append(e.names, fmt.Sprintf("P  %-9s %s", alias, name))
	return alias
}

// aliasPrefix begins the name that stands for a long one.
const aliasPrefix = "NNAME"

// plain reports whether s can stand in a column: visible ASCII without space.
func plain(s string) bool {
	for _, c := range s {
		if c <= ' ' || c > '~' {
			return false
		}
	}
	return s != ""
}

// shorten is a reference or pin that fits its columns. A longer one is counted,
// and a comment says what the count stands for.
func (e *writer) shorten(name string, room int) string {
	if plain(name) && len(name) <= room && name[0] != '~' {
		return name
	}
	if name == "" || name != oneLine(name) || len([]rune(name)) > longestName {
		e.fail("%q cannot be written as a reference or a pin", name)
		return ""
	}
	if s := e.short[name]; s != "" {
		return s
	}
	s := "~" + strconv.FormatInt(int64(len(e.short)+1), 36)
	if len(s) > room {
		e.fail("too many long references")
	}
	e.short[name] = s
	e.notes = append(e.notes, fmt.Sprintf("%s %s %s", whole, s, name))
	return s
}

// line is a record under construction.
type line []byte

func newLine() line { return line(strings.Repeat(" ", width)) }

func (l line) put(c columns, s string) { copy(l[c.from-1:c.to], s) }

func (l line) String() string { return strings.TrimRight(string(l), " ") }
