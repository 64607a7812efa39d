package profiles

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"brinkmark/session"
	"brinkmark/session/push"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// plan is the record's head as the engine sees it. path and data are used in errors only.
func (r *RunRecord) plan(path string, data []byte) (run.Plan, error) {
	p := run.Plan{
		Name: strings.Join(said(r.Cable.Make, r.Cable.Type, r.Duct.Size), ", "), Rig: r.Rig.session(),
		MadeAt: r.Plan.CableTemperature.value, CoveredUpTo: r.Plan.CoveredUpTo.value,
		DownTo: r.Plan.CoveredDownTo.value, Least: r.Plan.NoColderThan.value, Folds: r.Plan.FoldedAt.value, GripTried: r.Plan.GripTried.value, GripStep: r.Plan.GripStep.value.Or(0),
		Length: r.Route.Length.value, ByHand: r.Plan.ByHand,
	}
	p.Setting.Grip, _ = r.Plan.Grip.value.Get()
	p.Setting.Speed, _ = r.Plan.Speed.value.Get()
	p.DropTo = r.Plan.dropTo()
	gauge, err := r.Gauge.engine()
	if err != nil {
		return p, err
	}
	p.Gauge = gauge
	f := r.reachFile(path, data)
	p.Bore = r.bore()
	if err := r.worked(f, &p); err != nil {
		return p, err
	}
	p.Units = r.units(f)
	return p, nil
}

// reachFile is the part of the head that is as in a reach file.
func (r *RunRecord) reachFile(path string, data []byte) *ReachFile {
	return &ReachFile{
		Format: r.Format, Cable: r.Cable, Duct: r.Duct, Air: r.Air, Friction: r.Friction, Push: r.Push,
		Waves: r.Waves, Limits: r.Limits, Sections: r.Sections, from: Source{Path: path, Text: data},
	}
}

// bore is the duct's as measured, or by its size.
func (r *RunRecord) bore() q.Maybe[q.Length] {
	if r.Duct.InnerDiameter.value.Known() {
		return r.Duct.InnerDiameter.value
	}
	if id, _, err := push.InnerDiameter(r.Duct.Size); err == nil {
		return q.Known(id)
	}
	return q.Maybe[q.Length]{}
}

