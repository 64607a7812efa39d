package session

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	q "brinkmark/session/quantity"
)

// Trial is everything known of one trial: the job, and the entries in the order
// they were made. Every other fact is derived from it.
type Trial struct {
	Kind       Kind
	Of         string // short check: the id of the profile checked
	Earlier    string // optional: the profile whose trial came first today
	Before     *Trial // the trial named by Earlier, or by Of; see [Trial.After]
	Policy     Policy
	CheckTable string // the table of checks it was asked by
	Started    time.Time
	People     People
	Place      Place
	Cable      Cable
	Duct       Duct
	Conditions Conditions
	Rig        Rig
	Limits     Limits
	Plan       Plan
	Ladder     Ladder
	Stub       Stub
	Entries    []Entry
}

// People are those who make the trial.
type People struct {
	Operator, Watcher string
	Trainee           bool
}

// Crew are the people at the drive.
func (p People) Crew() Crew { return Crew{p.Operator, p.Watcher} }

// Place is the job the cable is for.
type Place struct{ Number, Site string }

// Cable is the cable under trial. Make and Type belong to the profile's key.
type Cable struct {
	Make, Type, Reel, Lot, PrintLegend, Head string

	OuterDiameter        q.Maybe[q.Length]
	Mass                 q.Maybe[q.LinearDensity]
	BendingStiffness     q.Maybe[q.Stiffness]
	StiffnessTemperature q.Maybe[q.Temperature]
	PolyethyleneShare    q.Maybe[float64] // of bending stiffness, 0 to 1
	AxialStiffness       q.Maybe[q.Force]
	MinBendRadius        q.Maybe[q.Length] // under load
	KinkRadius           q.Maybe[q.Length] // measured
	CrushLimit           q.Maybe[q.LineLoad]
}

// Duct is the duct the stub was cut from. Size belongs to the profile's key.
type Duct struct {
	Size          string
	InnerDiameter q.Maybe[q.Length]
	Lining        Lining
	Lot           string
}

// Conditions are those of the trial as they stand now. CableTemperature belongs
// to the profile's key.
type Conditions struct {
	CableTemperature, StubTemperature, AirTemperature, InletAirTemperature q.Maybe[q.Temperature]
	DayLow, DayHigh                                                        q.Maybe[q.Temperature] // of the air today, by the weather report
	Surface                                                                Surface
	Unit                                                                   string // the thermometer's: "°F" or "°C"
}

// Rig is the crew's drive and its gauges.
type Rig struct {
	Name, Belts, Supply string
	GaugeIDs            []string
	LeadIn, Gap         q.Maybe[q.Length]

	PushControl string // the crew's word for what they turn
	GripUnit    string // the grip pressure gauge's unit
	PushUnit    string // the push control's unit

	GripLimit     q.Maybe[q.Pressure]
	SpeedLimit    q.Maybe[q.Reading]
	GripDivision  q.Maybe[q.Pressure]
	SpeedDivision q.Maybe[q.Reading]

	TractionPerGrip q.Maybe[q.ForcePerPressure]
	TractionOffset  q.Maybe[q.ForceOffset]
	ThrustPerSpeed  q.Maybe[q.ForcePerReading]
	ThrustOffset    q.Maybe[q.ForceOffset]
	BeltLength      q.Maybe[q.Length]
	ClampPerGrip    q.Maybe[q.ForcePerPressure]
}

// Limits are the operator's own; they can only lower the rig's and the cable's.
type Limits struct {
	Grip        q.Maybe[q.Pressure]
	Speed       q.Maybe[q.Reading]
	CableBudget q.Maybe[q.Length]
}

// Plan is the setting an enough trial must reach, or a short check repeats.
type Plan struct {
	Grip  q.Maybe[q.Pressure]
	Speed q.Maybe[q.Reading]
}

// Ladder is where the climb starts and its rung of grip pressure, and why it is steeper
// than the usual one where it is.
type Ladder struct {
	GripStart, GripStep q.Maybe[q.Pressure]
	SpeedStart          q.Maybe[q.Reading]
	Reason              string
}

// Stub is the short plugged scrap of duct.
type Stub struct{ Length, RunUp q.Maybe[q.Length] }

