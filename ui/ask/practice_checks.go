package ask

import (
	"fmt"
	"slices"
	"strings"

	"brinkmark/session"
	"brinkmark/session/practice"

	q "brinkmark/session/quantity"
)

// look shows what one sees who looks at what a check is about, and leaves the judgement to
// the trainee: the answers come in another order at each push, and what is seen may be
// wrong.
func (p *PracticeTrial) look(f Flow, q Question) Question {
	for _, c := range f.Trial.DueChecks(f.Now, nil) {
		for i, row := range q.Rows {
			if row[0] == c.Ask && q.ID == "block" {
				q.Rows = slices.Clone(q.Rows)
				q.Rows[i][1] = p.sees(f, c)
			}
		}
		if q.ID == c.ID {
			before := p.before(c)
			if before != "" { // it says all that came of the last answer
				q.Title, q.Body = strings.TrimPrefix(q.Title, notRight), slices.Clone(q.Body)
				q.Body = slices.DeleteFunc(q.Body, func(line string) bool { return slices.Contains(f.saidWrong(c), line) })
				for i, line := range q.Body {
					q.Body[i] = strings.TrimPrefix(line, putRight)
				}
			}
			q.Body = append([]string{before + "You see: " + p.sees(f, c)}, q.Body...)
			q.Choices = p.shuffled(c, q.Choices)
			return q
		}
	}
	if q.ID == "block" {
		q.Title = "Look at each: is all of it right?"
		q.Choices = slices.Clone(q.Choices)
		q.Choices[0].Label = fmt.Sprintf("All %d are right", len(q.Rows))
	}
	return q
}

// What is said where the last answer to a check was a wrong one.
const (
	notRight = "Not right yet. "
	putRight = "Put it right, then answer again: "
)

// before says what came of the last answer to a check, where it is asked again for it.
func (p *PracticeTrial) before(c session.Check) string {
	if p.Bench.Mended(c.ID) {
		return "It was put right. "
	}
	all := p.Bench.Misjudged()
	if n := len(all); n > 0 && all[n-1].Alarm && all[n-1].Check.ID == c.ID && all[n-1].Push == p.Bench.Made()+1 {
		return fmt.Sprintf("You said %q. Nothing like it is to be seen: look once more. ", all[n-1].Said)
	}
	return ""
}

// sees is what is seen at a check, with the figure where one is asked for.
func (p *PracticeTrial) sees(f Flow, c session.Check) string {
	sight, _ := p.Bench.Sees(c.ID)
	if figure := p.figure(f, c); figure != "" {
		return sight.Seen + " " + figure
	}
	return sight.Seen
}

// figure is what is read at a check that asks for one.
func (p *PracticeTrial) figure(f Flow, c session.Check) string {
	length, measured := p.Bench.Measures(c.ID).Get()
	switch {
	case c.Asks == session.AskTemperature: // the same everywhere on this rig
		return "It reads " + session.WholeDegrees(p.Bench.Temperature(), f.Trial.Conditions.Unit) + "."
	case measured && f.customary():
		return "It measures " + q.Text(length, q.PreferredDiameter(q.Customary)) + "."
	case measured:
		return "It measures " + q.Text(length, q.PreferredDiameter(q.Metric)) + "."
	case len(c.States) == 0:
		return "A practice rig has no figure for it: write one, or leave it out."
	}
	return ""
}

// shuffled are the ways on from a check, its states in the order of this push; a value can
// be called badly measured.
func (p *PracticeTrial) shuffled(c session.Check, choices []Choice) []Choice {
	out := slices.Clone(choices)
	var places []int
	for i, choice := range out {
		if slices.Contains(c.States, choice.Label) {
			places = append(places, i)
		}
	}
	for i, from := range p.Bench.Order(c.ID, len(places)) {
		out[places[i]] = choices[places[from]]
	}
	if len(c.States) == 0 {
		out = append(out, Choice{Label: practice.MeasureAgain, Rank: Minor, Do: func(f Flow) (Flow, Effect) {
			return f.at(stepFirst), onRig{trial: p, again: c.ID}
		}})
	}
	return out
}

// misjudgedLines tell what was misjudged before a push, once it is over.
func misjudgedLines(all []practice.Misjudged, push int) []string {
	var lines []string
	for _, m := range all {
		if m.Push != push {
			continue
		}
		line := "Before it you called wrong what was right. "
		if !m.Alarm {
			line = "! Before it you called right what was wrong. "
		}
		lines = append(lines, line+m.String()+" "+m.Check.How)
	}
	return lines
}
