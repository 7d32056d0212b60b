package answer_test

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strings"
	"testing"

	"cupel/internal/answer"
	"github.com/google/go-cmp/cmp"
)

// The published shapes, figures and all. Decoding one and encoding it again
// must give every key of it, in its order; keys may only be added behind.
var shapes = []struct {
	name string
	into any
	text string
}{
	{"predict", new(answer.Predict), `{"cupel":1,"answer":"predict","board":"sluice-5s","inputs":"ab12","complete":true,"samples":0,"seed":0,
 "results":[{"trial":"overcharge","cell":3,"tap":null,"state":"idle","quantity":"detect","temperature_degC":25,
   "outcome":"found","searched_to":null,"value":4.2517,"unit":"V","basis":"computed","resolution":0.0005,
   "low":null,"high":null,"mean":null,"sd":null,"p_low":null,"p_mid":null,"p_high":null,"confidence":null,"causes":[],
   "assumed":["R7 value"],"stimulus":"cell 3 up in steps, others 3.700 V","open_means":"discharge direction not on (5 mA probe)"}],
 "claims":[{"name":"overcharge detect","cell":null,"stated":{"min":4.2,"typ":4.25,"max":4.3},
   "predicted":{"low":4.231,"typ":4.252,"high":4.274,"low_cell":2,"high_cell":5},"unit":"V","temperature_degC":25,
   "rule":"prediction's range inside the stated limits","verdict":"meets","margin":0.026}]}`},
	{"predict with causes", new(answer.Predict), `{"results":[{"causes":[{"part":"R7","quantity":"value","share":0.6},{"part":null,"share":0.4}]}]}`},
	{"check", new(answer.Check), `{"cupel":1,"answer":"check","board":"sluice-5s","inputs":"ab12","complete":true,
 "findings":[{"code":"A103","level":"error","file":"claims.yaml","line":7,"column":13,"text":"a",
   "figures":[{"name":"b","value":0.1,"unit":"V"}],"arithmetic":"0.100 V ÷ 0.0025 Ω = 40 A","do":"c","suggestion":null}]}`},
	{"demo list", new(answer.DemoList), `{"boards":[{"name":"sluice-5s","cells":5,"planted":false}]}`},
	{"error", new(answer.Error), `{"cupel":1,"answer":"error","exit":2,"findings":[]}`},
}

func TestShapes(t *testing.T) {
	for _, s := range shapes {
		t.Run(s.name, func(t *testing.T) {
			d := json.NewDecoder(strings.NewReader(s.text))
			d.DisallowUnknownFields()
			if err := d.Decode(s.into); err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := answer.Encode(&b, s.into); err != nil {
				t.Fatal(err)
			}
			want, got := flat(t, s.text), flat(t, b.String())
			if d := cmp.Diff(want, only(got, want)); d != "" {
				t.Errorf("keys or values changed (-published +encoded):\n%s", d)
			}
		})
	}
}

// TestHeads holds that every answer but errors starts with the common head.
func TestHeads(t *testing.T) {
	head := []string{"cupel=1", "answer=x", "board=<nil>", "inputs=<nil>", "complete=true"}
	h := answer.NewHead("x", "", "")
	for _, a := range []any{
		answer.Predict{Head: h},
		answer.Check{Head: h},
		answer.DemoList{Head: h},
		answer.Demo{Head: h},
		answer.Files{Head: h},
		answer.Deck{Head: h},
		answer.Version{Head: h},
	} {
		var b bytes.Buffer
		if err := answer.Encode(&b, a); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(head, flat(t, b.String())[:len(head)]); d != "" {
			t.Errorf("%T: %s", a, d)
		}
		if strings.Contains(b.String(), ": null,\n  \"results\"") || strings.Contains(b.String(), `"results": null`) {
			t.Errorf("%T: an empty list is null", a)
		}
		if !strings.HasSuffix(b.String(), "}\n") || !strings.HasPrefix(b.String(), "{\n  \"cupel\": 1,\n") {
			t.Errorf("%T: not one indented object with a newline: %q", a, b.String())
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		in   float64
		want string
	}{
		{math.NaN(), "null"},
		{math.Inf(1), "null"},
		{0, "0"},
		{math.Copysign(0, -1), "0"},
		{4.25, "4.25"},
		{math.Nextafter(0.3, 1), "0.30000000000000004"},
		{6.03e-6, "0.00000603"},
	} {
		var b bytes.Buffer
		if err := answer.Encode(&b, answer.Number(c.in)); err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSpace(b.String()); got != c.want {
			t.Errorf("%v is written %s, want %s", c.in, got, c.want)
		}
	}
}

func TestTextIsReadable(t *testing.T) {
	var b bytes.Buffer
	in := answer.Finding{Text: "a < b & c", Do: "Ω > 0", Figures: []answer.NamedFigure{{Name: "x<y"}}}
	if err := answer.Encode(&b, in); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"a < b & c"`, `"Ω > 0"`, `"x<y"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%s is escaped in:\n%s", want, b.String())
		}
	}
}

// flat lists path=value of a JSON text in the order of the text.
func flat(t *testing.T, text string) []string {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	var out []string
	if err := walk(d, "", &out); err != nil && err != io.EOF {
		t.Fatal(err)
	}
	return out
}

func walk(d *json.Decoder, path string, out *[]string) error {
	tok, err := d.Token()
	if err != nil {
		return err
	}
	delim, ok := tok.(json.Delim)
	if !ok {
		*out = append(*out, strings.TrimPrefix(path, ".")+"="+text(tok))
		return nil
	}
	if !d.More() {
		*out = append(*out, strings.TrimPrefix(path, ".")+"=empty")
	}
	for d.More() {
		key := "[]"
		if delim == '{' {
			k, err := d.Token()
			if err != nil {
				return err
			}
			key = "." + k.(string)
		}
		if err := walk(d, path+key, out); err != nil {
			return err
		}
	}
	_, err = d.Token()
	return err
}

func text(tok json.Token) string {
	if tok == nil {
		return "<nil>"
	}
	b, _ := json.Marshal(tok)
	return strings.Trim(string(b), `"`)
}

// only keeps those of got that are also in want, in the order of got.
func only(got, want []string) []string {
	in := map[string]bool{}
	for _, w := range want {
		in[w] = true
	}
	var out []string
	for _, g := range got {
		if in[g] {
			out = append(out, g)
		}
	}
	return out
}
