package draw

import (
	"fmt"
	"math"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// FoldPlot is the fold chance against speed, computed when its page is opened.
type FoldPlot struct {
	curve []session.CurvePoint // of speeds evenly apart, from nothing to a little past the fold
	top   float64
	trial session.Trial
	next  session.Next
}

const plotSpeeds = 64

// NewFoldPlot computes the curve of a trial that has pushes; nil before the first.
func NewFoldPlot(t session.Trial, o session.Outlook) *FoldPlot {
	band, ok := o.FoldSpeed.Get()
	if !ok {
		return nil
	}
	p := &FoldPlot{trial: t, next: o.Next, top: min(1.15*band.High.Value, 1.6*band.Mid.Value)}
	for _, a := range t.Attempts() {
		p.top = max(p.top, 1.1*a.Setting.Speed.Value)
	}
	p.top = evenTop(min(p.top, t.Rig.SpeedLimit.Or(q.Reading{}).Value), speedUnit(t.Rig))
	speeds := make([]float64, plotSpeeds)
	for i := range speeds {
		speeds[i] = p.top * float64(i+1) / plotSpeeds
	}
	p.curve = session.FoldCurve(t, speeds)
	return p
}

// plotLevels are the chances on the axis, in 100. The axis is a logarithm: what matters
// lies between 1 and 10.
var plotLevels = []float64{1, 3, 10, 30, 100}

// FoldPlot draws the curve with its band, and under it what each push found.
func (c *Canvas) FoldPlot(r Rect, p *FoldPlot) {
	const axis = 5
	if p == nil || r.W < axis+20 || r.H < 8 {
		c.Write(r.X, r.Y, r.X+r.W, "Nothing is known of the fold yet: push first.", LookText)
		return
	}
	plot := Rect{r.X + axis, r.Y + 1, r.W - axis - 1, r.H - 5}
	bottom := plot.Y + plot.H - 1
	row := func(chance float64) int {
		return bottom - int(math.Round(math.Log10(100*min(max(chance, 0.01), 1))/2*float64(plot.H-1)))
	}
	column := func(v float64) int { return plot.X + int(math.Round(v/p.top*float64(plot.W-1))) }
	c.Write(r.X, r.Y, r.X+r.W, fmt.Sprintf("folds in 100 hits against %s (%s)", p.trial.Rig.Control(), p.trial.Rig.PushUnit), LookText)
	for x := plot.X; x < plot.X+plot.W; x++ {
		at := p.curve[max(int(math.Round(float64(x-plot.X)/float64(plot.W-1)*plotSpeeds))-1, 0)]
		for y := row(at.High); y <= row(at.Low); y++ {
			c.set(x, y, ':', LookText)
		}
		c.set(x, row(at.Mean), '#', LookStrong)
		c.set(x, bottom+1, '-', LookText)
	}
	for _, v := range plotLevels {
		c.Write(r.X, row(v/100), r.X+axis-1, fmt.Sprintf("%4.0f", v), LookText)
		c.set(plot.X-1, row(v/100), '+', LookText)
	}
	c.underPlot(Rect{r.X, bottom + 2, r.W, 3}, p, column)
}

// underPlot writes what each push found, the speeds, and what the marks mean.
func (c *Canvas) underPlot(r Rect, p *FoldPlot, column func(float64) int) {
	for _, a := range p.trial.Attempts() {
		if style, ok := outcomeLooks[a.Outcome]; ok && a.Outcome != session.Void {
			c.set(column(a.Setting.Speed.Value), r.Y-1, marks[a.Outcome], style)
		}
	}
	if next, ok := session.SettingOf(p.next); ok {
		c.set(column(next.Speed.Value), r.Y-1, markNext, LookStrong)
	}
	for _, step := range []float64{0.25, 0.5, 0.75, 1} {
		text := number(p.trial.Rig.ShowSpeed(step * p.top))
		c.Write(column(step*p.top)-len(text)+1, r.Y, r.X+r.W, text, LookText)
	}
	c.Write(r.X, r.Y+1, r.X+r.W, "# likely : could be = stall ~ slip ^ fold X", LookText)
}
