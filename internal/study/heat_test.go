package study_test

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/study"
)

func heatOf(t *testing.T, board string, q study.HeatQuestion) answer.Heat {
	t.Helper()
	tree, ok := demo.Tree(board)
	if !ok {
		t.Fatalf("no demo board %s", board)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	a, err := study.Heat(context.Background(), d, q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The answer begins with the keys of the commands' contract, in their order, and
// the same question gives the same bytes.
func TestHeatShape(t *testing.T) {
	q := study.HeatQuestion{Ambient: 313.15, Amps: 5}
	a := heatOf(t, "hive-3s", q)
	var one, two bytes.Buffer
	if err := answer.Encode(&one, a); err != nil {
		t.Fatal(err)
	}
	if err := answer.Encode(&two, heatOf(t, "hive-3s", q)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one.Bytes(), two.Bytes()) {
		t.Error("two runs differ")
	}
	at := 0
	for _, key := range []string{
		"cupel", "answer", "board", "inputs", "complete", "ambient_degC", "current_A", "honest_current_A", "limit", "limit_part", "limit_degC",
		"trip_cold_A", "trip_hot_A", "cold_degC", "hot_degC", "runaway_current_A", "parts", "part", "loss_W", "temperature_degC", "limit_degC", "basis",
	} {
		i := strings.Index(one.String()[at:], `"`+key+`":`)
		if i < 0 {
			t.Fatalf("no key %s after what stands before it", key)
		}
		at += i + 1
	}
	var back map[string]any
	if err := json.Unmarshal(one.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	if back["ambient_degC"] != 40. || back["current_A"] != 5. || back["answer"] != "heat" {
		t.Errorf("%v", back)
	}
}

// A rating without limits is the least that the board carries, and is judged at
// the temperature that it names, or else at the one asked for.
func TestRatingIsJudged(t *testing.T) {
	a := heatOf(t, "sluice-5s", study.HeatQuestion{Ambient: 313.15})
	if len(a.Claims) == 0 {
		t.Fatal("the print's continuous current is not judged")
	}
	for _, c := range a.Claims {
		if c.Verdict == "not tested" || c.Stated.Min == nil || c.Predicted.Low == nil {
			t.Errorf("%+v", c)
		}
		if *c.Stated.Min > *c.Predicted.High && c.Verdict != "fails" {
			t.Errorf("%g A stated, %g A at best: %s", *c.Stated.Min, *c.Predicted.High, c.Verdict)
		}
	}
	if len(a.Limits) < 2 || *a.Limits[1].Distance < 0 || string(a.Limit) != a.Limits[0].Limit {
		t.Errorf("limits %+v", a.Limits)
	}
}
