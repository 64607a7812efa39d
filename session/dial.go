package session

import (
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// ties is how close two dial positions may be and still count as one: readings
// in other units of the same gauge differ by rounding only.
const ties = 1e-9

// dial is a gauge one can set only in whole divisions, up to a limit.
type dial struct{ division, limit float64 }

// down returns the highest division at or below v, never past the limit.
func (d dial) down(v float64) float64 {
	return math.Floor(min(v, d.limit)/d.division*(1+ties)) * d.division
}

// up returns the lowest division at or above v, but the highest one under the
// limit rather than past it.
func (d dial) up(v float64) float64 {
	n := math.Ceil(v/d.division*(1-ties)) * d.division
	return min(n, d.down(d.limit))
}

// rung returns the dial position a step of the given ratio up from v: rounded
// down, at least one division, never past the limit.
func (d dial) rung(v, ratio float64) float64 {
	return min(max(d.down(v*ratio), d.down(v)+d.division), d.down(d.limit))
}

// below returns the dial position a step of the given ratio down from v, rounded
// down; 0 when there is none.
func (d dial) below(v, ratio float64) float64 { return d.down(v / ratio) }

// The usual divisions, in whatever unit the gauges are: common practice, no source.
var (
	defaultGripDivision  = q.From[q.Pressure](1, "psi")
	defaultSpeedDivision = q.From[q.Speed](5, "ft/min")
)

// speedDial is the push control's dial under every limit but the trial's plan.
func (t Trial) speedDial() dial {
	limit := t.Rig.SpeedLimit.Or(q.Reading{}).Value
	if own, ok := t.Limits.Speed.Get(); ok {
		limit = min(limit, own.Value)
	}
	return dial{t.Rig.SpeedStep(), limit}
}

// SpeedStep is the division of the push control, in the unit of its reading: the rig's, or
// the usual one.
func (r Rig) SpeedStep() float64 {
	usual := 1.0
	if r.readingUnit() == "m/s" {
		usual = float64(defaultSpeedDivision)
	}
	return r.SpeedDivision.Or(q.Reading{Value: usual}).Value
}

// GripStep is the division of the grip pressure gauge: the rig's, or the usual one.
func (r Rig) GripStep() q.Pressure { return r.GripDivision.Or(defaultGripDivision) }

// gripDial is the grip pressure gauge's dial under every limit: the rig's, the
// operator's and what the cable's jacket may be squeezed to.
func (t Trial) gripDial() dial {
	limit := float64(t.Rig.GripLimit.Or(0))
	if own, ok := t.Limits.Grip.Get(); ok {
		limit = min(limit, float64(own))
	}
	if ceiling, ok := t.gripCeiling(); ok {
		limit = min(limit, float64(ceiling))
	}
	return dial{float64(t.Rig.GripStep()), limit}
}

// gripCeiling is the grip pressure at which the belts reach the cable's crush
// limit, when cable and rig card say enough to know.
func (t Trial) gripCeiling() (q.Pressure, bool) {
	crush, ok1 := t.Cable.CrushLimit.Get()
	belt, ok2 := t.Rig.BeltLength.Get()
	clamp, ok3 := t.Rig.ClampPerGrip.Get()
	if !ok1 || !ok2 || !ok3 {
		return 0, false
	}
	ceiling, err := cable.GripCeiling(crush, belt, clamp)
	return ceiling, err == nil
}

// GripLimit is the highest grip pressure this trial may use and what sets it, in the
// crew's words.
func (t Trial) GripLimit() (q.Pressure, string) {
	d := t.gripDial()
	most, by := d.down(d.limit), "the rig's limit"
	if own, ok := t.Limits.Grip.Get(); ok && float64(own) <= d.limit*(1+ties) {
		by = "your own limit"
	}
	if ceiling, ok := t.gripCeiling(); ok && float64(ceiling) <= d.limit*(1+ties) {
		by = "the cable's crush limit"
	}
	start, step := t.Start()
	f := facts{trial: t}
	if rungs := f.gripRungs(float64(start.Grip), float64(step)); f.damageCap {
		by = "a marked jacket"
		if most = 0; len(rungs) > 0 {
			most = rungs[len(rungs)-1]
		}
	}
	return q.Pressure(most), by
}

// Start is where the climb of this trial begins and its rung of grip pressure,
// with the usual values where the job does not say: grip pressure from one rung of
// two divisions, speed from a tenth of its limit.
func (t Trial) Start() (start Setting, gripStep q.Pressure) {
	g, d := t.gripDial(), t.speedDial()
	step := max(g.down(float64(t.Ladder.GripStep.Or(q.Pressure(2*g.division)))), g.division)
	grip := g.up(float64(t.Ladder.GripStart.Or(q.Pressure(step))))
	speed := d.down(t.Ladder.SpeedStart.Or(t.Rig.Reading(d.limit / 10)).Value)
	return Setting{q.Pressure(grip), t.Rig.Reading(max(speed, d.division))}, q.Pressure(step)
}

// Lowest is the setting of the settling push before a push at next: where the climb begins,
// or lower where the climb has come down.
func (t Trial) Lowest(next Setting) Setting {
	start, _ := t.Start()
	start.Grip, start.Speed.Value = min(start.Grip, next.Grip), min(start.Speed.Value, next.Speed.Value)
	return start
}

// GripDivision is the smallest step of the grip pressure gauge.
func (t Trial) GripDivision() q.Pressure { return q.Pressure(t.gripDial().division) }
