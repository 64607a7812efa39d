package practice

import (
	"errors"
	"fmt"
	"strings"

	"brinkmark/session"
	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Free returns a lesson for free practice: a rig made up about a job of the crew's
// own, with its cable, its duct and as much of its rig as the job tells. The lines say,
// in the units of a system, where each figure of that rig comes from. The seed of its
// bench decides how far the truth lies from them.
//
// It returns an error that says what is missing: both diameters, the cable's mass and
// its bending stiffness must be known, and the push control must be a belt speed.
func Free(job session.Trial, in q.System) (Lesson, []string, error) {
	job.Entries, job.Kind = nil, session.Full
	if err := job.Advisable(); err != nil {
		return Lesson{}, nil, err
	}
	m := maker{job: job, in: in}
	rig, err := m.rig()
	if err != nil {
		return Lesson{}, nil, err
	}
	l := Lesson{ID: "free", Title: "Free practice", Goal: "Find the install setting of this cable in this duct.",
		Teaches: "The truth was made up about your cards. Another seed makes up another.", Job: job, Rig: rig,
		Pass: freePass(job.Policy)}
	return l, m.lines(), inJob(l.Check())
}

// inJob puts the keys of a job in place of those of a lesson's file.
func inJob(err error) error {
	var p problems
	for _, e := range Each(err) {
		var bad *Problem
		if !errors.As(e, &bad) {
			return err
		}
		key := strings.TrimPrefix(bad.Key, "hidden.")
		if table := jobTables[key]; table != "" {
			key = table + "." + key
		}
		p.add(key, "change it in the job, or take a lesson", "%s", bad.Says)
	}
	return p.err()
}

var jobTables = map[string]string{
	"outer_diameter": "cable", "mass": "cable", "bending_stiffness": "cable", "stiffness_temperature": "cable",
	"polyethylene_share": "cable", "axial_stiffness": "cable", "kink_radius": "cable", "inner_diameter": "duct",
	"stub_length": "stub", "run_up": "stub", "cable_temperature": "conditions",
	"thrust_per_speed": "rig", "thrust_offset": "rig", "traction_per_grip": "rig", "traction_offset": "rig",
}

// maker makes up a rig about a job, and notes where each figure comes from.
type maker struct {
	job         session.Trial
	in          q.System
	given, made []string
}

func (m *maker) lines() []string {
	return []string{"From the job: " + strings.Join(m.given, "; ") + ".", "Made up: " + strings.Join(m.made, "; ") + "."}
}

// figure takes a figure of the job, or another one where the job does not tell.
func figure[T q.Scalar](m *maker, of string, known q.Maybe[T], other made[T]) T {
	v, ok := known.Get()
	if ok {
		m.given = append(m.given, of+" "+q.Text(v, other.unit))
		return v
	}
	m.made = append(m.made, of+" "+q.Text(other.value, other.unit)+other.why)
	return other.value
}

// made is a figure that is made up, the unit to tell it in, and why it is that.
type made[T q.Scalar] struct {
	value     T
	unit, why string
}

// What is made up the same for every job. Source: none; so that the rig can be pushed on.
const (
	freeSoundness                = 0.7
	freeVary                     = 0.25
	freeMass                     = 80 // kg
	freeFoldSpread               = 0.08
	freeSlipSpread               = 0.05
	freeAxial           q.Force  = 150e3
	freeStub, freeRunUp q.Length = 3, 1
)

// rig fills what the job does not tell.
func (m *maker) rig() (Rig, error) {
	c := m.job.Cable
	bore, source, boreErr := m.job.Bore()
	limit, _ := m.job.Rig.SpeedLimit.Get()
	switch {
	case boreErr != nil:
		return Rig{}, boreErr
	case !c.OuterDiameter.Known() || !c.Mass.Known() || !c.BendingStiffness.Known():
		return Rig{}, errors.New("free practice needs the cable's outer diameter, mass and bending stiffness\n  give them in the job or on the cable's card, or take a lesson")
	case limit.Unit != "m/s":
		return Rig{}, fmt.Errorf("the push control of a practice rig is a belt speed, not %q\n  choose a rig with a speed, or take a lesson", limit.Unit)
	}
	wide, long, warm := q.PreferredDiameter(m.in), q.Preferred[q.Length](m.in), q.Preferred[q.Temperature](m.in)
	od := figure(m, "cable diameter", c.OuterDiameter, made[q.Length]{0, wide, ""})
	now := m.job.Conditions.CableTemperature.Or(0) // no job is advised on without
	r := Rig{
		Cable: Cable{
			OuterDiameter: od, Mass: figure(m, "mass", c.Mass, made[q.LinearDensity]{0, q.Preferred[q.LinearDensity](m.in), ""}),
			Stiffness:            figure(m, "bending stiffness", c.BendingStiffness, made[q.Stiffness]{0, q.Preferred[q.Stiffness](m.in), ""}),
			StiffnessTemperature: figure(m, "stiffness measured at", c.StiffnessTemperature, made[q.Temperature]{now, warm, ", as the cable is now"}),
			PolyethyleneShare:    c.PolyethyleneShare.Or(0),
			AxialStiffness:       figure(m, "axial stiffness", c.AxialStiffness, made[q.Force]{freeAxial, q.Preferred[q.Force](m.in), ""}),
			KinkRadius:           figure(m, "kink radius", c.KinkRadius, made[q.Length]{cable.UsualKink * od, wide, fmt.Sprintf(", %g diameters", float64(cable.UsualKink))}),
			Soundness:            freeSoundness,
		},
		Duct:        Duct{bore, figure(m, "stub", m.job.Stub.Length, made[q.Length]{freeStub, long, ""}), figure(m, "run-up", m.job.Stub.RunUp, made[q.Length]{freeRunUp, long, ""})},
		Temperature: now, FoldSpread: freeFoldSpread, SlipSpread: freeSlipSpread, Vary: freeVary,
	}
	m.given = append(m.given, "bore "+q.Text(bore, wide)+", "+source)
	if !c.PolyethyleneShare.Known() {
		m.made = append(m.made, "a stiffness that warmth does not change")
	}
	fold, err := r.foldLimit(1)
	if err != nil {
		var p problems
		r.mechanics(&p)
		return r, inJob(p.err())
	}
	r.Drive = m.drive(float64(fold))
	if err := m.noDrive(r.Drive, fold); err != nil {
		return r, err
	}
	m.made = append(m.made, fmt.Sprintf("%d kg that move with the belts", freeMass),
		fmt.Sprintf("the cable folds at about %g of the push worked out for its kink radius, by the seed a quarter more or less, and so do the belts hold", freeSoundness))
	return r, nil
}

// noDrive tells where a drive that was made up is out of range: what the job says of the
// cable, or of the rig's limits, is then.
func (m *maker) noDrive(d Drive, fold q.Force) error {
	made := map[string]bool{"hidden.thrust_per_speed": !m.job.Rig.ThrustPerSpeed.Known(), "hidden.traction_per_grip": !m.job.Rig.TractionPerGrip.Known()}
	var wrong problems
	d.check(&wrong)
	for _, e := range wrong {
		var bad *Problem
		if errors.As(e, &bad) && made[bad.Key] {
			return fmt.Errorf("by the job's figures this cable folds at %s of push: no drive can be made up that does it at half its limits\n  check diameter and bending stiffness of the cable, bore of the duct and limits of the rig in the job, or take a lesson",
				q.Text(fold, q.Preferred[q.Force](m.in)))
		}
	}
	return nil
}

func (m *maker) drive(fold float64) Drive {
	rig := m.job.Rig
	limit, _ := rig.SpeedLimit.Get()
	d := Drive{MovingMass: freeMass, ThrustOffset: rig.ThrustOffset.Or(0), TractionOffset: rig.TractionOffset.Or(0)}
	var known bool
	if d.ThrustPerSpeed, known = rig.ThrustPerSpeed.Get(); known {
		m.given = append(m.given, "push per speed")
	} else {
		d.ThrustPerSpeed, d.ThrustOffset = q.ForcePerReading{Value: fold / (0.5 * limit.Value), Unit: "m/s"}, 0
		m.made = append(m.made, "a drive that folds this cable at half its speed limit")
	}
	if d.TractionPer, known = rig.TractionPerGrip.Get(); known {
		m.given = append(m.given, "hold per grip pressure")
	} else {
		d.TractionPer, d.TractionOffset = q.ForcePerPressure(fold/(0.5*float64(rig.GripLimit.Or(1)))), 0
		m.made = append(m.made, "belts that hold that push at half the grip pressure limit")
	}
	return d
}
