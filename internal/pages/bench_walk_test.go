package pages

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestBenchWalk rings out in a real browser: one key an entry, a value, a struck
// entry, a photo with a pad ringed on it.
func TestBenchWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, x := in(t, "hive-3s", "")
	w.open("/ringout", "#entry")
	w.until("the line has the focus", `document.activeElement?.id === "entry"`)
	first := w.eval(`document.querySelector("#first h1").textContent`)
	if !strings.HasPrefix(first, "Touch ") {
		t.Fatalf("asked is %q", first)
	}
	w.run(chromedp.KeyEvent(kb.Enter)) // alone it does nothing
	w.run(chromedp.KeyEvent("c"))
	w.until("the next question", `document.querySelectorAll(".strip li").length === 1 && document.querySelector("#first h1").textContent !== "`+first+`"`)
	if log := x.log(); len(log.Entries) != 1 || log.Entries[0].Result != "connected" {
		t.Errorf("%+v", log.Entries)
	}
	w.until("the line has the focus again", `document.activeElement?.id === "entry" && !document.querySelector("#answer.waiting")`)
	w.keys("#entry", "0,4"+kb.Enter)
	w.until("two entries", `document.querySelectorAll(".strip li").length === 2`)
	w.keys("#entry", "R1.1 R1.2 o"+kb.Enter)
	w.until("three entries", `document.querySelectorAll(".strip li").length === 3`)
	w.keys("#entry", "R1.1 nosuch o"+kb.Enter)
	w.until("the refusal, and what was typed is there again", `document.querySelector("#line").textContent.includes("nosuch") && document.querySelector("#entry").value === "R1.1 nosuch o"`)
	if kept := w.eval(`localStorage.getItem("cupel entries")`); kept != "[]" {
		t.Errorf("kept is %s", kept)
	}
	w.act(`document.querySelector("#entry").value = ""; document.querySelector(".strip li button").click()`)
	w.until("one struck out", `document.querySelectorAll(".strip s").length === 1`)

	x.upload("front", photoOf(t, false))
	x.upload("back", photoOf(t, true))
	for _, f := range []url.Values{
		{"what": {"pad"}, "name": {"B+"}, "side": {"front"}, "x": {"300"}, "y": {"200"}},
		{"what": {"pad"}, "name": {"T1"}, "side": {"back"}, "x": {"100"}, "y": {"200"}},
	} {
		if status, a := x.asModule("/ringout/place", f); status != http.StatusOK {
			t.Fatal(status, a)
		}
	}
	w.open("/ringout?a=B%2B&b=T1", "#ground")
	w.until("the question that was asked for", `document.querySelector("#first h1").textContent === "Touch B+ and T1"`)
	w.until("the photo is drawn", `(() => { const c = document.querySelector("#ground"); if (!c.width) return false;
		const d = c.getContext("2d").getImageData(0, 0, c.width, c.height).data, seen = new Set();
		for (let i = 0; i < d.length; i += 4000) seen.add(d[i] << 16 | d[i + 1] << 8 | d[i + 2]);
		return seen.size > 20; })()`)
	w.look("", "Touch B+ and T1")

	// A lost line: the entry stays here, is shown, and goes out when it is back.
	w.open("/ringout", "#entry")
	n := len(x.log().Entries)
	w.act(`window.real = fetch; window.fetch = () => Promise.reject(new TypeError("lost"))`)
	w.click("#key-open")
	w.until("kept here", `!document.querySelector("#kept").hidden && document.querySelector("#kept").textContent.includes("Not saved yet: 1 entry")`)
	w.act(`window.fetch = window.real`)
	w.until("acknowledged", `document.querySelector("#kept").hidden && localStorage.getItem("cupel entries") === "[]"`)
	if got := len(x.log().Entries); got != n+1 {
		t.Errorf("%d entries, want %d", got, n+1)
	}
}