// worked fills in route, ratings and reach. A reach needs air, friction and push as well; of
// a record that has none of them only the route is known.
func (r *RunRecord) worked(f *ReachFile, p *run.Plan) error {
	out := Reach{}
	if err := f.ratings(&out); err != nil {
		return err
	}
	p.Ratings = out.Ratings
	if len(r.Sections) > 0 {
		route, err := NewRoute(r.Sections)
		if err != nil {
			return f.engineError(err)
		}
		p.Route, p.Length = route, q.Known(route.Length())
	}
	if r.Air == (ReachAir{}) && r.Friction == (ReachFriction{}) && r.Push == (ReachPush{}) {
		return nil
	}
	if r.Push.Profile != "" {
		return f.fail("push.profile", "a run carries its push itself", "write safe as a force")
	}
	if len(r.Sections) == 0 {
		return f.fail("section", "there is none", "describe the route in [[section]] parts; or leave air, friction and push out")
	}
	var errs []error
	out.Job = reach.Job{
		Cable: reach.Cable{
			OuterDiameter: need(f, &errs, "cable.outer_diameter", f.Cable.OuterDiameter),
			Mass:          need(f, &errs, "cable.mass", f.Cable.Mass),
			Stiffness:     need(f, &errs, "cable.bending_stiffness", f.Cable.BendingStiffness),
		},
		Air: reach.Air{
			Inlet: need(f, &errs, "air.inlet_pressure", f.Air.InletPressure), FreeAir: f.Air.FreeAir.value,
			Temperature: need(f, &errs, "air.temperature", f.Air.Temperature), Ambient: f.Air.AmbientPressure.value.Or(reach.StandardAmbient),
		},
		Route: p.Route,
	}
	for _, fill := range []func(*Reach) error{f.bore, f.friction, f.waves, func(w *Reach) error { return f.push(w, nil) }} {
		if err := fill(&out); err != nil {
			errs = append(errs, err)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return errs[0] // named by its line; the rest comes when it is mended
	}
	if err := out.Job.Check(); err != nil {
		return f.engineError(err)
	}
	p.Reach = q.Known(run.Worked{Job: out.Job, Doubt: out.Doubt})
	return nil
}

// units are those the crew's own papers and thermometer have. Lengths are in what the cable is
// printed in, once a mark was read, and speeds go with them: a run is told in one system.
func (r *RunRecord) units(f *ReachFile) reach.Units {
	u := f.units()
	if len(r.Sections) == 0 {
		u.Length = r.Route.Length.unit(u.Length)
	}
	if r.Air.InletPressure.text == "" {
		u.Pressure = r.Rig.session().GripUnit
		if u.Pressure == "psi" && len(r.Sections) == 0 {
			u.Length = r.Route.Length.unit("ft")
		}
	}
	u.Temperature = r.Plan.CableTemperature.unit(u.Temperature)
	u.Length = cmp.Or(r.reader().markUnit, u.Length)
	switch u.Length {
	case "ft":
		u.Speed = "ft/min"
	default:
		u.Speed = "m/min"
	}
	return u
}

// RunPlan is what a run is begun from.
type RunPlan struct {
	Profile string // id of the profile it installs with
	People  RunPeople
	Job     Job        // number and site; those of the profile when empty
	Reach   *ReachFile // route, air and friction; nil when nothing was worked out
	Route   RunRoute   // its name; its length, where no route is described
	Gauge   RunGauge   // the rig's push gauge, if it has one
}

// runHead makes the head of a run's record from its plan: the profile's setting with what it
// holds for, as the supervisor's rules have it today, and the reach with all that the
// library's cards and the profile say put in.
func (l *Library) runHead(b RunPlan) (RunRecord, error) {
	with, err := l.itself(b.Profile)
	if err != nil {
		return RunRecord{}, err
	}
	promised := with.promise()
	if len(promised.Why) > 0 {
		return RunRecord{}, promised.refusal()
	}
	now := with.profile.record
	known := l.Cards().Complete(Record{Cable: now.Cable, Duct: now.Duct})
	r := RunRecord{
		Format: Format, Kind: runKind, Of: b.Profile, Checks: run.CheckTable(), People: b.People, Job: b.Job,
		Cable: known.Cable, Duct: known.Duct, Rig: l.pulled(now.Rig), Gauge: b.Gauge, Route: b.Route,
	}
	if r.Job == (Job{}) {
		r.Job = now.Job
	}
	r.Plan = runSetting(promised, with.profile)
	return r, l.runReach(&r, b.Reach)
}

// dropTo is the table of lower settings as a run took it down, the coolest first.
func (s *RunSetting) dropTo() []session.DropTo {
	var table []session.DropTo
	for _, d := range s.DropTo {
		upTo, ok1 := d.UpTo.value.Get()
		grip, ok2 := d.Grip.value.Get()
		speed, ok3 := d.Speed.value.Get()
		if ok1 && ok2 && ok3 {
			table = append(table, session.DropTo{UpTo: upTo, Setting: session.Setting{Grip: grip, Speed: speed}})
		}
	}
	slices.SortFunc(table, func(a, b session.DropTo) int { return cmp.Compare(a.UpTo, b.UpTo) })
	return table
}

// runSetting is what is promised, and what the trial has tried.
func runSetting(p Promise, of *side) RunSetting {
	rig, unit := p.Rig, of.record.Conditions.CableTemperature.unit("°C")
	degrees := func(t q.Temperature) Quantity[q.Temperature] {
		return Quantity[q.Temperature]{q.Text(t, unit), q.Known(t)}
	}
	r := RunSetting{
		Grip: of.record.Setting.Grip, Speed: of.record.Setting.Speed,
		CableTemperature: of.record.Conditions.CableTemperature, CoveredUpTo: degrees(p.UpTo), CoveredDownTo: degrees(p.DownTo), NoColderThan: degrees(p.Least),
		ByHand: p.ByHand,
	}
	if at, known := p.Folds.Get(); known {
		r.FoldedAt = Reading{rig.ShowSpeed(at.Value), p.Folds}
	}
	for _, d := range p.DropTo {
		r.DropTo = append(r.DropTo, DropTo{degrees(d.UpTo), quantityOf(d.Setting.Grip, rig.GripUnit), readingOf(of.trial, d.Setting)})
	}
	_, step := of.whole.Start()
	r.GripStep, r.GripTried = quantityOf(step, rig.GripUnit), quantityOf(cleanGrip(of.whole, p.Setting.Grip), rig.GripUnit)
	return r
}

// cleanGrip is the highest grip pressure that held or slipped in a trial and left the jacket
// clean, under any that marked it; the setting's at least.
func cleanGrip(t session.Trial, set q.Pressure) q.Pressure {
	most, marked := set, q.Pressure(0)
	for _, a := range t.Attempts() {
		if a.JacketDamage && (marked == 0 || a.Setting.Grip < marked) {
			marked = a.Setting.Grip
		}
	}
	for _, a := range t.Attempts() {
		tried := a.Outcome == session.Stall || a.Outcome == session.Slip
		if g := a.Setting.Grip; tried && !a.JacketDamage && g > most && (marked == 0 || g < marked*(1-rounding)) {
			most = g
		}
	}
	return most
}

// runReach puts a reach into the head, with what it takes from elsewhere written out.
func (l *Library) runReach(r *RunRecord, given *ReachFile) error {
	if given == nil {
		return nil
	}
	f := *given
	f.Format = Format
	if f.from.Path == "" {
		f.from.Path = "this run"
	}
	w, err := f.run(l)
	if err != nil {
		return err
	}
	r.Air, r.Friction, r.Push, r.Waves, r.Limits, r.Sections = f.Air, f.Friction, f.Push, f.Waves, f.Limits, f.Sections
	if r.Push.Profile != "" {
		r.Push.Profile = ""
		unit := r.Push.DriveLimit.unit("N")
		r.Push.Safe = Quantity[q.Force]{q.Text(w.Push.Safe, unit), q.Known(w.Push.Safe)}
	}
	if r.Push.TopSpeed.text == "" {
		unit := w.Units.Speed
		r.Push.TopSpeed = Quantity[q.Speed]{q.Text(w.Push.TopSpeed, unit), q.Known(w.Push.TopSpeed)}
	}
	if r.Route.Name == "" {
		r.Route.Name = f.Route.Card
	}
	c, _ := filled(r.Cable, f.Cable)
	d, _ := filled(r.Duct, f.Duct)
	r.Cable, r.Duct = c.(Cable), d.(Duct)
	return nil
}
