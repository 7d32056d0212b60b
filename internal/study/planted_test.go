package study

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/protection"
	"cupel/internal/study/batch"
)

// mend takes a planted fault out of the trolley's board: the line that begins
// with a reference, one word for another.
func mend(t *testing.T, board, ref, from, to string) string {
	t.Helper()
	line := regexp.MustCompile(`(?m)^  ` + ref + `: .*$`).FindString(board)
	if !strings.Contains(line, from) {
		t.Fatalf("%s has no %q: %s", ref, from, line)
	}
	return strings.Replace(board, line, strings.Replace(line, from, to, 1), 1)
}

// trolley predicts path and short of the planted board, with its board's text
// changed.
func trolley(t *testing.T, change func(board string) string) answer.Predict {
	t.Helper()
	texts, _ := demo.Texts("trolley-10s")
	tree := fstest.MapFS{}
	for name, text := range texts {
		tree[name] = &fstest.MapFile{Data: text}
	}
	tree["board.yaml"].Data = []byte(change(string(texts["board.yaml"])))
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	q := Question{Trials: []protection.Trial{protection.Path, protection.LoadShort}}
	p, err := Predict(context.Background(), d, q, batch.Runner(batch.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	return p.Answer
}

// longest is the longest time to off of a dead short, the first step of each
// sweep, in s; a short that is not cut lasts for ever.
func longest(t *testing.T, a answer.Predict) float64 {
	t.Helper()
	most := 0.0
	for _, r := range a.Results {
		if r.Trial == "load-short" && r.Quantity == "time_to_off" && r.Step == "1 mΩ" {
			if r.Value == nil {
				return 1e9
			}
			most = max(most, *r.Value)
		}
	}
	if most == 0 {
		t.Fatal("no dead short was tried")
	}
	return most
}

func verdictOf(t *testing.T, a answer.Predict, name string) string {
	t.Helper()
	for _, c := range a.Claims {
		if c.Name == name {
			return c.Verdict
		}
	}
	t.Fatalf("no claim %s", name)
	return ""
}

// The two planted faults that no table shows: gates on a low tap raise the
// path's resistance when the cells are empty, and a large resistor in the
// lowest shifter leaves a dead short on for milliseconds. Each is gone when it
// is mended, and only it.
func TestPlantedFaultsShow(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the short's sweep three times")
	}
	// What a short may last: twice the protector's 400 µs.
	const soon = 800e-6 // s
	gates := func(b string) string {
		return mend(t, mend(t, b, "R3", "tap2", "tap4"), "R11", "tap2", "tap4")
	}
	shifter := func(b string) string { return mend(t, b, "R105", "2.2 MΩ", "47 kΩ") }
	for _, c := range []struct {
		name   string
		change func(string) string
		path   string // verdict on the path's resistance
		quick  bool   // a dead short is cut soon
	}{
		{"as planted", func(b string) string { return b }, "fails", false},
		{"gates on tap 4", gates, "meets", false},
		{"47 kΩ in the lowest shifter", shifter, "fails", true},
	} {
		a := trolley(t, c.change)
		if v := verdictOf(t, a, "path resistance"); v != c.path {
			t.Errorf("%s: the path %s, want %s", c.name, v, c.path)
		}
		if off := longest(t, a); (off < soon) != c.quick {
			t.Errorf("%s: a dead short is cut after %g s", c.name, off)
		}
	}
}
