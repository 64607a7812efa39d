package ask

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// noFigure stands for a figure nobody can give.
const noFigure = "--"

// progressFigures are the four the operator works by.
func (r RunFlow) progressFigures() []draw.BigFigure {
	eta := noFigure
	if at, known := r.view.ETA.Get(); known {
		eta = at.In(r.now.Location()).Format("15:04")
	}
	speed := noFigure
	if v, known := r.lastSpeed().Get(); known {
		speed, _, _ = strings.Cut(wholeSpeed(v, r.speedUnit()), " ")
	}
	return []draw.BigFigure{r.lengthFigure("in", r.view.Now.In), r.lengthFigure("left", r.view.Left), {Caption: r.speedUnit(), Text: speed}, {Caption: "there at", Text: eta}}
}

func (r RunFlow) lengthFigure(what string, l q.Maybe[q.Length]) draw.BigFigure {
	text, unit := noFigure, r.lengthUnit()
	if known := r.lengthText(l); known != "" {
		text, unit, _ = strings.Cut(known, " ")
	}
	return draw.BigFigure{Caption: unit + " " + what, Text: text}
}

func (r RunFlow) stopFigures(s run.Stopped) []draw.BigFigure {
	stands, unit, _ := strings.Cut(spanWords(s.Lasted(r.now)), " ")
	return []draw.BigFigure{r.lengthFigure("in", s.In), r.lengthFigure("left", r.view.Left), {Caption: unit + " it stands", Text: stands}}
}

// lengthUnit is what distances are told in: that of the cable's print.
func (r RunFlow) lengthUnit() string { return r.markUnit() }

func (r RunFlow) lengthText(l q.Maybe[q.Length]) string {
	v, known := l.Get()
	return knownText(known, func() string {
		return q.Text(q.From[q.Length](math.Round(q.In(v, r.lengthUnit())), r.lengthUnit()), r.lengthUnit())
	})
}

func wholeSpeed(v q.Speed, unit string) string {
	return q.Text(q.From[q.Speed](math.Round(q.In(v, unit)), unit), unit)
}

// alertSigns begin the words of an alert: sign and word say how soon, with no colour.
var alertSigns = map[run.When]string{run.Now: "!! NOW", run.Watch: "* WATCH"}

// alertWords say an alert: how soon, what, and what to do.
func alertWords(a run.Alert) []string {
	return []string{fmt.Sprintf("%s  %s %s", alertSigns[a.When], a.Says, a.Do)}
}

func (r RunFlow) alertLines() []string {
	var lines []string
	for _, a := range r.view.Alerts {
		lines = append(lines, alertWords(a)...)
	}
	return lines
}

// readingLines are the readings that stand, in one line.
func (r RunFlow) readingLines() []string {
	v := r.view
	var said []string
	if is, whole := v.Now.Setting(); whole {
		said = append(said, r.engine.Plan.Rig.Named(is))
	}
	for _, part := range [][2]string{{"air ", pressureText(v.Now.Air, r)}, {"cable ", r.temperature(v.Now.Cable)}, {"air in ", r.temperature(v.Now.Inlet)}} {
		if part[1] != "" {
			said = append(said, part[0]+part[1])
		}
	}
	if mark, known := v.Now.Printed.Get(); known {
		said = append(said, fmt.Sprintf("mark %s at %s", q.Text(mark, r.markUnit()), r.markedAt().In(r.now.Location()).Format("15:04")))
	}
	if len(said) == 0 {
		return nil
	}
	return []string{words.Capital(strings.Join(said, ", ")) + "."}
}

// stateLines are the readings that stand, where the head is, and what was expected there.
func (r RunFlow) stateLines() []string {
	v, lines := r.view, r.readingLines()
	if place, known := v.Place.Get(); known {
		lines = append(lines, words.Capital(place.Says(r.lengthUnit()))+".")
	}
	if expected, known := v.Predicted.Get(); known {
		line := "Expected here: " + wholeSpeed(expected, r.speedUnit())
		if pace, is := v.Pace.Get(); is {
			line += fmt.Sprintf("; now at %.0f %% of the pace it began with", 100*pace)
		}
		lines = append(lines, line+".")
	}
	return lines
}

// placeLines say where a stop is, to be found from the surface.
func (r RunFlow) placeLines(s run.Stopped) []string {
	in, known := s.In.Get()
	if !known {
		return []string{"How far in is not known: no mark was read."}
	}
	line := "Head " + reach.LengthText(in, r.lengthUnit()) + " from the duct's mouth"
	if place, known := s.Place.Get(); known {
		line += ": " + place.Says(r.lengthUnit())
	}
	return []string{line + "."}
}

