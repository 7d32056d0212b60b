package pages

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// reachable counts what a person can act on that is in sight and not switched off.
// Of radio buttons that belong together, and of what a drawing shows, one has the
// Tab key's turn and the arrows go on from there.
const reachable = `(() => {
	const seen = new Set(), out = [];
	for (const e of document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex='0']")) {
		if (e.disabled || e.tabIndex < 0 || !e.checkVisibility({visibilityProperty: true}) || e.closest("[hidden]")) continue;
		if (e.type === "radio") { if (seen.has(e.name)) continue; seen.add(e.name); }
		out.push(e);
	}
	return out.length;
})()`

// focused names what has the focus, and how the eye sees that.
const focused = `(() => {
	const e = document.activeElement;
	if (!e || e === document.body) return "";
	window.tabbed ??= new Map();
	const key = e.type === "radio" ? "radio " + e.name : e;
	if (window.tabbed.has(key)) return "again";
	window.tabbed.set(key, true);
	const s = getComputedStyle(e.closest(".editor") ?? e), hit = e.querySelector?.(".hit, .wide-hit");
	const ring = s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2 || hit && parseFloat(getComputedStyle(hit).strokeWidth) >= 2 || e.id === "sheet";
	return (ring ? "seen " : "UNSEEN ") + e.tagName + "#" + e.id + "." + (e.getAttribute("class") ?? "") + " " + (e.textContent ?? "").trim().slice(0, 30);
})()`

// TestKeyboardWalk goes through every page with the Tab key alone: it reaches all
// that a person can act on, where the focus is can be seen, and it never sticks.
func TestKeyboardWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, x := in(t, "hive-3s", "")
	w.open("/limits", "#sheet")
	w.until("all trials", `!document.querySelector("form.work")`)
	for _, p := range x.pages {
		w.open("/"+p.name, "#sheet")
		if p.name == "circuit" {
			w.until("the sheet", `!!document.querySelector("#drawing svg .hit")`)
		}
		w.act(`document.activeElement?.blur(); window.tabbed = new Map()`)
		var want int
		if _, err := fmt.Sscan(w.eval(reachable), &want); err != nil {
			t.Fatal(err)
		}
		reached, ends := 0, 0 // a page that begins in the middle goes past its end once
		for range want + 20 {
			w.run(chromedp.KeyEvent(kb.Tab))
			at := w.eval(focused)
			if at == "" {
				if ends++; ends < 2 {
					continue
				}
			}
			if at == "" || at == "again" {
				break
			}
			reached++
			if strings.HasPrefix(at, "UNSEEN") {
				t.Errorf("/%s: the focus cannot be seen: %s", p.name, at)
			}
		}
		t.Logf("/%s: %d of %d", p.name, reached, want)
		if reached < want {
			t.Errorf("/%s: Tab reaches %d of %d", p.name, reached, want)
		}
	}
}

// TestRangesWalk computes ranges from the page: progress and the time that is left
// are shown, results come as they are there, and a key stops it.
func TestRangesWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, x := in(t, "hive-3s", "")
	w.open("/limits", "#sheet")
	w.until("the typical board", `!document.querySelector("form.work") && document.querySelectorAll(".strip-row").length > 3`)
	w.act(`document.querySelector("#samples").value = "200"; document.querySelector('form[action="/limits/run"] button').click()`)
	w.until("progress", `(() => { const p = document.querySelector("form.work progress"); return !!p && p.value > 0 && p.value < p.max; })()`)
	w.until("the time that is left", `document.querySelector("form.work .worktext")?.textContent.includes("left")`)
	w.until("the first ranges", `!!document.querySelector(".histogram")`)
	w.act(`document.activeElement?.blur()`)
	w.run(chromedp.KeyEvent("."))
	w.until("stopped", `!document.querySelector("form.work")`)
	work := x.desk.Work(workPredict)
	if work.Running || !work.Stopped {
		t.Errorf("the work is %+v", work)
	}
	if w.eval(`!!document.querySelector(".histogram")`) != "true" {
		t.Error("what was computed is gone after stopping")
	}
	w.open("/limits", "#sheet")
	if x.desk.Work(workPredict).Running {
		t.Error("looking began it again")
	}
	w.check("/limits with ranges", "light")
	w.check("/limits with ranges", "dark")
}
