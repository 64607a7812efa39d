package draw

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// TestFoldPlotIsToScale: the curve's point of a speed stands above the place where that
// speed stands below it.
func TestFoldPlotIsToScale(t *testing.T) {
	rig := session.Rig{PushUnit: "notch", SpeedLimit: q.Known(q.Reading{Value: 640, Unit: "notch"})}
	p := &FoldPlot{trial: session.Trial{Rig: rig}, next: session.Refuse{}, top: 640}
	for i := range plotSpeeds {
		chance := 0.01
		if i >= 31 { // from 320 on, half way
			chance = 1
		}
		p.curve = append(p.curve, session.CurvePoint{Speed: float64(10 * (i + 1)), Low: chance, Mean: chance, High: chance})
	}
	c := NewCanvas(71, 20, false)
	c.FoldPlot(Rect{0, 0, 71, 20}, p)
	first := 0
	for x := range c.W {
		if c.cells[c.W+x].r == '#' {
			first = x
			break
		}
	}
	require.InDelta(t, 5+32, first, 1, "half way along 65 columns")
}
