package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// What was once taken without a word in a run, beside what must never be asked again.
// Common practice, no source, but for what the run's own plan says.
func TestOddValuesOfARun(t *testing.T) {
	p := plan(t)
	p.Ratings.Hose = q.Known[q.Pressure](10e5)
	belts, bare := q.Known(reading(45)), Plan{}
	for _, row := range []struct{ says, got string }{
		{"Usual is from -22 °F to 140 °F. It was 48 °F before.", p.OddTemperature("460 F", q.Known(fahrenheit(48)))},
		{"In the trial it was 41 °F.", p.OddTemperature("85 F", q.Maybe[q.Temperature]{})},
		{"", p.OddTemperature("56 F", q.Maybe[q.Temperature]{})},
		{"", p.OddAirTemperature("70 F")},
		{"Usual is from -22 °F to 140 °F.", p.OddAirTemperature("540 F")},
		{"The belts run at 45 ft/min, and no cable outruns them: unless air draws it out of the drive, one of the two is misread.", p.OddCableSpeed("333 ft/min", belts)},
		{"", p.OddCableSpeed("46 ft/min", belts)},
		{"Usual is from 0 m/min to 150 m/min.", p.OddCableSpeed("900 m/min", q.Known(q.Reading{Value: 15, Unit: "bar"}))},
		{"The hose bears 145 psi here, never more: shut the air if it is so.", p.OddAir("160 psi")},
		{"", p.OddAir("120 psi")},
		{"Usual is from 0 psi to 232 psi.", bare.OddAir("1200 psi")},
		{"The drive's limit is 60 psi.", p.OddGrip("600 psi")},
		{"", p.OddGrip("6 psi")},
		{"The drive's limit is 220 ft/min.", p.OddControl("950 ft/min")},
		{"", p.OddControl("95 ft/min")},
		{"The bore is 1.02 in: nothing wider goes through.", p.OddMandrel("11 in")},
		{"", p.OddMandrel("20 mm")},
		{"Usual is from 0.118 in to 7.87 in.", bare.OddMandrel("11 in")},
		{"It was held at 30 psi: then nothing is left, and that is a leak.", p.OddLost("30 psi", "30 psi")},
		{"It was held at 30 psi: no more can be lost.", p.OddLost("40 psi", "30 psi")},
		{"", p.OddLost("6 psi", "145 psi")},
		{"Usual is from 0 bar to 25 bar.", p.OddHeld("100 bar")},
		{"", p.OddHeld("10 bar")},
		{"The route is 1500 m long.", p.OddInside("2000 m")},
		{"", p.OddInside("2 m")},
		{"The last mark was 1417 m, and the route is 1500 m long.", p.OddMark("14300 m", q.Known[q.Length](1417))},
		{"", p.OddMark("1430 m", q.Known[q.Length](1417))},
		{"Usual is from 16.4 ft to 49213 ft.", OddRoute("510000 ft")},
		{"", OddReel("820 ft")},
		{"Usual is from 0 ft to 656 ft.", OddLoop("2500 ft")},
	} {
		require.Equal(t, row.says, row.got)
	}
}

// A pressure that is gone is a leak: how fast it went nobody knows.
func TestAllOfThePressureLostIsALeak(t *testing.T) {
	p := plan(t)
	psi := func(v float64) q.Maybe[q.Pressure] { return q.Known(q.From[q.Pressure](v, "psi")) }
	for _, held := range []time.Duration{2 * time.Minute, time.Hour} {
		j := p.Judge(Proving{HeldAt: psi(30), Lost: psi(30), HeldFor: q.Known(held)})
		passed, known := j.Passed.Get()
		require.True(t, known && !passed)
		require.Contains(t, j.Lines, "It lost 2.07 bar of the 2.07 bar it was held at: the duct leaks. Find the leak.")
		for _, line := range j.Lines {
			require.NotContains(t, line, "a minute")
		}
	}
}
