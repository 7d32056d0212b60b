package schematic

// Shape is the graphical symbol of a part.
type Shape string

// The shapes, after IEC 60617. In their first position two-pin symbols lie
// level with pin 1 or the anode at the left; transistors have the control pin
// at the left and the collector or drain at the top, P types at the bottom.
const (
	Resistor   Shape = "resistor"
	Capacitor  Shape = "capacitor"
	Inductor   Shape = "inductor"
	Thermistor Shape = "thermistor"
	Fuse       Shape = "fuse"
	HeaterFuse Shape = "heater-fuse" // a fuse with a heater that parts it
	LinkShape  Shape = "link"
	Diode      Shape = "diode"
	Schottky   Shape = "schottky"
	Zener      Shape = "zener"
	NPN        Shape = "npn"
	PNP        Shape = "pnp"
	NFET       Shape = "nfet"
	PFET       Shape = "pfet"
	IC         Shape = "ic"   // a box with named pins, its own size
	Pad        Shape = "pad"  // a terminal of the board
	Cell       Shape = "cell" // outside the board, a hint only
)

// Outline is what layout needs to know of a shape in its first position.
type Outline struct {
	Body Rect             // without the leads to the pins
	Pins map[string]Point // by the names that part sheets use
}

// Lead is the distance from the centre of a two-pin symbol to its pins.
const Lead = 2 * Grid

var (
	twoPins = map[string]Point{"1": {-Lead, 0}, "2": {Lead, 0}}
	akPins  = map[string]Point{"a": {-Lead, 0}, "k": {Lead, 0}}
)

var outlines = map[Shape]Outline{
	Resistor:   {R(-13, -5, 13, 5), twoPins},
	Capacitor:  {R(-4, -9, 4, 9), twoPins},
	Inductor:   {R(-14, -6, 14, 4), twoPins},
	Thermistor: {R(-15, -11, 15, 9), twoPins},
	Fuse:       {R(-13, -5, 13, 5), twoPins},
	HeaterFuse: {R(-13, -5, 13, 14), map[string]Point{"1": {-Lead, 0}, "2": {Lead, 0}, "h": {0, Lead}}},
	LinkShape:  {R(-10, -5, 10, 5), twoPins},
	Diode:      {R(-8, -8, 8, 8), akPins},
	Schottky:   {R(-8, -8, 11, 8), akPins},
	Zener:      {R(-8, -8, 8, 8), akPins},
	NPN:        {R(-10, -16, 12, 16), map[string]Point{"b": {-20, 0}, "c": {10, -20}, "e": {10, 20}}},
	PNP:        {R(-10, -16, 12, 16), map[string]Point{"b": {-20, 0}, "c": {10, 20}, "e": {10, -20}}},
	NFET:       {R(-12, -17, 26, 17), map[string]Point{"g": {-20, 10}, "d": {10, -20}, "s": {10, 20}}},
	PFET:       {R(-12, -17, 26, 17), map[string]Point{"g": {-20, -10}, "d": {10, 20}, "s": {10, -20}}},
	Pad:        {R(-12, -4, -4, 4), map[string]Point{"": {0, 0}}}, // the wire leaves to the right
}

// OutlineOf returns the outline of a shape. That of an IC depends on its pins
// and is held by the symbol alone.
func OutlineOf(s Shape) (Outline, bool) {
	o, ok := outlines[s]
	return o, ok
}
