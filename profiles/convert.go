package profiles

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"brinkmark/profiles/problem"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// entryError is a problem with one value of a record, by its key.
type entryError struct{ key, problem, hint string }

func (e *entryError) Error() string { return e.key + ": " + e.problem }

// placed is err with the place in the text that it speaks of, if it speaks of one value.
func placed(err error, path string, data []byte) error {
	var bad *entryError
	if errors.As(err, &bad) {
		return problem.At(path, data, bad.key, bad.problem, bad.hint)
	}
	return err
}

// PolicyProblem says why the record's policy is not known here, or nil.
func (r *Record) PolicyProblem() error {
	_, err := session.PolicyNamed(r.Policy)
	return err
}

// Trial turns the record into what the engine works on: the job with its later
// changes, and the entries in order. An attempt without a temperature of its own
// has the one in force when it was made.
func (r *Record) Trial() (session.Trial, error) {
	var t session.Trial
	policy, err := session.PolicyNamed(r.Policy)
	if err != nil {
		return t, &entryError{"policy", err.Error(), "read it with the version that wrote it"}
	}
	if _, err := session.ChecksOf(r.Checks); err != nil {
		return t, &entryError{"checks", err.Error(), "read it with the version that wrote it"}
	}
	entries, err := r.ordered()
	if err != nil {
		return t, err
	}
	now := *r // the record as changed so far
	undone := r.undone()
	var under []int // the attempts made under the cable temperature in force
	for _, e := range entries {
		if change, is := e.entry.(*Change); is && !undone[*e.seq] {
			if now, err = now.changed(*change); err != nil {
				return t, changeError(e.key, err)
			}
			under = now.corrected(*change, t.Entries, under)
		}
		if a, is := e.entry.(*Attempt); is && !a.CableTemperature.value.Known() {
			under = append(under, len(t.Entries))
		}
		entry, err := e.entry.(Entry).entry(e.key, now)
		if err != nil {
			return t, err
		}
		t.Entries = append(t.Entries, entry)
	}
	if err := r.shareInRange(); err != nil {
		return t, &entryError{"cable.polyethylene_share", err.Error(), "it is the jacket's share of bending stiffness"}
	}
	if err := now.fill(&t, policy); err != nil {
		return t, err
	}
	return t, nil
}

// corrected gives the attempts made under a temperature that was never so the right one, and
// returns those made under the one in force.
func (r Record) corrected(c Change, entries []session.Entry, under []int) []int {
	switch {
	case c.Key != cableTemperature:
		return under
	case !c.Corrects:
		return nil
	}
	for _, i := range under {
		a := entries[i].(session.Attempt)
		a.CableTemperature = r.Conditions.CableTemperature.value
		entries[i] = a
	}
	return under
}

const cableTemperature = "conditions.cable_temperature"

// fill sets everything but the entries.
func (r *Record) fill(t *session.Trial, policy session.Policy) error {
	t.Kind, t.Of, t.Earlier, t.Policy, t.Started = r.Kind, r.Of, r.Earlier, policy, r.Started
	t.CheckTable = r.Checks
	if t.Kind == 0 {
		t.Kind = session.Full
	}
	t.People = session.People(r.People)
	t.Place = session.Place(r.Job)
	t.Cable = r.Cable.session()
	t.Duct = session.Duct{Size: r.Duct.Size, InnerDiameter: r.Duct.InnerDiameter.value, Lining: r.Duct.Lining, Lot: r.Duct.Lot}
	c := r.Conditions
	t.Conditions = session.Conditions{
		CableTemperature: c.CableTemperature.value, StubTemperature: c.StubTemperature.value,
		AirTemperature: c.AirTemperature.value, InletAirTemperature: c.InletAirTemperature.value,
		DayLow: c.DayLow.value, DayHigh: c.DayHigh.value,
		Surface: c.Surface, Unit: c.CableTemperature.unit("°C"),
	}
	if day, ok := t.Day(); ok && day.Low > day.High {
		return &entryError{"conditions.day_low", fmt.Sprintf("%q is warmer than the day's high, %q", problem.Clip(c.DayLow.text), problem.Clip(c.DayHigh.text)), "write the low and the high of today's weather report, the high first if both change"}
	}
	t.Rig = r.Rig.session()
	t.Limits = session.Limits{Grip: r.Limits.Grip.value, Speed: r.Limits.Speed.value, CableBudget: r.Limits.CableBudget.value}
	t.Plan = session.Plan{Grip: r.Plan.Grip.value, Speed: r.Plan.Speed.value}
	t.Ladder = session.Ladder{GripStart: r.Ladder.GripStart.value, GripStep: r.Ladder.GripStep.value, SpeedStart: r.Ladder.SpeedStart.value, Reason: r.Ladder.Reason}
	t.Stub = session.Stub{Length: r.Stub.Length.value, RunUp: r.Stub.RunUp.value}
	return r.oneUnit()
}

