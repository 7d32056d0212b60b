// Package spice runs the general-purpose simulator ngspice on a deck, for tests
// that hold Cupel's figures against it.
//
// Where ngspice is not installed such a test is skipped, saying so; with
// CUPEL_REQUIRE=all in the environment it fails instead.
package spice

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// limit is how long one deck may run. The decks of our tests take seconds, on a
// machine that has nothing else to do.
const limit = 10 * time.Minute

// Need skips the test where ngspice is absent, or fails it where everything is
// required, and returns the program's path.
func Need(t testing.TB) string {
	t.Helper()
	program, err := exec.LookPath("ngspice")
	if err == nil {
		return program
	}
	if os.Getenv("CUPEL_REQUIRE") == "all" {
		t.Fatalf("ngspice is required (CUPEL_REQUIRE=all) and not installed: %v", err)
	}
	t.Skip("ngspice is not installed; the committed reference tables are checked instead")
	return ""
}

var banner = regexp.MustCompile(`ngspice-[0-9.+]+`)

// Version returns the name and version of the ngspice that runs here.
func Version(t testing.TB) string {
	t.Helper()
	out, err := exec.Command(Need(t), "--version").CombinedOutput()
	if err != nil {
		t.Fatalf("ngspice --version: %v\n%s", err, out)
	}
	return string(banner.Find(out))
}

// Results is what a deck's one analysis gave.
type Results struct {
	Plot
	// Measured has the results of the deck's .meas lines by lower-case name;
	// a measurement that failed is absent.
	Measured map[string]float64
	Log      string
}

// control is put before the end of every deck: run its analysis, write every
// vector as text.
const control = `.control
set filetype=ascii
set numdgt=12
run
write out.raw
rusage all
quit
.endc
`

// Run runs a deck with one analysis (.op, .dc or .tran).
func Run(t testing.TB, deck string) Results {
	t.Helper()
	program, dir := Need(t), t.TempDir()
	deck = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(deck), ".end")) + "\n"
	if err := os.WriteFile(filepath.Join(dir, "deck.cir"), []byte(deck+control+".end\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "-n", "-b", "deck.cir")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	log := string(out)
	if err != nil {
		t.Fatalf("ngspice: %v\n%s\ndeck:\n%s", err, ending(log), numbered(deck))
	}
	raw, err := os.ReadFile(filepath.Join(dir, "out.raw"))
	if err != nil {
		t.Fatalf("ngspice wrote no results: %v\n%s\ndeck:\n%s", err, log, numbered(deck))
	}
	plot, err := parseRaw(string(raw))
	if err != nil {
		t.Fatalf("results of ngspice: %v", err)
	}
	return Results{plot, parseMeasured(log), log}
}

// measurement is a line of results of .meas: a name, an equals sign, a number.
var measurement = regexp.MustCompile(`(?m)^\s*([a-z][a-z0-9_]*)\s*=\s*([-+0-9.e]+)`)

func parseMeasured(log string) map[string]float64 {
	values := map[string]float64{}
	for _, m := range measurement.FindAllStringSubmatch(log, -1) {
		if v, err := strconv.ParseFloat(m[2], 64); err == nil {
			values[m[1]] = v
		}
	}
	return values
}

// ending is the end of a log, where it says what went wrong.
func ending(log string) string {
	const most = 2000
	return log[max(0, len(log)-most):]
}

// numbered prints a deck with the line numbers that ngspice's messages name.
func numbered(deck string) string {
	var b strings.Builder
	for i, line := range strings.Split(deck, "\n") {
		b.WriteString(strconv.Itoa(i+1) + "\t" + line + "\n")
	}
	return b.String()
}
