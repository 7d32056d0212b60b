package elaborate

import (
	"math"
	"strings"

	"cupel/internal/circuit/device"
	"cupel/internal/quantity"
)

// Temperature coefficient of a bare chip resistor: ±100 ppm/K, typical of the
// class, no source. Its sign is not known, so the nominal value has none.
const chipTempco = 100e-6 // 1/K

func (q piece) resistor() {
	r := q.value("r")
	if r == 0 { // 0 Ω: a jumper
		r = device.LeastOhms
	}
	if !q.given(r, "resistance") {
		return
	}
	q.add(device.NewResistor(q.name, q.node("1"), q.node("2"),
		device.ResistorParams{Ohms: r / q.parallel, Tempco: q.tempco()}))
}

func (q piece) tempco() float64 {
	switch {
	case q.part.Rated.Tempco != 0:
		return q.part.Rated.Tempco
	case q.fig.sheet != nil:
		return q.fig.or("r_tempco", 0)
	}
	return q.fig.pick("tempco", quantity.Quantity{
		Dim: quantity.TempcoRelative, Min: -chipTempco, Typ: 0, Max: chipTempco,
	})
}

// biasLoss is the share of its capacitance that a ceramic capacitor loses at
// its rated voltage, typical of the class, no source: real parts differ by size
// and value as much as by dielectric.
var biasLoss = map[string]quantity.Quantity{
	"X7R": {Dim: quantity.Ratio, Min: 0.2, Typ: 0.5, Max: 0.7},
	"X7S": {Dim: quantity.Ratio, Min: 0.3, Typ: 0.6, Max: 0.75},
	"X5R": {Dim: quantity.Ratio, Min: 0.4, Typ: 0.7, Max: 0.85},
	"Y5V": {Dim: quantity.Ratio, Min: 0.7, Typ: 0.85, Max: 0.95},
	"Z5U": {Dim: quantity.Ratio, Min: 0.6, Typ: 0.8, Max: 0.92},
}

func (q piece) capacitor() {
	c := q.value("c")
	if !q.given(c, "capacitance") {
		return
	}
	loss, rated := q.bias()
	a, b := q.node("1"), q.node("2")
	if loss > 0 && rated > 0 {
		q.add(device.NewCeramic(q.name, a, b, device.CeramicParams{Farads: c * q.parallel, Loss: loss, Rated: rated}))
		return
	}
	q.add(device.NewCapacitor(q.name, a, b, device.CapacitorParams{Farads: c * q.parallel}))
}

// bias returns the loss at rated voltage and that voltage. Where the board
// does not say what a capacitor is made of, nothing is lost.
func (q piece) bias() (loss, rated float64) {
	if q.fig.sheet != nil {
		return q.fig.or("c_loss", 0), q.fig.sheet.Limit("v").Nominal()
	}
	kind := strings.ToUpper(q.part.Rated.Dielectric)
	of, ok := biasLoss[kind]
	if !ok || q.part.Rated.Voltage == 0 {
		return 0, 0
	}
	q.w.assume("loss of " + kind + " capacitors under bias")
	return q.fig.pick("bias loss", of), q.part.Rated.Voltage
}

func (q piece) inductor() {
	l := q.value("l")
	if !q.given(l, "inductance") {
		return
	}
	ohms := bareCoilOhms
	if q.fig.sheet != nil {
		ohms = q.fig.or("r_s", bareCoilOhms)
	}
	q.add(device.NewInductor(q.name, q.node("1"), q.node("2"),
		device.InductorParams{Henry: l / q.parallel, Ohms: ohms / q.parallel}))
}

// bareCoilOhms is the series resistance of a coil of which only the inductance
// is known: not 0, or two coils in parallel would share no current.
const bareCoilOhms = 1e-3

func (q piece) link() {
	q.add(device.NewResistor(q.name, q.node("1"), q.node("2"),
		device.ResistorParams{Ohms: math.Max(q.fig.get("r"), device.LeastOhms) / q.parallel}))
}

func (q piece) fuse() {
	p := device.FuseParams{
		Ohms: q.fig.get("r"), Tempco: q.fig.or("r_tempco", 0), RatedAmps: q.fig.get("i_rated"),
		BlowAmps: orZero(q.fig.sheet.Condition("t_blow", "i")), BlowSeconds: q.fig.get("t_blow"),
	}
	if !q.fig.sheet.HasPin("h") {
		q.add(device.NewFuse(q.name, q.node("1"), q.node("2"), p))
		return
	}
	h := device.HeaterParams{Ohms: q.fig.get("r_heater"), Watts: q.fig.get("p_heater"), Seconds: q.fig.get("t_heater")}
	if q.given(h.Ohms, "heater's resistance") && q.given(h.Watts, "heater's loss") && q.given(h.Seconds, "heater's time") {
		middle := q.w.newNode(q.name + " middle")
		q.add(device.NewHeaterFuse(q.name, q.node("1"), q.node("2"), middle, q.node("h"), p, h))
	}
}

func (q piece) thermistor() {
	r, beta := q.fig.get("r_25"), q.fig.get("b")
	if !q.given(r, "resistance at 25 °C") || !q.given(beta, "B value") {
		return
	}
	p := device.ThermistorParams{Ohms: r, Beta: beta}
	// A picked resistance shifts the whole published table.
	shift := r / q.fig.sheet.Figures["r_25"].Value.Nominal()
	for _, s := range q.fig.sheet.Curve.Points {
		p.Table = append(p.Table, device.Spot{Kelvin: s.Kelvin, Ohms: s.Ohms * shift})
	}
	q.add(device.NewThermistor(q.name, q.node("1"), q.node("2"), p))
}

// orZero is v, or 0 where it is not known: what devices take for not given.
func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}
