package ui

import (
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
)

// jobField is one value of the job: its record key and how to ask for it.
type jobField struct {
	key, ask, example string
	need              bool
	read              func(profiles.Record) string
}

// jobFields are the values the job stage asks for, those that are needed first.
// Every other key of a record can be given in a file.
var jobFields = []jobField{
	{"cable.make", "Cable make", "Northmoor", true, func(r profiles.Record) string { return r.Cable.Make }},
	{"cable.type", "Cable type", "LT-96 loose tube", true, func(r profiles.Record) string { return r.Cable.Type }},
	{"duct.size", "Duct size", "1.25 in SDR 11", true, func(r profiles.Record) string { return r.Duct.Size }},
	{"conditions.cable_temperature", "Cable temperature", "41 F", true, func(r profiles.Record) string { return r.Conditions.CableTemperature.String() }},
	{"rig.push_control", "What do you turn to make it push harder", "belt speed", false, func(r profiles.Record) string { return r.Rig.PushControl }},
	{"rig.speed_limit", "Highest reading of that control, with its unit", "220 ft/min", true, func(r profiles.Record) string { return r.Rig.SpeedLimit.String() }},
	{"rig.speed_division", "Smallest step one can set on it", "5 ft/min", false, func(r profiles.Record) string { return r.Rig.SpeedDivision.String() }},
	{"rig.grip_limit", "Highest grip pressure of the drive", "60 psi", true, func(r profiles.Record) string { return r.Rig.GripLimit.String() }},
	{"rig.grip_division", "Smallest step on the grip pressure gauge", "1 psi", false, func(r profiles.Record) string { return r.Rig.GripDivision.String() }},
	{"ladder.grip_start", "First grip pressure", "4 psi", false, func(r profiles.Record) string { return r.Ladder.GripStart.String() }},
	{"ladder.grip_step", "Rung of grip pressure", "2 psi", false, func(r profiles.Record) string { return r.Ladder.GripStep.String() }},
	{"ladder.speed_start", "First speed", "40 ft/min", false, func(r profiles.Record) string { return r.Ladder.SpeedStart.String() }},
	{"limits.cable_budget", "Cable this trial may use up", "8 m", false, func(r profiles.Record) string { return r.Limits.CableBudget.String() }},
	{"cable.reel", "Reel number", "NM-20417", false, func(r profiles.Record) string { return r.Cable.Reel }},
	{"rig.name", "Rig", "Rig 2", false, func(r profiles.Record) string { return r.Rig.Name }},
	{"people.operator", "Operator", "initials", false, func(r profiles.Record) string { return r.People.Operator }},
	{"people.watcher", "Watcher", "initials", false, func(r profiles.Record) string { return r.People.Watcher }},
}

func jobQuestion(f Flow) Question {
	switch f.draft.step {
	case stepField:
		return f.fieldQuestion(f.draft.key)
	case stepFields:
		return f.fieldList()
	}
	for _, field := range jobFields {
		if field.need && field.read(f.Record) == "" {
			return f.fieldQuestion(field.key)
		}
	}
	return f.jobSummary()
}

func (f Flow) jobSummary() Question {
	q := Question{ID: "job", Title: "Is this the job?", Body: f.jobLines()}
	q.Help = []string{
		"Cable make, cable type, temperature and duct size are the key the result is kept under.",
		"The result holds for those and for nothing else.",
	}
	if err := f.Trial.Advisable(); err != nil {
		q.Title = "This job cannot start yet"
		q.Body = append(q.Body, strings.Split(err.Error(), "\n")...)
	} else {
		q.Choices = append(q.Choices, Choice{Label: "Yes, start the trial", do: write(f.answer(session.ItemJob, session.JobAgreed, ""))})
	}
	q.Choices = append(q.Choices, Choice{Label: "Change a value", do: goTo(stepFields), rank: minor}, leaving)
	return q
}

// jobLines are the job as the crew reads it, the ladder written out.
func (f Flow) jobLines() []string {
	r := f.Record
	lines := []string{
		"Cable: " + join(r.Cable.Make, r.Cable.Type, r.Cable.Reel),
		"Duct:  " + r.Duct.Size,
		"Cable temperature: " + r.Conditions.CableTemperature.String(),
		fmt.Sprintf("Rig:   %s, up to %s and %s", either(r.Rig.Name, "no name"), r.Rig.GripLimit, r.Rig.SpeedLimit),
	}
	if f.Trial.Advisable() == nil {
		start, step := f.Trial.Start()
		lines = append(lines, fmt.Sprintf("Ladder: from %s, grip pressure in rungs of %s", f.Trial.Rig.Show(start), f.Trial.Rig.ShowGrip(step)))
	}
	if f.Trial.Kind != session.Full {
		lines = append(lines, fmt.Sprintf("Kind:  %s, for %s", f.Trial.Kind, join(r.Plan.Grip.String(), r.Plan.Speed.String())))
	}
	if budget := r.Limits.CableBudget.String(); budget != "" {
		lines = append(lines, "Cable this trial may use up: "+budget)
	}
	return lines
}

func (f Flow) fieldList() Question {
	q := Question{ID: "fields", Title: "Which value?"}
	for _, field := range jobFields {
		label := field.ask + ": " + either(field.read(f.Record), "not given")
		q.Choices = append(q.Choices, Choice{Label: label, do: func(f Flow) (Flow, Effect) {
			f = f.at(stepField)
			f.draft.key = field.key
			return f, None{}
		}})
	}
	q.Choices = append(q.Choices, Choice{Label: "None", do: goTo(stepFirst)})
	return q
}

func (f Flow) fieldQuestion(key string) Question {
	field := fieldByKey(key)
	q := Question{ID: key, Title: field.ask + "?"}
	if v := field.read(f.Record); v != "" {
		q.Body = []string{"Now: " + v}
		q.Choices = []Choice{{Label: "Keep it", do: goTo(stepFirst), rank: minor}}
	} else if !field.need {
		q.Choices = []Choice{{Label: "Leave it out", do: goTo(stepFirst), rank: minor}}
	}
	q.Enter = &Entering{Label: field.ask, Example: field.example, take: func(f Flow, text string) (Flow, Effect, error) {
		next, err := f.Record.With(key, text)
		if err != nil {
			return f, None{}, err
		}
		return f.at(stepFirst), ReplaceJob{next}, nil
	}}
	return q
}

func fieldByKey(key string) jobField {
	for _, field := range jobFields {
		if field.key == key {
			return field
		}
	}
	panic("ui: no job field " + key)
}

func join(parts ...string) string {
	var said []string
	for _, p := range parts {
		if p != "" {
			said = append(said, p)
		}
	}
	return strings.Join(said, ", ")
}

func either(text, other string) string {
	if text == "" {
		return other
	}
	return text
}
