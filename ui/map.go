package ui

import (
	"fmt"
	"math"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// marks are how pushes show on the map; a cell where kinds meet shows mixed.
var marks = map[session.Outcome]rune{session.Stall: '=', session.Slip: '~', session.Fold: '^', session.Void: '.'}

// outcomeLooks are how they are drawn.
var outcomeLooks = map[session.Outcome]look{session.Stall: lookStall, session.Slip: lookSlip, session.Fold: lookFold, session.Void: lookText}

const (
	markNext  = 'X'
	markMixed = '*'
)

// shades are how a cell looks from each level of the fold chance on, and the legend.
var shades = [len(session.FoldLevels)]rune{',', ':', '%'}

const shadeLegend = "= stall ~ slip ^ fold X next   would fold: , 3 : 10 % 50 in 100"

// drawMap draws grip pressure across and speed up: what each push found, the next
// setting, and how likely the cable folds.
func (c *canvas) drawMap(r rect, f Flow) {
	const axis = 7
	if r.w < axis+12 || r.h < 6 {
		return
	}
	rig := f.Trial.Rig
	plot := rect{r.x + axis, r.y + 1, r.w - axis - 1, r.h - 4}
	next, hasNext := session.SettingOf(f.Outlook.Next)
	topGrip, topSpeed := mapRange(f, next, hasNext)
	column := func(p float64) int { return plot.x + int(math.Round(p/topGrip*float64(plot.w-1))) }
	row := func(v float64) int { return plot.y + plot.h - 1 - int(math.Round(v/topSpeed*float64(plot.h-1))) }

	c.write(r.x, r.y, r.x+r.w, fmt.Sprintf("speed (%s) up, grip pressure (%s) across", rig.PushUnit, rig.GripUnit), lookText)
	c.shade(plot, f.Outlook.FoldAt, func(y int) float64 { return topSpeed * float64(plot.y+plot.h-1-y) / float64(plot.h-1) })
	for _, step := range []float64{0.25, 0.5, 0.75, 1} {
		v := step * topSpeed
		c.write(r.x, row(v), r.x+axis-1, fmt.Sprintf("%5s", number(rig.ShowSpeed(v))), lookText)
		x := column(step * topGrip)
		c.write(x-1, plot.y+plot.h+1, r.x+r.w, number(rig.ShowGrip(q.Pressure(step*topGrip))), lookText)
	}
	for y := plot.y; y < plot.y+plot.h; y++ {
		c.set(plot.x-1, y, '|', lookText)
	}
	for x := plot.x; x < plot.x+plot.w; x++ {
		c.set(x, plot.y+plot.h, '-', lookText)
	}
	c.plotPushes(f, column, row)
	if hasNext {
		c.set(column(float64(next.Grip)), row(next.Speed.Value), markNext, lookStrong)
	}
	c.write(r.x, r.y+r.h-1, r.x+r.w, shadeLegend, lookText)
}

// shade marks every row by the fold chance at its speed.
func (c *canvas) shade(plot rect, levels [len(session.FoldLevels)]q.Maybe[float64], speed func(y int) float64) {
	for y := plot.y; y < plot.y+plot.h; y++ {
		mark := ' '
		for i, from := range levels {
			if v, ok := from.Get(); ok && speed(y) >= v {
				mark = shades[i]
			}
		}
		for x := plot.x; x < plot.x+plot.w; x += 2 {
			c.set(x, y, mark, lookText)
		}
	}
}

func (c *canvas) plotPushes(f Flow, column func(float64) int, row func(float64) int) {
	seen := map[[2]int]session.Outcome{}
	for _, a := range f.Trial.Attempts() {
		at := [2]int{column(float64(a.Setting.Grip)), row(a.Setting.Speed.Value)}
		if before, ok := seen[at]; ok && before != a.Outcome {
			c.set(at[0], at[1], markMixed, lookFold)
			continue
		}
		seen[at] = a.Outcome
		c.set(at[0], at[1], marks[a.Outcome], outcomeLooks[a.Outcome])
	}
}

// mapRange is the highest grip pressure and speed shown: a little past all pushes.
func mapRange(f Flow, next session.Setting, hasNext bool) (grip, speed float64) {
	start, _ := f.Trial.Start()
	grip, speed = 2*float64(start.Grip), 2*start.Speed.Value
	see := func(s session.Setting) {
		grip, speed = max(grip, 1.15*float64(s.Grip)), max(speed, 1.15*s.Speed.Value)
	}
	for _, a := range f.Trial.Attempts() {
		see(a.Setting)
	}
	if hasNext {
		see(next)
	}
	rig := f.Trial.Rig
	return evenTop(grip, float64(q.From[q.Pressure](1, rig.GripUnit))), evenTop(speed, speedUnit(rig))
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
			return clipTo(text[:i], 5)
		}
	}
	return clipTo(text, 5)
}
