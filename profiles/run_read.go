package profiles

import (
	"errors"
	"fmt"
	"strings"

	"brinkmark/profiles/problem"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// ParseRun reads a run's record strictly. path is used in errors only.
func ParseRun(path string, data []byte) (*RunRecord, error) {
	r, _, err := parseRun(path, data)
	return r, err
}

// parseRun reads a run's record, and gives it as the engine sees it.
func parseRun(path string, data []byte) (*RunRecord, run.Run, error) {
	var r RunRecord
	md, err := decode(path, data, &r)
	if err != nil {
		return nil, run.Run{}, err
	}
	numberAsGiven(data, partsOf(&r.RunEntries))
	if !md.IsDefined("format") {
		return nil, run.Run{}, &problem.FileError{Path: path, Key: "format", Problem: "missing", Hint: fmt.Sprintf("write \"format = %d\" on the first line", Format)}
	}
	engine, err := r.engine(path, data)
	if err != nil {
		return nil, run.Run{}, placed(err, path, data)
	}
	return &r, engine, nil
}

// Engine gives the record as the engine sees it.
func (r *RunRecord) Engine() (run.Run, error) { return r.engine("", nil) }

func (r *RunRecord) engine(path string, data []byte) (run.Run, error) {
	if err := r.meant(); err != nil {
		return run.Run{}, err
	}
	plan, err := r.plan(path, data)
	if err != nil {
		return run.Run{}, err
	}
	e := run.Run{Of: r.Of, Started: r.Started, Checks: r.Checks, People: run.People(r.People), Plan: plan}
	parts, err := byNumber(partsOf(&r.RunEntries))
	if err != nil {
		return run.Run{}, err
	}
	reader := r.reader()
	for _, p := range parts {
		reader.key, reader.seq = p.key, *p.seq
		entry, err := p.entry.(RunEntry).engine(reader)
		if err != nil {
			return run.Run{}, err
		}
		e.Entries = append(e.Entries, entry)
	}
	return e, orderProblem(e, parts)
}

// orderProblem names the entry that stands where it cannot.
func orderProblem(e run.Run, parts []part) error {
	_, err := e.Stage()
	var order *run.OrderError
	if !errors.As(err, &order) {
		return err
	}
	for _, p := range parts {
		if *p.seq == order.Seq {
			return &entryError{p.key, order.Error(), "take it out, or put what is missing before it"}
		}
	}
	return err
}

// reader returns what turns the record's entries into the engine's.
func (r *RunRecord) reader() *runReader {
	speed, _ := r.Plan.Speed.value.Get()
	rr := &runReader{control: speed.Unit, dropped: dropped(r.Undos)}
	if gauge, err := r.Gauge.engine(); err == nil {
		rr.gauge = gauge.Or(run.PushGauge{}).PerReading.Unit
	}
	for _, s := range r.Starts {
		if !rr.dropped[s.Seq] {
			rr.markUnit = s.Mark.unit("")
		}
	}
	return rr
}

// meant refuses values outside their range.
func (r *RunRecord) meant() error {
	switch {
	case r.Format != Format:
		return &entryError{"format", fmt.Sprintf("%d is not known to this version, which reads %d", r.Format, Format), "read it with the version that wrote it"}
	case r.Kind != runKind:
		return &entryError{"kind", "this is no run", fmt.Sprintf("check that this is the right file; a run has kind = %q", runKind)}
	}
	if err := run.KnownTable(r.Checks); err != nil {
		return &entryError{"checks", err.Error(), "read it with the version that wrote it"}
	}
	for _, id := range []struct{ key, value string }{{"id", r.ID}, {"of", r.Of}} {
		if id.value != "" && !ValidID(id.value) {
			return &entryError{id.key, fmt.Sprintf("%q is no record id", problem.Clip(id.value)), "ids are made by the program: 26 capital letters and digits"}
		}
	}
	if !r.Rig.SpeedLimit.value.Known() {
		return &entryError{"rig.speed_limit", "missing", "write the highest push control reading, such as \"220 ft/min\": readings are shown in its unit"}
	}
	if grip, ok := r.Plan.Grip.value.Get(); !ok || grip <= 0 {
		return &entryError{"plan.grip", "missing or zero", "write the setting of the profile, such as \"6 psi\""}
	}
	if speed, ok := r.Plan.Speed.value.Get(); !ok || speed.Value <= 0 {
		return &entryError{"plan.speed", "missing or zero", "write the setting of the profile, such as \"95 ft/min\""}
	}
	if s := r.Cable.PolyethyleneShare; s != nil && !(*s >= 0 && *s <= 1) {
		return &entryError{"cable.polyethylene_share", fmt.Sprintf("%v is outside 0 to 1", *s), "it is the jacket's share of bending stiffness"}
	}
	return r.oneUnit()
}

// oneUnit refuses readings of the push control in the head that cannot be compared.
func (r *RunRecord) oneUnit() error {
	as := Record{Rig: r.Rig, Plan: Plan{r.Plan.Grip, r.Plan.Speed}}
	if err := as.oneUnit(); err != nil {
		return err
	}
	want, _ := r.Plan.Speed.value.Get()
	for i, d := range r.Plan.DropTo {
		if v, known := d.Speed.value.Get(); !known || v.Unit != want.Unit {
			return &entryError{"plan.drop_to", fmt.Sprintf("row %d: %q is not in the push control's unit", i+1, problem.Clip(d.Speed.text)), "write the lower settings in the unit of the gauge"}
		}
		if !d.Grip.value.Known() || !d.UpTo.value.Known() {
			return &entryError{"plan.drop_to", fmt.Sprintf("row %d: grip or up_to is missing", i+1), "write up_to, grip and speed of each lower setting"}
		}
	}
	return nil
}

// engine is the gauge in SI, not known when there is none or it cannot be converted.
func (g RunGauge) engine() (q.Maybe[run.PushGauge], error) {
	unit := strings.TrimSpace(g.Unit)
	bad := func(name, wrong, hint string) (q.Maybe[run.PushGauge], error) {
		return q.Maybe[run.PushGauge]{}, &entryError{"push_gauge." + name, wrong, hint}
	}
	if unit == "" {
		if g.PerReading.text != "" || g.Division.text != "" || g.Offset.text != "" {
			return bad("unit", "missing", "write the unit on the push gauge, such as \"bar\" or \"N\"")
		}
		return q.Maybe[run.PushGauge]{}, nil
	}
	canonical, isSpeed, err := q.PushUnit(unit)
	if err != nil || isSpeed {
		return bad("unit", fmt.Sprintf("%q is no unit of a push gauge", problem.Clip(unit)), "write the unit on the gauge that shows how hard the drive pushes, such as \"bar\" or \"N\"")
	}
	out := run.PushGauge{Offset: q.Force(g.Offset.value.Or(0)), Division: g.Division.value, Seal: g.Seal.value.Or(0)}
	per, given := g.PerReading.value.Get()
	force, isForce := q.Parse[q.Force]("1 " + canonical)
	switch {
	case given:
		out.PerReading = per
	case isForce == nil:
		out.PerReading = q.ForcePerReading{Value: float64(force), Unit: canonical}
	default:
		return bad("per_reading", "missing", "write how much force one of the gauge's unit is, from a pull test, such as \"12 N/bar\"; or leave the gauge out")
	}
	if out.PerReading.Unit != canonical || !(out.PerReading.Value > 0) {
		return bad("per_reading", fmt.Sprintf("%q is not a force per the gauge's unit, %q", problem.Clip(g.PerReading.text), canonical), "write it per the unit on the gauge")
	}
	if d, known := out.Division.Get(); known && (d.Unit != canonical || !(d.Value > 0)) {
		return bad("division", fmt.Sprintf("%q is no step of a gauge in %q", problem.Clip(g.Division.text), canonical), "write the smallest step one can read on it")
	}
	return q.Known(out), nil
}
