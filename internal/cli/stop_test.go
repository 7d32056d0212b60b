package cli_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"
)

// TestStop holds that an interrupted prediction ends with 130 and still gives
// an answer, which says that it is not complete.
func TestStop(t *testing.T) {
	dir := t.TempDir()
	demo := exec.Command("cupel", "demo", "toy-5s", "--json", "--workers", "1")
	demo.Dir = dir
	var out, errs bytes.Buffer
	demo.Stdout, demo.Stderr = &out, &errs
	if err := demo.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, dir+"/toy-5s/board.yaml")
	if err := demo.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	_ = demo.Wait()
	if got := demo.ProcessState.ExitCode(); got != 130 {
		t.Fatalf("exit status %d, want 130\n%s%s", got, out.String(), errs.String())
	}
	var ans struct {
		Answer   string
		Complete bool
	}
	if err := json.Unmarshal(out.Bytes(), &ans); err != nil || ans.Answer != "demo" || ans.Complete {
		t.Errorf("%v: answer %q, complete %v", err, ans.Answer, ans.Complete)
	}
	if _, err := os.Stat(dir + "/toy-5s/report.html"); err != nil {
		t.Error("what is complete was not written:", err)
	}
}

func waitFor(t *testing.T, path string) {
	t.Helper()
	for range 500 {
		if _, err := os.Stat(path); err == nil {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("%s does not appear", path)
}
