package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"strings"

	"brinkmark/profiles/problem"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// ReachFile is a run to be worked out, as it stands in its file.
type ReachFile struct {
	Format   int            `toml:"format"`
	Cable    Cable          `toml:"cable"`
	Duct     Duct           `toml:"duct"`
	Air      ReachAir       `toml:"air"`
	Friction ReachFriction  `toml:"friction"`
	Push     ReachPush      `toml:"push"`
	Waves    ReachWaves     `toml:"waves"`
	Limits   ReachLimits    `toml:"limits"`
	Route    ReachRoute     `toml:"route"`
	Sections []RouteSection `toml:"section"`

	from Source
}

// ReachAir is the air that is blown in.
type ReachAir struct {
	InletPressure   Quantity[q.Pressure]    `toml:"inlet_pressure,omitempty"`
	FreeAir         Quantity[q.FlowRate]    `toml:"free_air,omitempty"`
	Temperature     Quantity[q.Temperature] `toml:"temperature,omitempty"`
	AmbientPressure Quantity[q.Pressure]    `toml:"ambient_pressure,omitempty"` // absolute
}

// ReachFriction is the coefficient of cable on duct, with its range.
type ReachFriction struct {
	Coefficient *float64 `toml:"coefficient,omitempty"`
	Low         *float64 `toml:"low,omitempty"`
	High        *float64 `toml:"high,omitempty"`
}

// ReachPush is what the drive may give: a push, or the profile whose setting gives it.
type ReachPush struct {
	Safe       Quantity[q.Force] `toml:"safe,omitempty"`
	Profile    string            `toml:"profile,omitempty"`
	DriveLimit Quantity[q.Force] `toml:"drive_limit,omitempty"`
	TopSpeed   Quantity[q.Speed] `toml:"top_speed,omitempty"`
}

// ReachWaves is how the duct lies.
type ReachWaves struct {
	Amplitude Quantity[q.Length] `toml:"amplitude,omitempty"`
	Period    Quantity[q.Length] `toml:"period,omitempty"`
}

// ReachLimits are the pressures the parts of the air's way may bear.
type ReachLimits struct {
	Compressor      Quantity[q.Pressure]    `toml:"compressor,omitempty"`
	Hose            Quantity[q.Pressure]    `toml:"hose,omitempty"`
	Coupling        Quantity[q.Pressure]    `toml:"coupling,omitempty"`
	Duct            Quantity[q.Pressure]    `toml:"duct,omitempty"`
	DuctTemperature Quantity[q.Temperature] `toml:"duct_temperature,omitempty"`
}

// ReachRoute is where the sections come from when they are not in the file itself: a
// spreadsheet beside it, or a route's card.
type ReachRoute struct {
	CSV  string `toml:"csv"`
	Card string `toml:"card"`
}

// Reach is a run to be worked out, in SI, and what was said of its figures.
type Reach struct {
	reach.Job
	Doubt   reach.Doubt
	Ratings reach.Ratings
	Units   reach.Units
	Name    string   // of cable and duct
	Notes   []string // where figures come from that are not in the file
	Plan    q.Maybe[PlanLine]
}

// PlanLine tells which push control reading gives a push, by the rig card of the
// profile the push comes from.
type PlanLine struct {
	rig Rig
}

// Reading returns where the push control must stand for a push, and false when that is
// beyond what the rig can.
func (p PlanLine) Reading(f q.Force) (string, bool) {
	rig := p.rig.session()
	per, _ := rig.ThrustPerSpeed.Get()
	at := max(0, (float64(f)-float64(rig.ThrustOffset.Or(0)))/per.Value)
	most, known := rig.SpeedLimit.Get()
	return rig.ShowSpeed(at), !known || at <= most.Value
}

// Warnings are what to mind about a run's result, in the crew's words.
func (r Reach) Warnings(result reach.Result) []string {
	return append(r.Ratings.AirCautions(r.Air, r.Units), result.Warnings(r.Job, r.Units)...)
}

// MinutesText is a time for people to read: minutes, or hours and minutes.
func MinutesText(m reach.Minutes) string {
	whole := int(math.Ceil(float64(m) - 1e-9))
	if whole < 100 {
		return fmt.Sprintf("%d min", whole)
	}
	return fmt.Sprintf("%d h %d min", whole/60, whole%60)
}

// ReadReach reads a reach file, and from the library the profile or the route it names.
func (l *Library) ReadReach(from Source) (Reach, error) {
	f, err := ParseReach(from)
	if err != nil {
		return Reach{}, err
	}
	return f.run(l)
}

