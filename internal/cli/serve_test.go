package cli

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cupel/internal/answer"
)

// TestServe serves a folder that is not there yet: one line says where, and the
// pages answer there until the command is interrupted.
func TestServe(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	out, in := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", filepath.Join(t.TempDir(), "new"), "--json"}, Streams{In: strings.NewReader(""), Out: in, Err: io.Discard})
		in.Close()
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	var a answer.Serve
	if err := json.Unmarshal([]byte(line), &a); err != nil || a.Answer != "serve" || a.LAN || !strings.HasPrefix(a.URL, "http://127.0.0.1:") {
		t.Fatalf("%q %v", line, err)
	}
	client := &http.Client{Timeout: time.Minute, Transport: &http.Transport{DisableKeepAlives: true}}
	page, err := client.Get(a.URL + "overview")
	if err != nil {
		t.Fatal(err)
	}
	page.Body.Close()
	if page.StatusCode != http.StatusOK {
		t.Errorf("the overview: %s", page.Status)
	}
	stop()
	if status := <-ended; status != Done {
		t.Errorf("interrupted it ends with %d", status)
	}
}

// Other machines are let in by --lan alone.
func TestServeLoopbackOnly(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", ":0", "192.0.2.1:0", "board.example:80", "nonsense"} {
		var errs strings.Builder
		status := run(t.Context(), []string{"serve", t.TempDir(), "--addr", addr}, Streams{In: strings.NewReader(""), Out: io.Discard, Err: &errs})
		if status != Wrong || !strings.Contains(errs.String(), "127.0.0.1") {
			t.Errorf("%s: status %d, %s", addr, status, errs.String())
		}
	}
}
