package pages

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// luminance is the relative luminance of a colour and contrast that of two, by
// WCAG 2.2, "relative luminance" and "contrast ratio".
func luminance(hex string) float64 {
	n, _ := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	channel := func(shift uint) float64 {
		c := float64(n>>shift&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(16) + 0.7152*channel(8) + 0.0722*channel(0)
}

func contrast(a, b string) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// tokens are the colours of a block of the style sheet.
func tokens(t *testing.T, css, block string) map[string]string {
	t.Helper()
	at := strings.Index(css, block)
	if at < 0 {
		t.Fatalf("no block %s", block)
	}
	text, _, _ := strings.Cut(css[at:], "}")
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z0-9]+): (#[0-9A-F]{6});`).FindAllStringSubmatch(text, -1) {
		out[m[1]] = m[2]
	}
	return out
}

// The design's table of contrasts, on paper, sheet, well and picked, as it was
// computed when the colours were chosen.
var table = map[string]map[string][]float64{
	"light": {
		"ink": {14.36, 15.83, 12.87, 12.32}, "quiet": {6.89, 7.59, 6.17, 5.91}, "act": {6.91, 7.62, 6.19, 5.93},
		"meets": {9.97, 10.99, 8.93, 8.55}, "fails": {6.37, 7.02, 5.71, 5.46}, "cannot": {9.63, 10.61, 8.63, 8.26},
		"untested": {5.57, 6.14, 4.99, 4.78}, "edge": {3.74, 4.12, 3.35, 3.21},
		"l0": {3.73, 4.11}, "l1": {8.93, 9.84}, "l2": {7.19, 7.92}, "l3": {3.39, 3.74}, "l4": {4.11, 4.53}, "l5": {16.38, 18.05},
	},
	"dark": {
		"ink": {14.36, 12.90, 15.30, 10.01}, "quiet": {8.65, 7.77, 9.21, 6.03}, "act": {8.90, 8.00, 9.48, 6.21},
		"meets": {13.10, 11.76, 13.95, 9.13}, "fails": {8.82, 7.92, 9.39, 6.15}, "cannot": {7.22, 6.49, 7.69, 5.04},
		"untested": {7.17, 6.44, 7.63, 5.00}, "edge": {4.84, 4.35, 5.16, 3.38},
		"l0": {8.09, 7.27}, "l1": {7.69, 6.90}, "l2": {4.93, 4.43}, "l3": {7.44, 6.68}, "l4": {4.55, 4.09}, "l5": {15.63, 14.03},
	},
}

