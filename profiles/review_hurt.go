package profiles

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// findHurt tells profiles that a fold or a marked jacket of another trial or run speaks against.
// The band is taken from the temperature of the key, so this tells of no less than what is
// refused where a setting is asked for.
func (v *Review) findHurt(c *Candidates, now time.Time) {
	for _, p := range v.Profiles {
		r := p.row
		if !r.known || r.problem != nil {
			continue
		}
		claim := session.Claim{
			Trial:   session.Trial{Policy: session.DefaultPolicy(), Rig: session.Rig{GripUnit: unitOf(r.grip), PushUnit: unitOf(r.speed), SpeedLimit: q.Known(q.Reading{Value: r.value, Unit: r.unit})}, Conditions: session.Conditions{Unit: unitOf(r.temperature)}},
			Setting: session.Setting{Grip: q.Pressure(r.pascal), Speed: q.Reading{Value: r.value, Unit: r.unit}},
			From:    q.Temperature(r.celsius), Coldest: q.Temperature(r.celsius), Hottest: q.Temperature(r.celsius),
			Covered: c.limits.covered(), Checked: c.limits.checked(),
			Hurts: c.hurts.against(r.id, [4]string{r.make, r.cable, r.duct, r.rig}),
		}
		ended, root := c.ended(r)
		proved := when(root.accepted)
		p.tooOld = !proved.IsZero() && now.Sub(proved) >= c.limits.RetestAge
		if against := slices.Concat(claim.Against(), ended, c.tooOtherByRow(r)); len(against) > 0 {
			p.Exceptions = append(p.Exceptions, Exception{HurtElsewhere, strings.Join(against, "; ")})
		}
	}
}

// ended says what ends a row's setting by what is found of the records it rests on, and which is
// the first of them.
func (c *Candidates) ended(r *row) (why []string, root *row) {
	c.unread.index()
	seen := map[string]bool{}
	for at := r; at != nil && !seen[at.id]; {
		root, seen[at.id] = at, true
		for f := range c.findings[at.id] {
			switch {
			case f == OddRecord && at == r:
				why = append(why, f.String())
			case f != Asked && at != r: // its own are exceptions themselves
				why = append(why, "of profile "+at.id+", which it rests on: "+f.String())
			}
		}
		above := c.unread.byID[at.of]
		if at = nil; len(above) > 0 {
			at = above[0]
		}
	}
	slices.Sort(why)
	return why, root
}

// tooOtherByRow is [Candidates.tooOther] as far as rows tell: by name, and by the cable's measure.
// What is saved was asked for all of it.
func (c *Candidates) tooOtherByRow(r *row) []string {
	of := c.unread.byID[r.of]
	if r.kind != session.ShortCheck.String() || len(of) == 0 {
		return nil
	}
	was := of[0]
	var why []string
	for _, pair := range [][2]string{{was.make, r.make}, {was.cable, r.cable}, {was.duct, r.duct}, {was.rig, r.rig}} {
		if pair[0] != "" && pair[1] != "" && !newName(pair[0]).same(newName(pair[1])) {
			why = append(why, otherSetup+pair[0]+" there, "+pair[1]+" here")
		}
	}
	if was.diameter > 0 && r.diameter > 0 && math.Abs(r.diameter-was.diameter) > c.limits.RetestDiameter*was.diameter*(1+rounding) {
		why = append(why, fmt.Sprintf("%s%.3g mm there, %.3g mm here", otherSetup, 1000*was.diameter, 1000*r.diameter))
	}
	return why
}

// unitOf is the unit of a quantity as written.
func unitOf(text string) string {
	return strings.TrimLeft(text, "-+0123456789.eE \u00a0")
}
