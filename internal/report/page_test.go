package report_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/answer"
)

// numbers collects every number and every string of the answer's JSON.
func numbers(t *testing.T) (nums map[float64]bool, text string) {
	t.Helper()
	a, _ := sample()
	var b bytes.Buffer
	if err := answer.Encode(&b, a); err != nil {
		t.Fatal(err)
	}
	nums = map[float64]bool{}
	var all []string
	d := json.NewDecoder(&b)
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return nums, strings.Join(all, "\n")
		}
		if err != nil {
			t.Fatal(err)
		}
		switch v := tok.(type) {
		case float64:
			nums[v] = true
		case string:
			all = append(all, v)
		}
	}
}

var data = regexp.MustCompile(`<data value="([^"]*)">([^<]*)</data>`)

// TestNumbersAreTheAnswers holds that every number on the page is one of the
// answer's, printed as a rounding of it.
func TestNumbersAreTheAnswers(t *testing.T) {
	nums, _ := numbers(t)
	found := data.FindAllStringSubmatch(page(t), -1)
	if len(found) < 100 {
		t.Fatalf("only %d numbers on the page", len(found))
	}
	for _, m := range found {
		v, err := strconv.ParseFloat(m[1], 64)
		if err != nil || !nums[v] {
			t.Errorf("%s (%q) is no number of the answer", m[1], m[2])
			continue
		}
		if shown, half := read(t, m[2]); math.Abs(shown-v) > half && !inUnitsOfHead(shown, half, v) {
			t.Errorf("%q is no rounding of %s", m[2], m[1])
		}
	}
}

var printed = regexp.MustCompile(`^([+−]?[0-9]+(?:\.([0-9]+))?)(?:\x{2009}(.*))?$`)

var factors = map[string]float64{"n": 1e-9, "µ": 1e-6, "m": 1e-3, "": 1, "k": 1e3, "M": 1e6}

// read reads a printed number back: its value, and half of its last digit.
func read(t *testing.T, s string) (v, half float64) {
	t.Helper()
	m := printed.FindStringSubmatch(s)
	if m == nil {
		t.Errorf("%q is printed as no number", s)
		return math.NaN(), 0
	}
	v, err := strconv.ParseFloat(strings.Replace(m[1], "−", "-", 1), 64)
	if err != nil {
		t.Fatal(err)
	}
	f := factors[strings.TrimRight(m[3], "VAsΩWJKHz°C")]
	return v * f, 0.5000001 * f * math.Pow(10, -float64(len(m[2])))
}

// inUnitsOfHead reports whether a bare number is a rounding of v in a unit with
// a prefix, which then stands in the head of its column or at the end of its
// range.
func inUnitsOfHead(shown, half, v float64) bool {
	for _, f := range factors {
		if math.Abs(shown*f-v) <= half*f {
			return true
		}
	}
	return false
}

var (
	style   = regexp.MustCompile(`(?s)<style>.*?</style>`)
	ticks   = regexp.MustCompile(`<text class="tick"[^>]*>[^<]*</text>`)
	tags    = regexp.MustCompile(`<[^>]*>`)
	entity  = strings.NewReplacer("&#39;", "'", "&amp;", "&", "&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#43;", "+")
	release = regexp.MustCompile(`<dt>[A-Z][0-9A-Z]?</dt>`)
)

// TestNoOtherNumbers holds that digits outside of data elements are the scales
// of drawings, names of the release matrix's columns, or texts of the answer.
func TestNoOtherNumbers(t *testing.T) {
	_, strings_ := numbers(t)
	text := style.ReplaceAllString(page(t), "")
	for _, known := range []*regexp.Regexp{data, ticks, release} {
		text = known.ReplaceAllString(text, "")
	}
	for _, piece := range strings.Split(tags.ReplaceAllString(text, "\n"), "\n") {
		piece = strings.TrimSpace(entity.Replace(piece))
		if !strings.ContainsAny(piece, "0123456789") {
			continue
		}
		ok := false
		for _, part := range strings.Split(strings_, "\n") {
			ok = ok || part != "" && (strings.Contains(strings.ToLower(piece), strings.ToLower(part)) || strings.Contains(part, strings.Trim(piece, ",:; ")))
		}
		// Titles and descriptions of drawings repeat numbers that stand as
		// data beside them.
		if !ok && !strings.Contains(text, "<title>"+piece) && !strings.Contains(text, ">"+piece+"</desc>") {
			t.Errorf("numbers of no known origin: %q", piece)
		}
	}
}

// TestPageStandsAlone holds that the page needs nothing but itself and runs
// nothing.
func TestPageStandsAlone(t *testing.T) {
	p := page(t)
	for _, bad := range []string{"<script", "javascript:", "http://", "https://", "src=", "@import", "url(http", " onload", " onclick"} {
		if strings.Contains(p, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if strings.Contains(p, "ZgotmplZ") {
		t.Error("the template refused a value")
	}
}

// TestPageIsAccessible holds what a reader without eyes on the page needs:
// captions and scopes in tables, titles and descriptions in drawings, one h1.
func TestPageIsAccessible(t *testing.T) {
	p := page(t)
	d := xml.NewDecoder(strings.NewReader(strings.Replace(p, "<!doctype html>", "", 1)))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	count := map[string]int{}
	ids := map[string]bool{}
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		count[e.Name.Local]++
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		if id := attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q stands twice", id)
			}
			ids[id] = true
		}
		switch e.Name.Local {
		case "th":
			if attr["scope"] == "" {
				t.Error("a th without scope")
			}
		case "svg":
			if attr["role"] != "img" && attr["aria-hidden"] != "true" {
				t.Error("a drawing that is neither an image nor hidden")
			}
		}
	}
	if count["h1"] != 1 || count["table"] == 0 || count["caption"] != count["table"] {
		t.Errorf("h1 %d, tables %d, captions %d", count["h1"], count["table"], count["caption"])
	}
	if count["svg"]-1 != count["title"]-1 { // the hidden hatch; the page's own title
		t.Errorf("%d drawings have %d titles", count["svg"]-1, count["title"]-1)
	}
	for _, m := range regexp.MustCompile(`href="#([^"]*)"|aria-labelledby="([^" ]*)`).FindAllStringSubmatch(p, -1) {
		if id := m[1] + m[2]; !ids[id] {
			t.Errorf("nothing has the id %q", id)
		}
	}
}
