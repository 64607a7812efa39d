// Package practice is a trial without cable: a rig whose truth is hidden from the
// trainee, pushes that can be watched, lessons, and a review of how a lesson went.
//
// A [Rig] is cable, duct and drive as they really are, with what is wrong with them.
// A [Bench] is that rig in use: it makes pushes, takes what the trainee writes down,
// and tells the truth of a push only after it was read. A [Lesson] is a rig with a
// goal, and a [Review] says how it was reached, and how the rule of package session
// would have fared on the same rig.
//
// There is no clock and no randomness here but a seed. The same seed gives the same
// rig and the same pushes on every machine: what is drawn is rounded once, and from
// there on the arithmetic is written so that no processor may round it differently.
//
// Practice qualifies nobody to run a machine.
package practice

import (
	"fmt"
	"math"

	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// Rig is the truth that a trainee has to find out by pushing.
type Rig struct {
	Cable Cable
	Duct  Duct
	Drive Drive

	Temperature q.Temperature // of the cable at the first push
	WarmPerPush float64       // °C the cable gains from push to push; 0 for none

	FoldSpread float64 // sd of ln of the fold limit, from push to push
	SlipSpread float64 // sd of ln of the belts' hold, from push to push
	Vary       float64 // sd of ln by which one seed's fold limit and belts differ from another's

	Troubles []Trouble
}

// Cable is the cable as it is.
type Cable struct {
	OuterDiameter        q.Length
	Mass                 q.LinearDensity
	Stiffness            q.Stiffness // at StiffnessTemperature
	StiffnessTemperature q.Temperature
	PolyethyleneShare    float64 // of Stiffness, 0 to 1
	AxialStiffness       q.Force
	KinkRadius           q.Length
	// Soundness is the part of the mechanics' fold limit that this cable stands: a
	// real one is not straight, its end is not square, its layers slide. Over 0, to 1.
	Soundness float64
}

// Duct is the stub as it is.
type Duct struct {
	InnerDiameter q.Length
	StubLength    q.Length
	RunUp         q.Length // the cable is backed off by it before a push
}

// Drive is the drive as it is. Its push control reading is its free-running belt
// speed.
type Drive struct {
	ThrustPerSpeed q.ForcePerReading // stall thrust per push control reading
	ThrustOffset   q.ForceOffset
	Relief         q.Maybe[q.Force] // push no setting exceeds
	TractionPer    q.ForcePerPressure
	TractionOffset q.ForceOffset
	MovingMass     float64             // kg at the belts, motor and gears included
	MarksAt        q.Maybe[q.Pressure] // grip pressure from which the jacket is marked
	GaugePerPush   q.Maybe[q.Pressure] // what the drive's gauge gains per newton; unknown: it has none
}

// check tells what is out of range in a rig.
func (r Rig) check(p *problems) {
	within(p, "hidden.stub_length", r.Duct.StubLength, span[q.Length]{"m", 0.5, 20})
	within(p, "hidden.run_up", r.Duct.RunUp, span[q.Length]{"m", 0, 10})
	p.number("hidden.soundness", r.Cable.Soundness, 0.01, 1)
	within(p, "hidden.axial_stiffness", r.Cable.AxialStiffness, span[q.Force]{"N", 100, 1e8})
	r.Drive.check(p)
	p.number("hidden.fold_spread", r.FoldSpread, 0, 0.5)
	p.number("hidden.slip_spread", r.SlipSpread, 0, 0.5)
	p.number("hidden.vary", r.Vary, 0, 0.5)
	p.number("hidden.celsius_per_push", r.WarmPerPush, -2, 2)
	r.mechanics(p)
	for i, t := range r.Troubles {
		t.check(p, fmt.Sprintf("trouble[%d]", i))
	}
}

// check tells what is out of range in a drive.
func (d Drive) check(p *problems) {
	p.number("hidden.thrust_per_speed", d.ThrustPerSpeed.Value, 1, 1e6)
	p.need(d.ThrustPerSpeed.Unit == "m/s", "hidden.thrust_per_speed", "write it as in \"800 N/(m/s)\"", "the push control of a practice rig is a belt speed")
	within(p, "hidden.thrust_offset", d.ThrustOffset, span[q.ForceOffset]{"N", -1e4, 1e4})
	within(p, "hidden.traction_per_grip", d.TractionPer, span[q.ForcePerPressure]{"N/kPa", 1e-6, 1})
	within(p, "hidden.traction_offset", d.TractionOffset, span[q.ForceOffset]{"N", -1e4, 1e4})
	within(p, "hidden.relief", d.Relief.Or(1), span[q.Force]{"N", 1, 1e5})
	p.number("hidden.moving_kilograms", d.MovingMass, 1, 1000)
	within(p, "hidden.gauge_per_kilonewton", 1000*d.GaugePerPush.Or(1), span[q.Pressure]{"kPa", 1000, 1e9})
	within(p, "hidden.marks_at", d.MarksAt.Or(1), span[q.Pressure]{"kPa", 1, 1e7})
}

// mechanics tells which figures of cable and duct mechanics cannot work with.
func (r Rig) mechanics(p *problems) {
	_, err := cable.Weight(r.Cable.Mass)
	p.figure("hidden.mass", err)
	if _, err := r.column(1); p.figure("hidden.stiffness_temperature", err) {
		_, err := r.foldLimit(1)
		p.figure("hidden.kink_radius", err)
	}
}

// temperature is the cable's at a push, counted from 1, inside the table of
// polyethylene's stiffness.
func (r Rig) temperature(n int) q.Temperature {
	t := q.Temperature(float64(r.Temperature) + float64(r.WarmPerPush*float64(n-1)))
	return min(max(t, -28), 59)
}

func (r Rig) column(n int) (push.Column, error) {
	c := r.Cable
	ei, err := cable.StiffnessAt(c.Stiffness, c.PolyethyleneShare, c.StiffnessTemperature, r.temperature(n))
	if err != nil {
		return push.Column{}, err
	}
	return push.NewColumn(c.OuterDiameter, r.Duct.InnerDiameter, ei)
}

// foldLimit is the push at which half the cables like this one fold at a push.
//
//	F = soundness·F(R_k)
//
// F(R_k) is push.Column.LoadAtRadius of the kink radius, in N.
func (r Rig) foldLimit(n int) (q.Force, error) {
	column, err := r.column(n)
	if err != nil {
		return 0, err
	}
	f, err := column.LoadAtRadius(r.Cable.KinkRadius)
	return q.Force(rounded(r.Cable.Soundness * float64(f))), err
}

// takeUp is how far the line creeps per newton: the helix that the cable makes room
// for, and its stretch.
//
//	1/k = L·(r²/4EI + 1/EA), in m/N
//
// Source: push.Column.Slack, and Hooke.
func (r Rig) takeUp(n int) (float64, error) {
	column, err := r.column(n)
	if err != nil {
		return 0, err
	}
	helix, err := column.Slack(1, r.Duct.StubLength)
	return rounded(float64(helix) + float64(r.Duct.StubLength)/float64(r.Cable.AxialStiffness)), err
}

// allowance is how far the line may creep past the pointer without the cable having
// gone anywhere: the take-up at the fold limit, and a little for the eye.
func (r Rig) allowance() q.Length {
	limit, err1 := r.foldLimit(1)
	per, err2 := r.takeUp(1)
	if err1 != nil || err2 != nil {
		return 0
	}
	const eye = 0.02
	return q.Length(rounded(float64(float64(limit)*per*math.Exp(3*r.FoldSpread)) + eye))
}

// rounded keeps nine digits: what two processors' functions may differ in is gone,
// and arithmetic goes on from the same number everywhere.
func rounded(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	_, exp := math.Frexp(v)
	return math.Ldexp(math.Round(math.Ldexp(v, 30-exp)), exp-30)
}
