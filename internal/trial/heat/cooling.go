package heat

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/conductor"
	"cupel/internal/evidence"
	"cupel/internal/quantity"
)

// What is assumed of how a board gives its heat away; common practice, no source.
var (
	// film is the coefficient of cooling of a board's side by air that moves of
	// itself, and by radiation, W/(m²·K).
	film = quantity.Quantity{Min: 7, Typ: 10, Max: 13}
	// bareFilm is that of a wire or strip: thin things cool better.
	bareFilm = quantity.Quantity{Min: 9, Typ: 12, Max: 15}
	// foil, layers and cover stand where the board does not say.
	foil   = quantity.Quantity{Dim: quantity.Length, Min: 30e-6, Typ: conductor.Ounce, Max: 2 * conductor.Ounce}
	cover  = quantity.Quantity{Dim: quantity.Ratio, Min: 0.4, Typ: 0.6, Max: 0.8}
	layers = 2
)

const (
	copperConducts = 390.   // W/(m·K)
	laminateHeat   = 2.0e6  // J/(m³·K), of glass epoxy, from memory
	laminateThick  = 1.6e-3 // m
	areaFactor     = 2      // either way, of an area told from footprints
	filling        = 0.5    // share of one side that footprints fill
)

// TimeConstant is how slowly a board's mean temperature settles, in s: its heat
// capacity over its cooling, both of which grow with its area.
func TimeConstant() float64 { return laminateHeat * laminateThick / (2 * film.Typ) }

// cooling is a board as a radiator.
type cooling struct {
	area    float64 // m², one side
	stated  bool    // area given on the board
	bound   string  // the part whose sheet bounds an estimated area; empty: none
	ohms    float64 // K/W of the mean over the surroundings
	sheet   float64 // m: copper spread evenly over the area
	assumed []string
}

func newCooling(b *board.Board, sheets sheets, v view) cooling {
	var c cooling
	area, thick, share, n := quantity.Absent(quantity.Area), foil, cover, layers
	if k := b.Copper; k != nil {
		area, thick, share = k.Area, stated(k.Thickness, foil), stated(k.Cover, cover)
		if k.Layers > 0 {
			n = k.Layers
		}
	}
	if c.stated = area.Given(); !c.stated {
		area = guessed(quantity.Area, footprints(b, sheets)/filling, areaFactor)
	}
	c.area = v.better(area)
	c.ohms = 1 / (v.better(film) * 2 * c.area)
	c.sheet = v.better(thick) * v.better(share) * float64(n)
	c.assume("board cooled on both sides with %.3g W/(m²·K) (%.3g to %.3g), air that moves of itself", film.Typ, film.Min, film.Max)
	if c.stated && (b.Copper == nil || !b.Copper.Thickness.Given() || !b.Copper.Cover.Given()) {
		c.assume("%d layers of %.3g µm copper over %.0f %% of the board (%.0f to %.0f %%)", n, thick.Nominal()*1e6,
			share.Nominal()*100, share.Low()*100, share.High()*100)
	}
	return c
}

func (c *cooling) assume(format string, args ...any) {
	c.assumed = append(c.assumed, fmt.Sprintf(format, args...))
}

// stated is q where it was given, else d.
func stated(q, d quantity.Quantity) quantity.Quantity {
	if q.Given() {
		return q
	}
	return d
}

// spreading is the resistance from a land of that area, m², to the board's mean:
// a disc of the board's copper with the source in its middle, cooled evenly,
//
//	R = (ln(b/a) − 3/4)/(2π·k·t)
//
// which is the solution of the plane Poisson equation with a closed rim for
// a ≪ b. On a board that its copper hardly covers it is too little.
func (c cooling) spreading(land float64) float64 {
	ratio := math.Sqrt(c.area / land)
	return math.Max(0, math.Log(ratio)-0.75) / (2 * math.Pi * copperConducts * c.sheet)
}

// own is the resistance of a part over the board's mean, and where it is from.
//
// Where the board states its area and the sheet the way to the case, that is the
// case and the copper under it. Otherwise it is what is left of the sheet's
// resistance to the surroundings, measured with the part alone on a board of its
// maker's, once this board is taken off: alone here it is then as warm as the
// sheet has it, beside others warmer.
func (c cooling) own(total, toCase, land float64, basis evidence.Basis) (float64, evidence.Basis) {
	if c.stated && toCase > 0 {
		return toCase + c.spreading(land), basis
	}
	if !c.stated {
		basis = evidence.AssumedHere
	}
	return math.Max(total-c.ohms, (1-boardShare)*total), basis
}

// boardShare is the most of a part's resistance to the surroundings that can lie
// in its board, and not in the part and the copper under it; common practice, no
// source.
const boardShare = 0.7

// areaText says what an area was told from that the board does not state.
func (c *cooling) areaText() string {
	if c.stated {
		return ""
	}
	from := "the parts' footprints at half filling"
	if c.bound != "" {
		from = "what the sheet of " + c.bound + " needs to be as cool as it says"
	}
	return fmt.Sprintf("board area %.3g cm² (%.3g to %.3g), from %s", c.area*1e4, c.area*1e4/areaFactor, c.area*1e4*areaFactor, from)
}

// trust makes an estimated board no worse than a sheet has it, by whose resistance
// to the surroundings there must be more of it than its footprints tell.
func (c *cooling) trust(ref string, total float64) {
	if c.stated || total == 0 || c.ohms <= boardShare*total {
		return
	}
	c.area *= c.ohms / (boardShare * total)
	c.ohms, c.bound = boardShare*total, ref
}

// footprints is the area that the parts take up, m².
func footprints(b *board.Board, sheets sheets) float64 {
	sum := 0.0
	for _, p := range b.Parts {
		sum += footprint(nameOfCase(p, sheets)) * float64(max(p.Count, 1))
	}
	return sum
}

// nameOfCase is the size or package of a part as written.
func nameOfCase(p board.Part, sheets sheets) string {
	if p.Size != "" || p.Sheet == "" {
		return p.Size
	}
	s, ok := sheets(p.Sheet)
	if !ok {
		return ""
	}
	return s.Package.Name
}

// cases are the areas that parts take up with the room around them, mm², from
// memory of the usual land patterns.
var cases = map[string]float64{
	"0201": 1.5, "0402": 2.5, "0603": 5, "0805": 7, "1206": 11, "1210": 15, "2010": 24, "2410": 30, "2512": 36,
	"SOT-23": 12, "SOT-23-5": 14, "SOT-23-6": 14, "SOT-89": 25, "SOT-223": 60, "SC-70": 8,
	"SO-8": 42, "TSSOP-8": 26, "TSSOP-16": 45, "TSSOP-20": 55, "TSSOP-24": 65, "DFN 5×6": 42, "DFN 3×3": 16,
	"TO-252": 90, "TO-263": 190, "TO-220": 60, "SOD-123": 8, "SOD-323": 5, "SMA": 18, "SMB": 26, "SMC": 60,
}

const otherCase = 20 // mm²

// footprint is the area a case takes up, m².
func footprint(name string) float64 {
	if mm2, ok := cases[strings.ToUpper(name)]; ok {
		return mm2 * 1e-6
	}
	return otherCase * 1e-6
}

// sheets finds part sheets by name.
type sheets func(name string) (*catalog.Sheet, bool)
