// Package reach works out whether a push carries a cable to the far end of a duct
// that is blown with air: how far its head comes, how much air that takes, how long,
// and where the push is lost.
//
// The air flows through two sections in series, the ring round the cable and the empty
// bore beyond its head (air.go). It drags the cable along; the seal at the inlet, weight,
// bends, waves and the walls that a pushed cable bears against hold it back (forces.go).
// For one position of the head these forces are summed from the head back to the drive
// (march.go); that gives the push the drive must hold. The reach is the first position
// at which it must hold more than it may (search.go). [Find] does all this for a [Job],
// [Spread] gives the honest range, [Advise] what would help most.
//
// Every figure has a range; a value outside it is a [FieldError] that names the field,
// the value and the range. Not to arrive is an answer, not an error. No result is NaN
// or infinite: a push that would have to be boundless is a cable that locks.
package reach

import (
	"cmp"
	"fmt"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Job is what a reach is worked out from.
type Job struct {
	Cable    Cable
	Bore     q.Length // inner diameter of the duct
	Air      Air
	Friction float64 // coefficient of cable on duct, in blowing
	Push     Push
	Waves    q.Maybe[Waves]
	Route    Route
	Contact  Contact
}

// Cable is what the run must know of the cable.
type Cable struct {
	OuterDiameter q.Length
	Mass          q.LinearDensity
	Stiffness     q.Stiffness // in bending, at the temperature of the run
}

// Air is the air that is blown in.
type Air struct {
	Inlet       q.Pressure          // gauge, at the duct's mouth
	FreeAir     q.Maybe[q.FlowRate] // what the compressor delivers, at 20 °C and 1.01325 bar
	Temperature q.Temperature       // in the duct
	Ambient     q.Pressure          // absolute
}

// Push is what the drive may give.
type Push struct {
	Safe     q.Force // the push of the trial
	Drive    q.Force // the most the drive can
	TopSpeed q.Speed // of the cable; [UsualTopSpeed] when 0
}

// UsualTopSpeed is 60 m/min.
//
// Source: speeds "up to 60 m/min" in the abstract of Griffioen, J. Lightwave Technol.
// 7(2) (1989) 297.
const UsualTopSpeed q.Speed = 1

// Waves is how a duct lies that was not pulled straight: in waves, from side to side.
type Waves struct {
	Amplitude q.Length // from the middle to a crest
	Period    q.Length
}

// Contact is how a cable under push is taken to bear against the walls.
type Contact int

// The models of contact, from safe to bold.
const (
	ContactAlways    Contact = iota // coiled at any push
	ContactWhenCoils                // coiled from the push at which a helix forms
	ContactNever                    // never coiled
)

// StandardAmbient is the pressure of the standard atmosphere at sea level.
const StandardAmbient q.Pressure = 101325

// FieldError says which field of a job cannot be used. The fields have the names they
// have in a reach file, such as "cable.mass" or "section[2].radius", counted from 0.
type FieldError struct {
	Field string
	Err   error
}

func (e *FieldError) Error() string { return e.Field + ": " + e.Err.Error() }

// Unwrap returns what is wrong.
func (e *FieldError) Unwrap() error { return e.Err }

func field(name string, err error) error {
	if err == nil {
		return nil
	}
	return &FieldError{name, err}
}

// The ranges are far wider than any job; they catch a slip of units and keep every
// result finite.
var (
	inletRange     = cable.Range[q.Pressure]{Of: "inlet pressure", Unit: "bar", Low: 0, High: 25e5}
	ambientRange   = cable.Range[q.Pressure]{Of: "ambient pressure, absolute", Unit: "kPa", Low: 40e3, High: 120e3}
	freeAirRange   = cable.Range[q.FlowRate]{Of: "free air", Unit: "m³/min", Low: 1e-7, High: 10}
	airTempRange   = cable.Range[q.Temperature]{Of: "air temperature", Unit: "°C", Low: -40, High: 100}
	pushRange      = cable.Range[q.Force]{Of: "push", Unit: "N", Low: 0, High: 2e4}
	speedRange     = cable.Range[q.Speed]{Of: "speed", Unit: "m/min", Low: 0.01, High: 10}
	amplitudeRange = cable.Range[q.Length]{Of: "amplitude", Unit: "mm", Low: 0, High: 5}
	periodRange    = cable.Range[q.Length]{Of: "period", Unit: "m", Low: 0.5, High: 1000}
)

const (
	leastSpace q.Length = 0.1e-3 // by which the bore is wider than the cable
	mostBore   q.Length = 0.5
	leastMu             = 0.005
	mostMu              = 2
)

// Check returns a [FieldError] for the first figure that cannot be meant.
func (j Job) Check() error {
	bore := cable.Range[q.Length]{Of: "inner diameter", Unit: "mm", Low: j.Cable.OuterDiameter + leastSpace, High: mostBore}
	err := cmp.Or(
		field("cable.outer_diameter", cable.DiameterRange.Check(j.Cable.OuterDiameter)),
		field("cable.mass", cable.MassRange.Check(j.Cable.Mass)),
		field("cable.bending_stiffness", cable.StiffnessRange.Check(j.Cable.Stiffness)),
		field("air.inlet_pressure", inletRange.Check(j.Air.Inlet)),
		field("air.ambient_pressure", ambientRange.Check(j.Air.Ambient)),
		field("air.temperature", airTempRange.Check(j.Air.Temperature)),
		field("friction.coefficient", CheckFriction(j.Friction)),
		field("push.safe", pushRange.Check(j.Push.Safe)),
		field("push.drive_limit", pushRange.Check(j.Push.Drive)),
		field("push.top_speed", speedRange.Check(j.topSpeed())),
	)
	if err != nil {
		return err
	}
	if err := bore.Check(j.Bore); err != nil {
		return field("duct.inner_diameter", fmt.Errorf("%w, wider than the cable's %s", err, q.Text(j.Cable.OuterDiameter, "mm")))
	}
	if free, known := j.Air.FreeAir.Get(); known {
		err = field("air.free_air", freeAirRange.Check(free))
	}
	if waves, known := j.Waves.Get(); known && err == nil {
		err = waves.check()
	}
	if len(j.Route.pieces) == 0 && err == nil {
		err = field("section", fmt.Errorf("none: a route has at least one"))
	}
	for _, p := range j.Route.pieces {
		if err == nil && p.curvature()*float64(j.Bore) > 1 {
			err = field(fmt.Sprintf("section[%d].radius", p.section), fmt.Errorf("radius: %s: must be at least the inner diameter, %s", q.Text(q.Length(1/p.curvature()), "mm"), q.Text(j.Bore, "mm")))
		}
	}
	return err
}

func (w Waves) check() error {
	err := cmp.Or(
		field("waves.amplitude", amplitudeRange.Check(w.Amplitude)),
		field("waves.period", periodRange.Check(w.Period)),
	)
	if err == nil && w.Amplitude > w.Period/10 {
		err = field("waves.amplitude", fmt.Errorf("%s: must be at most a tenth of the period, %s", q.Text(w.Amplitude, "mm"), q.Text(w.Period, "m")))
	}
	return err
}

// figures are those of a job that stand alone, by their names in a reach file.
var figures = map[string]func(float64) error{
	"cable.outer_diameter":    within(cable.DiameterRange),
	"cable.mass":              within(cable.MassRange),
	"cable.bending_stiffness": within(cable.StiffnessRange),
	"duct.inner_diameter":     within(cable.Range[q.Length]{Of: "inner diameter", Unit: "mm", Low: leastSpace, High: mostBore}),
	"air.inlet_pressure":      within(inletRange),
	"air.free_air":            within(freeAirRange),
	"air.temperature":         within(airTempRange),
	"push.safe":               within(pushRange),
	"waves.amplitude":         within(amplitudeRange),
	"waves.period":            within(periodRange),
	"section.length":          within(sectionRange),
	"section.slope":           within(slopeRange),
	"section.bend":            within(turnRange),
	"section.radius":          within(radiusRange),
	"friction.coefficient":    CheckFriction,
	"push.top_speed":          within(speedRange),
	"limits.compressor":       within(ratingRange),
	"limits.hose":             within(ratingRange),
	"limits.coupling":         within(ratingRange),
	"limits.duct":             within(ratingRange),
	"limits.duct_temperature": within(ductTempRange),
}

func within[T q.Scalar](r cable.Range[T]) func(float64) error {
	return func(v float64) error { return r.Check(T(v)) }
}

// CheckFigure returns an error for one figure, in SI, that cannot be meant, so that it can
// be asked again before the others are known. [Job.Check] judges them together.
func CheckFigure(name string, v float64) error {
	check, known := figures[name]
	if !known {
		panic("reach: no figure is named " + name)
	}
	return check(v)
}

// CheckFriction returns an error for a coefficient of friction from 0.005 to 2 that is none.
func CheckFriction(mu float64) error {
	if !(mu >= leastMu && mu <= mostMu) {
		return fmt.Errorf("friction coefficient: %v: must be from %v to %v", mu, leastMu, mostMu)
	}
	return nil
}

func (j Job) topSpeed() q.Speed { return cmp.Or(j.Push.TopSpeed, UsualTopSpeed) }
