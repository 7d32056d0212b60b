package circuittest

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Table is a reference table: CSV under lines of comment that say who computed
// it, how, with which version. Its first column is what was swept.
type Table struct {
	Comment []string // without the leading "# "
	Columns []string // with their units: "v_ds_V"
	Rows    [][]float64
}

// ReadTable reads a table as Write writes it.
func ReadTable(r io.Reader) (Table, error) {
	var t Table
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "#"):
			t.Comment = append(t.Comment, strings.TrimSpace(line[1:]))
		case t.Columns == nil:
			t.Columns = strings.Split(line, ",")
		default:
			row, err := parseRow(line, len(t.Columns))
			if err != nil {
				return t, fmt.Errorf("line %d: %w", n, err)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t, lines.Err()
}

func parseRow(line string, width int) ([]float64, error) {
	cells := strings.Split(line, ",")
	if len(cells) != width {
		return nil, fmt.Errorf("%d figures under %d headings", len(cells), width)
	}
	row := make([]float64, width)
	for i, c := range cells {
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			return nil, err
		}
		row[i] = v
	}
	return row, nil
}

// Write writes the table with eight digits, more than any test compares.
func (t Table) Write(w io.Writer) error {
	b := bufio.NewWriter(w)
	for _, c := range t.Comment {
		fmt.Fprintln(b, strings.TrimSpace("# "+c))
	}
	fmt.Fprintln(b, strings.Join(t.Columns, ","))
	for _, row := range t.Rows {
		for i, v := range row {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(strconv.FormatFloat(v, 'g', 8, 64))
		}
		b.WriteByte('\n')
	}
	return b.Flush()
}

// Tolerance is how far two figures may lie apart:
// |got − want| ≤ Relative·max(|got|, |want|) + Absolute.
type Tolerance struct{ Relative, Absolute float64 }

// Near reports whether got is want within the tolerance.
func (t Tolerance) Near(got, want float64) bool {
	return math.Abs(got-want) <= t.Relative*math.Max(math.Abs(got), math.Abs(want))+t.Absolute
}

// Limits is how far voltages, currents and times may lie apart, told by the unit
// at the end of a column's heading.
type Limits struct{ Volts, Amps, Seconds Tolerance }

func (l Limits) of(column string) Tolerance {
	switch {
	case strings.HasSuffix(column, "_A"):
		return l.Amps
	case strings.HasSuffix(column, "_s"):
		return l.Seconds
	}
	return l.Volts
}

// Differences lists where got is not want, at most ten; the first column, which
// was set and not computed, must agree to eight digits.
func Differences(got, want Table, within Limits) []string {
	if g, w := strings.Join(got.Columns, ","), strings.Join(want.Columns, ","); g != w {
		return []string{fmt.Sprintf("columns %s, want %s", g, w)}
	}
	if len(got.Rows) != len(want.Rows) {
		return []string{fmt.Sprintf("%d rows, want %d", len(got.Rows), len(want.Rows))}
	}
	const most = 10
	var out []string
	for i, row := range want.Rows {
		for j, w := range row {
			limit := within.of(want.Columns[j])
			if j == 0 {
				limit = Tolerance{1e-7, 1e-12}
			}
			if g := got.Rows[i][j]; !limit.Near(g, w) && len(out) < most {
				out = append(out, fmt.Sprintf("at %s = %g: %s = %.8g, want %.8g (off by %.3g)",
					want.Columns[0], row[0], want.Columns[j], g, w, g-w))
			}
		}
	}
	return out
}