// ParseReach reads a reach file strictly.
func ParseReach(from Source) (*ReachFile, error) {
	f := ReachFile{from: from}
	if err := decodeStrictly(from.Path, from.Text, &f); err != nil {
		return nil, err
	}
	if f.Format != Format {
		return nil, f.fail("format", fmt.Sprintf("%d is not known to this version, which reads %d", f.Format, Format), fmt.Sprintf("write \"format = %d\" on the first line", Format))
	}
	return &f, nil
}

// decodeStrictly reads a file of ours, with a word to those who write absolute pressures.
func decodeStrictly(path string, data []byte, into any) error {
	_, err := decode(path, data, into)
	var bad *problem.FileError
	if errors.As(err, &bad) && strings.Contains(bad.Problem, "not a pressure") {
		for _, word := range []string{"abs", "(a)", "bara", "psia", "(g)", "barg", "psig"} {
			if strings.Contains(strings.ToLower(bad.Problem), word) {
				bad.Hint = "pressures are gauge pressures without a word for it, as in \"8 bar\"; only ambient_pressure is absolute"
			}
		}
	}
	return err
}

func (f *ReachFile) fail(key, wrong, hint string) error {
	return f.from.Fail(key, wrong, hint)
}

// need returns a quantity that must be there.
func need[T q.Scalar](f *ReachFile, errs *[]error, key string, v Quantity[T]) T {
	value, known := v.value.Get()
	if !known {
		*errs = append(*errs, f.fail(key, "missing", "a reach cannot be worked out without it: write it"))
	}
	return value
}

// run puts the file's figures together.
func (f *ReachFile) run(l *Library) (Reach, error) {
	var errs []error
	known := l.Cards().Complete(Record{Cable: f.Cable, Duct: f.Duct})
	f.Cable, f.Duct = known.Cable, known.Duct
	r := Reach{Name: strings.Join(said(f.Cable.Make, f.Cable.Type, f.Duct.Size), ", ")}
	r.Cable = reach.Cable{
		OuterDiameter: need(f, &errs, "cable.outer_diameter", f.Cable.OuterDiameter),
		Mass:          need(f, &errs, "cable.mass", f.Cable.Mass),
		Stiffness:     need(f, &errs, "cable.bending_stiffness", f.Cable.BendingStiffness),
	}
	r.Air = reach.Air{
		Inlet: need(f, &errs, "air.inlet_pressure", f.Air.InletPressure), FreeAir: f.Air.FreeAir.value,
		Temperature: need(f, &errs, "air.temperature", f.Air.Temperature),
		Ambient:     f.Air.AmbientPressure.value.Or(reach.StandardAmbient),
	}
	for _, fill := range []func(*Reach) error{f.bore, f.friction, f.waves, f.ratings, func(r *Reach) error { return f.push(r, l) }, func(r *Reach) error { return f.route(r, l) }} {
		if err := fill(&r); err != nil {
			errs = append(errs, err)
		}
	}
	if len(errs) > 0 {
		return Reach{}, errors.Join(errs...)
	}
	if err := r.Job.Check(); err != nil {
		return Reach{}, f.engineError(err)
	}
	r.Units = f.units()
	if !f.Air.AmbientPressure.value.Known() {
		r.Notes = append(r.Notes, "ambient pressure taken as that of sea level, 101.325 kPa")
	}
	return r, nil
}

// engineError puts an error of the engine where its key stands.
func (f *ReachFile) engineError(err error) error {
	var bad *reach.FieldError
	if !errors.As(err, &bad) {
		return f.fail("", err.Error(), "mend the file")
	}
	hint := "mend the figure"
	switch bad.Field {
	case "air.ambient_pressure":
		hint = "write the absolute pressure of the air outside, about 101 kPa at sea level; take the line out if it is not known"
	case "air.inlet_pressure":
		hint = "write the gauge pressure at the duct's mouth"
	}
	return f.fail(bad.Field, bad.Err.Error(), hint)
}

func (f *ReachFile) bore(r *Reach) error {
	if id, known := f.Duct.InnerDiameter.value.Get(); known {
		r.Bore = id
		return nil
	}
	if f.Duct.Size == "" {
		return f.fail("duct.inner_diameter", "missing, and so is duct.size", "measure the bore, or give the size printed on the duct")
	}
	id, rule, err := push.InnerDiameter(f.Duct.Size)
	if err != nil {
		return f.fail("duct.size", err.Error(), "measure the bore and write inner_diameter")
	}
	r.Bore = id
	r.Notes = append(r.Notes, "bore of the duct by its size: "+rule)
	return nil
}

