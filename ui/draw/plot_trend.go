package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/ui/words"
)

// Trend is the install settings of one cable and duct over temperature, in one unit each.
type Trend struct {
	Dots               []TrendDot
	Line               []TrendDot // drop-to settings of the open record
	Degrees, SpeedUnit string
	Legend             string
	Notes              []string // what is left out
}

// TrendDot is one setting; mark tells the rigs apart.
type TrendDot struct {
	Degrees, Speed float64
	Mark           rune
}

const (
	MarkOne     = '@' // the open record
	markSeveral = '*'
	MarkDropTo  = '-'
	RigMarks    = "abcdefghijklmnopqrstuvw"
	MarkOthers  = 'z' // rigs past the letters
)

// PlotTrend draws settings over temperature in at most h lines of w characters, the legend
// under them. It is empty where it would be too small to read.
func PlotTrend(t Trend, w, h int) []string {
	legend := words.Wrap(t.Legend+words.YesNo(crowded(t.Dots), "  "+string(markSeveral)+" several", ""), w)
	legend = legend[:min(len(legend), max(h/4, 1))]
	rows, columns := h-3-len(legend), w-plotMargin-1
	if len(t.Dots) == 0 || columns < leastPlotWidth-plotMargin || rows < leastPlotHeight-2 {
		return nil
	}
	left, right, top := t.extent()
	s := newSketch(columns, rows)
	s.x0, s.y0, s.sx, s.sy = left, top, float64(columns-1)/(right-left), float64(rows-1)/top
	for i, d := range t.Line { // each step holds up to its temperature
		from := left
		if i > 0 {
			from = t.Line[i-1].Degrees
		} else if at, ok := t.ofOne(); ok {
			from = at.Degrees
		}
		for x := from; x <= min(d.Degrees, right); x += (right - left) / float64(2*columns) {
			s.mark(x, d.Speed, d.Mark)
		}
	}
	t.markDots(s)
	lines := make([]string, 0, h)
	lines = append(lines, words.ClipTo(fmt.Sprintf("setting, %s, over cable temperature, %s", t.SpeedUnit, t.Degrees), w))
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
	return append(append(lines, words.ClipTo(scale, w)), legend...)
}

// extent is the part of the plane that is drawn, with round ends.
func (t Trend) extent() (left, right, top float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, d := range t.Dots {
		left, right, top = min(left, d.Degrees), max(right, d.Degrees), max(top, d.Speed)
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

func (t Trend) ofOne() (TrendDot, bool) {
	i := slices.IndexFunc(t.Dots, func(d TrendDot) bool { return d.Mark == MarkOne })
	if i < 0 {
		return TrendDot{}, false
	}
	return t.Dots[i], true
}

// markDots draws the settings; the open record and its fold over all others.
func (t Trend) markDots(s sketch) {
	seen := map[[2]int]rune{}
	for _, d := range t.Dots {
		at := [2]int{int(math.Round((d.Degrees - s.x0) * s.sx)), int(math.Round((s.y0 - d.Speed) * s.sy))}
		mark := d.Mark
		if was, ok := seen[at]; ok && was != mark && mark != MarkOne {
			if mark = markSeveral; was == MarkOne {
				mark = MarkOne
			}
		}
		seen[at] = mark
		s.mark(d.Degrees, d.Speed, mark)
	}
}

// crowded reports whether a mark may stand for several.
func crowded(dots []TrendDot) bool { return len(dots) > 1 }
