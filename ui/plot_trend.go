package ui

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// trend is the install settings of one cable and duct over temperature, in one unit each.
type trend struct {
	dots               []trendDot
	line               []trendDot // drop-to settings of the open record
	degrees, speedUnit string
	legend             string
	notes              []string // what is left out
}

// trendDot is one setting; mark tells the rigs apart.
type trendDot struct {
	degrees, speed float64
	mark           rune
}

const (
	markOne     = '@' // the open record
	markSeveral = '*'
	markDropTo  = '-'
	rigMarks    = "abcdefghijklmnopqrstuvw"
	markOthers  = 'z' // rigs past the letters
)

// newTrend takes the settings of records, the coldest first. The open record, if one is,
// stands out, with its lowest fold and its drop-to settings. Withdrawn records are left
// out, and so are readings in another unit than the open record's, or than most have.
func newTrend(records []*profiles.Listed, one *openRecord, metric bool) trend {
	t := trend{degrees: yesNo(metric, "°C", "°F")}
	units, withdrawn := map[string]int{}, 0
	for _, p := range records {
		units[speedUnitOf(p)]++
	}
	for unit, n := range units {
		if n > units[t.speedUnit] || n == units[t.speedUnit] && unit < t.speedUnit {
			t.speedUnit = unit
		}
	}
	if one != nil {
		t.speedUnit = speedUnitOf(one.Listed)
	}
	rigs, other := rigLetters(records), 0
	for _, p := range records {
		_, reading, temperature, known := p.Setting()
		speed, comparable := readingIn(reading, t.speedUnit)
		switch {
		case !known:
		case p.Stands == profiles.StandsWithdrawn && (one == nil || p.ID != one.ID):
			withdrawn++
		case !comparable:
			other++
		default:
			mark := rigs.of[rigKey(p)]
			if one != nil && p.ID == one.ID {
				mark = markOne
			}
			t.dots = append(t.dots, trendDot{q.In(temperature, t.degrees), speed, mark})
		}
	}
	t.legend = rigs.legend
	if one != nil {
		t.legend = string(markOne) + " this record  " + t.legend
		t.ofRecord(one)
	}
	if withdrawn > 0 {
		t.notes = append(t.notes, count(withdrawn, "withdrawn record")+" left out.")
	}
	if other > 0 {
		t.notes = append(t.notes, count(other, "record")+" left out: another push control, not read in "+t.speedUnit+".")
	}
	return t
}

// ofRecord adds the lowest fold and the drop-to settings of the open record.
func (t *trend) ofRecord(o *openRecord) {
	_, _, temperature, known := o.Setting()
	if o.record == nil || o.record.Setting == nil || !known {
		return
	}
	lowest := math.Inf(1)
	for _, a := range o.flow.Trial.Attempts() {
		if v, ok := readingIn(a.Setting.Speed, t.speedUnit); ok && a.Outcome == session.Fold {
			lowest = min(lowest, v)
		}
	}
	if !math.IsInf(lowest, 1) {
		t.dots = append(t.dots, trendDot{q.In(temperature, t.degrees), lowest, '^'})
		t.legend += "  ^ its lowest fold"
	}
	for _, d := range o.record.Setting.DropTo {
		upTo, err := q.Parse[q.Temperature](d.UpTo.String())
		reading, err2 := q.ParseReading(d.Speed.String())
		if v, ok := readingIn(reading, t.speedUnit); ok && err == nil && err2 == nil {
			t.line = append(t.line, trendDot{q.In(upTo, t.degrees), v, markDropTo})
		}
	}
	if len(t.line) > 0 {
		t.legend += "  " + string(markDropTo) + " its drop-to settings"
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
		names[rigKey(p)] = either(strings.TrimSpace(p.Rig), "no name")
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
		if i >= len(rigMarks) {
			l.of[k] = markOthers
			continue
		}
		l.of[k] = rune(rigMarks[i])
		said = append(said, fmt.Sprintf("%c %s", rigMarks[i], names[k]))
	}
	if len(order) > len(rigMarks) {
		said = append(said, fmt.Sprintf("%c %d other rigs", markOthers, len(order)-len(rigMarks)))
	}
	l.legend = strings.Join(said, "  ")
	return l
}

