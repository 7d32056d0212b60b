package ipcd356

// Net is the pads that a file says are one piece of copper.
type Net struct {
	Name string
	Pads []int // into File.Pads
}

// Nets lists the nets in the order of their first pads. Pads on no net are in
// none.
func (f *File) Nets() []Net {
	var out []Net
	of := map[string]int{}
	for i := range f.Pads {
		name := f.Pads[i].Net
		if name == "" {
			continue
		}
		n, ok := of[name]
		if !ok {
			n = len(out)
			of[name] = n
			out = append(out, Net{Name: name})
		}
		out[n].Pads = append(out[n].Pads, i)
	}
	return out
}

// Name is the pad as a person calls it: "U3.2", "B-".
func (p *Pad) Name() string { return padName(p) }
