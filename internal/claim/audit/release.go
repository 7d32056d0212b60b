package audit

import (
	"cupel/internal/protection"
)

// releases is the rule ReleaseNotApart: what is released must be away from
// where it acts, at the corners.
func releases(t *table) {
	t.releaseBelow(protection.Overcharge, protection.ReleaseAt, protection.Detect)
	t.releaseBelow(protection.Balance, protection.Stop, protection.Start)
	t.releaseAbove(protection.Overdischarge, protection.Detect, protection.ReleaseAt)
}

// releaseBelow wants the release under the detection.
func (t *table) releaseBelow(p protection.Trial, release, detect protection.Quantity) {
	for _, r := range t.of(p, release) {
		for _, d := range t.of(p, detect) {
			if alike(r, d) && r.high().v >= d.low().v {
				t.notApart(r, d, r.high(), d.low(), r.nominal().v >= d.low().v || r.high().v >= d.nominal().v, "≥")
			}
		}
	}
}

// releaseAbove wants the release over the detection.
func (t *table) releaseAbove(p protection.Trial, detect, release protection.Quantity) {
	for _, r := range t.of(p, release) {
		for _, d := range t.of(p, detect) {
			if alike(r, d) && r.low().v <= d.high().v {
				t.notApart(r, d, r.low(), d.high(), r.nominal().v <= d.high().v || r.low().v <= d.nominal().v, "≤")
			}
		}
	}
}

func (t *table) notApart(r, d figure, release, detect number, typical bool, sign string) {
	t.add(report{
		code: ReleaseNotApart, level: severity(typical), at: r, by: []number{release, detect},
		text: sprintf("%s may lie at %s and %s at %s: then it acts and releases in turns", r.name, release.text, d.name, detect.text),
		sum:  []string{sprintf("%s %s %s", release.text, sign, detect.text)},
		do:   "step one cell up and down with 2 mV: how far apart are the two",
	})
}

// delayRow is one protection in the order in which delays rise.
type delayRow struct {
	of    protection.Trial
	stage string
}

// delayOrder is the order (common practice, no source): what destroys faster is
// cut faster.
var delayOrder = []delayRow{
	{protection.LoadShort, ""},
	{protection.DischargeOvercurrent, "2"},
	{protection.DischargeOvercurrent, "1"},
	{protection.Overdischarge, ""},
	{protection.Overcharge, ""},
}

// delays is the rule DelaysOutOfOrder: short < second < first stage <
// overdischarge < overcharge.
func delays(t *table) {
	var before figure
	for _, row := range delayOrder {
		fs := t.of(row.of, protection.Delay)
		if row.stage != "" {
			fs = stage(fs, row.stage)
		}
		f, ok := first(fs)
		if !ok {
			continue
		}
		if before.name != "" {
			t.delays(before, f)
		}
		before = f
	}
}

func (t *table) delays(fast, slow figure) {
	a, b := fast.high(), slow.low()
	if !a.stated() || !b.stated() {
		a, b = fast.nominal(), slow.nominal()
	}
	typical := fast.nominal().v >= slow.nominal().v
	if typical {
		a, b = fast.nominal(), slow.nominal()
	}
	if !(a.v >= b.v) {
		return
	}
	t.add(report{
		code: DelaysOutOfOrder, level: severity(typical), at: fast, by: []number{a, b},
		text: sprintf("%s may take %s, no less than the %s of %s", fast.name, a.text, b.text, slow.name),
		sum:  []string{sprintf("%s ≥ %s", a.text, b.text)},
		do:   "ask which delay is which; then step the stimulus and time the gate",
	})
}
