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
func (b Band) Warmest(from q.Temperature) q.Temperature { return b.end(from, b.Degrees) }

// Coldest is the coldest within the band of a temperature.
func (b Band) Coldest(from q.Temperature) q.Temperature { return b.end(from, -b.Degrees) }

func (b Band) end(from, degrees q.Temperature) q.Temperature {
	base, err := cable.Multiplier(from)
	if err != nil {
		return from + degrees // outside the table only degrees count
	}
	in, out := from, from+degrees
	for range 60 {
		mid := (in + out) / 2
		if m, err := cable.Multiplier(mid); err == nil && math.Abs(math.Log(base/m)) > b.LogRatio {
			out = mid
		} else {
			in = mid
		}
	}
	return in
}
