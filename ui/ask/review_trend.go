package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// newTrend takes the settings of records, the coldest first. The open record, if one is,
// stands out, with its lowest fold and its drop-to settings. Withdrawn records are left
// out, and so are readings in another unit than the open record's, or than most have.
func newTrend(records []*profiles.Listed, one *openRecord, metric bool) draw.Trend {
	t := draw.Trend{Degrees: words.YesNo(metric, "°C", "°F")}
	units, withdrawn := map[string]int{}, 0
	for _, p := range records {
		units[speedUnitOf(p)]++
	}
	for unit, n := range units {
		if n > units[t.SpeedUnit] || n == units[t.SpeedUnit] && unit < t.SpeedUnit {
			t.SpeedUnit = unit
		}
	}
	if one != nil {
		t.SpeedUnit = speedUnitOf(one.Listed)
	}
	rigs, other := rigLetters(records), 0
	for _, p := range records {
		_, reading, temperature, known := p.Setting()
		speed, comparable := readingIn(reading, t.SpeedUnit)
		switch {
		case !known:
		case p.Stands == profiles.StandsWithdrawn && (one == nil || p.ID != one.ID):
			withdrawn++
		case !comparable:
			other++
		default:
			mark := rigs.of[rigKey(p)]
			if one != nil && p.ID == one.ID {
				mark = draw.MarkOne
			}
			t.Dots = append(t.Dots, draw.TrendDot{Degrees: q.In(temperature, t.Degrees), Speed: speed, Mark: mark})
		}
	}
	t.Legend = rigs.legend
	if one != nil {
		t.Legend = string(draw.MarkOne) + " this record  " + t.Legend
		ofRecord(&t, one)
	}
	if withdrawn > 0 {
		t.Notes = append(t.Notes, words.Count(withdrawn, "withdrawn record")+" left out.")
	}
	if other > 0 {
		t.Notes = append(t.Notes, words.Count(other, "record")+" left out: another push control, not read in "+t.SpeedUnit+".")
	}
	return t
}

// ofRecord adds the lowest fold and the drop-to settings of the open record.
func ofRecord(t *draw.Trend, o *openRecord) {
	_, _, temperature, known := o.Setting()
	if o.record == nil || o.record.Setting == nil || !known {
		return
	}
	lowest := math.Inf(1)
	for _, a := range o.flow.Trial.Attempts() {
		if v, ok := readingIn(a.Setting.Speed, t.SpeedUnit); ok && a.Outcome == session.Fold {
			lowest = min(lowest, v)
		}
	}
	if !math.IsInf(lowest, 1) {
		t.Dots = append(t.Dots, draw.TrendDot{Degrees: q.In(temperature, t.Degrees), Speed: lowest, Mark: '^'})
		t.Legend += "  ^ its lowest fold"
	}
	for _, d := range o.record.Setting.DropTo {
		upTo, err := q.Parse[q.Temperature](d.UpTo.String())
		reading, err2 := q.ParseReading(d.Speed.String())
		if v, ok := readingIn(reading, t.SpeedUnit); ok && err == nil && err2 == nil {
			t.Line = append(t.Line, draw.TrendDot{Degrees: q.In(upTo, t.Degrees), Speed: v, Mark: draw.MarkDropTo})
		}
	}
	if len(t.Line) > 0 {
		t.Legend += "  " + string(draw.MarkDropTo) + " its drop-to settings"
	}
}

// speedUnitOf is the unit a record's setting is written in.
func speedUnitOf(p *profiles.Listed) string {
	unit, err := q.ReadingUnit(p.Speed)
	if err != nil {
		return ""
	}
	return unit
}

// readingIn is a reading's number in a unit. A reading that is no true speed is never
// converted.
func readingIn(r q.Reading, unit string) (float64, bool) {
	if r.Unit != "m/s" {
		return r.Value, r.Unit == unit
	}
	if _, isSpeed, err := q.PushUnit(unit); err != nil || !isSpeed {
		return 0, false
	}
	return q.In(q.Speed(r.Value), unit), true
}

type rigLegend struct {
	of     map[string]rune
	legend string
}

func rigKey(p *profiles.Listed) string { return strings.ToLower(strings.TrimSpace(p.Rig)) }

// rigLetters gives each rig a letter, the ones with the most records first.
func rigLetters(records []*profiles.Listed) rigLegend {
	names, counts := map[string]string{}, map[string]int{}
	for _, p := range records {
		names[rigKey(p)] = cmp.Or(strings.TrimSpace(p.Rig), "no name")
		counts[rigKey(p)]++
	}
	order := make([]string, 0, len(names))
	for k := range names {
		order = append(order, k)
	}
	slices.SortFunc(order, func(a, b string) int { return cmp.Or(cmp.Compare(counts[b], counts[a]), strings.Compare(a, b)) })
	l := rigLegend{of: map[string]rune{}}
	var said []string
	for i, k := range order {
		if i >= len(draw.RigMarks) {
			l.of[k] = draw.MarkOthers
			continue
		}
		l.of[k] = rune(draw.RigMarks[i])
		said = append(said, fmt.Sprintf("%c %s", draw.RigMarks[i], names[k]))
	}
	if len(order) > len(draw.RigMarks) {
		said = append(said, fmt.Sprintf("%c %d other rigs", draw.MarkOthers, len(order)-len(draw.RigMarks)))
	}
	l.legend = strings.Join(said, "  ")
	return l
}
