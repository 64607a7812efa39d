package profiles

import (
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// findHurt tells profiles that a fold or a marked jacket of another trial or run speaks against.
// The band is taken from the temperature of the key, so this tells of no less than what is
// refused where a setting is asked for.
func (v *Review) findHurt(c *Candidates) {
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
		if against := claim.Against(); len(against) > 0 {
			p.Exceptions = append(p.Exceptions, Exception{HurtElsewhere, strings.Join(against, "; ")})
		}
	}
}

// unitOf is the unit of a quantity as written.
func unitOf(text string) string {
	return strings.TrimLeft(text, "-+0123456789.eE \u00a0")
}
