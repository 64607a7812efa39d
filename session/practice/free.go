package practice

import (
	"errors"
	"fmt"

	"brinkmark/session"
	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Free returns a lesson for free practice: a rig made up about a job of the crew's
// own, with its cable, its duct and as much of its rig as the cards tell, and in words
// what had to be assumed. The seed of its bench decides how far the truth lies from
// the cards.
//
// It returns an error that says what is missing: both diameters, the cable's mass and
// its bending stiffness must be known, and the push control must be a belt speed.
func Free(job session.Trial) (Lesson, []string, error) {
	job.Entries, job.Kind = nil, session.Full
	if err := job.Advisable(); err != nil {
		return Lesson{}, nil, err
	}
	var assumed []string
	rig, err := freeRig(job, &assumed)
	if err != nil {
		return Lesson{}, nil, err
	}
	l := Lesson{ID: "free", Title: "Free practice", Goal: "Find the install setting of this cable in this duct.",
		Teaches: "The truth was made up about your cards. Another seed makes up another.", Job: job, Rig: rig,
		Pass: Pass{MostWrong: 1, MostRisk: job.Policy.InstallChance * 2}}
	return l, assumed, l.Check()
}

// freeRig fills what the cards do not tell. Source of what is assumed: none; it is
// made up so that the rig can be pushed on.
func freeRig(job session.Trial, assumed *[]string) (Rig, error) {
	bore, _, boreErr := job.Bore()
	od, ok1 := job.Cable.OuterDiameter.Get()
	mass, ok2 := job.Cable.Mass.Get()
	ei, ok3 := job.Cable.BendingStiffness.Get()
	limit, _ := job.Rig.SpeedLimit.Get()
	switch {
	case boreErr != nil:
		return Rig{}, boreErr
	case !ok1 || !ok2 || !ok3:
		return Rig{}, errors.New("free practice needs the cable's outer diameter, mass and bending stiffness\n  choose a cable card that has them, or take a lesson")
	case limit.Unit != "m/s":
		return Rig{}, fmt.Errorf("the push control of a practice rig is a belt speed, not %q\n  choose a rig card with a speed, or take a lesson", limit.Unit)
	}
	assume := func(what string) { *assumed = append(*assumed, what) }
	now := job.Conditions.CableTemperature.Or(20)
	r := Rig{
		Cable: Cable{OuterDiameter: od, Mass: mass, Stiffness: ei,
			StiffnessTemperature: job.Cable.StiffnessTemperature.Or(now), PolyethyleneShare: job.Cable.PolyethyleneShare.Or(0),
			AxialStiffness: job.Cable.AxialStiffness.Or(150e3), KinkRadius: job.Cable.KinkRadius.Or(cable.UsualKink * od), Soundness: 0.7},
		Duct:        Duct{InnerDiameter: bore, StubLength: job.Stub.Length.Or(3), RunUp: job.Stub.RunUp.Or(1)},
		Temperature: now, FoldSpread: 0.08, SlipSpread: 0.05, Vary: 0.25,
	}
	if !job.Cable.KinkRadius.Known() {
		assume("a kink radius of 5 cable diameters")
	}
	fold, err := r.foldLimit(1)
	if err != nil {
		return r, err
	}
	r.Drive = freeDrive(job.Rig, float64(fold), assume)
	return r, nil
}

func freeDrive(rig session.Rig, fold float64, assume func(string)) Drive {
	limit, _ := rig.SpeedLimit.Get()
	grip := rig.GripLimit.Or(1)
	d := Drive{MovingMass: 80, ThrustOffset: rig.ThrustOffset.Or(0), TractionOffset: rig.TractionOffset.Or(0)}
	per, known := rig.ThrustPerSpeed.Get()
	if !known || per.Unit != "m/s" {
		per = q.ForcePerReading{Value: fold / (0.5 * limit.Value), Unit: "m/s"}
		d.ThrustOffset = 0
		assume("a drive that folds this cable at half its speed limit")
	}
	d.ThrustPerSpeed = per
	traction, known := rig.TractionPerGrip.Get()
	if !known {
		traction = q.ForcePerPressure(fold / (0.5 * float64(grip)))
		d.TractionOffset = 0
		assume("belts that hold that push at half the grip pressure limit")
	}
	d.TractionPer = traction
	return d
}
