package heat

import (
	"context"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial"
)

// sensed is a board whose protector judges the drop over both FETs.
const sensed = `cupel: 1
board: sensed-1s
cells: 1
pads: {B-: bminus, B+: tap1, P+: tap1, P-: pminus}
parts:
  R1: {value: 330 Ω, pins: [tap1, supply]}
  C1: {value: 100 nF, pins: [supply, bminus]}
  U1: {sheet: protector-own, pins: {vdd: supply, vss: bminus, cs: sense, do: gate-d, co: gate-c}}
  R2: {value: 2 kΩ, pins: [pminus, sense]}
  Q1: {sheet: fet-own, pins: {g: gate-d, d: middle, s: bminus}}
  Q2: {sheet: fet-own, pins: {g: gate-c, d: middle, s: pminus}}
`

const protectorOwn = `cupel: 1
sheet: protector-own
kind: cell-protector
package: {name: SOT-23-6, pins: {do: 1, cs: 2, co: 3, vss: 4, vdd: 5}}
limits: {v_dd: 12 V, v_cs: 28 V}
source: own example
figures:
  v_ov: 4.25 V
  v_ovr: 4.10 V
  t_ov: 1 s
  v_uv: 2.5 V
  v_uvr: 3.0 V
  t_uv: 100 ms
  v_oc1: 120/150/180 mV
  t_oc1: 10 ms
  v_sc: 1.35 V
  t_sc: 250 µs
`

const fetSensed = `cupel: 1
sheet: fet-own
kind: mosfet-n
package: {name: TO-252, pins: {g: 1, d: 2, s: 3}}
limits: {v_ds: 40 V, v_gs: 12 V, t_j: 150 °C}
source: own example
figures:
  v_gs_th: {value: typ 0.5 V, at: {i_d: 250 µA, t_j: 25 °C}}
  v_gs_th_tempco: 0 mV/K
  r_ds_on: {value: 7.225/8.5/10.2 mΩ, at: {v_gs: 3.6 V, t_j: 25 °C}}
  r_ds_on_low: {value: typ 8.51 mΩ, at: {v_gs: 2.5 V, t_j: 25 °C}}
  r_ds_on_tempco: 0.4 %/K
  c_iss: typ 1 nF
  c_oss: typ 300 pF
  c_rss: typ 100 pF
  v_sd: {value: typ 0.75 V, at: {i_s: 8 A, t_j: 25 °C}}
  r_th: typ 40 K/W
`

// Why the trip is what it is (common practice, no source): 150 mV over 2 × 8.5 mΩ
// trip at 8.8235 A cold and, with resistances 1.3 times as large, at 6.7873 A; over
// all corners of ±20 % of threshold, −15/+20 % of resistance and 0.9 to 1.3 of
// temperature, from 4.5249 to 13.8408 A.
func TestTripCorners(t *testing.T) {
	s := subject(t, map[string]string{
		"board.yaml": sensed, "parts/protector-own.yaml": protectorOwn, "parts/fet-own.yaml": fetSensed,
	})
	for _, c := range []struct {
		view   view
		factor float64 // of resistance, by temperature
		amps   float64
	}{
		{typical, 1, 8.8235},
		{typical, 1.3, 6.7873},
		{adverse, 1.3, 4.5249},
		{favourable, 0.9, 13.8408},
	} {
		st, err := newStand(context.Background(), s, c.view, Room)
		if err != nil {
			t.Fatal(err)
		}
		rises := make([]float64, len(st.spots)+1)
		for i := range st.spots {
			rises[i] = (c.factor - 1) / 0.004
		}
		got, err := tripHot(st, rises)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "trip", got, c.amps, 0.01)
	}
	st, err := newStand(context.Background(), s, typical, 40+celsius)
	if err != nil {
		t.Fatal(err)
	}
	cold, err := tripCold(st)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a pulse out of rest", cold, 8.8235, 0.01)
}

// The cold trip is what the trial of overcurrent finds.
func TestColdTripIsTheTrials(t *testing.T) {
	st, err := newStand(context.Background(), demoBoard(t, "hive-3s"), typical, Room)
	if err != nil {
		t.Fatal(err)
	}
	cold, err := tripCold(st)
	if err != nil {
		t.Fatal(err)
	}
	st.rig.Rewind(st.rest)
	rs, _, err := trial.DischargeOvercurrent{}.Jobs(st.can)[0].Run(context.Background(), st.rig)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rs {
		if r.Quantity == protection.Detect && r.Outcome == protection.Found || r.Quantity == protection.Current && r.Stage == "1" {
			near(t, "cold trip", cold, r.Value, 0.02)
			return
		}
	}
	t.Errorf("the trial found no trip: %v", rs)
}
