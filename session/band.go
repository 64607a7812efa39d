package session

import (
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// How much warmer a cable may be before its setting needs a check or a new trial.
// Polyethylene's stiffness and plain degrees both count; the stricter wins.
//
// Source: derived here from the multiplier table of [cable.Multiplier]; no
// published threshold was found.
const (
	coveredLogRatio = 0.08
	coveredDegrees  = 7 / 1.8 // 7 °F in °C
	checkLogRatio   = 0.25
	checkDegrees    = 20 / 1.8 // 20 °F in °C
)

// CoveredUpTo is the warmest cable or inlet air the trial's setting covers;
// unknown without a cable temperature.
func (t Trial) CoveredUpTo() q.Maybe[q.Temperature] {
	return t.warmest(coveredLogRatio, coveredDegrees)
}

// CheckedUpTo is the warmest cable for which a short check can still do.
func (t Trial) CheckedUpTo() q.Maybe[q.Temperature] { return t.warmest(checkLogRatio, checkDegrees) }

func (t Trial) warmest(logRatio float64, degrees q.Temperature) q.Maybe[q.Temperature] {
	from, ok := t.Conditions.CableTemperature.Get()
	if !ok {
		return q.Maybe[q.Temperature]{}
	}
	base, err := cable.Multiplier(from)
	if err != nil {
		return q.Known(from + degrees) // outside the table only degrees count
	}
	lo, hi := from, from+degrees
	for range 60 {
		mid := (lo + hi) / 2
		if m, err := cable.Multiplier(mid); err == nil && math.Log(base/m) > logRatio {
			hi = mid
		} else {
			lo = mid
		}
	}
	return q.Known(lo)
}

// DropTo is a lower setting for a cable no warmer than UpTo.
type DropTo struct {
	UpTo    q.Temperature
	Setting Setting
}

// dropStep is the temperature step of the drop-to table.
const dropStep = 5 // °C

// DropTo returns lower settings for a cable warmer than the band of s, down to
// what a short check may still confirm: speed by the whole ratio of polyethylene's
// stiffness, rounded down. Outside the stiffness table there is none.
func (t Trial) DropTo(s Setting) []DropTo {
	from, ok := t.Conditions.CableTemperature.Get()
	last, _ := t.CheckedUpTo().Get()
	base, err := cable.Multiplier(from)
	if !ok || err != nil {
		return nil
	}
	var table []DropTo
	d := t.speedDial()
	for to := from; to < last; {
		to = min(to+dropStep, last)
		m, err := cable.Multiplier(to)
		if err != nil {
			return table
		}
		speed := d.down(s.Speed.Value * min(m/base, 1))
		if speed < d.division*(1-ties) {
			return table
		}
		table = append(table, DropTo{to, Setting{s.Grip, t.Rig.Reading(speed)}})
	}
	return table
}