// Setting is what the crew dials: grip pressure and speed.
type Setting struct {
	Grip  q.Pressure
	Speed q.Reading
}

// Show writes a setting in the units of this rig's gauges: "6 psi, 95 ft/min".
func (r Rig) Show(s Setting) string { return r.ShowGrip(s.Grip) + ", " + r.ShowSpeed(s.Speed.Value) }

// Named writes a setting as one dials and reads it: "grip pressure 6 psi, belt speed 95
// ft/min". Two numbers in one unit would be mistaken for each other.
func (r Rig) Named(s Setting) string {
	return "grip pressure " + r.ShowGrip(s.Grip) + ", " + r.Control() + " " + r.ShowSpeed(s.Speed.Value)
}

// Control is the crew's word for what they turn to make the rig push harder.
func (r Rig) Control() string { return cmp.Or(r.PushControl, "push control") }

// ShowGrip writes a grip pressure in the gauge's unit.
func (r Rig) ShowGrip(p q.Pressure) string { return q.Text(p, r.GripUnit) }

// ShowSpeed writes a push control reading (m/s, or the control's own unit) as
// the crew reads it.
func (r Rig) ShowSpeed(v float64) string { return r.Reading(v).Text(r.PushUnit) }

// ReadSetting reads what [Rig.Show] wrote.
func (r Rig) ReadSetting(text string) (Setting, error) {
	grip, speed, ok := strings.Cut(text, ", ")
	if !ok {
		return Setting{}, fmt.Errorf("%q is no setting: write grip pressure and speed with a comma between", clip(text))
	}
	p, err := q.Parse[q.Pressure](grip)
	if err != nil {
		return Setting{}, err
	}
	v, err := q.ParseReading(speed)
	if err != nil {
		return Setting{}, err
	}
	if v.Unit != r.readingUnit() {
		return Setting{}, fmt.Errorf("%q is not in the push control's unit, %s", clip(speed), r.PushUnit)
	}
	return Setting{p, v}, nil
}

// CableTemperatureText writes the cable temperature as it stands now.
func (t Trial) CableTemperatureText() string {
	v, ok := t.Conditions.CableTemperature.Get()
	if !ok {
		return "not known"
	}
	return q.Text(v, t.Conditions.Unit)
}

// LowerSpeeds returns the next n dial positions below a setting's speed.
func (t Trial) LowerSpeeds(s Setting, n int) []float64 {
	d := t.speedDial()
	var speeds []float64
	for v := d.down(s.Speed.Value) - d.division; v >= d.division*(1-ties) && len(speeds) < n; v -= d.division {
		speeds = append(speeds, v)
	}
	return speeds
}

// PushAt is what the rig gives at a setting by its pull test: what the drive stalls at,
// or the belts hold, whichever is less, and never below 0. It is not known without a pull
// test, or where the setting's reading is in another unit than the test's.
func (r Rig) PushAt(s Setting) (q.Force, bool) {
	per, known1 := r.ThrustPerSpeed.Get()
	traction, known2 := r.TractionPerGrip.Get()
	if !known1 || !known2 || per.Unit != s.Speed.Unit {
		return 0, false
	}
	thrust := per.Value*s.Speed.Value + float64(r.ThrustOffset.Or(0))
	holds := float64(traction)*float64(s.Grip) + float64(r.TractionOffset.Or(0))
	return q.Force(max(0, min(thrust, holds))), true
}

// Reading makes a number (m/s, or the control's own unit) a reading of this rig.
func (r Rig) Reading(v float64) q.Reading { return q.Reading{Value: v, Unit: r.readingUnit()} }

func (r Rig) readingUnit() string {
	if limit, ok := r.SpeedLimit.Get(); ok {
		return limit.Unit
	}
	if per, ok := r.ThrustPerSpeed.Get(); ok {
		return per.Unit
	}
	return ""
}

