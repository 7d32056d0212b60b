package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
)

// Heat prints what current a board honestly carries, what stands in the way of
// more, and how warm everything gets under it.
func Heat(a answer.Heat) string {
	return plain(
		heatSentence(a), heatLimits(a), heatTrip(a), heatParts(a), heatBleeds(a.Bleeds), heatDiodes(a.Diodes), heatShorts(a.Shorts),
		claimText(a.Claims), listText("Cautions", texts(a.Cautions)), listText("Assumed", texts(a.Assumed)), Findings(a.Findings),
	)
}

// heatSentence is the answer in words: how much, how sure, what binds, what next.
func heatSentence(a answer.Heat) string {
	carries := amps(a.Honest)
	if a.Honest != nil && *a.Honest == 0 {
		carries = "no current"
	}
	s := fmt.Sprintf("%s carries %s for good in air of %s", a.Board, carries, degrees(a.Ambient))
	if a.HonestLow != nil && a.HonestHigh != nil && *a.HonestHigh > 0 {
		s += fmt.Sprintf(" (%s to %s over what is assumed and the parts' tolerances)", amps(a.HonestLow), amps(a.HonestHigh))
	}
	s += "."
	if len(a.Limits) > 0 {
		s += " First to stand in the way: " + limitText(a.Limits[0]) + "."
	}
	if len(a.Limits) > 1 {
		s += fmt.Sprintf(" Next, %s on: %s.", amps(a.Limits[1].Distance), limitText(a.Limits[1]))
	}
	return strings.Join(wrap(s+heatAsked(a), wide), "\n") + "\n"
}

// heatAsked says what becomes of a board under the current that was asked for.
func heatAsked(a answer.Heat) string {
	switch {
	case a.Current == nil || a.Honest == nil || *a.Honest == 0:
		return ""
	case !a.Settles:
		return fmt.Sprintf(" Under %s it finds no rest: thermal runaway.", amps(a.Current))
	case *a.Current <= *a.Honest:
		return fmt.Sprintf(" %s is within that.", amps(a.Current))
	case !a.Holds:
		return fmt.Sprintf(" %s is too much: the board would cut it.", amps(a.Current))
	}
	return fmt.Sprintf(" %s is too much.", amps(a.Current))
}

// amps keeps to amperes: milliamperes beside them read badly.
func amps(v *float64) string {
	if v == nil {
		return ""
	}
	return fixed(*v, significant(*v, otherDigits)) + thin + "A"
}

func watts(v *float64) string   { return figure(v, "W", 0).String() }
func seconds(v *float64) string { return figure(v, "s", 0).String() }

// degrees is a temperature without decimals: nothing here is known better.
func degrees(v *float64) string {
	if v == nil {
		return ""
	}
	return fixed(*v, 0) + thin + "°C"
}

// limitText is a limit in words.
func limitText(l answer.HeatLimit) string {
	switch {
	case l.Limit == "runaway" && l.Warmth:
		return "thermal runaway: warm, parts beside the path leak ever more"
	case l.Warmth:
		return fmt.Sprintf("the board itself, which at %s cuts by leakage and not by current", degrees(l.At))
	case l.Limit == "trip":
		return fmt.Sprintf("the overcurrent trip of %s, with the board warm", l.Part)
	case l.Limit == "runaway":
		return "thermal runaway"
	case l.Limit == "rating":
		return fmt.Sprintf("the rated current of %s", l.Part)
	case l.Limit == "junction":
		return fmt.Sprintf("the junction of %s at %s", l.Part, degrees(l.At))
	case l.Limit == "resistor":
		return fmt.Sprintf("%s at %s, where its derating ends", l.Part, degrees(l.At))
	}
	return fmt.Sprintf("%s at %s", l.Part, degrees(l.At))
}

func heatLimits(a answer.Heat) string {
	if len(a.Limits) == 0 {
		return ""
	}
	g := grid{columns: []column{{head: "binds at", right: true}, {head: "further", right: true}, {head: "limit"}}}
	for _, l := range a.Limits {
		g.row(amps(l.Current), amps(l.Distance), limitText(l))
	}
	return g.String()
}

func heatTrip(a answer.Heat) string {
	if a.TripCold == nil {
		return "Trip: none found\n"
	}
	s := fmt.Sprintf("Trip: %s in a pulse at %s", amps(a.TripCold), degrees(a.Cold))
	if a.TripHot != nil {
		s += fmt.Sprintf(", %s once the board has settled under the honest current, its warmest FET at %s", amps(a.TripHot), degrees(a.Hot))
	}
	if a.TripLow != nil && a.TripHigh != nil {
		s += fmt.Sprintf("; over tolerances %s (warm) to %s (cold)", amps(a.TripLow), amps(a.TripHigh))
	}
	return paragraph("", s)
}

func heatParts(a answer.Heat) string {
	head := fmt.Sprintf("Under %s after half an hour", amps(a.ShownAt))
	switch {
	case a.ShownAt == nil || *a.ShownAt == 0:
		return ""
	case !a.Settles:
		return fmt.Sprintf("Under %s losses and temperatures find no rest: thermal runaway\n", amps(a.ShownAt))
	case !a.Holds && a.Current != nil:
		head += ", if the board did not cut it"
	}
	g := grid{columns: []column{
		{head: "part"},
		{head: "current", right: true},
		{head: "loss", right: true},
		{head: "temperature", right: true},
		{head: "limit", right: true},
		{head: "basis"},
	}}
	for _, p := range a.Parts {
		at := degrees(p.Temperature)
		if p.Newer != nil {
			at += " (" + degrees(p.Newer) + " *)"
		}
		limit := degrees(p.Limit)
		if p.Temperature != nil && p.Limit != nil && *p.Temperature > *p.Limit+overBy {
			limit += ", over"
		}
		g.row(p.Part, amps(p.Current), watts(p.Loss), at, limit, p.Basis)
	}
	s := paragraph("", head+", the board "+degrees(a.BoardAt)) + g.String()
	for _, p := range a.Parts {
		if p.Newer != nil {
			return s + paragraph("", "* by a fit to newer measurements; the first is the usual fit to the chart of IPC-2221, neither is claimed")
		}
	}
	return s
}

