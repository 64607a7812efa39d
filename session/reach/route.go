package reach

import (
	"fmt"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Section is a part of a route: a [Straight] or a [Bend].
type Section interface{ section() }

// Straight is a part without a bend.
type Straight struct {
	Length q.Length
	Slope  q.Angle // against level, rising is positive
}

// Bend is an arc.
type Bend struct {
	Angle  q.Angle // turned, positive
	Radius q.Length
	Plane  Plane
}

func (Straight) section() {}
func (Bend) section()     {}

// Plane is where a bend turns to.
type Plane int

// The planes. A bend to a side keeps the slope it begins with. To which side a bend turns
// changes nothing but how the route is drawn; of a level one it is not known.
const (
	Level Plane = iota
	Up
	Down
	Left
	Right
)

// Route is a duct from the inlet to its far end. Make it with [NewRoute].
type Route struct {
	pieces   []piece
	sections int
	Warnings []string // for the crew
}

// piece is one section as the balance of forces sees it.
type piece struct {
	from, to float64 // m from the inlet
	slope    float64 // at its beginning, rad
	sideways float64 // curvature in the level plane, 1/m
	upward   float64 // curvature in the upright plane, 1/m, positive in a sag
	side     float64 // of a bend to the left 1, to the right −1
	section  int     // counted from 0
}

func (p piece) slopeAt(x float64) float64 { return p.slope + p.upward*(x-p.from) }

func (p piece) curvature() float64 { return p.sideways + math.Abs(p.upward) }

var (
	sectionRange = cable.Range[q.Length]{Of: "length", Unit: "m", Low: 0.01, High: 1e5}
	slopeRange   = cable.Range[q.Angle]{Of: "slope", Unit: "deg", Low: -math.Pi / 2, High: math.Pi / 2}
	turnRange    = cable.Range[q.Angle]{Of: "bend", Unit: "deg", Low: 0.1 * math.Pi / 180, High: 2 * math.Pi}
	radiusRange  = cable.Range[q.Length]{Of: "radius", Unit: "m", Low: 0.02, High: 1e4}
	routeRange   = cable.Range[q.Length]{Of: "length of the route", Unit: "m", Low: 1, High: 1e5}
)

const (
	mostSections = 500
	kinkWarned   = 3 * math.Pi / 180 // change of slope between two sections that needs a bend
)

// NewRoute returns the route of some sections. Between two sections whose slopes differ by
// more than 3° without a bend up or down there should have been one; that is a warning,
// and the missing bend is not counted.
//
// NewRoute returns a [FieldError] for a section out of range, for a bend that leads beyond
// the upright, and for a route shorter than 1 m or longer than 100 km.
func NewRoute(sections []Section) (Route, error) {
	r := Route{sections: len(sections)}
	if len(sections) == 0 || len(sections) > mostSections {
		return Route{}, field("section", fmt.Errorf("%d of them: must be from 1 to %d", len(sections), mostSections))
	}
	x, slope := 0.0, 0.0
	for i, s := range sections {
		p, err := newPiece(s, slope)
		if err != nil {
			err.Field = fmt.Sprintf("section[%d].%s", i, err.Field)
			return Route{}, err
		}
		if i > 0 && math.Abs(p.slope-slope) > kinkWarned {
			r.Warnings = append(r.Warnings, fmt.Sprintf("section %d begins at a slope of %s where the one before ends at %s: a bend between them is missing and is not counted",
				i+1, q.Text(q.Angle(p.slope), "deg"), q.Text(q.Angle(slope), "deg")))
		}
		p.from, p.to, p.section = x, x+p.to, i
		x, slope = p.to, p.slopeAt(p.to)
		r.pieces = append(r.pieces, p)
	}
	if err := routeRange.Check(q.Length(x)); err != nil {
		return Route{}, field("section", err)
	}
	return r, nil
}

// newPiece returns a section that begins at a slope, its length in to.
func newPiece(s Section, slope float64) (piece, *FieldError) {
	bad := func(name string, err error) *FieldError {
		if err == nil {
			return nil
		}
		return &FieldError{name, err}
	}
	switch s := s.(type) {
	case Straight:
		if err := sectionRange.Check(s.Length); err != nil {
			return piece{}, bad("length", err)
		}
		return piece{to: float64(s.Length), slope: float64(s.Slope)}, bad("slope", slopeRange.Check(s.Slope))
	case Bend:
		if err := turnRange.Check(s.Angle); err != nil {
			return piece{}, bad("bend", err)
		}
		if err := radiusRange.Check(s.Radius); err != nil {
			return piece{}, bad("radius", err)
		}
		p := piece{to: float64(s.Angle) * float64(s.Radius), slope: slope}
		switch curvature := 1 / float64(s.Radius); s.Plane {
		case Level:
			p.sideways = curvature
		case Left:
			p.sideways, p.side = curvature, 1
		case Right:
			p.sideways, p.side = curvature, -1
		case Up:
			p.upward = curvature
		case Down:
			p.upward = -curvature
		}
		if end := slope + p.upward*p.to; math.Abs(end) > math.Pi/2*(1+1e-9) {
			return piece{}, bad("bend", fmt.Errorf("it ends at a slope of %s, beyond upright", q.Text(q.Angle(end), "deg")))
		}
		return p, nil
	}
	panic("reach: a section that is neither Straight nor Bend")
}

// Length is from the inlet to the far end.
func (r Route) Length() q.Length {
	if len(r.pieces) == 0 {
		return 0
	}
	return q.Length(r.pieces[len(r.pieces)-1].to)
}

// Sections is how many there are.
func (r Route) Sections() int { return r.sections }

// Bends is how much all bends together turn.
func (r Route) Bends() q.Angle {
	turn := 0.0
	for _, p := range r.pieces {
		turn += p.curvature() * (p.to - p.from)
	}
	return q.Angle(turn)
}

// Reversed is the route blown from its other end. Sections keep their numbers.
func (r Route) Reversed() Route {
	end := float64(r.Length())
	back := Route{sections: r.sections, Warnings: r.Warnings}
	for i := len(r.pieces) - 1; i >= 0; i-- {
		p := r.pieces[i]
		from, to := end-p.to, end-p.from
		p.slope, p.side = -p.slopeAt(p.to), -p.side
		p.from, p.to = from, to
		back.pieces = append(back.pieces, p)
	}
	return back
}

// SplitAt returns the routes before and after a point. A point within a bend moves to the
// bend's beginning. Both keep the numbers of the sections.
func (r Route) SplitAt(at q.Length) (before, after Route) {
	x := float64(at)
	for _, p := range r.pieces {
		if p.curvature() > 0 && p.from < x && x < p.to {
			x = p.from
		}
	}
	before, after = Route{sections: r.sections}, Route{sections: r.sections}
	for _, p := range r.pieces {
		if p.from < x {
			first := p
			first.to = math.Min(p.to, x)
			before.pieces = append(before.pieces, first)
		}
		if p.to > x {
			rest := p
			rest.slope = p.slopeAt(math.Max(p.from, x))
			rest.from, rest.to = math.Max(p.from, x)-x, p.to-x
			after.pieces = append(after.pieces, rest)
		}
	}
	return before, after
}
