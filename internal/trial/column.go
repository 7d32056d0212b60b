package trial

import "cupel/internal/trial/rig"

// column is one column of the release matrix: what is done at the ports after
// a trip.
type column struct {
	name    string
	says    string // in the words of a stimulus
	state   string // of the board's outside, for a result's State
	needs   string // what a release under this column alone says is needed
	charges bool   // it wants a charge port
	loads   bool   // it wants a discharge port
	seconds float64
	holds   func(s *stand) bool // whether a charger is held on before; nil: never
	apply   func(s *stand) error
}

// do is the whole of the column.
func (c column) do(s *stand) error { return c.doHeld(s, holdCharger) }

// doHeld is do with a way of its own to hold a charger on.
func (c column) doHeld(s *stand, hold func(*stand) error) error {
	if c.holds != nil && c.holds(s) {
		if err := hold(s); err != nil {
			return err
		}
	}
	return c.apply(s)
}

// How long a charger or load is held before it is taken away again, and the
// residual load; protection trials' release matrix.
const (
	holdSeconds  = 1.0
	residualOhms = 1e6
	longWait     = 60.0
)

func applyNothing(s *stand) error { return s.empty() }

// applyLoad leaves the load that tripped, or attaches one of I_t.
func applyLoad(s *stand) error {
	if s.a.Charge {
		if err := s.charger(rig.Charger{}); err != nil {
			return err
		}
	}
	if s.set.load.Kind != rig.Open {
		return nil
	}
	return s.attach(dischargePort)
}

// applyLoadRemoved has a load attached for a while and takes it away.
func applyLoadRemoved(s *stand) error {
	if s.set.load.Kind == rig.Open {
		if err := s.attach(dischargePort); err != nil {
			return err
		}
		if err := s.dwell(holdSeconds); err != nil {
			return err
		}
	}
	return s.empty()
}

func applyResidual(s *stand) error {
	if err := s.empty(); err != nil {
		return err
	}
	return s.load(rig.Load{Kind: rig.Resistance, Value: residualOhms})
}

// applyCharger takes the load away and leaves the charger that tripped, or
// attaches one limited to I_t.
func applyCharger(s *stand) error {
	if s.a.Discharge {
		if err := s.load(rig.Load{}); err != nil {
			return err
		}
	}
	if s.set.charger.Amps > probeAmps {
		return nil
	}
	return s.attach(chargePort)
}

// noCharger reports whether a charger has to be attached before it can be taken
// away; anyCharger has one held on whatever was there.
func noCharger(s *stand) bool { return s.set.charger.Amps == 0 }
func anyCharger(*stand) bool  { return true }

// holdCharger has a charger attached for a while.
func holdCharger(s *stand) error {
	if err := applyCharger(s); err != nil {
		return err
	}
	return s.dwell(holdSeconds)
}

// applyLoadAlone takes everything away and attaches a load.
func applyLoadAlone(s *stand) error {
	if err := s.empty(); err != nil {
		return err
	}
	return s.attach(dischargePort)
}

// The columns of the release matrix, in order.
var (
	columnN  = column{name: "N", says: "nothing attached", state: "idle", needs: "auto", seconds: releaseWatch, apply: applyNothing}
	columnL1 = column{name: "L1", says: "load attached", state: "discharging", needs: "needs load", loads: true, seconds: releaseWatch, apply: applyLoad}
	columnL0 = column{name: "L0", says: "load removed", state: "idle", needs: "needs load removed", loads: true, seconds: releaseWatch, apply: applyLoadRemoved}
	columnLR = column{name: "LR", says: "residual load of 1 MΩ", state: "idle", needs: "needs load", loads: true, seconds: releaseWatch, apply: applyResidual}
	columnC1 = column{name: "C1", says: "charger attached", state: "charging", needs: "needs charger", charges: true, seconds: releaseWatch, apply: applyCharger}
	columnC0 = column{name: "C0", says: "charger removed", state: "idle", needs: "needs charger removed", charges: true, seconds: releaseWatch, holds: noCharger, apply: applyNothing}
	columnCL = column{name: "CL", says: "charger removed, then load", state: "discharging", needs: "needs charger, then load", charges: true, loads: true, seconds: releaseWatch, holds: anyCharger, apply: applyLoadAlone}
	columnT  = column{name: "T", says: "60 s of nothing", state: "idle", needs: "needs time", seconds: longWait, apply: applyNothing}

	columns = []column{columnN, columnL1, columnL0, columnLR, columnC1, columnC0, columnCL, columnT}
)
