package protector

import (
	"fmt"
	"math"
	"strings"
)

// Describe prints a state for a trace: the flags that are set, those of the
// output switches last, then the timers that run with the time at which they
// end, a timer that runs back marked so:
//
//	OV do-high co-low | UV due 1.25
//	do-high co-high | OV back until 0.4
func Describe(m Machine, s *State) string {
	var flags, outputs, timers []string
	for i, name := range m.Flags() {
		switch {
		case !s.Has(i):
		case strings.HasSuffix(name, "-high"), strings.HasSuffix(name, "-low"):
			outputs = append(outputs, name)
		default:
			flags = append(flags, name)
		}
	}
	for i, name := range timerNames(m) {
		if math.IsInf(s.Due[i], 1) {
			continue
		}
		word := "due"
		if s.Has(len(m.Flags()) + i) {
			word = "back until"
		}
		timers = append(timers, fmt.Sprintf("%s %s %.10g", name, word, s.Due[i]))
	}
	text := strings.Join(append(flags, outputs...), " ")
	if text == "" {
		text = "none"
	}
	if len(timers) > 0 {
		text += " | " + strings.Join(timers, ", ")
	}
	return text
}

// timerNames names a machine's timers, by number where it has no names.
func timerNames(m Machine) []string {
	if n, ok := m.(interface{ TimerNames() []string }); ok {
		return n.TimerNames()
	}
	names := make([]string, m.Timers())
	for i := range names {
		names[i] = fmt.Sprintf("timer %d", i)
	}
	return names
}

// FlagIndex is the number of the flag of that name; -1 where m has none.
func FlagIndex(m Machine, name string) int {
	for i, n := range m.Flags() {
		if n == name {
			return i
		}
	}
	return -1
}