// PlotTrend draws settings over temperature in at most h lines of w characters, the legend
// under them. It is empty where it would be too small to read.
func PlotTrend(t trend, w, h int) []string {
	legend := wrap(t.legend+yesNo(crowded(t.dots), "  "+string(markSeveral)+" several", ""), w)
	legend = legend[:min(len(legend), max(h/4, 1))]
	rows, columns := h-3-len(legend), w-plotMargin-1
	if len(t.dots) == 0 || columns < leastPlotWidth-plotMargin || rows < leastPlotHeight-2 {
		return nil
	}
	left, right, top := t.extent()
	s := newSketch(columns, rows)
	s.x0, s.y0, s.sx, s.sy = left, top, float64(columns-1)/(right-left), float64(rows-1)/top
	for i, d := range t.line { // each step holds up to its temperature
		from := left
		if i > 0 {
			from = t.line[i-1].degrees
		} else if at, ok := t.ofOne(); ok {
			from = at.degrees
		}
		for x := from; x <= min(d.degrees, right); x += (right - left) / float64(2*columns) {
			s.mark(x, d.speed, d.mark)
		}
	}
	t.markDots(s)
	lines := make([]string, 0, h)
	lines = append(lines, clipTo(fmt.Sprintf("setting, %s, over cable temperature, %s", t.speedUnit, t.degrees), w))
	for i, cells := range s.lines() {
		label := ""
		if i == 0 || i == rows-1 || i == rows/2 {
			label = figureOf(top - top*float64(i)/float64(rows-1))
		}
		lines = append(lines, strings.TrimRight(fmt.Sprintf("%*s |%s", plotMargin-1, label, cells), " "))
	}
	first, middle, last := figureOf(left), figureOf((left+right)/2), figureOf(right)
	lines = append(lines, strings.Repeat(" ", plotMargin)+"+"+strings.Repeat("-", columns))
	gap := columns/2 - len(first) - len(middle)/2
	scale := strings.Repeat(" ", plotMargin+1) + first + strings.Repeat(" ", max(gap, 1)) + middle
	scale += strings.Repeat(" ", max(w-len(scale)-len(last), 1)) + last
	return append(append(lines, clipTo(scale, w)), legend...)
}

// extent is the part of the plane that is drawn, with round ends.
func (t trend) extent() (left, right, top float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, d := range t.dots {
		left, right, top = min(left, d.degrees), max(right, d.degrees), max(top, d.speed)
	}
	const round = 10
	left, right = round*math.Floor(left/round), round*math.Ceil(right/round)
	if right-left < round {
		right = left + round
	}
	if top <= 0 {
		top = 1
	}
	return left, right, evenTop(top, 1)
}

func (t trend) ofOne() (trendDot, bool) {
	i := slices.IndexFunc(t.dots, func(d trendDot) bool { return d.mark == markOne })
	if i < 0 {
		return trendDot{}, false
	}
	return t.dots[i], true
}

// markDots draws the settings; the open record and its fold over all others.
func (t trend) markDots(s sketch) {
	seen := map[[2]int]rune{}
	for _, d := range t.dots {
		at := [2]int{int(math.Round((d.degrees - s.x0) * s.sx)), int(math.Round((s.y0 - d.speed) * s.sy))}
		mark := d.mark
		if was, ok := seen[at]; ok && was != mark && mark != markOne {
			if mark = markSeveral; was == markOne {
				mark = markOne
			}
		}
		seen[at] = mark
		s.mark(d.degrees, d.speed, mark)
	}
}

// crowded reports whether a mark may stand for several.
func crowded(dots []trendDot) bool { return len(dots) > 1 }