// overBy is how far above its limit a temperature must be to be said so: the
// honest current is where one is reached.
const overBy = 0.5 // K

// heatBleeds prints bleed resistors that are alike on one line.
func heatBleeds(bs []answer.HeatBleed) string {
	if len(bs) == 0 {
		return ""
	}
	g := grid{columns: []column{
		{head: "cells"},
		{head: "part", width: 22},
		{head: "current", right: true},
		{head: "loss", right: true},
		{head: "stands", right: true},
		{head: "element", right: true},
	}}
	for i := 0; i < len(bs); {
		j := i + 1
		for j < len(bs) && alike(bs[i], bs[j]) {
			j++
		}
		g.row(firstToLast(fmt.Sprint(bs[i].Cell), fmt.Sprint(bs[j-1].Cell)), firstToLast(bs[i].Part, bs[j-1].Part), figure(bs[i].Current, "A", 0).String(), watts(bs[i].Loss),
			watts(bs[i].Derated), degrees(bs[i].Temperature))
		if note := bleedNote(bs[i]); note != "" {
			g.under(note)
		}
		i = j
	}
	return fmt.Sprintf("Every cell bled at %s, the board %s\n", figure(bs[0].Volts, "V", 0), degrees(bs[0].Board)) + g.String()
}

func alike(a, b answer.HeatBleed) bool {
	return watts(a.Loss) == watts(b.Loss) && watts(a.Derated) == watts(b.Derated) && a.Holds == b.Holds
}

func firstToLast(a, b string) string {
	if a == b {
		return a
	}
	return a + " to " + b
}

func bleedNote(b answer.HeatBleed) string {
	s := ""
	if !b.Holds {
		s = "too much for it; "
	}
	return strings.TrimSuffix(s+string(b.Note), "; ")
}

// dropResolution is how closely a body diode's drop is worth reading.
const dropResolution = 5e-3 // V

func heatDiodes(ds []answer.HeatDiode) string {
	if len(ds) == 0 {
		return ""
	}
	s := "One bank off, the current in its body diodes\n"
	for _, d := range ds {
		if !d.Carries {
			s += paragraph("  ", fmt.Sprintf("after %s, %s: %s", d.After, d.Flow, d.Note))
			continue
		}
		line := fmt.Sprintf("after %s, %s with %s: %s drops, %s in %s", d.After, d.Flow, amps(d.Current),
			figure(d.Drop, "V", dropResolution), watts(d.Loss), d.Part)
		if d.Channel != nil {
			line += fmt.Sprintf(" instead of %s", watts(d.Channel))
		}
		switch {
		case d.Time != nil:
			line += fmt.Sprintf("; %s is reached in %s, and no more than %s can stay", degrees(d.Limit), seconds(d.Time), amps(d.Most))
		default:
			line += fmt.Sprintf("; it settles at %s, up to %s can stay", degrees(d.Temperature), amps(d.Most))
		}
		s += paragraph("  ", line)
	}
	return s
}

func heatShorts(ss []answer.HeatShort) string {
	if len(ss) == 0 {
		return ""
	}
	g := grid{columns: []column{
		{head: "short", right: true},
		{head: "peak", right: true},
		{head: "gone in", right: true},
		{head: "energy", right: true},
		{head: "hottest"},
		{head: "junction from", right: true},
		{head: "to"},
		{head: "stands", right: true},
		{head: "verdict"},
	}}
	for _, s := range ss {
		gone := seconds(s.Time)
		if s.Time == nil {
			gone = "not cut"
		}
		g.row(figure(s.Ohms, "Ω", 0).String(), amps(s.Peak), gone, figure(s.Energy, "J", 0).String(), string(s.Part), degrees(s.Start),
			fmt.Sprintf("%s (%s to %s)", degrees(s.Junction), degrees(s.Low), degrees(s.High)), degrees(s.Limit), shortVerdict(s))
	}
	return "A short out of the settled board, cells full\n" + g.String() + avalancheText(ss)
}

// shortVerdict compares the junction's range with what its sheet has it stand.
func shortVerdict(s answer.HeatShort) string {
	switch {
	case s.Limit == nil || s.Low == nil || s.High == nil:
		return ""
	case *s.Low > *s.Limit:
		return "too hot"
	case *s.High > *s.Limit:
		return "cannot tell"
	}
	return "holds"
}

// avalancheText says of the first short how near the bank comes to avalanche.
func avalancheText(ss []answer.HeatShort) string {
	s := ss[0]
	if s.PeakVolts == nil || s.Rated == nil || s.Avalanche == nil || *s.Avalanche == 0 {
		return ""
	}
	out := fmt.Sprintf("the %s bank sees %s of its %s; opened at once it would take %s in avalanche", s.Bank,
		figure(s.PeakVolts, "V", 0), figure(s.Rated, "V", 0), figure(s.Avalanche, "J", 0))
	if s.Stands != nil {
		out += fmt.Sprintf(", where %s stands %s", s.Part, figure(s.Stands, "J", 0))
	}
	return paragraph("  ", out)
}