// runningHelp says on what the figures rest.
func (r RunFlow) runningHelp() []string {
	lines := []string{
		"In: from the marks at the pointer. Speed: between the last two marks, or as read off. There at: as it goes now, slowing as the reach has it.",
		fmt.Sprintf("Moving %s, standing %s, %s, %s.", spanWords(r.view.Moving), spanWords(r.view.Stood), words.Count(len(r.view.Stops), "stop"), words.Count(len(r.view.Log), "point")),
	}
	if !r.engine.Plan.Reach.Known() {
		lines = append(lines, "No reach was worked out for this run: slowing is told against the first points, and of friction nothing can be said.")
	}
	return lines
}

// spanWords say a span in the largest of its units that still tells something.
func spanWords(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d < 3*time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case d < 2*day:
		return fmt.Sprintf("%d h", int(d.Hours()))
	case d < 60*day:
		return fmt.Sprintf("%d days", int(d/day))
	}
	return fmt.Sprintf("%d months", int(d/(365*day/12)))
}

// entryWords say an entry, as somebody would who takes it back.
func (r RunFlow) entryWords(e session.Entry) string {
	switch e := e.(type) {
	case session.Answer:
		if c, known := run.CheckByID(e.Item); known {
			return words.LowerFirst(strings.TrimSuffix(c.Ask, "?")) + ": " + cmp.Or(e.State, e.Value)
		}
		switch e.Item {
		case run.ItemProved:
			return "that the duct is " + words.YesNo(e.SkipReason == "", "proved", "left unproved")
		case run.ItemClosed:
			return "that the run is closed"
		case run.ItemLeft:
			return "that it was made safe before leaving"
		}
		return "the cautions, as read"
	case run.Proving:
		return "the duct's day sheet"
	case run.Dialled:
		return "the setting as read, " + r.engine.Plan.Rig.Named(e.Setting)
	case run.Start:
		return "that the cable moves, from mark " + q.Text(e.Printed, r.markUnit())
	case run.Point:
		return r.pointWords(e)
	case run.Stop:
		return "the stop: " + e.Reason
	case run.Restart:
		return "that it moves again"
	case run.End:
		return words.YesNo(e.Arrived, "that it arrived", "that it ended short")
	case run.Closing:
		return "what was found at the end"
	}
	return "the last entry"
}

// pointWords say what a line of the log has.
func (r RunFlow) pointWords(e run.Point) string {
	var said []string
	say := func(what, text string) {
		if text != "" {
			said = append(said, strings.TrimSpace(what+" "+text))
		}
	}
	if mark, known := e.Printed.Get(); known {
		say("mark", q.Text(mark, r.markUnit()))
	}
	if grip, known := e.Grip.Get(); known {
		say("grip pressure", r.engine.Plan.Rig.ShowGrip(grip))
	}
	if control, known := e.Control.Get(); known {
		say(r.engine.Plan.Rig.Control(), r.engine.Plan.Rig.ShowSpeed(control.Value))
	}
	say("air", pressureText(e.AirPressure, r))
	say("cable", r.temperature(e.CableTemperature))
	say("air in", r.temperature(e.InletAirTemperature))
	say("cable's speed", speedText(e.Speed, r))
	if e.Push.Known() {
		say("push gauge", "read")
	}
	say("", words.YesNo(e.Slip, "belts slip", ""))
	return cmp.Or(strings.Join(said, ", "), "a note")
}

// writtenWords say what the last entries were, once they are on disk.
func (r RunFlow) writtenWords(entries int) string {
	last, standing := r.lastEntry()
	if !standing || entries == 0 {
		return ""
	}
	n := r.engine.Entries[len(r.engine.Entries)-1]
	if _, undo := n.(session.Undo); undo {
		return "Taken back. Last now: " + r.entryWords(last) + "."
	}
	if _, answer := last.(session.Answer); answer {
		return ""
	}
	said := fmt.Sprintf("Written %s: %s", last.When().In(r.now.Location()).Format("15:04:05"), r.entryWords(last))
	if s := r.view.Now; len(r.view.Log) > 0 && s.Seq == last.Number() && s.Speed.Known() {
		said += ", " + speedText(s.Speed, r)
	}
	return said + "."
}
