package elaborate

import (
	"math"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

func (q piece) node(pin string) circuit.Node { return q.w.node(q.index, pin) }

func (q piece) add(e circuit.Element) { q.w.add(q.index, e) }

// zero returns a figure, or 0 where it is not known.
func (f figures) zero(name string) float64 { return orZero(f.get(name)) }

// at25 returns a leakage at 25 °C, whatever temperature the sheet states it at.
func (f figures) at25(name, double string) float64 {
	i, t := f.zero(name), f.sheet.Condition(name, "t_j")
	if math.IsNaN(t) {
		return i
	}
	per := leakDouble
	if fig, _ := f.sheet.Figure(double); fig.Value.Given() {
		per = fig.Value.Nominal()
	}
	return i * math.Exp2((circuit.RoomKelvin-t)/per)
}

// leakDouble is the rise that doubles a leakage: common practice, no source.
const leakDouble = 10. // K

func (q piece) diode() {
	f := q.fig
	p, err := device.FitDiode(device.DiodeSheet{
		ForwardVolts: f.get("v_f"), ForwardAmps: f.sheet.Condition("v_f", "i_f"),
		HighVolts: f.zero("v_f_high"), HighAmps: orZero(f.sheet.Condition("v_f_high", "i_f")),
		N: f.zero("n"), RatedVolts: orZero(f.sheet.Limit("v_r").Nominal()),
		LeakAmps: f.at25("i_r", "i_r_double"), LeakDouble: f.zero("i_r_double"),
		Farads: f.zero("c_j"), Recovery: f.zero("t_rr"),
	})
	if q.fit(err) {
		q.storing(p)
	}
}

// powerAmps is the rated current from which a diode counts as one that the
// current of a load may commutate through.
const powerAmps = 0.5

// storing adds a diode. A power diode that stores charge gets its series resistance as an
// element of its own before an inner node: the current that brings and takes the
// charge flows through that resistance too, and in a turn-off of a hundred
// amperes it shows.
func (q piece) storing(p device.DiodeParams) {
	anode := q.node("a")
	if p.Transit > 0 && p.Ohms > 0 && q.fig.sheet.Limit("i_f").Nominal() >= powerAmps {
		inner := q.w.newNode(q.name + " inside")
		q.w.inside = append(q.w.inside, [2]circuit.Node{anode, inner})
		q.add(device.NewResistor(q.name+" series", anode, inner, device.ResistorParams{Ohms: p.Ohms}))
		anode, p.Ohms = inner, 0
	}
	q.add(device.NewDiode(q.name, anode, q.node("k"), p))
}

func (q piece) zener() {
	f := q.fig
	p, err := device.FitZener(device.ZenerSheet{
		Volts: f.get("v_z"), Amps: f.sheet.Condition("v_z", "i_z"), Ohms: f.get("z_zt"),
		KneeAmps: f.zero("i_zk"), KneeOhms: f.zero("z_zk"), Tempco: f.zero("v_z_tempco"),
		LeakAmps: f.at25("i_r", "i_r_double"), LeakDouble: f.zero("i_r_double"),
		ForwardVolts: f.zero("v_f"), ForwardAmps: orZero(f.sheet.Condition("v_f", "i_f")),
		N: f.zero("n"), Farads: f.zero("c_j"),
	})
	if q.fit(err) {
		q.add(device.NewDiode(q.name, q.node("a"), q.node("k"), p))
	}
}

func (q piece) bjt() {
	f := q.fig
	p, err := device.FitBJT(device.BJTSheet{
		Polarity: polarity(f.sheet.Kind), Gain: f.get("h_fe"), ReverseGain: f.zero("h_fe_reverse"),
		GainTempco: f.zero("h_fe_tempco"), BaseVolts: f.get("v_be"), Amps: f.sheet.Condition("v_be", "i_c"),
		EmitterVolts: orZero(f.sheet.Limit("v_ebo").Nominal()),
		LeakAmps:     f.at25("i_cbo", "i_cbo_double"), LeakDouble: f.zero("i_cbo_double"),
		EmitterFarads: f.zero("c_je"), CollectorFarads: f.zero("c_jc"),
		TransitionHertz: f.zero("f_t"), StorageSeconds: f.zero("t_s"),
	})
	if q.fit(err) {
		q.add(device.NewBJT(q.name, q.node("c"), q.node("b"), q.node("e"), p))
	}
}

func (q piece) fet() {
	f := q.fig
	on := f.get("r_ds_on")
	p, err := q.w.fitFET(device.MOSFETSheet{
		Polarity: polarity(f.sheet.Kind), RatedVolts: orZero(f.sheet.Limit("v_ds").Nominal()),
		ThresholdVolts: f.get("v_gs_th"), ThresholdAmps: orZero(f.sheet.Condition("v_gs_th", "i_d")),
		ThresholdTempco: f.zero("v_gs_th_tempco"),
		On:              device.OnPoint{GateVolts: f.sheet.Condition("r_ds_on", "v_gs"), Ohms: on},
		Low:             q.lowPoint(on), OnTempco: f.zero("r_ds_on_tempco"),
		Input: f.zero("c_iss"), Output: f.zero("c_oss"), Reverse: f.zero("c_rss"),
		FaradsVolts: orZero(f.sheet.Condition("c_iss", "v_ds")),
		LeakAmps:    f.at25("i_dss", "i_dss_double"), LeakDouble: f.zero("i_dss_double"),
		GateLeakAmps: f.zero("i_gss"), GateLeakVolts: orZero(f.sheet.Condition("i_gss", "v_gs")),
		DiodeVolts: f.zero("v_sd"), DiodeAmps: orZero(f.sheet.Condition("v_sd", "i_s")),
		DiodeN: f.zero("n"), Recovery: f.zero("t_rr"),
	})
	if q.fit(err) {
		p.Parallel = q.parallel
		q.add(device.NewMOSFET(q.name, q.node("d"), q.node("g"), q.node("s"), p))
	}
}

// fitFET fits each set of figures once: a board has many FETs of few types, and
// the fit searches.
func (w *work) fitFET(s device.MOSFETSheet) (device.MOSFETParams, error) {
	if p, ok := w.fets[s]; ok {
		return p, nil
	}
	p, err := device.FitMOSFET(s)
	if err == nil {
		w.fets[s] = p
	}
	return p, err
}

// lowPoint is the on resistance at less gate voltage. It is one die with one
// resistance, so it is not chosen by itself but moves with r_ds_on.
func (q piece) lowPoint(on float64) device.OnPoint {
	full, low := q.fig.sheet.Figures["r_ds_on"].Value.Nominal(), q.fig.sheet.Figures["r_ds_on_low"].Value
	if len(q.fig.sheet.Figures["r_ds_on_low"].At) == 0 || !low.Given() {
		return device.OnPoint{}
	}
	return device.OnPoint{
		GateVolts: q.fig.sheet.Condition("r_ds_on_low", "v_gs"), Ohms: low.Nominal() * on / full,
	}
}

func polarity(k catalog.Kind) device.Polarity {
	if k == catalog.PNP || k == catalog.PFET {
		return device.P
	}
	return device.N
}
