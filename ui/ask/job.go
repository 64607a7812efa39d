package ask

import (
	"cmp"
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// jobField is one value of the job: its record key and how to ask for it.
type jobField struct {
	key, ask string
	examples [2]string // customary and metric
	need     bool
	read     func(profiles.Record) string
}

// jobFields are the values the job stage asks for, those that are needed first.
// Every other key of a record can be given in a file.
var jobFields = []jobField{
	{"cable.make", "Cable make", alike("Northmoor"), true, func(r profiles.Record) string { return r.Cable.Make }},
	{"cable.type", "Cable type", alike("LT-96 loose tube"), true, func(r profiles.Record) string { return r.Cable.Type }},
	{"duct.size", "Duct size", alike("1.25 in SDR 11"), true, func(r profiles.Record) string { return r.Duct.Size }},
	{"conditions.cable_temperature", "Cable temperature", [2]string{"41 F", "5 C"}, true, func(r profiles.Record) string { return r.Conditions.CableTemperature.String() }},
	{"conditions.day_low", "Today's low on the weather report", [2]string{"41 F", "5 C"}, false, func(r profiles.Record) string { return r.Conditions.DayLow.String() }},
	{"conditions.day_high", "Today's high on the weather report", [2]string{"78 F", "25 C"}, false, func(r profiles.Record) string { return r.Conditions.DayHigh.String() }},
	{"rig.push_control", "What do you turn to make it push harder", alike("belt speed"), false, func(r profiles.Record) string { return r.Rig.PushControl }},
	{"rig.push_unit", "What unit is on the gauge you read there", alike("ft/min"), false, func(r profiles.Record) string { return r.Rig.PushUnit }},
	{"rig.speed_limit", "Highest reading there, with its unit", [2]string{"220 ft/min", "65 m/min"}, true, func(r profiles.Record) string { return r.Rig.SpeedLimit.String() }},
	{"rig.speed_division", "Smallest step one can set on it", [2]string{"5 ft/min", "1 m/min"}, false, func(r profiles.Record) string { return r.Rig.SpeedDivision.String() }},
	{"rig.grip_limit", "Highest grip pressure of the drive", [2]string{"60 psi", "4 bar"}, true, func(r profiles.Record) string { return r.Rig.GripLimit.String() }},
	{"rig.grip_division", "Smallest step on the grip pressure gauge", [2]string{"1 psi", "0.1 bar"}, false, func(r profiles.Record) string { return r.Rig.GripDivision.String() }},
	{"ladder.grip_start", "First grip pressure", [2]string{"4 psi", "0.3 bar"}, false, func(r profiles.Record) string { return r.Ladder.GripStart.String() }},
	{"ladder.grip_step", "Rung of grip pressure", [2]string{"2 psi", "0.2 bar"}, false, func(r profiles.Record) string { return r.Ladder.GripStep.String() }},
	{"ladder.speed_start", "First speed", [2]string{"40 ft/min", "12 m/min"}, false, func(r profiles.Record) string { return r.Ladder.SpeedStart.String() }},
	{"ladder.reason", "Why the ladder is steeper than usual", alike("the belts do not close under 12 psi"), false, func(r profiles.Record) string { return r.Ladder.Reason }},
	{"limits.cable_budget", "Cable this trial may use up", [2]string{"26 ft", "8 m"}, false, func(r profiles.Record) string { return r.Limits.CableBudget.String() }},
	{"cable.reel", "Reel number", alike("NM-20417"), false, func(r profiles.Record) string { return r.Cable.Reel }},
	{"cable.outer_diameter", "Cable diameter", [2]string{"0.49 in", "12.4 mm"}, false, func(r profiles.Record) string { return r.Cable.OuterDiameter.String() }},
	{"cable.mass", "Cable mass per length", [2]string{"79 lb/1000 ft", "118 kg/km"}, false, func(r profiles.Record) string { return r.Cable.Mass.String() }},
	{"cable.bending_stiffness", "Bending stiffness on the data sheet", alike("1.9 N m2"), false, func(r profiles.Record) string { return r.Cable.BendingStiffness.String() }},
	{"cable.stiffness_temperature", "Temperature of that stiffness", [2]string{"73.4 F", "23 C"}, false, func(r profiles.Record) string { return r.Cable.StiffnessTemperature.String() }},
	{"cable.min_bend_radius", "Least bend radius under load", [2]string{"10 in", "250 mm"}, false, func(r profiles.Record) string { return r.Cable.MinBendRadius.String() }},
	{"cable.kink_radius", "Radius at which it kinks, measured", [2]string{"2.4 in", "60 mm"}, false, func(r profiles.Record) string { return r.Cable.KinkRadius.String() }},
	{"cable.crush_limit", "Crush limit on the data sheet", alike("2200 N/100mm"), false, func(r profiles.Record) string { return r.Cable.CrushLimit.String() }},
	{"duct.inner_diameter", "Inner diameter of the duct, measured", [2]string{"1.36 in", "34.5 mm"}, false, func(r profiles.Record) string { return r.Duct.InnerDiameter.String() }},
	{"rig.name", "Name of the rig", alike("Rig 2"), false, func(r profiles.Record) string { return r.Rig.Name }},
	{"people.operator", "Operator", alike("initials"), false, func(r profiles.Record) string { return r.People.Operator }},
	{"people.watcher", "Watcher", alike("initials"), false, func(r profiles.Record) string { return r.People.Watcher }},
}

func init() { jobFields = append(jobFields, comparedFields...) }

func alike(example string) [2]string { return [2]string{example, example} }

func jobQuestion(f Flow) Question {
	if d := f.draft.droop; d != nil {
		return d.Question(func(f Flow, next DroopFlow) Flow { f.draft.droop = &next; return f })
	}
	if p := f.draft.pull; p != nil {
		return p.Question(func(f Flow, next PullTestFlow) Flow { f.draft.pull = &next; return f })
	}
	switch f.draft.step {
	case stepField:
		return f.fieldQuestion(f.draft.key, afterField)
	case stepFields:
		return f.fieldList()
	case stepCards:
		return f.cardQuestion(kindOfCard(f.draft.key))
	case stepFalling:
		return fallingQuestion()
	case stepCover:
		return f.coverQuestion()
	case stepTag:
		return f.tagQuestion()
	case stepDay:
		return f.dayQuestion()
	case stepTemperature:
		return f.readingQuestion(session.JobStage)
	}
	for _, field := range jobFields {
		if !field.need || field.read(f.Record) != "" {
			continue
		}
		if kind, ok := f.cardsFor(field.key); ok {
			return f.cardQuestion(kind)
		}
		if strings.HasPrefix(field.key, "rig.") {
			break
		}
		return f.fieldQuestion(field.key, afterField)
	}
	if q, open := f.rigQuestion(); open {
		return q
	}
	if q, open := f.peopleQuestion(); open {
		return q
	}
	if q, open := f.comparedQuestion(); open {
		return q
	}
	return f.jobSummary()
}

// Keys of the job page: none moves when another way on comes or goes, such as the start
// when the last fault is mended.
const (
	keyStart, keyChange, keyDroop, keyPull, keyPeople = "1", "2", "3", "4", "5"
	keyReasons, keyCheck, keyEarlier, keyCable        = "6", "7", "8", "9"
)

func (f Flow) jobSummary() Question {
	q := Question{ID: "job", Title: "Is this the job?", Body: f.jobLines()}
	q.Help = []string{
		"Cable make, cable type, temperature and duct size are the key the result is kept under.",
		"The result holds for those and for nothing else.",
		"Cable, duct, rig and people are kept on cards, to pick from next time.",
	}
	if err := f.Trial.Advisable(); err != nil {
		q.Title = "This job cannot start yet"
		q.Body = append(q.Body, strings.Split(err.Error(), "\n")...)
		if f.Trial.Steep() {
			q.Choices = append(q.Choices, sayWhySteep)
		}
	} else {
		q.Choices = append(q.Choices, Choice{Label: f.startLabel(), Key: keyStart, Do: write(f.agreed()...)})
		q.Choices = append(q.Choices, f.coverChoices()...)
	}
	if line, stale := f.stale(); stale {
		read := readCable
		read.Key = keyCable
		q.Body, q.Choices = append([]string{line}, q.Body...), append(q.Choices, read)
	}
	q.Choices = append(q.Choices, Choice{Label: "Change a value", Key: keyChange, Do: GoTo(stepFields), Rank: Minor},
		Choice{Label: "Measure a droop", Key: keyDroop, Rank: Minor, Do: func(f Flow) (Flow, Effect) {
			d := NewDroopFlow(f.Record, !f.customary())
			f.draft.droop = &d
			return f, None{}
		}},
		Choice{Label: "Do a pull test", Key: keyPull, Rank: Minor, Do: func(f Flow) (Flow, Effect) {
			p := NewPullTestFlow(f.Trial.Rig, !f.customary())
			f.draft.pull = &p
			return f, None{}
		}},
		Choice{Label: "Name the people", Key: keyPeople, Rank: Minor, Do: namingPeople(crewRoles[0].key)})
	q.Choices = append(append(q.Choices, f.coverReasons()...), leavingJob)
	return q
}

// sayWhySteep is the way on with a ladder that goes up faster than the usual one.
var sayWhySteep = Choice{Label: "Say why it is so steep", Do: editing("ladder.reason")}

// jobLines are the job as the crew reads it, the ladder written out.
func (f Flow) jobLines() []string {
	r := f.Record
	lines := []string{
		"Cable: " + words.Join(r.Cable.Make, r.Cable.Type, cmp.Or(r.Cable.Reel, "reel not given")),
		fmt.Sprintf("Duct:  %s; cable temperature %s", r.Duct.Size, cmp.Or(r.Conditions.CableTemperature.String(), "not given")),
		fmt.Sprintf("Rig:   %s, up to %s and %s", cmp.Or(r.Rig.Name, "no name"), r.Rig.GripLimit, r.Rig.SpeedLimit),
	}
	lines = append(lines, f.Cover.Lines()...)
	if f.Cover == nil || f.Cover.Best == nil { // else the verdict says so
		lines = append(lines, words.NotEmpty(f.unsaidLine())...)
	}
	if f.Trial.Advisable() == nil {
		start, step := f.Trial.Start()
		lines = append(lines, fmt.Sprintf("Ladder: from %s, in rungs of %s", f.Trial.Rig.Named(start), f.Trial.Rig.ShowGrip(step)))
		if r.Ladder.Reason != "" {
			lines = append(lines, "! Steeper than usual: "+r.Ladder.Reason)
		}
	}
	if people := words.Join(r.People.Operator, r.People.Watcher); people != "" {
		lines = append(lines, "Operator: "+cmp.Or(r.People.Operator, "not given")+"; watcher: "+cmp.Or(r.People.Watcher, "not given"))
	}
	if f.Trial.Kind != session.Full {
		lines = append(lines, fmt.Sprintf("Kind:  %s, for %s", f.Trial.Kind, words.Join(r.Plan.Grip.String(), r.Plan.Speed.String())))
	}
	if budget := r.Limits.CableBudget.String(); budget != "" {
		lines = append(lines, "Cable this trial may use up: "+budget)
	}
	if x, err := show.NewExpectation(r, f.Trial); err == nil {
		lines = append(lines, x.Lines()...)
	}
	return lines
}

func (f Flow) fieldList() Question {
	q := Question{ID: "fields", Title: "Which value?"}
	for _, field := range jobFields {
		label := field.ask + ": " + cmp.Or(field.read(f.Record), "not given")
		q.Choices = append(q.Choices, Choice{Label: label, Do: editing(field.key)})
		if strings.HasPrefix(field.key, "people.") {
			q.Choices[len(q.Choices)-1].Do = namingPeople(field.key)
		}
	}
	for _, kind := range cardKinds {
		if len(kind.labels(f.Cards)) > 0 {
			q.Choices = append(q.Choices, Choice{Label: "The whole " + kind.name + ", from its card", Do: picking(kind.name)})
		}
	}
	if len(f.unsaid()) > 0 {
		q.Choices = append(q.Choices, Choice{Label: "All that is not said and later jobs are compared by", Do: sayCompared})
	}
	q.Choices = append(q.Choices, Choice{Label: "None", Do: GoTo(stepFirst)})
	return q
}

// editing asks for one value of the job.
func editing(key string) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) {
		f = f.at(stepField)
		f.draft.key = key
		return f, None{}
	}
}

