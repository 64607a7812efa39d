package run

import (
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	q "brinkmark/session/quantity"
)

// crawl is the speed under which nobody goes on: 1 m/min, as for a reach.
const crawl = 1.0 / 60

// paceNodes is into how many parts a route is divided to foretell speeds.
const paceNodes = 48

// pace is how fast the reach expects the cable to be, over the head's way.
type pace struct {
	end    float64   // m
	speeds []float64 // m/s, at even places from 0 to end
}

// at is the expected speed with the head at a place, straight between two places known.
func (p pace) at(in float64) float64 {
	x := min(max(in/p.end, 0), 1) * paceNodes
	i := min(int(x), paceNodes-1)
	return p.speeds[i] + (x-float64(i))*(p.speeds[i+1]-p.speeds[i])
}

// left is how long the cable takes from a place to the end at a part of the expected speed,
// and false where that falls to a crawl.
//
//	t = ∫ ds/v(s)
func (p pace) left(in, part float64) (seconds float64, ok bool) {
	step := (p.end - in) / paceNodes
	for i := range paceNodes {
		a, b := part*p.at(in+float64(i)*step), part*p.at(in+float64(i+1)*step)
		if !(min(a, b) > crawl) {
			return 0, false
		}
		seconds += step * (1/a + 1/b) / 2
	}
	return seconds, true
}

// under is the same where the belts go no faster than so.
func (p pace) under(belts q.Maybe[q.Speed]) *pace {
	most, known := belts.Get()
	if !known {
		return &p
	}
	slower := pace{end: p.end, speeds: slices.Clone(p.speeds)}
	for i, v := range p.speeds {
		slower.speeds[i] = min(v, float64(most))
	}
	return &slower
}

// The parts of the speed to be expected below which a run is slowing, and below which it is
// to be stopped. Over so many points the first are what the rest are compared with, and the
// last make the trend.
//
// Source: choices made here; practice uses the same two.
const (
	slowing, stopping     = 0.9, 0.6
	firstPaces, lastPaces = 5, 6
)

// progress is how fast the run is against what was to be expected.
type progress struct {
	expected q.Maybe[q.Speed] // here, by the reach and no faster than the belts; without a reach the belts' alone
	reached  bool             // there is a reach
	share    q.Maybe[float64] // of the expected speed, now
	pace     q.Maybe[float64] // speed now over expected, both against the first points of the same push control reading
	trend    q.Maybe[float64] // of pace, per 100 m
	steady   q.Maybe[float64] // the last speeds over what the reach expects there, or the last speed
}

// paces are the states with a speed and a place since the cable last stood, with the push
// control as it is now. The speed by the first mark of a stretch has the start in it, that by
// the first after the push control was turned has the speed before in it.
func (c *course) paces() []State {
	var out []State
	for _, s := range c.states {
		if s.Moving && s.stretch == c.stretch && s.Control == c.now.Control && s.Speed.Known() && s.In.Known() && !(s.first && !s.Read) {
			out = append(out, s)
		}
	}
	return out
}

// progress compares the speeds with the reach's as far as the belts as dialled now allow it, or
// where there is none with the first ones.
func (m *Model) progress(c *course) progress {
	var p progress
	belts := beltSpeed(c.now.Control)
	expect := m.expected()
	ratio := func(s State) float64 { return float64(s.Speed.Or(0)) }
	p.expected = belts
	if expect != nil {
		expect = expect.under(belts)
		ratio = func(s State) float64 { return float64(s.Speed.Or(0)) / max(expect.at(float64(s.In.Or(0))), crawl) }
		p.reached, p.expected = true, q.Maybe[q.Speed]{}
		if in, known := c.now.In.Get(); known {
			p.expected = q.Known(q.Speed(expect.at(float64(in))))
		}
	}
	same := c.paces()
	if len(same) == 0 {
		return p
	}
	ratios := make([]float64, len(same))
	for i, s := range same {
		ratios[i] = ratio(s)
	}
	p.steady = q.Known(median(ratios[max(0, len(ratios)-3):]))
	if last := ratios[len(ratios)-1]; p.reached {
		p.share = q.Known(last)
	} else if v, known := belts.Get(); known && v > 0 {
		p.share = q.Known(last / float64(v))
	}
	if len(same) < 2 {
		return p
	}
	usual := median(ratios[:min(firstPaces, len(ratios)-1)])
	if usual <= 0 {
		return p
	}
	p.pace = q.Known(ratios[len(ratios)-1] / usual)
	p.trend = trend(same[max(0, len(same)-lastPaces):], ratios[max(0, len(same)-lastPaces):], usual)
	return p
}

// trend is the slope of the least-squares line through paces over the place, per 100 m.
func trend(states []State, ratios []float64, usual float64) q.Maybe[float64] {
	if len(states) < 3 {
		return q.Maybe[float64]{}
	}
	x, y := make([]float64, len(states)), make([]float64, len(states))
	for i, s := range states {
		x[i], y[i] = float64(s.In.Or(0))/100, ratios[i]/usual
	}
	if slices.Max(x)-slices.Min(x) < 0.01 {
		return q.Maybe[float64]{}
	}
	_, slope := stat.LinearRegression(x, y, nil, false)
	if math.IsNaN(slope) || math.IsInf(slope, 0) {
		return q.Maybe[float64]{}
	}
	return q.Known(slope)
}

func median(list []float64) float64 {
	s := slices.Sorted(slices.Values(list))
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

// arrival is when the cable is home if it goes on as it does now: not known while it stands,
// where the speed is not, or where the reach has it sticking before.
func (m *Model) arrival(c *course, p progress) q.Maybe[time.Time] {
	none := q.Maybe[time.Time]{}
	in, known1 := c.now.In.Get()
	left, known2 := m.left(c).Get()
	steady, known3 := p.steady.Get()
	if !known1 || !known2 || !known3 || !c.now.Moving || steady <= 0 || left <= 0 {
		return none
	}
	seconds, ok := float64(left)/steady, true
	if expect := m.expected(); expect != nil {
		seconds, ok = expect.under(beltSpeed(c.now.Control)).left(float64(in), steady)
	}
	if !ok || seconds > (100*time.Hour).Seconds() {
		return none
	}
	return q.Known(c.lastMark.At.Add(time.Duration(seconds * float64(time.Second))))
}

// left is the length still to go.
func (m *Model) left(c *course) q.Maybe[q.Length] {
	end, known1 := m.plan.Length.Get()
	in, known2 := c.now.In.Get()
	if !known1 || !known2 {
		return q.Maybe[q.Length]{}
	}
	return q.Known(max(0, end-in))
}
