package ask

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"brinkmark/profiles"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// table asks for a route row by row.
func (p reachPage) table() Question {
	rows := p.run.Sections
	question := Question{ID: "reach-table", Title: fmt.Sprintf("Row %d, from the drive on", len(rows)+1), Help: append([]string{
		"A straight has a length and a slope; a bend an angle, a radius and the side it turns to.",
		"Between a level part and a steep one there is a bend up or down: leave none out."}, reachWhy...)}
	straight, bend := p.ReachFlow, p.ReachFlow
	straight.part, bend.part = profiles.RouteSection{}, profiles.RouteSection{}
	question.Choices = []Choice{p.to("A straight", straight.at(reachLength), Major), p.to("A bend", bend.at(reachBend), Major)}
	if len(rows) == 0 {
		question.Body = []string{"Nothing so far."}
		return question
	}
	question.Body = tableLines(rows)
	shorter := p.ReachFlow
	shorter.run.Sections = rows[:len(rows)-1]
	if _, err := profiles.NewRoute(rows); err != nil {
		question.Body = append([]string{"! Not a route yet: " + err.Error() + "."}, question.Body...)
	} else {
		done := p.ReachFlow
		done.passed[reachRoute] = true
		question.Choices = append(question.Choices, p.to("That is all of it", done.next(), Major))
	}
	question.Choices = append(question.Choices, p.to("Undo the last row", shorter.at(reachTable), Minor))
	return question
}

const rowsShown = 6

// tableLines are the length so far and the last rows, the last one first.
func tableLines(rows []profiles.RouteSection) []string {
	var lines []string
	if route, err := profiles.NewRoute(rows); err == nil {
		unit := "m"
		for _, r := range rows {
			if u, err := q.Unit[q.Length](r.Length.String()); err == nil && r.Length.String() != "" {
				unit = u
				break
			}
		}
		lines = append(lines, fmt.Sprintf("So far %s, bends of %s in all.", reach.LengthText(route.Length(), unit), q.Text(route.Bends(), "deg")))
		for _, w := range route.Warnings {
			lines = append(lines, "! "+words.Capital(w)+".")
		}
	}
	for i := len(rows) - 1; i >= max(0, len(rows)-rowsShown); i-- {
		lines = append(lines, fmt.Sprintf("Row %d: %s", i+1, rowText(rows[i])))
	}
	if more := len(rows) - rowsShown; more > 0 {
		lines = append(lines, fmt.Sprintf("And %d before.", more))
	}
	return lines
}

func rowText(s profiles.RouteSection) string {
	if s.Length.String() != "" {
		slope := "level"
		if s.Slope.String() != "" {
			slope = "slope " + s.Slope.String()
		}
		return "straight " + s.Length.String() + ", " + slope
	}
	return fmt.Sprintf("bend %s, radius %s, %s", s.Bend, s.Radius, cmp.Or(s.Plane, "level"))
}

func (p reachPage) slope() Question {
	level := p.ReachFlow
	level.part.Slope = profiles.Quantity[q.Angle]{}
	take := figureOfRun("section.slope", func(r *ReachFlow) *profiles.Quantity[q.Angle] { return &r.part.Slope })
	return Question{ID: "reach-slope", Title: "Does this straight rise or fall?", Help: reachWhy,
		Body:    []string{"Away from the drive: rising is positive, falling has a minus. One in a hundred is 0.57 deg."},
		Choices: []Choice{p.to("Level", level.withRow(), Major)},
		Enter: &Entering{Label: "Slope", Example: "1.5 deg", Take: func(f Flow, text string) (Flow, Effect, error) {
			next, err := take(p.ReachFlow, text)
			if err != nil {
				return f, None{}, err
			}
			return f, p.turn(next.withRow()), nil
		}}}
}

func (p reachPage) bend() Question {
	question := Question{ID: "reach-bend", Title: "By how much does it turn?", Help: reachWhy, Body: []string{"Any other angle can be typed."}}
	for _, angle := range []string{"90 deg", "45 deg", "30 deg", "22.5 deg"} {
		next := p.ReachFlow
		next.part.Bend, _ = profiles.NewQuantity[q.Angle](angle)
		question.Choices = append(question.Choices, p.to(angle, next.at(reachRadius), Major))
	}
	take := figureOfRun("section.bend", func(r *ReachFlow) *profiles.Quantity[q.Angle] { return &r.part.Bend })
	question.Enter = &Entering{Label: "Angle", Example: "60 deg", Take: func(f Flow, text string) (Flow, Effect, error) {
		next, err := take(p.ReachFlow, text)
		if err != nil {
			return f, None{}, err
		}
		return f, p.turn(next.at(reachRadius)), nil
	}}
	return question
}

func (p reachPage) side() Question {
	question := Question{ID: "reach-side", Title: "To which side, going away from the drive?", Help: reachWhy, Body: []string{"Left or right changes only the drawing; up and down count."}}
	for _, side := range [][2]string{{"left", "Left"}, {"right", "Right"}, {"up", "Up"}, {"down", "Down"}, {"level", "To a side, not known which"}} {
		next := p.ReachFlow
		next.part.Plane = side[0]
		question.Choices = append(question.Choices, p.to(side[1], next.withRow(), Major))
	}
	return question
}

// withRow adds the row under way to the table, unless no route can be so.
func (r ReachFlow) withRow() ReachFlow {
	rows := append(slices.Clone(r.run.Sections), r.part)
	next := r.at(reachTable)
	if err := rowError(rows); err != nil {
		next.problem = "Row not taken: " + err.Error() + "."
		return next
	}
	next.run.Sections = rows
	return next
}

// rowError says why a row cannot follow those before it. That the whole is too short, or
// too long, is said beside the table.
func rowError(rows []profiles.RouteSection) error {
	_, err := profiles.NewRoute(rows)
	var bad *reach.FieldError
	if errors.As(err, &bad) && bad.Field == "section" {
		return nil
	}
	return err
}