// afterField is where an answered value leads: to what is asked next.
func afterField(f Flow) Flow { return f.at(stepFirst) }

// fieldQuestion asks for one value of the job and goes on as then says.
func (f Flow) fieldQuestion(key string, then func(Flow) Flow) Question {
	if f.draft.near != "" {
		return f.nearQuestion(key, then)
	}
	field := fieldByKey(key)
	on := func(f Flow) (Flow, Effect) { return then(f), None{} }
	q := Question{ID: key, Title: field.ask + "?"}
	now := field.read(f.Record)
	if now != "" {
		q.Body = []string{"Now: " + now}
		q.Choices = []Choice{{Label: "Keep it", Do: on, Rank: Minor}}
	} else if !field.need {
		q.Choices = append(f.picked(key, then), Choice{Label: "Leave it out", Do: on, Rank: Minor})
	}
	for _, kind := range cardKinds {
		if kind.first == key {
			q.Body = append(q.Body, f.unreadable(kind.name+"s")...)
		}
	}
	example := f.example(field)
	q.Enter = &Entering{Label: field.ask, Example: example, Now: now, Step: f.stepOf(key), Take: func(f Flow, text string) (Flow, Effect, error) {
		if near, ok := profiles.NearName(text, f.known(key)); ok {
			f.draft.typed, f.draft.near = text, near
			return f, None{}, nil
		}
		return f.valueTaken(key, text, then)
	}}
	return q
}

