package spice

import (
	"fmt"
	"strconv"
	"strings"
)

// Plot is one analysis as ngspice writes it: named vectors of equal length. At
// an operating point they have length 1.
type Plot struct {
	Title, Name string
	Vectors     map[string][]float64 // by lower-case name: "v(out)", "i(v1)", "time"
}

// parseRaw reads a raw file in text form with one plot of real numbers:
//
//	Title: …
//	Plotname: DC transfer characteristic
//	Flags: real
//	No. Variables: 3
//	No. Points: 2
//	Variables:
//		0	v(v-sweep)	voltage
//		1	v(1)	voltage
//		2	i(v1)	current
//	Values:
//	 0	1.0
//		1.0
//		-1e-3
//	 1	…
func parseRaw(text string) (Plot, error) {
	head, values, ok := strings.Cut(text, "\nValues:")
	if !ok {
		return Plot{}, fmt.Errorf("no values: %.200q", text)
	}
	p, names, points, err := parseHead(head)
	if err != nil {
		return p, err
	}
	fields := strings.Fields(values)
	width := 1 + len(names) // each point starts with its index
	if len(fields) != points*width {
		return p, fmt.Errorf("%d numbers for %d points of %d vectors", len(fields), points, len(names))
	}
	for i := range points {
		for j, name := range names {
			v, err := strconv.ParseFloat(fields[i*width+1+j], 64)
			if err != nil {
				return p, fmt.Errorf("point %d of %s: %w", i, name, err)
			}
			p.Vectors[name] = append(p.Vectors[name], v)
		}
	}
	return p, nil
}

func parseHead(head string) (p Plot, names []string, points int, err error) {
	p.Vectors = map[string][]float64{}
	for _, line := range strings.Split(head, "\n") {
		key, value, _ := strings.Cut(line, ":")
		value = strings.TrimSpace(value)
		switch key {
		case "Title":
			p.Title = value
		case "Plotname":
			p.Name = value
		case "Flags":
			if value != "real" {
				return p, nil, 0, fmt.Errorf("flags %q: only real vectors are read", value)
			}
		case "No. Points":
			if points, err = strconv.Atoi(value); err != nil {
				return p, nil, 0, fmt.Errorf("number of points: %w", err)
			}
		default:
			if f := strings.Fields(line); strings.HasPrefix(line, "\t") && len(f) >= 3 {
				names = append(names, strings.ToLower(f[1]))
			}
		}
	}
	return p, names, points, nil
}

// Last returns the last value of a vector: the only one at an operating point.
func (p Plot) Last(name string) (float64, error) {
	v := p.Vectors[strings.ToLower(name)]
	if len(v) == 0 {
		return 0, fmt.Errorf("no vector %s in %q", name, p.Name)
	}
	return v[len(v)-1], nil
}
