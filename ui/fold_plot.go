package ui

import (
	"fmt"
	"math"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// foldPlot is the fold chance against speed, computed when its page is opened.
type foldPlot struct {
	curve []session.CurvePoint // of speeds evenly apart, from nothing to a little past the fold
	top   float64
}

const plotSpeeds = 64

// newFoldPlot computes the curve of a trial that has pushes; nil before the first.
func newFoldPlot(f Flow) *foldPlot {
	band, ok := f.Outlook.FoldSpeed.Get()
	if !ok {
		return nil
	}
	p := &foldPlot{top: min(1.15*band.High.Value, 1.6*band.Mid.Value)}
	for _, a := range f.Trial.Attempts() {
		p.top = max(p.top, 1.1*a.Setting.Speed.Value)
	}
	p.top = evenTop(min(p.top, f.Trial.Rig.SpeedLimit.Or(q.Reading{}).Value), speedUnit(f.Trial.Rig))
	speeds := make([]float64, plotSpeeds)
	for i := range speeds {
		speeds[i] = p.top * float64(i+1) / plotSpeeds
	}
	p.curve = session.FoldCurve(f.Trial, speeds)
	return p
}

// plotLevels are the chances on the axis, in 100. The axis is a logarithm: what matters
// lies between 1 and 10.
var plotLevels = []float64{1, 3, 10, 30, 100}

// drawFoldPlot draws the curve with its band, and under it what each push found.
func (c *canvas) drawFoldPlot(r rect, f Flow, p *foldPlot) {
	const axis = 5
	if p == nil || r.w < axis+20 || r.h < 8 {
		c.write(r.x, r.y, r.x+r.w, "Nothing is known of the fold yet: push first.", lookText)
		return
	}
	plot := rect{r.x + axis, r.y + 1, r.w - axis - 1, r.h - 5}
	bottom := plot.y + plot.h - 1
	row := func(chance float64) int {
		return bottom - int(math.Round(math.Log10(100*min(max(chance, 0.01), 1))/2*float64(plot.h-1)))
	}
	column := func(v float64) int { return plot.x + int(math.Round(v/p.top*float64(plot.w-1))) }
	c.write(r.x, r.y, r.x+r.w, fmt.Sprintf("folds in 100 hits against speed (%s)", f.Trial.Rig.PushUnit), lookText)
	for x := plot.x; x < plot.x+plot.w; x++ {
		at := p.curve[max(int(math.Round(float64(x-plot.x)/float64(plot.w-1)*plotSpeeds))-1, 0)]
		for y := row(at.High); y <= row(at.Low); y++ {
			c.set(x, y, ':', lookText)
		}
		c.set(x, row(at.Mean), '#', lookStrong)
		c.set(x, bottom+1, '-', lookText)
	}
	for _, v := range plotLevels {
		c.write(r.x, row(v/100), r.x+axis-1, fmt.Sprintf("%4.0f", v), lookText)
		c.set(plot.x-1, row(v/100), '+', lookText)
	}
	c.underPlot(rect{r.x, bottom + 2, r.w, 3}, f, p.top, column)
}

// underPlot writes what each push found, the speeds, and what the marks mean.
func (c *canvas) underPlot(r rect, f Flow, top float64, column func(float64) int) {
	for _, a := range f.Trial.Attempts() {
		if style, ok := outcomeLooks[a.Outcome]; ok && a.Outcome != session.Void {
			c.set(column(a.Setting.Speed.Value), r.y-1, marks[a.Outcome], style)
		}
	}
	if next, ok := session.SettingOf(f.Outlook.Next); ok {
		c.set(column(next.Speed.Value), r.y-1, markNext, lookStrong)
	}
	for _, step := range []float64{0.25, 0.5, 0.75, 1} {
		text := number(f.Trial.Rig.ShowSpeed(step * top))
		c.write(column(step*top)-len(text)+1, r.y, r.x+r.w, text, lookText)
	}
	c.write(r.x, r.y+1, r.x+r.w, "# likely : could be = stall ~ slip ^ fold X", lookText)
}
