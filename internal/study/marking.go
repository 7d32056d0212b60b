package study

import (
	"fmt"
	"math"

	"cupel/internal/answer"
	"cupel/internal/catalog/marking"
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// CodeMark is the code of the finding that a text is no mark of a part.
const CodeMark = "M001"

// Marking reads marks, and holds each against what was measured of that part:
// nothing, one value for all, or one each. All that cannot be read is returned
// as findings.
func Marking(codes []string, measured []quantity.Quantity) (answer.Marking, error) {
	a := answer.Marking{Head: answer.NewHead("marking", "", "")}
	var wrong finding.List
	for i, code := range codes {
		m, err := marking.Read(code)
		if err != nil {
			wrong.Add(finding.Finding{
				Code: CodeMark, Level: finding.Error, Text: err.Error(),
				Do: "look again under another light and turned, or measure; marks of diodes, transistors and ICs are not read",
			})
			continue
		}
		q := quantity.Absent(quantity.None)
		if len(measured) > 0 {
			q = measured[min(i, len(measured)-1)]
		}
		a.Codes = append(a.Codes, marked(m, q))
	}
	return a, wrong.Err()
}

// Measured reads what a meter showed of a part. A number without unit is ohms.
func Measured(text string) (quantity.Quantity, error) {
	q, err := quantity.Parse(text, quantity.Resistance)
	if err == nil {
		return q, nil
	}
	if q, err := quantity.Parse(text, quantity.Capacitance); err == nil {
		return q, nil
	}
	return q, fmt.Errorf("%q is no measured resistance or capacitance: %w", text, err)
}

func marked(m marking.Mark, measured quantity.Quantity) answer.MarkedCode {
	c := answer.MarkedCode{Code: m.Code, DecideBy: answer.Text(m.Decide)}
	if measured.Given() {
		c.Measured, c.MeasuredUnit = number(measured.Nominal()), answer.Text(measured.Dim.Unit())
		c.Settled = answer.Text(m.Settle(measured))
	}
	for _, r := range m.Readings {
		out := answer.MarkReading{
			Value: number(r.Value.Typ), Unit: r.Value.Dim.Unit(), System: string(r.System),
			Low: number(r.Value.Min), High: number(r.Value.Max),
			Series: answer.Text(r.Series), Note: answer.Text(r.Note), Text: r.String(),
		}
		if f := r.Compare(measured); f.Comparable {
			out.Agrees = &f.Agrees
			out.Deviation = number(math.Round(f.Deviation*1e4) / 100) // to a hundredth of a percent
		}
		c.Readings = append(c.Readings, out)
	}
	return c
}