// TestCircuitWalk touches a part on the sheet, goes along its net by keys, and
// walks a trip.
func TestCircuitWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, _ := in(t, "hive-3s", "")
	w.open("/circuit", "#drawing svg .hit")
	part := w.eval(`document.querySelector("#parts tr[data-part]").dataset.part`)
	w.act(`document.querySelector('#drawing [data-name="` + part + `"]').dispatchEvent(new MouseEvent("click", {bubbles: true}))`)
	w.until("its note", `document.querySelector("#note .noted")?.dataset.at === "`+part+`"`)
	w.until("its faults", `!document.querySelector("#note [data-wait]")`)
	if !strings.Contains(w.eval(`location.search`), "at="+part) {
		t.Errorf("the address does not lead back: %s", w.eval(`location.search`))
	}
	w.run(chromedp.KeyEvent(kb.ArrowRight))
	w.until("the next part of the net", `document.querySelector("#note .noted")?.dataset.at !== "`+part+`"`)
	w.until("it has the focus", `document.activeElement?.getAttribute("data-name") === document.querySelector("#note .noted")?.dataset.at`)

	w.open("/circuit?show=story&trial=overdischarge", "#drawing svg .hit")
	w.until("the links of the trip", `document.querySelectorAll("#steps tr[data-step]").length > 3`)
	w.run(chromedp.KeyEvent(" "), chromedp.KeyEvent(" "))
	w.until("the second link", `document.querySelector("#steps tr.now")?.dataset.step === "2"`)
	w.look("/circuit?show=voltages", "parts are for")
}

// TestRestartWalk goes on over an end of the program: entries made meanwhile stay
// in the browser, are shown, and go out once each; undo and redo are there again.
func TestRestartWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, x := in(t, "hive-3s", "")
	w.open("/ringout", "#entry")
	w.until("the line has the focus", `document.activeElement?.id === "entry"`)
	w.keys("#entry", "R1.1 R1.2 o"+kb.Enter)
	w.until("one entry", `document.querySelectorAll(".strip li").length === 1`)
	address := strings.TrimPrefix(x.url, "http://")
	x.stop()
	w.until("the lost line", `document.documentElement.dataset.line === "lost" && !document.querySelector("#line").hidden`)
	for i, line := range []string{"R1.1 R2.1 o", "R1.1 R2.2 o", "R1.2 R2.1 o"} {
		w.keys("#entry", line+kb.Enter)
		w.until("kept here", fmt.Sprintf(`document.querySelector("#kept").textContent.includes("Not saved yet: %d ")`, i+1))
	}
	x.start(address)
	w.until("all acknowledged", `document.querySelector("#kept").hidden && localStorage.getItem("cupel entries") === "[]"`)
	w.until("the line is back", `document.documentElement.dataset.line !== "lost" && document.querySelectorAll(".strip li").length === 4`)
	var got []string
	for _, e := range x.log().Entries {
		got = append(got, e.A+" "+strings.Join(e.B, " "))
	}
	if want := "R1.1 R1.2, R1.1 R2.1, R1.1 R2.2, R1.2 R2.1"; strings.Join(got, ", ") != want {
		t.Errorf("the log has %q, want %q", got, want)
	}

	// A form of the page works with the new program, and what the old one did can
	// be undone.
	for n := 3; n >= 0; n-- {
		w.act(`document.querySelector("#undo").click()`)
		w.until("undone", fmt.Sprintf(`document.querySelectorAll(".strip li").length === %d`, n))
	}
	if text := x.desk.Now().Texts["ringout.csv"]; text != nil {
		t.Errorf("undone to the beginning there is %q", text)
	}
	x.stop()
	w.until("the lost line", `document.documentElement.dataset.line === "lost"`)
	x.start(address)
	w.until("the line is back", `document.documentElement.dataset.line !== "lost"`)
	w.act(`document.querySelector("#redo").click()`)
	w.until("done again", `document.querySelectorAll(".strip li").length === 1`)
}