func (c Cable) session() session.Cable {
	s := session.Cable{
		Make: c.Make, Type: c.Type, Reel: c.Reel, Lot: c.Lot, PrintLegend: c.PrintLegend, Head: c.Head,
		OuterDiameter: c.OuterDiameter.value, Mass: c.Mass.value,
		BendingStiffness: c.BendingStiffness.value, StiffnessTemperature: c.StiffnessTemperature.value,
		AxialStiffness: c.AxialStiffness.value, MinBendRadius: c.MinBendRadius.value,
		KinkRadius: c.KinkRadius.value, CrushLimit: c.CrushLimit.value,
	}
	if c.PolyethyleneShare != nil {
		s.PolyethyleneShare = q.Known(*c.PolyethyleneShare)
	}
	return s
}

func (r Rig) session() session.Rig {
	return session.Rig{
		Name: r.Name, Belts: r.Belts, Supply: r.Supply, GaugeIDs: r.GaugeIDs,
		LeadIn: r.LeadIn.value, Gap: r.Gap.value,
		PushControl: r.PushControl, PushUnit: r.pushUnit(),
		GripUnit:  r.GripDivision.unit(r.GripLimit.unit("psi")),
		GripLimit: r.GripLimit.value, SpeedLimit: r.SpeedLimit.value,
		GripDivision: r.GripDivision.value, SpeedDivision: r.SpeedDivision.value,
		TractionPerGrip: r.TractionPerGrip.value, TractionOffset: r.TractionOffset.value,
		ThrustPerSpeed: r.ThrustPerSpeed.value, ThrustOffset: r.ThrustOffset.value,
		BeltLength: r.BeltLength.value, ClampPerGrip: r.ClampPerGrip.value,
	}
}

// pushUnit is the unit readings of the push control are shown in.
func (r Rig) pushUnit() string {
	if unit, _, err := q.PushUnit(r.PushUnit); r.PushUnit != "" && err == nil {
		return unit
	}
	unit, _ := q.ReadingUnit(r.SpeedLimit.text)
	return unit
}

// oneUnit refuses readings of the push control that cannot be compared.
func (r *Record) oneUnit() error {
	want := ""
	if r.Rig.PushUnit != "" {
		unit, isSpeed, err := q.PushUnit(r.Rig.PushUnit)
		if err != nil {
			return &entryError{"rig.push_unit", err.Error(), "write the unit on the push control's gauge"}
		}
		if want = unit; isSpeed {
			want = "m/s"
		}
	} else if limit, ok := r.Rig.SpeedLimit.value.Get(); ok {
		want = limit.Unit
	}
	readings := map[string]Reading{
		"rig.speed_limit": r.Rig.SpeedLimit, "rig.speed_division": r.Rig.SpeedDivision, "limits.speed": r.Limits.Speed,
		"plan.speed": r.Plan.Speed, "ladder.speed_start": r.Ladder.SpeedStart,
	}
	for i, a := range r.Attempts {
		readings[fmt.Sprintf("attempt[%d].speed", i)] = a.Speed
	}
	keys := make([]string, 0, len(readings))
	for k := range readings {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		if v, ok := readings[k].value.Get(); ok && v.Unit != want {
			return &entryError{k, fmt.Sprintf("%q is not in the push control's unit, %q", problem.Clip(readings[k].text), r.Rig.pushUnit()), "write every reading of the push control in the unit of its gauge"}
		}
	}
	if per, ok := r.Rig.ThrustPerSpeed.value.Get(); ok && per.Unit != want {
		return &entryError{"rig.thrust_per_speed", fmt.Sprintf("%q is not per the push control's unit, %q", problem.Clip(r.Rig.ThrustPerSpeed.text), r.Rig.pushUnit()), "write the force gained per one of the push control's unit"}
	}
	return nil
}

func (e Answer) entry(string, Record) (session.Entry, error) {
	return session.Answer{Mark: session.Mark{Seq: e.Seq, At: e.At}, Item: e.Item, State: e.State, Value: e.Value, SkipReason: e.SkipReason, By: e.By}, nil
}

func (e Undo) entry(string, Record) (session.Entry, error) {
	return session.Undo{Mark: session.Mark{Seq: e.Seq, At: e.At}, Drops: e.Drops}, nil
}

