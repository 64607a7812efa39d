package ask

import (
	"fmt"
	"math"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
)

// wasTemperature is a cable temperature that is not the one pushes were made under: either the
// cable has changed since, or what stood on record was never so.
type wasTemperature struct {
	was, now string
	reason   string
	reading  profiles.Answer
}

// mistypedApart is how far apart two readings are before it is asked which of the two it is: about
// what a band spans. Common practice, no source.
const mistypedApart q.Temperature = 4 // K

// temperatureNow writes a cable temperature that is another than the one in force. Where pushes were
// made under that, and it is far off, it asks first whether they were.
func (f Flow) temperatureNow(text, reason string, reading profiles.Answer) (Flow, Effect, error) {
	was, known := f.Trial.Conditions.CableTemperature.Get()
	now, err := q.Parse[q.Temperature](text)
	if err != nil {
		return f, None{}, err
	}
	if known && f.Trial.PushedSinceTemperature() && math.Abs(float64(now-was)) > float64(mistypedApart) {
		f.draft.was = &wasTemperature{q.Text(was, f.Trial.Conditions.Unit), text, reason, reading}
		return f, None{}, nil
	}
	next, effect := f.nowWarm(text, reason, false, reading)
	return next, effect, nil
}

func (f Flow) nowWarm(text, reason string, corrects bool, reading profiles.Answer) (Flow, Effect) {
	f.draft.was = nil
	change := profiles.Change{Key: cableTemperature, Value: text, Reason: reason, Corrects: corrects}
	return f.at(stepFirst), Append{[]profiles.Entry{change, reading}}
}

// question asks which of the two it is. Nothing is written before.
func (w wasTemperature) question() Question {
	return Question{
		ID: "temperature-was", Title: fmt.Sprintf("Pushed at %s by the record, and now %s?", w.was, w.now),
		Body: []string{"Pushes were made since. They count at the temperature they were made at.", "Was the cable ever at " + w.was + "?"},
		Choices: []Choice{
			{Label: "Yes: it has changed since", Do: func(f Flow) (Flow, Effect) { return f.nowWarm(w.now, w.reason, false, w.reading) }},
			{Label: "Never: mistyped, it was " + w.now, Do: func(f Flow) (Flow, Effect) {
				return f.nowWarm(w.now, w.was+" was mistyped: the cable was never so", true, w.reading)
			}},
			{Label: "Type it again", Rank: Minor, Do: func(f Flow) (Flow, Effect) {
				f.draft.was = nil
				return f, None{}
			}},
		},
		Help: []string{"A cable that was warmer at a push folds at another push than a colder one. So the record must say how warm it was at each.",
			"If it was only written wrongly, all pushes since then count at what is right."},
	}
}
