package pattern

import (
	"fmt"
	"strings"
)

// variant is one choice out of every vary line.
type variant struct {
	name   string
	values []assignment
}

type assignment struct{ name, value string }

// fill puts the variant's values in the place of their names. Longer names
// come first: $base is not $b.
func (v variant) fill(text string) string {
	if !strings.Contains(text, "$") {
		return text
	}
	var pairs []string
	for n := maxName; n > 0; n-- {
		for _, a := range v.values {
			if len(a.name) == n {
				pairs = append(pairs, "$"+a.name, a.value)
			}
		}
	}
	return strings.NewReplacer(pairs...).Replace(text)
}

// maxName is the longest name of a value.
const maxName = 16

// variants multiplies the vary lines of a text.
func variants(file string, lines []line) ([]variant, error) {
	out := []variant{{}}
	for _, l := range lines {
		rest, ok := strings.CutPrefix(l.text, "vary ")
		if !ok {
			continue
		}
		var next []variant
		for _, v := range out {
			for _, alternative := range strings.Split(rest, "|") {
				more, err := v.with(alternative)
				if err != nil {
					return nil, fmt.Errorf("%s:%d: %w", file, l.number, err)
				}
				next = append(next, more)
			}
		}
		if out = next; len(out) > mostVariants {
			return nil, fmt.Errorf("%s:%d: more than %d variants", file, l.number, mostVariants)
		}
	}
	return out, nil
}

// mostVariants bounds what a text can multiply to.
const mostVariants = 256

// with adds the values of an alternative: "a=X; b=Y".
func (v variant) with(alternative string) (variant, error) {
	next := variant{name: v.name, values: append([]assignment(nil), v.values...)}
	for i, pair := range strings.Split(alternative, ";") {
		name, value, ok := strings.Cut(strings.TrimSpace(pair), "=")
		if !ok || name == "" || len(name) > maxName {
			return next, fmt.Errorf("vary %s: write name=value, with ; between several", strings.TrimSpace(pair))
		}
		if i == 0 {
			next.name = strings.TrimPrefix(next.name+", "+value, ", ")
		}
		next.values = append(next.values, assignment{name, value})
	}
	return next, nil
}
