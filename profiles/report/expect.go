package report

import (
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session/cable"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// Units are those in which a crew is shown the figures of a job.
type Units struct {
	Diameter, Force, Pressure, Stiffness, Temperature, Length string
}

// UnitsOf returns the units a job was written in; where it wrote none of a kind, those
// of the system of its thermometer.
func UnitsOf(r profiles.Record) Units {
	thermometer := written[q.Temperature]("°C", r.Conditions.CableTemperature, r.Cable.StiffnessTemperature)
	system := q.Metric
	if thermometer == "°F" {
		system = q.Customary
	}
	return Units{
		Diameter:    written[q.Length](q.PreferredDiameter(system), r.Cable.OuterDiameter, r.Duct.InnerDiameter),
		Force:       written[q.ForceOffset](q.Preferred[q.Force](system), r.Rig.ThrustOffset, r.Rig.TractionOffset),
		Pressure:    written[q.Pressure](q.Preferred[q.Pressure](system), r.Rig.GripDivision, r.Rig.GripLimit),
		Stiffness:   written[q.Stiffness](q.Preferred[q.Stiffness](system), r.Cable.BendingStiffness),
		Temperature: thermometer,
		Length:      written[q.Length](q.Preferred[q.Length](system), r.Stub.Length),
	}
}

// written returns the unit of the first text that has one, else usual.
func written[T q.Scalar](usual string, texts ...fmt.Stringer) string {
	for _, t := range texts {
		if unit, err := q.Unit[T](t.String()); err == nil {
			return unit
		}
	}
	return usual
}

// FoldLimit is a range of push. High is unknown when the kink radius is a guess.
type FoldLimit struct {
	Low  Quantity  `json:"low"`
	Mid  Quantity  `json:"mid"`
	High *Quantity `json:"high"`
}

// Expectation is what mechanics expects of a job. Diameters and the like are in mm.
type Expectation struct {
	FillByDiameter   *float64   `json:"fill_by_diameter"`
	FillByArea       *float64   `json:"fill_by_area"`
	Clearance        *Quantity  `json:"clearance"` // radial
	BendingStiffness *Quantity  `json:"bending_stiffness"`
	SnakingLoad      *Quantity  `json:"snaking_load"`
	HelixLoad        *Quantity  `json:"helix_load"`
	BendLimitLoad    *Quantity  `json:"bend_limit_load"`
	FoldLimit        *FoldLimit `json:"fold_limit"`
	CanDoubleBack    *bool      `json:"can_double_back"`
	GripCeiling      *Quantity  `json:"grip_ceiling"`
	Warnings         []string   `json:"warnings"`
}

// ExpectationOf puts what mechanics expects into its outside form.
func ExpectationOf(e push.Expected, u Units) Expectation {
	clearance := millimetres(e.Clearance, u.Diameter)
	x := Expectation{
		FillByDiameter: &e.FillByDiameter, FillByArea: &e.FillByArea, Clearance: &clearance,
		BendingStiffness: quantity(e.BendingStiffness, u.Stiffness),
		SnakingLoad:      quantity(e.SnakingLoad, u.Force),
		HelixLoad:        quantity(e.HelixLoad, u.Force),
		BendLimitLoad:    quantity(e.BendLimitLoad, u.Force),
		CanDoubleBack:    &e.CanDoubleBack,
		GripCeiling:      quantity(e.GripCeiling, u.Pressure),
		Warnings:         append([]string{}, e.Warnings...),
	}
	if limit, known := e.FoldLimit.Get(); known {
		x.FoldLimit = &FoldLimit{
			Low: Of(limit.Low, q.Text(limit.Low, u.Force)), Mid: Of(limit.Mid, q.Text(limit.Mid, u.Force)),
			High: quantity(limit.High, u.Force),
		}
	}
	return x
}

// Droop is what a droop tells. ErrorPerMM is the part by which the stiffness is wrong
// when every drop is misread by 1 mm.
type Droop struct {
	BendingStiffness Quantity  `json:"bending_stiffness"`
	SetRadius        *Quantity `json:"set_radius"`
	ErrorPerMM       float64   `json:"error_per_mm"`
	Warnings         []string  `json:"warnings"`
}

// DroopOf puts what a droop tells into its outside form.
func DroopOf(b cable.Bending, u Units) Droop {
	d := Droop{
		BendingStiffness: Of(b.Stiffness, q.Text(b.Stiffness, u.Stiffness)),
		ErrorPerMM:       b.ErrorPerMM,
		Warnings:         append([]string{}, b.Warnings...),
	}
	if radius, known := b.SetRadius.Get(); known {
		r := millimetres(radius, u.Length)
		d.SetRadius = &r
	}
	return d
}

// millimetres is the form of a small length, whose standard unit is not that of a route.
func millimetres(l q.Length, unit string) Quantity {
	return Quantity{q.In(l, "mm"), "mm", q.Text(l, unit)}
}

func quantity[T q.Scalar](m q.Maybe[T], unit string) *Quantity {
	v, known := m.Get()
	if !known {
		return nil
	}
	x := Of(v, q.Text(v, unit))
	return &x
}
