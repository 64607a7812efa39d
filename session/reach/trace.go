package reach

import (
	"math"

	q "brinkmark/session/quantity"
)

// Spot is a place of a route on the ground: East and North in the plan, Height above the
// inlet. A route leaves its inlet to the east.
type Spot struct {
	At                  q.Length // along the route
	East, North, Height q.Length
	Section             int // counted from 1
}

// traceStep is the turn within which a bend is taken for straight.
const traceStep = 2 * math.Pi / 180

// Trace returns places along a route close enough to draw it, the inlet first, each
// section's end among them. Bends whose side is not known are taken to the left and to the
// right in turn, the first to the left; sides reports whether that was needed.
//
// Source: derived here. Each piece is an arc in one plane, so its chord over a turn of 2°
// is shorter than the arc by less than one part in ten thousand.
func (r Route) Trace() (spots []Spot, sides bool) {
	var x, y, z, heading float64
	spots = append(spots, Spot{Section: 1})
	next := 1.0
	for _, p := range r.pieces {
		turn := p.sideways * p.side
		if p.sideways > 0 && p.side == 0 {
			turn, next, sides = p.sideways*next, -next, true
		}
		length := p.to - p.from
		steps := max(1, int(math.Ceil(p.curvature()*length/traceStep)))
		step := length / float64(steps)
		for i := range steps {
			middle := p.from + (float64(i)+0.5)*step
			slope := p.slopeAt(middle)
			at := heading + turn*step/2
			x += step * math.Cos(slope) * math.Cos(at)
			y += step * math.Cos(slope) * math.Sin(at)
			z += step * math.Sin(slope)
			heading += turn * step
			spots = append(spots, Spot{q.Length(p.from + float64(i+1)*step), q.Length(x), q.Length(y), q.Length(z), p.section + 1})
		}
	}
	return spots, sides
}
