package session

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func clock(h, m int) time.Time {
	return time.Date(2026, 5, 14, h, m, 0, 0, time.FixedZone("", -5*3600))
}

func fahrenheit(f float64) q.Temperature { return q.From[q.Temperature](f, "°F") }

// TestDayByHand: 41 to 78 °F, worked out by hand from the published form: the mean is
// 59.5 °F and half the swing 18.5 °F; cos 60° = 0.5, cos 45° = 0.7071, cos 67.5° = 0.3827.
func TestDayByHand(t *testing.T) {
	day := Day{fahrenheit(41), fahrenheit(78)}
	for _, c := range []struct {
		h, m int
		want float64
	}{
		{6, 0, 41}, {8, 0, 59.5 - 18.5*0.7071}, {8, 40, 59.5 - 9.25}, {10, 0, 59.5}, {11, 20, 59.5 + 9.25}, {14, 0, 78},
		{18, 0, 59.5 + 18.5*0.7071}, {20, 0, 59.5 + 18.5*0.3827}, {22, 0, 59.5}, {2, 0, 59.5 - 18.5*0.7071}, {5, 59, 41},
	} {
		require.InDelta(t, c.want, q.In(day.At(clock(c.h, c.m)), "°F"), 0.01, "%d:%02d", c.h, c.m)
	}
}

// TestDayMean: over a day the model's mean is that of low and high, which degree-day
// work takes as the day's mean (McMaster and Wilhelm, Agricultural and Forest
// Meteorology 87 (1997) 291–300, from memory).
func TestDayMean(t *testing.T) {
	day, sum := Day{-3, 19}, 0.0
	const steps = 24 * 60
	for m := range steps {
		sum += float64(day.At(clock(0, m)))
	}
	require.InDelta(t, 8, sum/steps, 0.01)
}

func TestDayPasses(t *testing.T) {
	day := Day{fahrenheit(41), fahrenheit(78)}
	for _, c := range []struct {
		name string
		top  float64
		now  time.Time
		want time.Time // zero: not before midnight
	}{
		{"a quarter up", 50.25, clock(7, 42), clock(8, 40)}, // cos 60°
		{"half up", 59.5, clock(7, 42), clock(10, 0)},
		{"before the low", 59.5, clock(4, 0), clock(10, 0)},
		{"never", 78, clock(7, 42), time.Time{}},
		{"already", 50.25, clock(9, 0), clock(9, 0)},
		{"in the warm evening", 50.25, clock(19, 0), clock(19, 0)},
		{"in the cool evening", 59.5, clock(22, 30), time.Time{}},
		{"below the low", 30, clock(7, 42), clock(7, 42)},
	} {
		t.Run(c.name, func(t *testing.T) {
			at, ok := day.Passes(fahrenheit(c.top), c.now)
			require.Equal(t, !c.want.IsZero(), ok)
			require.WithinDuration(t, c.want, at, 2*time.Second)
		})
	}
}

// TestDayPassesAsItRises: what comes out is when the model passes, never before now;
// a warmer day is never later.
func TestDayPassesAsItRises(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		low := q.Temperature(-20 + 40*r.Float64())
		day := Day{low, low + q.Temperature(30*r.Float64())}
		top, now := low+q.Temperature(35*r.Float64()-2), clock(0, r.IntN(24*60))
		at, ok := day.Passes(top, now)
		if !ok {
			for m := now; m.Day() == now.Day(); m = m.Add(7 * time.Minute) {
				require.LessOrEqual(t, day.At(m), top+1e-9)
			}
			continue
		}
		require.False(t, at.Before(now))
		if at.After(now) {
			require.InDelta(t, float64(top), float64(day.At(at)), 0.01)
		}
		warmer, ok := Day{day.Low, day.High + 3}.Passes(top, now)
		require.True(t, ok)
		require.False(t, warmer.After(at.Add(time.Second)))
	}
}

// TestCheckDue: a cable in the sun keeps what it has over the air; a colder one warms.
func TestCheckDue(t *testing.T) {
	trial := func(cable, inlet float64) Trial {
		c := Conditions{Unit: "°F", CableTemperature: q.Known(fahrenheit(cable)), DayLow: q.Known(fahrenheit(41)), DayHigh: q.Known(fahrenheit(78))}
		if inlet != 0 {
			c.InletAirTemperature = q.Known(fahrenheit(inlet))
		}
		return Trial{Started: clock(6, 0), Conditions: c}
	}
	for _, c := range []struct {
		name         string
		cable, inlet float64
		want         time.Time
	}{
		{"as the air", 41, 0, clock(10, 0)},
		{"colder than the air", 35, 0, clock(10, 0)},
		{"9.25 °F above the air", 50.25, 0, clock(8, 40)}, // the air then passes 50.25
		{"warm inlet air", 41, 50.25, clock(8, 40)},
		{"warm already", 60, 0, clock(6, 30)},
	} {
		t.Run(c.name, func(t *testing.T) {
			at, given := trial(c.cable, c.inlet).CheckDue(fahrenheit(59.5), clock(6, 30))
			require.True(t, given)
			due, ok := at.Get()
			require.True(t, ok)
			require.WithinDuration(t, c.want, due, 2*time.Second)
		})
	}
	_, given := Trial{}.CheckDue(10, clock(8, 0))
	require.False(t, given, "without low and high no clock time is made up")
	at, given := trial(41, 0).CheckDue(fahrenheit(79), clock(8, 0))
	require.True(t, given)
	require.False(t, at.Known())
}

func TestTemperatureStale(t *testing.T) {
	trial := Trial{Started: clock(8, 0), Conditions: Conditions{CableTemperature: q.Known[q.Temperature](5), Unit: "°C"}}
	require.False(t, trial.TemperatureStale(clock(9, 0)))
	require.True(t, trial.TemperatureStale(clock(9, 1)))
	require.True(t, trial.TemperatureStale(clock(6, 0)), "a clock that went back")
	trial.Entries = []Entry{
		Answer{Mark: Mark{1, clock(8, 30)}, Item: ItemTemperature, Value: "6 °C"},
		Change{Mark: Mark{2, clock(8, 45)}, Key: "conditions.cable_temperature", Value: "7 °C"},
		Change{Mark: Mark{3, clock(8, 50)}, Key: "conditions.day_low", Value: "2 °C"},
	}
	text, at := trial.TemperatureRead()
	require.Equal(t, "7 °C", text)
	require.Equal(t, clock(8, 45), at)
	require.False(t, trial.TemperatureStale(clock(9, 45)))
	trial.Entries = append(trial.Entries, Undo{Mark{4, clock(8, 51)}, 2})
	text, at = trial.TemperatureRead()
	require.Equal(t, "6 °C", text)
	require.Equal(t, clock(8, 30), at)
	require.False(t, Trial{}.TemperatureStale(clock(9, 0)), "nobody can tell")
}
