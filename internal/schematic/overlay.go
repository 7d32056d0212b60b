package schematic

// Overlay is what is shown on top of a sheet. It never moves anything. Its
// zero value shows nothing.
type Overlay struct {
	Heading  string // "voltages, idle"
	Grades   bool   // underline each net's name by its grade
	Roles    map[string]string
	Voltages map[string]string // by name of the net: "7.40 V"
	Stress   map[string]Stress // by reference
	Steps    []Step
}

// Stress is how hard a part is used: a text ("21.0 of 40 V") and the share of
// its limit.
type Stress struct {
	Text  string
	Share float64
}

// Step is one step of the course of a trip, in order: the part that acts, the
// net that moves, and what happens, in words. Its number stands at the part, or
// at the net where no part is named.
type Step struct {
	Part, Net string
	Time      string // "52 ms"
	Text      string
	Needed    bool
}
