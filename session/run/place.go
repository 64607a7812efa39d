package run

import (
	"fmt"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Place is where on the route a length of cable reaches to, to be found from the surface.
type Place struct {
	Section int      // counted from 1
	Into    q.Length // from where the section begins
	Length  q.Length // of the section
	Past    bool     // beyond the route's end
}

// Says tells the place to somebody who looks for it.
func (p Place) Says(unit string) string {
	if p.Past {
		return "past the end of the route: a mark was misread, or the route is longer"
	}
	return fmt.Sprintf("section %d, %s into its %s", p.Section, reach.LengthText(p.Into, unit), reach.LengthText(p.Length, unit))
}

// milestones are where the sections of a route begin, and the last one ends.
type milestones []reach.Spot

func newMilestones(route reach.Route) milestones {
	spots, _ := route.Trace()
	ends := milestones{spots[0]}
	for i, s := range spots {
		if i+1 == len(spots) || spots[i+1].Section != s.Section {
			ends = append(ends, s)
		}
	}
	return ends
}

func (m milestones) at(in q.Length) Place {
	for i := 1; i < len(m); i++ {
		if in <= m[i].At || i == len(m)-1 {
			return Place{m[i].Section, in - m[i-1].At, m[i].At - m[i-1].At, in > m[i].At*(1+1e-9)}
		}
	}
	return Place{}
}
