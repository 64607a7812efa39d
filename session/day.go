package session

import (
	"math"
	"time"

	q "brinkmark/session/quantity"
)

// Day is the lowest and the highest temperature of the air today, as a weather report
// gives them.
type Day struct{ Low, High q.Temperature }

// Hours at which the model has the day's low and high. They are the clock's: where it
// is put forward in summer the air lags behind the model, which errs to an earlier check.
const (
	LowestHour  = 6.0
	HighestHour = 14.0
)

// Day returns today's low and high; false unless both are given.
func (t Trial) Day() (Day, bool) {
	low, ok1 := t.Conditions.DayLow.Get()
	high, ok2 := t.Conditions.DayHigh.Get()
	return Day{low, high}, ok1 && ok2
}

// At is the air's temperature at a time of the day, along half a cosine from the low
// to the high and another from the high to the next low:
//
//	T(h) = (Tₕ + Tₗ)/2 − (Tₕ − Tₗ)/2·cos(π·(h − h₁)/(h₂ − h₁)),  h₁ ≤ h ≤ h₂
//	T(h) = (Tₕ + Tₗ)/2 + (Tₕ − Tₗ)/2·cos(π·(h − h₂)/(24 + h₁ − h₂)),  else
//
// h₁ and h₂ are the hours of low and high, [LowestHour] and [HighestHour]; hours before
// h₁ count on from the day before, with today's low and high. Clouds, wind or a front
// make other days: the model says when to look, never what the cable has.
//
// Source: the two-piece cosine between a low at sunrise and a high at 14 hours of
// de Wit et al. (1978), as compared with others by Reicosky et al., Agricultural and
// Forest Meteorology 46 (1989) 193–209; the same sine with fixed hours, half a day
// apart, is that of degree-day work (Baskerville and Emin, Ecology 50 (1969) 514–517).
// From memory. A fixed hour for sunrise is a choice made here.
func (d Day) At(at time.Time) q.Temperature {
	mean, half := (d.High+d.Low)/2, (d.High-d.Low)/2
	h := hourOf(at)
	if h >= LowestHour && h <= HighestHour {
		return mean - half*q.Temperature(math.Cos(math.Pi*(h-LowestHour)/(HighestHour-LowestHour)))
	}
	if h < LowestHour {
		h += 24
	}
	return mean + half*q.Temperature(math.Cos(math.Pi*(h-HighestHour)/(24+LowestHour-HighestHour)))
}

func hourOf(at time.Time) float64 {
	h, m, s := at.Clock()
	return float64(h) + float64(m)/60 + float64(s)/3600
}

// Passes is when, from now on and before midnight, the air rises above a temperature:
// now when the model has it above already; false when it stays below.
func (d Day) Passes(top q.Temperature, now time.Time) (time.Time, bool) {
	switch {
	case d.At(now) > top:
		return now, true
	case d.High <= top || hourOf(now) >= HighestHour:
		return time.Time{}, false
	}
	cosine := 1 - 2*float64((top-d.Low)/(d.High-d.Low))
	h := LowestHour + (HighestHour-LowestHour)/math.Pi*math.Acos(min(max(cosine, -1), 1))
	y, m, day := now.Date()
	at := time.Date(y, m, day, 0, 0, int(h*3600), 0, now.Location())
	if at.Before(now) {
		return now, true
	}
	return at, true
}

// CheckDue is when, by the air of the day, cable or inlet air gets warmer than the top
// of a band; not known when that is not before midnight. given is false without the
// day's low and high.
//
// What was read warmer than the model's air at that time is taken to stay so much
// warmer, as in the sun; what was read colder gets no credit, for it warms.
func (t Trial) CheckDue(top q.Temperature, now time.Time) (at q.Maybe[time.Time], given bool) {
	d, given := t.Day()
	if !given {
		return at, false
	}
	excess := q.Temperature(0)
	if read, ok := t.Conditions.CableTemperature.Get(); ok {
		read = max(read, t.Conditions.InletAirTemperature.Or(read))
		_, readAt := t.TemperatureRead()
		if readAt.IsZero() {
			readAt = now
		}
		if read > top {
			return q.Known(now), true
		}
		excess = max(read-d.At(readAt), 0)
	}
	if passes, ok := d.Passes(top-excess, now); ok {
		at = q.Known(passes)
	}
	return at, true
}

// ItemTemperature is the check that reads the cable's temperature.
const ItemTemperature = "cable-temperature"

// StaleAfter is how old a reading of the cable's temperature may be. Source: common
// practice, no source: hourly, and when sun or shade changes.
const StaleAfter = time.Hour

// TemperatureRead is the last reading of the cable's temperature, as written, and when
// it was made. What the job begins with counts as read when the trial was begun.
func (t Trial) TemperatureRead() (text string, at time.Time) {
	text, at = t.CableTemperatureText(), t.Started
	dropped := t.undone()
	for _, e := range t.Entries {
		switch e := e.(type) {
		case Answer:
			if e.Item == ItemTemperature && e.Value != "" && !dropped[e.Seq] {
				text, at = e.Value, e.At
			}
		case Change:
			if e.Key == "conditions.cable_temperature" && !dropped[e.Seq] {
				text, at = e.Value, e.At
			}
		}
	}
	return text, at
}

// TemperatureStale reports whether the cable's temperature was read more than an hour
// ago, or at a time nobody can tell.
func (t Trial) TemperatureStale(now time.Time) bool {
	_, at := t.TemperatureRead()
	return !at.IsZero() && (now.Sub(at) > StaleAfter || now.Before(at.Add(-StaleAfter)))
}