// TestContrast computes the table anew from the style sheet, and holds it against
// WCAG 2.2: text 4.5 (1.4.3), lines and the borders of fields 3 (1.4.11).
func TestContrast(t *testing.T) {
	css, err := fs.ReadFile(static(), "base.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := map[string]string{"light": ":root {", "dark": `:root[data-theme="dark"] {`}
	for theme, want := range table {
		have := tokens(t, string(css), blocks[theme])
		for name, row := range want {
			least := 4.5
			if name == "edge" || name[0] == 'l' {
				least = 3
			}
			for i, ground := range []string{"paper", "sheet", "well", "picked"}[:len(row)] {
				got := contrast(have[name], have[ground])
				if math.Abs(got-row[i]) > 0.006 {
					t.Errorf("%s %s on %s: %.2f, the table says %.2f", theme, name, ground, got, row[i])
				}
				if got < least {
					t.Errorf("%s %s on %s: %.2f is below %.1f", theme, name, ground, got, least)
				}
			}
		}
		if got := contrast(have["onact"], have["act"]); got < 4.5 {
			t.Errorf("%s: the text of a button: %.2f", theme, got)
		}
	}
	// The system's own dark is the same as the chosen one.
	system := tokens(t, string(css), `:root:not([data-theme="light"]) {`)
	for name, colour := range tokens(t, string(css), blocks["dark"]) {
		if system[name] != colour {
			t.Errorf("dark by the system has %s for %s, chosen dark %s", system[name], name, colour)
		}
	}
}

// sources are the Go files, templates and modules, where keys are used.
func sources(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	for _, dir := range []string{"templates", "static"} {
		entries, err := embedded.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			text, _ := embedded.ReadFile(path.Join(dir, e.Name()))
			b.Write(text)
		}
	}
	return b.String()
}

// Every text that a template names is there.
func TestTextsAreThere(t *testing.T) {
	langs, err := languages(nil)
	if err != nil {
		t.Fatal(err)
	}
	text := sources(t)
	for _, l := range langs {
		for _, m := range regexp.MustCompile(`\.T "([a-z0-9.\-]+)"`).FindAllStringSubmatch(text, -1) {
			_, plain := l.Texts[m[1]]
			_, one := l.Texts[m[1]+".one"]
			if !plain && !one {
				t.Errorf("%s has no text %s", l.Tag, m[1])
			}
		}
		for _, p := range registry() {
			if !l.Has("title." + p.name) {
				t.Errorf("%s has no title of %s", l.Tag, p.name)
			}
		}
	}
}

// longer makes a language with longer words and marks of its own: what is still
// in English on a page then did not come from the language file.
func longer(t *testing.T) []byte {
	t.Helper()
	text, err := embedded.ReadFile("lang/en.json")
	if err != nil {
		t.Fatal(err)
	}
	var l language
	if err := json.Unmarshal(text, &l); err != nil {
		t.Fatal(err)
	}
	l.Name, l.Decimal = "Longish", ","
	word := regexp.MustCompile(`\{[^}]*\}|\pL+`)
	for _, texts := range []map[string]string{l.Texts, l.Phrases} {
		for key, text := range texts {
			texts[key] = word.ReplaceAllStringFunc(text, func(w string) string {
				if w[0] == '{' {
					return w
				}
				return w + strings.Repeat("ö", (len(w)+1)/2)
			})
		}
	}
	out, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Numbers take the reader's decimal sign; names and addresses do not.
func TestDecimalComma(t *testing.T) {
	l := &language{comma: true}
	for in, want := range map[string]string{
		"4.25 V":                     "4,25 V",
		"4.20/4.25/4.30 V":           "4,20/4,25/4,30 V",
		"−55.6 µA":                   "−55,6 µA",
		"U1.2 and Q1.10":             "U1.2 and Q1.10",
		"1.2.3":                      "1.2.3",
		"cell 3.7 V, 0.012 Ω":        "cell 3,7 V, 0,012 Ω",
		"It is 5. Then 6.":           "It is 5. Then 6.",
		"claims.yaml:31:89 at 4.2 V": "claims.yaml:31:89 at 4,2 V",
	} {
		if got := l.number(in); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
	if got := l.Number(`<data value="4.25">4.25</data> V`); got != `<data value="4.25">4,25</data> V` {
		t.Errorf("in a page: %s", got)
	}
}

func TestPlural(t *testing.T) {
	l := &language{Numbers: []string{"no", "one", "two"}, Texts: map[string]string{"x": "{n:word} or {n}", "x.one": "a single one"}}
	for n, want := range map[int]string{0: "no or 0", 1: "a single one", 2: "two or 2", 30: "30 or 30"} {
		if got := l.T("x", "n", n); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}

// An axis has a few round ticks, all on it, whatever its ends.
func TestAxis(t *testing.T) {
	for _, a := range []scaleAxis{
		{low: 2.4, high: 4.3}, {low: 0, high: 277}, {low: -9.15, high: 9.15}, {low: 1e-6, high: 3e-6}, {low: 1e-4, high: 2, log: true}, {low: 10.05, high: 10.09},
	} {
		ticks := a.ticks()
		if len(ticks) < 2 || len(ticks) > 9 || !slices.IsSorted(ticks) {
			t.Errorf("%+v: ticks %v", a, ticks)
		}
		for _, v := range ticks {
			if x := a.at(v); x < -0.01 || x > 100.01 {
				t.Errorf("%+v: tick %v at %v %%", a, v, x)
			}
		}
	}
	if got := fmt.Sprint(scaleAxis{low: 2.4, high: 4.3}.ticks()); got != "[2.5 3 3.5 4]" {
		t.Error(got)
	}
}

// The words of answers are said in the reader's language, names are not.
func TestPhrases(t *testing.T) {
	l := &language{Phrases: map[string]string{"overcharge": "Überladung", "discharge overcurrent": "Überstrom", "release": "Rückkehr", "to": "bis", "sense": "sense"}}
	l.phrase = anyOf(l.Phrases)
	for in, want := range map[string]string{
		"overcharge release":                                "Überladung Rückkehr",
		"discharge overcurrent, release":                    "Überstrom, Rückkehr",
		"14.1 to 29.9 A":                                    "14.1 bis 29.9 A",
		"release-pin, base-release, total, to.x, (release)": "release-pin, base-release, total, to.x, (Rückkehr)",
		"release. to":                                       "Rückkehr. bis",
		"":                                                  "",
	} {
		if got := l.own(in); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
	if english := (&language{}); english.own("overcharge") != "overcharge" {
		t.Error("without phrases a text is not left as it is")
	}
}