func (e Change) entry(key string, _ Record) (session.Entry, error) {
	if e.Corrects && e.Key != cableTemperature {
		return nil, &entryError{key + ".corrects", "only the cable's temperature is corrected so", "take the line out: other values are changed from then on"}
	}
	return session.Change{Mark: session.Mark{Seq: e.Seq, At: e.At}, Key: e.Key, Value: e.Value, Reason: e.Reason, Corrects: e.Corrects}, nil
}

func (a Attempt) entry(key string, now Record) (session.Entry, error) {
	grip, ok1 := a.Grip.value.Get()
	speed, ok2 := a.Speed.value.Get()
	switch {
	case !ok1 || grip <= 0:
		return nil, &entryError{key + ".grip", "missing or zero", "write the grip pressure that was set, such as \"4 psi\""}
	case !ok2 || speed.Value <= 0:
		return nil, &entryError{key + ".speed", "missing or zero", "write the push control reading that was set, such as \"40 ft/min\""}
	case a.Outcome == 0:
		return nil, &entryError{key + ".outcome", "missing", "write \"fold\", \"stall\", \"slip\" or \"void\""}
	}
	s := session.Attempt{
		Mark: session.Mark{Seq: a.Seq, At: a.At}, Setting: session.Setting{Grip: grip, Speed: speed}, Outcome: a.Outcome,
		StallReading: a.StallReading.value, JacketDamage: a.JacketDamage, VoidReason: a.VoidReason,
		CableTemperature: a.CableTemperature.value, FreshEnd: a.FreshEnd, CableUsed: a.CableUsed.value.Or(0), Note: a.Note,
	}
	if !s.CableTemperature.Known() {
		s.CableTemperature = now.Conditions.CableTemperature.value
	}
	if a.BeltsTurning != nil {
		s.BeltsTurning = q.Known(*a.BeltsTurning)
	}
	if a.LineMoved != nil {
		s.LineMoved = q.Known(*a.LineMoved)
	}
	return s, nil
}

// keyError says that a change names no key of the job.
type keyError struct{ key string }

func (e keyError) Error() string { return fmt.Sprintf("%q is no key of the job", problem.Clip(e.key)) }

func changeError(key string, err error) error {
	var unknown keyError
	if errors.As(err, &unknown) {
		return &entryError{key + ".key", err.Error(), "undo the change, or mend it"}
	}
	return &entryError{key + ".value", err.Error(), "undo the change, or mend it"}
}

// headTables are the tables of a record that can be changed later.
var headTables = []string{"people", "job", "cable", "duct", "conditions", "rig", "limits", "plan", "ladder", "stub"}

// changed returns the record with one value of its head replaced, read as strictly
// as the file itself.
func (r Record) changed(c Change) (Record, error) {
	table, name, _ := strings.Cut(c.Key, ".")
	if !slices.Contains(headTables, table) || !plainKey(name) {
		return r, keyError{c.Key}
	}
	if share := r.Cable.PolyethyleneShare; share != nil {
		own := *share
		r.Cable.PolyethyleneShare = &own // decoding writes through the pointer
	}
	var value any = c.Value
	if unquoted[c.Key] { // true or 0.5, as in the file
		if _, err := toml.Decode("v = "+c.Value, &struct{ V *any }{&value}); err != nil || strings.ContainsAny(c.Value, "\n\r[{#\"'") {
			return r, fmt.Errorf("%q cannot be a value of %s", problem.ShownText(c.Value), c.Key)
		}
	}
	text, err := encode(map[string]map[string]any{table: {name: value}})
	if err != nil || !utf8.ValidString(c.Value) {
		return r, fmt.Errorf("%q cannot be a value of %s", problem.ShownText(c.Value), c.Key)
	}
	next := r
	md, err := toml.Decode(text, &next)
	var pe toml.ParseError
	switch {
	case errors.As(err, &pe):
		return r, errors.New(problem.PlainMessage(pe.Message))
	case err != nil:
		return r, fmt.Errorf("%q cannot be a value of %s", problem.ShownText(c.Value), c.Key)
	case len(md.Undecoded()) > 0:
		return r, keyError{c.Key}
	}
	return next, next.shareInRange()
}

// unquoted are the keys whose values are no texts.
var unquoted = map[string]bool{"people.trainee": true, "cable.polyethylene_share": true}

// shareInRange refuses a share of bending stiffness that is none.
func (r Record) shareInRange() error {
	if s := r.Cable.PolyethyleneShare; s != nil && !(*s >= 0 && *s <= 1) {
		return fmt.Errorf("%v is outside 0 to 1", *s)
	}
	return nil
}

func plainKey(s string) bool {
	return s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz_") == ""
}