func (f *ReachFile) friction(r *Reach) error {
	if f.Friction.Coefficient == nil {
		return f.fail("friction.coefficient", "missing", "write the coefficient of cable on duct as used: about 0.1 lubricated, 0.2 to 0.3 dry; measure it if you can")
	}
	r.Friction = *f.Friction.Coefficient
	if err := reach.CheckFriction(r.Friction); err != nil {
		return f.fail("friction.coefficient", err.Error(), "mend the figure")
	}
	r.Doubt = reach.UsualDoubt(r.Friction)
	for _, side := range []struct {
		key   string
		given *float64
		to    *float64
		fits  func(float64) bool
	}{
		{"friction.low", f.Friction.Low, &r.Doubt.FrictionLow, func(v float64) bool { return v <= r.Friction }},
		{"friction.high", f.Friction.High, &r.Doubt.FrictionHigh, func(v float64) bool { return v >= r.Friction }},
	} {
		if side.given == nil {
			continue
		}
		if err := reach.CheckFriction(*side.given); err != nil || !side.fits(*side.given) {
			return f.fail(side.key, fmt.Sprintf("%v does not go with the coefficient %v", *side.given, r.Friction), "low is at most the coefficient, high at least")
		}
		*side.to = *side.given
	}
	if f.Friction.Low == nil && f.Friction.High == nil {
		r.Notes = append(r.Notes, "friction taken as known to a fifth either way, which is seldom better in practice")
	}
	return nil
}

func (f *ReachFile) waves(r *Reach) error {
	a, known1 := f.Waves.Amplitude.value.Get()
	p, known2 := f.Waves.Period.value.Get()
	if known1 != known2 {
		return f.fail("waves", "amplitude and period go together", "write both, or take both out")
	}
	if known1 {
		r.Waves = q.Known(reach.Waves{Amplitude: a, Period: p})
	}
	return nil
}

func (f *ReachFile) ratings(r *Reach) error {
	r.Ratings = reach.Ratings{
		Compressor: f.Limits.Compressor.value, Hose: f.Limits.Hose.value, Coupling: f.Limits.Coupling.value,
		Duct: f.Limits.Duct.value, DuctTemperature: f.Limits.DuctTemperature.value,
	}
	if err := r.Ratings.Check(); err != nil {
		return f.engineError(err)
	}
	return nil
}

// route takes the sections from the file, the spreadsheet or the card it names.
func (f *ReachFile) route(r *Reach, l *Library) error {
	sections, from := f.Sections, f
	var err error
	switch given := len(f.Sections) > 0; {
	case given && (f.Route.CSV != "" || f.Route.Card != "") || f.Route.CSV != "" && f.Route.Card != "":
		return f.fail("route", "the route is given twice", "keep the sections, the csv or the card")
	case f.Route.CSV != "":
		if !fs.ValidPath(f.Route.CSV) || f.Route.CSV == "." || f.from.Beside == nil || strings.ContainsAny(f.Route.CSV, `/\:`) {
			return f.fail("route.csv", fmt.Sprintf("%q is no file beside this one", problem.ShownText(f.Route.CSV)), "put the spreadsheet into the same folder and write its name")
		}
		var sheet Source
		if sheet, err = f.from.Beside(f.Route.CSV); err == nil {
			sections, err = ParseRouteCSV(sheet.Path, sheet.Text)
		}
		from = nil
	case f.Route.Card != "":
		sections, err = l.routeCard(f.Route.Card)
		from = nil
		if err != nil && errors.Is(err, errNoRoute) {
			return f.fail("route.card", err.Error(), "write the sections into the file, or save the card in the library's folder \"routes\"")
		}
	case !given:
		return f.fail("section", "there is none", "describe the route in [[section]] parts, or name a csv or a card in [route]")
	}
	if err != nil {
		return err
	}
	f.Sections = sections // in whose unit the result is told
	r.Route, err = NewRoute(sections)
	if err != nil && from != nil {
		return f.engineError(err)
	}
	return err
}

// units are those the file is written in.
func (f *ReachFile) units() reach.Units {
	system := q.Metric
	length := f.sectionUnit()
	if length == "ft" {
		system = q.Customary
	}
	return reach.Units{
		Length: length, Diameter: f.Cable.OuterDiameter.unit(q.PreferredDiameter(system)),
		Force: f.Push.Safe.unit(f.Push.DriveLimit.unit(q.Preferred[q.Force](system))), Pressure: f.Air.InletPressure.unit("bar"),
		Flow: f.Air.FreeAir.unit(q.Preferred[q.FlowRate](system)), Temperature: f.Air.Temperature.unit(q.Preferred[q.Temperature](system)),
		Speed: f.Push.TopSpeed.unit(q.Preferred[q.Speed](system)),
	}
}

// sectionUnit is the unit of the first length of the route, or the one that goes with
// the inlet pressure.
func (f *ReachFile) sectionUnit() string {
	for _, s := range f.Sections {
		if s.Length.text != "" {
			return s.Length.unit("m")
		}
	}
	if unit := f.Air.InletPressure.unit("bar"); unit == "psi" {
		return "ft"
	}
	return "m"
}

// said leaves out what is empty.
func said(parts ...string) []string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return out
}
