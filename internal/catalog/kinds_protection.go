package catalog

import (
	"slices"
	"strconv"

	"cupel/internal/quantity"
)

// MaxCells is the most cells that one stack protector can watch.
const MaxCells = 24

// SenseInput names the pin of a stack protector at the top of cell k.
func SenseInput(k int) string { return "v" + strconv.Itoa(k) }

// The numbers below are typical, no source; those of shared use stand in
// min/typ/max so that corners exist even where a sheet is silent.

// voltageTerms are the cell-voltage protections of every protector.
var voltageTerms = []Term{
	needed("v_ov", quantity.Voltage, "overcharge detection"),
	needed("v_ovr", quantity.Voltage, "overcharge release"),
	ranged("t_ovr", quantity.Time, 1e-3, 2e-3, 5e-3, "overcharge release delay"),
	usual("v_ov_tempco", quantity.TempcoVoltage, 0, "change of v_ov with temperature"),
	needed("v_uv", quantity.Voltage, "overdischarge detection"),
	needed("v_uvr", quantity.Voltage, "overdischarge release"),
	ranged("t_uvr", quantity.Time, 1e-3, 2e-3, 5e-3, "overdischarge release delay"),
}

// currentTerms are the current protections: voltages at cs.
var currentTerms = []Term{
	needed("v_oc1", quantity.Voltage, "discharge overcurrent, first stage"),
	optional("v_oc2", quantity.Voltage, "discharge overcurrent, second stage"),
	optional("t_oc2", quantity.Time, "its delay"),
	optional("v_sc", quantity.Voltage, "load short"),
	optional("t_sc", quantity.Time, "its delay"),
	optional("v_coc", quantity.Voltage, "charge overcurrent, given positive"),
	optional("t_coc", quantity.Time, "its delay"),
	optional("v_cocr", quantity.Voltage, "charge overcurrent release, given positive"),
	ranged("v_chd", quantity.Voltage, -0.2, -0.12, -0.05, "charger detection"),
	usual("t_cocr", quantity.Time, 2e-3, "its release delay"),
	optional("t_retry", quantity.Time, "pause before the current is tried again"),
	ranged("t_ocr", quantity.Time, 1e-3, 2e-3, 5e-3, "overcurrent release delay"),
}

// powerTerms are supply, outputs and pulls.
var powerTerms = []Term{
	ranged("v_pd", quantity.Ratio, 0.4, 0.5, 0.6, "power-down level, as a share of the supply"),
	usual("t_pd", quantity.Time, 1e-3, "time at that level before power-down"),
	usual("t_wake", quantity.Time, 1e-3, "time back to work"),
	ranged("r_vms", quantity.Resistance, 20e3, 50e3, 100e3, "pull to vss after an overcurrent"),
	ranged("r_vmd", quantity.Resistance, 100e3, 300e3, 900e3, "pull to vdd after an overdischarge"),
	ranged("t_bo", quantity.Time, 1e-6, 2e-6, 10e-6, "brown-out time"),
	ranged("t_start", quantity.Time, 0.2e-3, 1e-3, 20e-3, "start time"),
	usual("h", quantity.Voltage, 0.1, "hysteresis of v_min and v_0"),
	ranged("v_0", quantity.Voltage, 0.5, 0.9, 1.5, "cell voltage under which charging is inhibited"),
	ranged("v_0cha", quantity.Voltage, 0.7, 1.2, 1.7, "charger voltage that can charge an empty cell"),
	ranged("r_oh", quantity.Resistance, 1e3, 3e3, 10e3, "output to its high rail"),
	ranged("r_ol", quantity.Resistance, 1e3, 3e3, 10e3, "output to its low rail"),
}

