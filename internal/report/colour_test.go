package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestContrast computes WCAG 2.2 contrast from the style sheet: text at least
// 4.5 on every ground it stands on, lines of drawings at least 3.
func TestContrast(t *testing.T) {
	for name, sheet := range map[string]map[string]string{"light": tokens(t, 0), "dark": tokens(t, 1)} {
		for _, ground := range []string{"paper", "sheet"} {
			for _, text := range []string{"ink", "quiet", "act", "meets", "fails", "cannot", "untested"} {
				if c := contrast(t, sheet[text], sheet[ground]); c < 4.5 {
					t.Errorf("%s: %s on %s is %.2f", name, text, ground, c)
				}
			}
			for _, line := range []string{"edge", "l0", "l1", "l2", "l3", "l4", "l5"} {
				if c := contrast(t, sheet[line], sheet[ground]); c < 3 {
					t.Errorf("%s: %s on %s is %.2f", name, line, ground, c)
				}
			}
		}
	}
	if c := contrast(t, "#FFFFFF", "#000000"); math.Abs(c-21) > 1e-9 {
		t.Errorf("white on black is %g, WCAG says 21", c)
	}
}

// TestPrintIsLight holds that paper gets the light colours of verdicts.
func TestPrintIsLight(t *testing.T) {
	light, print := tokens(t, 0), tokens(t, 2)
	for _, name := range []string{"ink", "meets", "fails", "cannot", "untested"} {
		if light[name] != print[name] {
			t.Errorf("%s is %s on paper and %s on a light screen", name, print[name], light[name])
		}
	}
}

// tokens reads the n-th set of colours from the style sheet: light, dark, print.
func tokens(t *testing.T, n int) map[string]string {
	t.Helper()
	roots := strings.Split(pageCSS, ":root {")[1:]
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z0-9]+): (#[0-9A-F]{6});`).FindAllStringSubmatch(strings.SplitN(roots[n], "}", 2)[0], -1) {
		out[m[1]] = m[2]
	}
	if len(out) < 15 {
		t.Fatalf("only %d colours in set %d", len(out), n)
	}
	return out
}

// contrast is the ratio of WCAG 2.2, "contrast ratio" and "relative luminance".
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(v) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
