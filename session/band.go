package session

import (
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Band is how far a cable's temperature may be from the trial's. Polyethylene's
// stiffness and plain degrees both count; the stricter wins.
type Band struct {
	LogRatio float64       // |ln| of the ratio of polyethylene's stiffness
	Degrees  q.Temperature // °C, a difference
}

// CoveredBand is how far a setting holds without more, CheckedBand how far a short
// check can still confirm it. A supervisor may tighten both.
//
// Source: derived here from the multiplier table of [cable.Multiplier]; no
// published threshold was found.
func CoveredBand() Band { return Band{0.08, 7 / 1.8} }  // 7 °F
func CheckedBand() Band { return Band{0.25, 20 / 1.8} } // 20 °F

// Warmest is the warmest cable or inlet air within the band of a temperature.
func (b Band) Warmest(from q.Temperature) q.Temperature {
	base, err := cable.Multiplier(from)
	if err != nil {
		return from + b.Degrees // outside the table only degrees count
	}
	lo, hi := from, from+b.Degrees
	for range 60 {
		mid := (lo + hi) / 2
		if m, err := cable.Multiplier(mid); err == nil && math.Log(base/m) > b.LogRatio {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

// CoveredUpTo is the warmest cable or inlet air the trial's setting covers;
// unknown without a cable temperature.
func (t Trial) CoveredUpTo() q.Maybe[q.Temperature] { return t.warmest(CoveredBand()) }

// CheckedUpTo is the warmest cable for which a short check can still do.
func (t Trial) CheckedUpTo() q.Maybe[q.Temperature] { return t.warmest(CheckedBand()) }

func (t Trial) warmest(b Band) q.Maybe[q.Temperature] {
	if from, ok := t.Conditions.CableTemperature.Get(); ok {
		return q.Known(b.Warmest(from))
	}
	return q.Maybe[q.Temperature]{}
}

// DropTo is a lower setting for a cable no warmer than UpTo.
type DropTo struct {
	UpTo    q.Temperature
	Setting Setting
}

// dropStep is the temperature step of the drop-to table, 5 °F, whatever the
// thermometer reads: the same table in either system.
const dropStep = 5 / 1.8

// DropTo returns lower settings for a cable warmer than the band of s, down to
// what a short check may still confirm: speed by the whole ratio of polyethylene's
// stiffness, rounded down. Outside the stiffness table there is none.
func (t Trial) DropTo(s Setting) []DropTo {
	from, ok := t.Conditions.CableTemperature.Get()
	covered, _ := t.CoveredUpTo().Get()
	last, _ := t.CheckedUpTo().Get()
	base, err := cable.Multiplier(from)
	if !ok || err != nil {
		return nil
	}
	var table []DropTo
	d := t.speedDial()
	for to := from; to < last; {
		if to = min(to+dropStep, last); to <= covered {
			continue
		}
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