// valueTaken puts a value into the job and goes on as then says; an odd one is asked for
// once more.
func (f Flow) valueTaken(key, text string, then func(Flow) Flow) (Flow, Effect, error) {
	if err := session.Nothing(key, text); err != nil {
		return f, None{}, err
	}
	why := f.Trial.Odd(key, text)
	if f.draft.near != "" || profiles.KnownName(text, f.known(key)) {
		why = "" // it was asked once more, or is on a card
	}
	f.draft.typed, f.draft.near = "", ""
	return f.unlessOdd(text, why, func(f Flow) (Flow, Effect, error) {
		next, err := f.Record.With(key, text)
		if err != nil {
			e := Entering{Example: f.example(fieldByKey(key))}
			return f, None{}, fmt.Errorf("%w: write %s", err, cmp.Or(e.Figure(), fmt.Sprintf("it as in %q", e.Example)))
		}
		return then(f), ReplaceJob{f.complete(key, next)}, nil
	})
}

// example shows how a value is written, in the unit of its gauge where that is known.
func (f Flow) example(field jobField) string {
	example := field.examples[0]
	if !f.customary() {
		example = field.examples[1]
	}
	unit := ""
	switch field.key {
	case "rig.speed_limit", "rig.speed_division", "ladder.speed_start":
		unit = f.Trial.Rig.PushUnit
	case "rig.grip_division", "ladder.grip_start", "ladder.grip_step":
		if f.Trial.Rig.GripLimit.Known() {
			unit = f.Trial.Rig.GripUnit
		}
	}
	if unit == "" || strings.HasSuffix(example, " "+unit) {
		return example
	}
	for _, e := range field.examples {
		if strings.HasSuffix(e, " "+unit) {
			return e
		}
	}
	return "1 " + unit
}

// stepOf is the step of the gauge a value is set on, "" for every other value.
func (f Flow) stepOf(key string) string {
	switch key {
	case "ladder.grip_start", "ladder.grip_step":
		return f.Record.Rig.GripDivision.String()
	case "ladder.speed_start":
		return f.Record.Rig.SpeedDivision.String()
	}
	return ""
}

func fieldByKey(key string) jobField {
	for _, field := range jobFields {
		if field.key == key {
			return field
		}
	}
	panic("ui: no job field " + key)
}
