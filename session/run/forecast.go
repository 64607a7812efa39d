package run

import (
	"fmt"
	"math/rand/v2"
	"strings"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Forecast is a new reach, by the friction the run has shown.
type Forecast struct {
	Known          bool
	Reach          q.Length
	Low, High, End q.Length
	ReachesEnd     bool
	Says           string
	Alert          q.Maybe[Alert]
}

// forecastSamples is how many cases make the range: it takes a quarter of a second then, and
// three of them lie beyond each end. Source: a choice made here.
const forecastSamples = 60

// triangleEnds is how far the ends of a triangle of the same spread lie from its middle, against
// the half width of a normal distribution's 90 of 100: √6/1.645. Source: derived here.
const triangleEnds = 1.489

// Forecast works out the reach anew, with the fitted friction and the air as it is read now,
// and its range; source draws the samples. Without a fit, or before the start, it says why
// not. It takes as long as a hundred reaches: it is for once in a while.
func (m *Model) Forecast(v View, source *rand.Rand) Forecast {
	worked, known := m.plan.Reach.Get()
	if !known || v.Friction.Kind != Fitted {
		return Forecast{Says: "No new reach: " + lowered(v.Friction.Says)}
	}
	j, mid := worked.Job, v.Friction.Mid.Or(0)
	j.Friction = mid
	j.Air.Inlet, j.Air.Temperature = v.Now.Air.Or(j.Air.Inlet), v.Now.Inlet.Or(j.Air.Temperature)
	result, err := reach.Find(j)
	if err != nil {
		return Forecast{Says: "No new reach: " + err.Error() + "."}
	}
	d := worked.Doubt
	half := triangleEnds * (v.Friction.High.Or(mid) - mid)
	d.FrictionLow, d.FrictionHigh = max(mid-half, min(leastFriction, mid)), mid+half
	spread, err := reach.Spread(j, d, forecastSamples, source, nil)
	if err != nil {
		return Forecast{Says: "No new reach: " + err.Error() + "."}
	}
	spread = spread.Around(result.Reach)
	in := v.Now.In.Or(0)
	f := Forecast{Known: true, Reach: max(result.Reach, in), Low: max(spread.Low, in), High: max(spread.High, in), End: result.End, ReachesEnd: result.ReachesEnd}
	text := func(l q.Length) string { return reach.LengthText(l, m.lengthUnit()) }
	switch {
	case f.ReachesEnd && f.Low >= f.End*(1-1e-9):
		f.Says = fmt.Sprintf("By the friction so far it reaches the end, %s.", text(f.End))
	case f.ReachesEnd:
		f.Says = fmt.Sprintf("By the friction so far it reaches the end, %s; it could stick from %s on.", text(f.End), text(f.Low))
	default:
		f.Says = fmt.Sprintf("By the friction so far it comes to %s, likely between %s and %s, of %s.", text(f.Reach), text(f.Low), text(f.High), text(f.End))
		f.Alert = q.Known(Alert{WontReach, Watch, f.Says, "Plan now how to go on from there: a second drive, more air within the ratings, the other end. Never more push."})
	}
	return f
}

func lowered(s string) string {
	if s == "" {
		return "nothing is known of friction yet."
	}
	return strings.ToLower(s[:1]) + s[1:]
}
