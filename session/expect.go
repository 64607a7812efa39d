package session

import (
	"errors"
	"fmt"
	"strings"

	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// Expect returns what mechanics expects of a trial's job, as [push.Expect] does.
// Only the two diameters must be known. Its errors name the record's key, the value
// and the range, or what is missing and what to do about it.
func Expect(t Trial) (push.Expected, error) {
	job, err := t.PushJob()
	if err != nil {
		return push.Expected{}, err
	}
	e, err := push.Expect(job)
	if err != nil {
		return push.Expected{}, t.byKey(err)
	}
	return e, nil
}

// PushJob returns what mechanics can use of a trial's job. It returns an error that
// names every diameter that is not known, or a temperature that bending stiffness cannot
// be carried from or to.
func (t Trial) PushJob() (push.Job, error) {
	var errs []error
	od, known := t.Cable.OuterDiameter.Get()
	if !known {
		errs = append(errs, errors.New("cable.outer_diameter: missing: take it from the data sheet, or measure it with calipers across two ways"))
	}
	id, _, err := t.Bore()
	if err != nil {
		errs = append(errs, err)
	}
	if len(errs) > 0 {
		return push.Job{}, errors.Join(errs...)
	}
	if err := t.tabled(); err != nil {
		return push.Job{}, err
	}
	c, r := t.Cable, t.Rig
	return push.Job{
		OuterDiameter: od, InnerDiameter: id, Mass: c.Mass,
		Stiffness: c.BendingStiffness, StiffnessTemperature: c.StiffnessTemperature,
		CableTemperature: t.Conditions.CableTemperature, PolyethyleneShare: c.PolyethyleneShare,
		MinBendRadius: c.MinBendRadius, KinkRadius: c.KinkRadius,
		CrushLimit: c.CrushLimit, BeltLength: r.BeltLength, ClampPerGrip: r.ClampPerGrip,
		Gap: r.Gap, StubLength: t.Stub.Length,
	}, nil
}

// tabled refuses a temperature outside the table of polyethylene where the bending
// stiffness would have to be carried from or to it.
func (t Trial) tabled() error {
	at, known1 := t.Cable.StiffnessTemperature.Get()
	to, known2 := t.Conditions.CableTemperature.Get()
	if !known1 || !known2 || at == to || !t.Cable.BendingStiffness.Known() || t.Cable.PolyethyleneShare.Or(0) == 0 {
		return nil
	}
	if _, err := cable.Multiplier(at); err != nil {
		return fmt.Errorf("cable.stiffness_temperature: %w", err)
	}
	if _, err := cable.Multiplier(to); err != nil {
		return fmt.Errorf("conditions.cable_temperature: %w", err)
	}
	return nil
}

// Bore returns the duct's inner diameter and how it is known: as measured, else from
// the duct size where that has a standard bore. Else it returns an error that says
// what to do.
func (t Trial) Bore() (id q.Length, source string, err error) {
	if id, measured := t.Duct.InnerDiameter.Get(); measured {
		return id, "as given in the job", nil
	}
	if t.Duct.Size == "" {
		return 0, "", errors.New("duct.inner_diameter: missing, and so is duct.size: measure the bore across two ways, or give the size printed on the duct")
	}
	id, rule, err := push.InnerDiameter(t.Duct.Size)
	if err != nil {
		return 0, "", fmt.Errorf("duct.inner_diameter: missing, and does not follow from the %w", err)
	}
	return id, rule, nil
}

// expectKeys are the record's keys of the figures that mechanics names in its errors.
var expectKeys = map[string]string{
	"outer diameter":                "cable.outer_diameter",
	"inner diameter":                "duct.inner_diameter",
	"bending stiffness":             "cable.bending_stiffness",
	"polyethylene share":            "cable.polyethylene_share",
	"mass":                          "cable.mass",
	"least bend radius":             "cable.min_bend_radius",
	"kink radius":                   "cable.kink_radius",
	"crush limit":                   "cable.crush_limit",
	"belt length":                   "rig.belt_length",
	"clamp force per grip pressure": "rig.clamp_per_grip",
	"gap":                           "rig.gap",
	"length of the duct":            "stub.length",
}

// byKey puts the record's key before an error of mechanics.
func (t Trial) byKey(err error) error {
	figure, _, _ := strings.Cut(err.Error(), ":")
	key, known := expectKeys[figure]
	switch {
	case !known:
		return err
	case key == "duct.inner_diameter" && !t.Duct.InnerDiameter.Known():
		key = "duct.size"
	}
	return fmt.Errorf("%s: %w", key, err)
}
