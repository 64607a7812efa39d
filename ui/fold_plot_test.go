package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// TestFoldPlotIsToScale: the curve's point of a speed stands above the place where that
// speed stands below it.
func TestFoldPlotIsToScale(t *testing.T) {
	f := Flow{Trial: session.Trial{Rig: session.Rig{PushUnit: "notch", SpeedLimit: q.Known(q.Reading{Value: 640, Unit: "notch"})}}}
	f.Outlook.Next = session.Refuse{}
	p := &foldPlot{top: 640}
	for i := range plotSpeeds {
		chance := 0.01
		if i >= 31 { // from 320 on, half way
			chance = 1
		}
		p.curve = append(p.curve, session.CurvePoint{Speed: float64(10 * (i + 1)), Low: chance, Mean: chance, High: chance})
	}
	c := newCanvas(71, 20, false)
	c.drawFoldPlot(rect{0, 0, 71, 20}, f, p)
	first := 0
	for x := range c.w {
		if c.cells[c.w+x].r == '#' {
			first = x
			break
		}
	}
	require.InDelta(t, 5+32, first, 1, "half way along 65 columns")
}
