package protector

// Logic is a machine as latches behind its comparators. It is a second telling
// of the same sheet, for a simulator that knows no state machines: only what
// such latches can say is in it, and Missing names the rest.
type Logic struct {
	Latches []Latch
	Drives  []Drive
	Links   []Follow
	Missing []string
}

// Latch is set once Set has held for SetAfter, cleared once Clear has held for
// ClearAfter, and cleared at once by Reset. Name is that of the flag.
type Latch struct {
	Name                 string
	Set, Clear, Reset    Any
	SetAfter, ClearAfter float64 // s
}

// Term is a comparator or a latch by its number, the other being -1; Not turns
// it round.
type Term struct {
	Comparator, Latch int
	Not               bool
}

// All holds while each of its terms does, so always without any; Any while one
// of its parts does, so never without any.
type (
	All []Term
	Any []All
)

// Drive is a push-pull output: low while Off, neither while Open, else high. Low
// is -1 where there is no switch to a low rail.
type Drive struct {
	High, Low int // links
	Off, Open Any
}

// Follow is a link that conducts while On.
type Follow struct {
	Link int
	On   Any
}

// yes and no are terms of a comparator.
func yes(comparator int) Term { return Term{Comparator: comparator, Latch: -1} }
func no(comparator int) Term  { return Term{Comparator: comparator, Latch: -1, Not: true} }

// LogicOf tells a machine of this package as latches; ok is false for another.
func LogicOf(m Machine) (l Logic, ok bool) {
	switch m := m.(type) {
	case *protector:
		return m.logic(), true
	case *balancer:
		return m.logic(), true
	case *secondary:
		return m.logic(), true
	}
	return Logic{}, false
}

// telling is a Logic being told.
type telling struct {
	Logic
	number map[string]int
	reset  Any
}

func (t *telling) add(l Latch) {
	if t.number == nil {
		t.number = map[string]int{}
	}
	l.Reset = append(l.Reset, t.reset...)
	t.number[l.Name] = len(t.Latches)
	t.Latches = append(t.Latches, l)
}

// brownOut adds the latch that clears all others.
func (t *telling) brownOut(vMin, vAlive int, tBo, tStart float64) {
	if vMin < 0 {
		return
	}
	t.add(Latch{Name: "BO", Set: Any{{no(vMin)}}, SetAfter: tBo, Clear: Any{{yes(vAlive)}}, ClearAfter: tStart})
	t.reset = Any{{t.set("BO")}}
}

// set is the term of a latch, which must have been told.
func (t *telling) set(name string) Term { return Term{Comparator: -1, Latch: t.number[name]} }

// any is that one of the latches that there are is set.
func (t *telling) any(names ...string) (a Any) {
	for _, n := range names {
		if _, ok := t.number[n]; ok {
			a = append(a, All{t.set(n)})
		}
	}
	return a
}

// none is that none of the latches is set.
func (t *telling) none(names ...string) (a All) {
	for _, x := range t.any(names...) {
		a = append(a, Term{Comparator: -1, Latch: x[0].Latch, Not: true})
	}
	return a
}

// and joins a condition with terms that must hold beside it.
func (a Any) and(terms ...Term) (b Any) {
	for _, x := range a {
		b = append(b, append(append(All{}, x...), terms...))
	}
	return b
}

func (m *balancer) logic() Logic {
	var t telling
	t.brownOut(m.vMin, m.vAlive, or(m.TBo, 0), or(m.TStart, 0))
	set := All{yes(m.on)}
	if m.OnCharge {
		set = append(set, no(m.mChd))
	}
	t.add(Latch{Name: "BAL", Set: Any{set}, SetAfter: or(m.TBal, 0), Clear: Any{{no(m.off)}}, ClearAfter: or(m.TBalr, 0)})
	t.Drives = []Drive{{High: m.out.linkHigh, Low: m.out.linkLow, Off: Any{t.none("BAL")}}}
	t.misses(given(m.Sense), "pauses of the bleed")
	t.misses(m.Timer == TimerDecay, "delays that run back")
	return t.Logic
}

func (m *secondary) logic() Logic {
	var t telling
	t.brownOut(m.vMin, m.vAlive, or(m.TBo, 0), or(m.TStart, 0))
	var names []string
	for k, c := range m.cells {
		l := Latch{Name: m.flagNames[secCell+k], Set: Any{{yes(c.ov)}}, SetAfter: or(m.TOv, 0), ClearAfter: or(m.TOvr, 0)}
		if c.ovr >= 0 {
			l.Clear = Any{{no(c.ovr)}}
		}
		t.add(l)
		names = append(names, l.Name)
	}
	t.Drives = []Drive{{High: m.out.linkHigh, Low: m.out.linkLow, Off: Any{t.none(names...)}}}
	t.misses(m.Timer == TimerDecay, "delays that run back")
	return t.Logic
}

func (t *telling) misses(there bool, what string) {
	if there {
		t.Missing = append(t.Missing, what)
	}
}