var protectorRules = []Rule{
	{"brownout", []string{"high impedance", "low", "hold"}, "high impedance", "outputs below v_min"},
	{"start", []string{"normal", "needs charger"}, "normal", "after v_min is passed upwards"},
	{"ov_release", []string{"charger removed", "voltage"}, "voltage", "what overcharge release asks for besides v_ovr"},
	{"ov_load", []string{"no", "yes"}, "no", "a load releases overcharge below v_ov"},
	{"uv_auto", []string{"no", "yes"}, "yes", "overdischarge releases at v_uvr without charger"},
	{"uv_load_off", []string{"no", "yes"}, "no", "and only with the load removed"},
	{"oc_release", []string{"load off", "retry", "charger"}, "load off", "what releases an overcurrent"},
	{"power_down", []string{"no", "yes"}, "no", "goes to sleep after an overdischarge"},
	{"oc_off_in_ov", []string{"no", "yes"}, "no", "overcurrent is not watched during overcharge"},
	{"timer", []string{"reset", "decay"}, "reset", "what a delay does when its cause lapses"},
	{"zero_volt", []string{"inhibit", "allow", "ignore"}, "ignore", "charging an empty cell"},
	{"co_low", []string{"cs", "vss", "open drain"}, "cs", "low rail of the charge output"},
}

var cellProtectorTraits = Traits{
	Kind: CellProtector, Title: "single-cell protector",
	Pins: []PinTrait{
		{"vdd", true, "supply and cell"},
		{"vss", true, "cell negative"},
		{"cs", true, "current sense, charger and load detection"},
		{"do", true, "discharge output"},
		{"co", true, "charge output"},
	},
	Limits: []Term{
		usual("v_dd", quantity.Voltage, 12, "vdd over vss"),
		usual("v_cs", quantity.Voltage, 28, "cs and co under vdd"),
	},
	Figures: slices.Concat(voltageTerms, currentTerms, powerTerms, []Term{
		needed("t_ov", quantity.Time, "overcharge delay"),
		needed("t_uv", quantity.Time, "overdischarge delay"),
		needed("t_oc1", quantity.Time, "delay of the first stage"),
		optional("v_ocr", quantity.Voltage, "overcurrent release level; 0.9 of v_oc1 where neither this nor v_ocr_below is given"),
		optional("v_ocr_below", quantity.Voltage, "overcurrent release level, counted down from vdd"),
		ranged("v_min", quantity.Voltage, 1.0, 1.2, 1.5, "least supply"),
		ranged("i_dd", quantity.Current, 1.5e-6, 3e-6, 6e-6, "supply current"),
		ranged("i_pd", quantity.Current, 0.05e-6, 0.1e-6, 0.5e-6, "supply current in power-down"),
		usual("i_cs", quantity.Current, 5e-9, "current into cs", at("t_j", room)),
	}),
	Rules: protectorRules,
}

var balancerTraits = Traits{
	Kind: Balancer, Title: "cell balancer",
	Pins: []PinTrait{
		{"vdd", true, "supply and cell"},
		{"vss", true, "cell negative"},
		{"out", true, "drives the bleed switch, high while bleeding"},
	},
	Limits: []Term{usual("v_dd", quantity.Voltage, 12, "vdd over vss")},
	Figures: []Term{
		needed("v_bal", quantity.Voltage, "balance start"),
		ranged("v_bal_h", quantity.Voltage, 20e-3, 30e-3, 40e-3, "how far below v_bal it stops"),
		ranged("t_b", quantity.Time, 50e-3, 100e-3, 200e-3, "start delay"),
		usual("t_br", quantity.Time, 2e-3, "stop delay"),
		usual("v_bal_tempco", quantity.TempcoVoltage, 0, "change of v_bal with temperature"),
		optional("t_sample", quantity.Time, "period of the looks without bleed current"),
		usual("t_look", quantity.Time, 1e-3, "length of a look"),
		ranged("v_min", quantity.Voltage, 1.0, 1.2, 1.5, "least supply"),
		usual("h", quantity.Voltage, 0.1, "hysteresis of v_min"),
		ranged("t_bo", quantity.Time, 1e-6, 2e-6, 10e-6, "brown-out time"),
		ranged("t_start", quantity.Time, 0.2e-3, 1e-3, 20e-3, "start time"),
		ranged("r_oh", quantity.Resistance, 1e3, 3e3, 10e3, "output to vdd"),
		ranged("r_ol", quantity.Resistance, 1e3, 3e3, 10e3, "output to vss"),
		ranged("i_dd", quantity.Current, 1e-6, 2e-6, 4e-6, "supply current"),
	},
	Rules: []Rule{
		{"sense", []string{"continuous", "paused"}, "continuous", "whether the cell is looked at with the bleed paused"},
		{"brownout", []string{"low", "high impedance"}, "low", "output below v_min"},
	},
}
