package draw

import (
	"fmt"
	"math"
	"strings"

	"brinkmark/session"
	"brinkmark/ui/words"

	"github.com/charmbracelet/lipgloss"

	q "brinkmark/session/quantity"
)

// marks are how pushes show on the map; a cell where kinds meet shows mixed.
var marks = map[session.Outcome]rune{session.Stall: '=', session.Slip: '~', session.Fold: '^', session.Void: '.'}

// outcomeLooks are how they are drawn.
var outcomeLooks = map[session.Outcome]Look{session.Stall: LookStall, session.Slip: LookSlip, session.Fold: LookFold, session.Void: LookText}

const (
	markNext  = 'X'
	markMixed = '*'
)

// shades are how a cell looks from each level of the fold chance on, and the legend.
var shades = [len(session.FoldLevels)]rune{',', ':', '%'}

// shadeLegend says it, on one line or two.
var shadeLegend = []string{"= stall ~ slip ^ fold X next", "would fold: , 3 : 10 % 50 in 100"}

// oneLine is parts of a text on one line, or where they do not fit each on lines of its own.
func oneLine(w int, gap string, parts ...string) (lines []string) {
	if line := strings.Join(parts, gap); lipgloss.Width(line) <= w {
		return []string{line}
	}
	for _, part := range parts {
		lines = append(lines, words.Wrap(part, w)...)
	}
	return lines
}

// Map draws grip pressure across and speed up: what each push found, the next
// setting, and how likely the cable folds.
func (c *Canvas) Map(r Rect, t session.Trial, o session.Outlook) {
	const axis = 7
	if o.Next == nil { // the job is not yet known
		c.Paragraph(r, "There is nothing to map yet.", LookText)
		return
	}
	rig := t.Rig
	title := oneLine(r.W, ", ", fmt.Sprintf("%s (%s) up", rig.Control(), rig.PushUnit), fmt.Sprintf("grip pressure (%s) across", rig.GripUnit))
	legend := oneLine(r.W, "   ", shadeLegend...)
	plot := Rect{r.X + axis, r.Y + len(title), r.W - axis - 1, r.H - len(title) - 2 - len(legend)}
	if plot.W < 11 || plot.H < 2 {
		c.Paragraph(r, "Too small to draw here.", LookText)
		return
	}
	next, hasNext := session.SettingOf(o.Next)
	topGrip, topSpeed := mapRange(t, next, hasNext)
	column := func(p float64) int { return plot.X + nthCell(p/topGrip, plot.W) }
	row := func(v float64) int { return plot.Y + plot.H - 1 - nthCell(v/topSpeed, plot.H) }

	c.Picture(r, title)
	c.shade(plot, o.FoldAt, func(y int) float64 { return topSpeed * float64(plot.Y+plot.H-1-y) / float64(plot.H-1) })
	for _, step := range []float64{0.25, 0.5, 0.75, 1} {
		v := step * topSpeed
		c.Write(r.X, row(v), r.X+axis-1, fmt.Sprintf("%5s", number(rig.ShowSpeed(v))), LookText)
		x := column(step * topGrip)
		c.Write(x-1, plot.Y+plot.H+1, r.X+r.W, number(rig.ShowGrip(q.Pressure(step*topGrip))), LookText)
	}
	for y := plot.Y; y < plot.Y+plot.H; y++ {
		c.set(plot.X-1, y, '|', LookText)
	}
	for x := plot.X; x < plot.X+plot.W; x++ {
		c.set(x, plot.Y+plot.H, '-', LookText)
	}
	c.plotPushes(t, column, row)
	if hasNext {
		c.set(column(float64(next.Grip)), row(next.Speed.Value), markNext, LookStrong)
	}
	c.Picture(Rect{r.X, r.Y + r.H - len(legend), r.W, len(legend)}, legend)
}

// nthCell is which of some cells a share of an axis falls into. Half-way between two it is the
// further one, however the share was rounded, so that a push stands beside its own figure.
func nthCell(share float64, cells int) int {
	return int(math.Floor(share*float64(cells-1) + 0.5 + 1e-9))
}

// shade marks every row by the fold chance at its speed.
func (c *Canvas) shade(plot Rect, levels [len(session.FoldLevels)]q.Maybe[float64], speed func(y int) float64) {
	for y := plot.Y; y < plot.Y+plot.H; y++ {
		mark := ' '
		for i, from := range levels {
			if v, ok := from.Get(); ok && speed(y) >= v {
				mark = shades[i]
			}
		}
		for x := plot.X; x < plot.X+plot.W; x += 2 {
			c.set(x, y, mark, LookText)
		}
	}
}

func (c *Canvas) plotPushes(t session.Trial, column func(float64) int, row func(float64) int) {
	seen := map[[2]int]session.Outcome{}
	for _, a := range t.Attempts() {
		at := [2]int{column(float64(a.Setting.Grip)), row(a.Setting.Speed.Value)}
		if before, ok := seen[at]; ok && before != a.Outcome {
			c.set(at[0], at[1], markMixed, LookFold)
			continue
		}
		seen[at] = a.Outcome
		c.set(at[0], at[1], marks[a.Outcome], outcomeLooks[a.Outcome])
	}
}

// mapRange is the highest grip pressure and speed shown: a little past all pushes.
func mapRange(t session.Trial, next session.Setting, hasNext bool) (grip, speed float64) {
	start, _ := t.Start()
	grip, speed = 2*float64(start.Grip), 2*start.Speed.Value
	see := func(s session.Setting) {
		grip, speed = max(grip, 1.15*float64(s.Grip)), max(speed, 1.15*s.Speed.Value)
	}
	for _, a := range t.Attempts() {
		see(a.Setting)
	}
	if hasNext {
		see(next)
	}
	return evenTop(grip, float64(q.From[q.Pressure](1, t.Rig.GripUnit))), evenTop(speed, speedUnit(t.Rig))
}

// speedUnit is one unit of the push control, as the engine counts.
func speedUnit(r session.Rig) float64 {
	if r.Reading(0).Unit == "m/s" {
		return float64(q.From[q.Speed](1, r.PushUnit))
	}
	return 1
}

// evenTop is the end of an axis, at or above v, whose quarters are round in this unit.
func evenTop(v, unit float64) float64 {
	quarter := v / unit / 4
	power := math.Pow(10, math.Floor(math.Log10(quarter)))
	for _, step := range []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10} {
		if step*power >= quarter*(1-1e-9) {
			return 4 * step * power * unit
		}
	}
	return v
}

// number is a quantity's text without its unit, short enough for an axis.
func number(text string) string {
	for i, r := range text {
		if r == ' ' {
			return words.ClipTo(text[:i], 5)
		}
	}
	return words.ClipTo(text, 5)
}
