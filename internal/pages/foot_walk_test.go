package pages

import (
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// TestFootWalk answers with a foot switch, which presses c: pressed means connected,
// held open. Each answer sounds. Then on the touch screen of a phone, where the keys
// are large enough and the screen keyboard stays away.
func TestFootWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute")
	}
	w, x := in(t, "hive-3s", "")
	w.open("/settings", "#sheet")
	w.act(`for (const name of ["foot", "sound"]) document.querySelector("[name=" + name + "][value=on]").checked = true; document.querySelector('form[action="/do/settings"] button').click()`)
	w.until("the settings", `document.documentElement.dataset.foot === "on" && document.documentElement.dataset.sound === "on"`)
	w.open("/ringout", "#entry")
	w.act(`window.tones = 0; const make = AudioContext.prototype.createOscillator; AudioContext.prototype.createOscillator = function () { window.tones++; return make.call(this); }`)
	press := func(kind input.KeyType) chromedp.Action {
		return input.DispatchKeyEvent(kind).WithKey("c").WithCode("KeyC").WithText("c").WithWindowsVirtualKeyCode(67)
	}
	ready := func(n int) {
		w.until(fmt.Sprintf("ready for entry %d", n), fmt.Sprintf(`document.activeElement?.id === "entry" && !document.querySelector("#answer.waiting") && document.querySelectorAll(".strip li").length === %d`, n-1))
	}
	for n, held := range []int{0, 700} {
		ready(n + 1)
		// The switch is held by the page's own clock: a slow machine holds longer.
		w.run(press(input.KeyDown))
		if held > 0 {
			w.act(fmt.Sprintf(`window.down = performance.now() + %d`, held))
			w.until("held long enough", `performance.now() > window.down`)
		}
		w.run(press(input.KeyUp))
	}
	ready(3)
	if log := x.log(); log.Entries[1].Result != "open" {
		t.Errorf("held is %s", log.Entries[1].Result)
	}
	if tones := w.eval(`window.tones`); tones != "4" {
		t.Errorf("two answers gave %s tones of two each", tones)
	}

	w.run(chromedp.EmulateViewport(360, 740, chromedp.EmulateTouch))
	w.open("/ringout", "#entry")
	if at := w.eval(`document.activeElement?.id`); at == "entry" {
		t.Error("on a phone the line has the focus, which brings the screen keyboard up")
	}
	if tall := w.eval(`Math.min(...[...document.querySelectorAll("#answer .key")].map(k => k.getBoundingClientRect().height)) >= 64`); tall != "true" {
		t.Error("a key is less than 64 px high")
	}
	w.click("#key-open")
	w.until("the third entry", `document.querySelectorAll(".strip li").length === 3`)
}
