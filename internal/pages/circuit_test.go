package pages

import (
	"net/http"
	"strings"
	"testing"
)

// The picture comes without a style and without a script: the page's rules hold.
func TestSheet(t *testing.T) {
	x := serve(t, "hive-3s")
	status, picture, h := x.do(http.MethodGet, "/circuit/sheet.svg", nil, nil)
	if status != 200 || !strings.HasPrefix(h.Get("Content-Type"), "image/svg+xml") || !strings.Contains(picture, `data-name="`) {
		t.Fatalf("%d %s", status, h.Get("Content-Type"))
	}
	for _, not := range []string{"<style", "<script", "style=", "onload"} {
		if strings.Contains(picture, not) {
			t.Errorf("the picture has %s", not)
		}
	}
	status, rules, h := x.do(http.MethodGet, "/circuit/sheet.css", nil, nil)
	if status != 200 || !strings.HasPrefix(h.Get("Content-Type"), "text/css") || strings.Contains(strings.ReplaceAll(rules, "svg.sheet", ""), ".sheet") {
		t.Errorf("%d: rules for more than the picture:\n%s", status, rules)
	}
	status, text, _ := x.do(http.MethodGet, "/circuit/sheet.svg?show=story&trial=charge-overcurrent", nil, func(r *http.Request) { r.Header.Set("Accept", "application/json") })
	if status != 200 && !strings.Contains(text, "tripped") {
		t.Errorf("%d %s", status, text)
	}
}

// A note says what a part does, what its failure costs and what to expect; the
// numbers are those of the studies.
func TestNotes(t *testing.T) {
	x := serve(t, "sluice-5s")
	note := func(address string) string {
		t.Helper()
		status, text, _ := x.do(http.MethodGet, "/circuit/note?"+address, nil, nil)
		if status != 200 {
			t.Fatalf("%s: %d %s", address, status, main(text))
		}
		return text
	}
	if text := note("at=R403"); !strings.Contains(text, "data-wait") || strings.Contains(text, "can be emptied") {
		t.Errorf("before its faults were tried:\n%s", text)
	}
	text := note("at=R403&try=1")
	for _, want := range []string{"R403", "cell 4 can be emptied with no cut-off", "open", "unseen", "base-do4", "14.80 V", "R403.2", "proven"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if text := note("at=R403"); strings.Contains(text, "data-wait") {
		t.Error("what was tried is not remembered")
	}
	if text := note("at=tap3&try=1"); !strings.Contains(text, "Net tap3 joins") || !strings.Contains(text, "11.10 V") {
		t.Errorf("a net:\n%s", text)
	}
	if text := note("at=r403"); !strings.Contains(text, "Did you mean R403?") {
		t.Errorf("a name that is none:\n%s", text)
	}
	if text := note("at=<script>"); strings.Contains(text, "<script>") {
		t.Errorf("a name is not escaped:\n%s", text)
	}
}

// The page answers before anything is computed, and says what it lacks.
func TestCircuitFirst(t *testing.T) {
	x := serve(t, "hive-3s")
	_, page, _ := x.do(http.MethodGet, "/circuit?show=voltages", nil, nil)
	if !strings.Contains(page, `id="pending"`) || !strings.Contains(page, "parts are for") {
		t.Errorf("%s", main(page))
	}
	if status, _, _ := x.do(http.MethodGet, "/circuit/compute?show=voltages", nil, nil); status != http.StatusNoContent {
		t.Fatal(status)
	}
	if _, page, _ = x.do(http.MethodGet, "/circuit?show=voltages", nil, nil); strings.Contains(page, `id="pending"`) || !strings.Contains(page, " V (") {
		t.Errorf("%s", main(page))
	}
	empty := serve(t, "")
	if _, page, _ := empty.do(http.MethodGet, "/circuit", nil, nil); !strings.Contains(page, "The sheet needs a board") {
		t.Errorf("%s", main(page))
	}
}
