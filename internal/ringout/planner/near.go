package planner

// nearMM is the distance in mm at which a net is half as likely as under the
// probe. Boards of this trade have pitches of about 1 to 3 mm between parts.
const nearMM = 2.5

// farWeight is the weight of a net far away: planes and long tracks lead anywhere.
const farWeight = 0.03

// near is the weight of distance between a pad and a net; 1 without positions.
func (v *view) near(x, n int) float64 {
	mm, ok := v.copper.Distance(v.root[v.net[x]], v.root[n])
	if !ok {
		return 1
	}
	r := mm / nearMM
	return farWeight + 1/(1+r*r)
}
