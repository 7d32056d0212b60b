package planner

// kept is memory that one question after the other uses: what is found for one is
// good until the next. Asking would else take as long to find memory as to think.
type kept struct {
	weights  []float64 // of company
	nets     []int     // of places
	places   []place
	direct   []guess
	of       [][]chance // of each pad
	expected map[knew]bool
	matching matching
}

// free begins a new question.
func (k *kept) free() {
	k.nets = k.nets[:0]
	clear(k.expected)
}

// netsOf keeps the nets of a place.
func (k *kept) netsOf(nets []int) []int {
	at := len(k.nets)
	k.nets = append(k.nets, nets...)
	return k.nets[at:len(k.nets):len(k.nets)]
}

// blank is room for the nets of a place of which none is known.
func (k *kept) blank(n int) []int {
	at := len(k.nets)
	for range n {
		k.nets = append(k.nets, none)
	}
	return k.nets[at:len(k.nets):len(k.nets)]
}

// zeros makes what is kept n zeros long.
func zeros[T any](of *[]T, n int) []T {
	if cap(*of) < n {
		*of = make([]T, n+n/2)
	}
	*of = (*of)[:n]
	clear(*of)
	return *of
}