// Advisable returns what keeps [Decide] from giving advice on this record, all
// problems joined, or nil.
func (t Trial) Advisable() error {
	var errs []error
	need := func(ok bool, key, what string) {
		if !ok {
			errs = append(errs, fmt.Errorf("%s: missing: %s", key, what))
		}
	}
	need(t.Cable.Make != "", "cable.make", "the maker on the print legend")
	need(t.Cable.Type != "", "cable.type", "the cable type on the data sheet")
	need(t.Duct.Size != "", "duct.size", "the size printed on the duct")
	need(t.Conditions.CableTemperature.Known(), "conditions.cable_temperature", "a reading with its unit, such as °F")
	need(t.Rig.GripLimit.Known(), "rig.grip_limit", "the highest grip pressure of the drive, with its unit, such as psi")
	need(t.Rig.SpeedLimit.Known(), "rig.speed_limit", "the highest push control reading, with its unit, such as ft/min")
	if t.Kind == Enough || t.Kind == ShortCheck {
		need(t.Plan.Speed.Known(), "plan.speed", "the setting this kind of trial is about")
	}
	if t.Kind == ShortCheck {
		need(t.Plan.Grip.Known(), "plan.grip", "the setting this kind of trial is about")
	}
	if len(errs) == 0 {
		errs = append(errs, t.positive()...)
	}
	if len(errs) == 0 && len(t.Attempts()) == 0 { // a trial that has pushed keeps its ladder
		errs = append(errs, t.steepLadder()...)
	}
	return errors.Join(errs...)
}

// positive checks what the ladder is computed from: a limit of nothing, or a
// division coarser than the range, leaves no setting to try.
func (t Trial) positive() []error {
	var errs []error
	check := func(key string, v, most float64) {
		if !(v > 0) || v > most*(1+ties) {
			errs = append(errs, fmt.Errorf("%s: must be above zero and no more than the limit", key))
		}
	}
	grip, speed := float64(t.Rig.GripLimit.Or(0)), t.Rig.SpeedLimit.Or(q.Reading{}).Value
	check("rig.grip_limit", grip, math.Inf(1))
	check("rig.speed_limit", speed, math.Inf(1))
	if len(errs) > 0 {
		return errs
	}
	g := t.gripDial()
	d := t.speedDial()
	check("rig.grip_division", g.division, g.limit)
	check("rig.speed_division", d.division, d.limit)
	check("ladder.grip_start", float64(t.Ladder.GripStart.Or(q.Pressure(g.division))), math.Inf(1))
	check("ladder.grip_step", float64(t.Ladder.GripStep.Or(q.Pressure(g.division))), math.Inf(1))
	check("ladder.speed_start", t.Ladder.SpeedStart.Or(t.Rig.Reading(d.division)).Value, math.Inf(1))
	if p, ok := t.Plan.Speed.Get(); ok {
		check("plan.speed", p.Value, math.Inf(1))
	}
	if p, ok := t.Plan.Grip.Get(); ok {
		check("plan.grip", float64(p), math.Inf(1))
	}
	if n := d.limit / d.division; d.division > 0 && n > maxDivisions {
		errs = append(errs, fmt.Errorf("rig.speed_division: %.0f divisions up to the limit; no more than %d make sense", n, maxDivisions))
	}
	if n := g.limit / g.division; g.division > 0 && n > maxDivisions {
		errs = append(errs, fmt.Errorf("rig.grip_division: %.0f divisions up to the limit; no more than %d make sense", n, maxDivisions))
	}
	return errs
}

// maxDivisions keeps a mistyped division from making a ladder nobody could climb.
const maxDivisions = 20000

// SameSetup reports whether another trial was made on the same day, rig, belts,
// reel, duct and surface, so that what is checked once for a set-up stands. A rig or
// reel that is not named is no one's.
func (t Trial) SameSetup(o Trial) bool {
	ay, am, ad := t.Started.Date()
	by, bm, bd := o.Started.In(t.Started.Location()).Date()
	return ay == by && am == bm && ad == bd && t.Cable.Reel != "" && t.Rig.Name != "" &&
		t.Rig.Name == o.Rig.Name && t.Rig.Belts == o.Rig.Belts &&
		t.Cable.Make == o.Cable.Make && t.Cable.Type == o.Cable.Type && t.Cable.Reel == o.Cable.Reel &&
		t.Duct.Size == o.Duct.Size && t.Duct.Lot == o.Duct.Lot && t.Conditions.Surface == o.Conditions.Surface
}
