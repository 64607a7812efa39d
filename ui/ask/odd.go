package ask

import (
	"fmt"
	"strings"
	"unicode"

	"brinkmark/profiles"

	q "brinkmark/session/quantity"
)

// oddValue is a value that does not go with what is known, and what it does once it is
// confirmed. It is asked for once more: a slip of the finger is far commoner than an odd
// job, but the crew sees the thing and this program does not.
type oddValue struct {
	text, why string
	taken     func(Flow) (Flow, Effect, error)
}

// unlessOdd takes a value, or asks for it once more when there is a reason to.
func (f Flow) unlessOdd(text, why string, take func(Flow) (Flow, Effect, error)) (Flow, Effect, error) {
	next, effect, err := take(f)
	if err != nil || why == "" {
		return next, effect, err
	}
	f.draft.odd = &oddValue{text, why, take}
	return f, None{}, nil
}

// question asks for an odd value once more. The way back comes first: who presses on
// without reading types it again.
func (o oddValue) question() Question {
	typed := func(f Flow) Flow {
		f.draft.odd = nil
		return f
	}
	return oddQuestion(o.text, o.why,
		Choice{Do: func(f Flow) (Flow, Effect) { return typed(f), None{} }},
		Choice{Do: func(f Flow) (Flow, Effect) {
			next, effect, err := o.taken(typed(f))
			if err != nil { // it was a value a moment ago: ask again
				return typed(f), None{}
			}
			return next, effect
		}})
}

// oddQuestion is the page for an odd value, with the ways on to type it again and to keep it.
func oddQuestion(text, why string, again, keep Choice) Question {
	again.Label, keep.Label = "No: type it again", "Yes, "+text+" is right"
	return Question{
		ID: "odd", Title: "Really " + text + "?", Body: []string{why, "Look at it once more, number and unit."}, Choices: []Choice{again, keep},
		Help: []string{"What was typed does not go with what is known of this job. If it is right all the same, it is taken as it is."},
	}
}

// runOdd is a value of a run that is asked for once more, and where it leads.
type runOddValue struct {
	text, why string
	next      RunFlow
}

// unlessOdd goes on to where a value leads, or asks for it once more.
func (r RunFlow) unlessOdd(text, why string, next RunFlow) RunFlow {
	if why == "" {
		return next
	}
	r = r.at(runOdd)
	r.draft.odd = &runOddValue{text, why, next}
	return r
}

func (p runPage) oddValue() Question {
	o := p.draft.odd
	return oddQuestion(o.text, o.why, p.to("", p.previous(), Major), p.to("", o.next, Major))
}

// Figure says in words how a number is written that is asked for, "" where a text is. No
// figure stands there: beside a pressure or a temperature an example is typed for real.
func (e Entering) Figure() string {
	number, unit, _ := strings.Cut(e.Example, " ")
	if e.Known != "" || !e.Numeric() {
		return e.Known
	}
	if unit == "" {
		unit = strings.TrimLeftFunc(number, func(r rune) bool { return unicode.IsDigit(r) || r == '.' || r == '-' })
	}
	if unit == "" {
		return "a number"
	}
	return fmt.Sprintf("%s with its unit, such as %s", kindWord(e.Example), unit)
}

// kindWord is what a value is called that is written like an example.
func kindWord(example string) string {
	reads := func(_ any, err error) bool { return err == nil }
	switch {
	case reads(q.Parse[q.Temperature](example)):
		return "a temperature"
	case reads(q.Parse[q.Pressure](example)):
		return "a pressure"
	case reads(q.Parse[q.Length](example)):
		return "a length"
	case reads(q.Parse[q.Speed](example)):
		return "a speed"
	case reads(q.Parse[q.Force](example)):
		return "a force"
	case reads(q.Parse[q.LinearDensity](example)):
		return "a mass per length"
	case reads(q.Parse[q.FlowRate](example)):
		return "an air flow"
	case reads(profiles.NewSpan(example)):
		return "a time"
	}
	return "a number"
}

// Numeric reports whether a number with at most a unit is wanted, as the example shows. A
// second word with digits is a duct's series, but for the unit of a stiffness.
func (e Entering) Numeric() bool {
	if _, err := q.Parse[q.Stiffness](e.Example); err == nil {
		return true
	}
	unit := strings.TrimLeftFunc(e.Example, func(r rune) bool { return unicode.IsDigit(r) || r == '.' || r == '-' })
	return strings.ContainsAny(e.Example[:len(e.Example)-len(unit)], "0123456789") && (unit == "" || unit[0] == ' ') &&
		(strings.Count(unit, " ") < 2 || !strings.ContainsAny(unit, "0123456789"))
}
