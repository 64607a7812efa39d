package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func alertOf(t testing.TB, v View, k Kind) Alert {
	t.Helper()
	for _, a := range v.Alerts {
		if a.Kind == k {
			require.NotEmpty(t, a.Says)
			require.NotEmpty(t, a.Do)
			return a
		}
	}
	require.Fail(t, "no such alert", "%s in %+v", k, v.Alerts)
	return Alert{}
}

func without(t testing.TB, v View, k Kind) {
	t.Helper()
	for _, a := range v.Alerts {
		require.NotEqual(t, k, a.Kind, "%+v", a)
	}
}

// steadyThen goes steadily at 28 m/min, then at these speeds.
func steadyThen(list ...float64) func(*writer, testing.TB) {
	return func(w *writer, t testing.TB) {
		for i, v := range append([]float64{28, 28, 28, 28, 28}, list...) {
			w.add(t, at(w, 28*float64(i+1), cableSpeed(v)))
		}
	}
}

// point is a second point with these changes.
func point(change ...func(*Point)) func(*writer, testing.TB) {
	return func(w *writer, t testing.TB) {
		w.add(t, at(w, 20, airAt(8)))
		w.add(t, at(w, 40, change...))
	}
}

// alertsDue are what may happen in a run, and the alerts it must bring or must not.
var alertsDue = []struct {
	name string
	do   func(*writer, testing.TB)
	kind Kind
	when When // 0: it must not come
	says string
}{
	{"as fast as ever", steadyThen(27), SlowsEarly, 0, ""},
	{"slower than nine tenths", steadyThen(24), SlowsEarly, Watch, "It is slowing: 79 ft/min, 86 % of the pace it began with"},
	{"slower than six tenths", steadyThen(16), NearlyStopped, Now, "It has nearly stopped: 52 ft/min, 55 % of what is expected here, 95 ft/min"},
	{"in the band", point(cableWarm(47)), SettingTooHigh, 0, ""},
	{"above the band", point(cableWarm(50)), SettingTooHigh, Now, "Cable or air at 50 °F is warmer than grip pressure 6 psi, belt speed 95 ft/min covers."},
	{"air above the band", point(inletWarm(12)), SettingTooHigh, Now, "is warmer than"},
	{"warmer than any", point(cableWarm(62)), NoSetting, Now, "Cable or air at 62 °F is warmer than any setting"},
	{"a little colder", point(cableWarm(35)), ColderThanTried, 0, ""},
	{"colder than the band", point(cableWarm(33)), ColderThanTried, Watch, "the belts may slip"},
	{"air sags", point(airAt(7.1)), AirSags, Now, "Air fell from 8 bar to 7.1 bar"},
	{"air wavers", point(airAt(7.3)), AirSags, 0, ""},
	{"air warm", point(inletWarm(41)), AirWarm, Watch, "warm"},
	{"air hot", point(inletWarm(61)), AirHot, Now, "softens"},
	{"push above the trial's", point(func(p *Point) { p.Push = q.Known(q.Reading{Value: 26, Unit: "bar"}) }), AboveSafe, Now, "260 N, more than the trial's push, 250 N"},
	{"push as the trial's", point(func(p *Point) { p.Push = q.Known(q.Reading{Value: 25, Unit: "bar"}) }), AboveSafe, 0, ""},
	{"air above a rating", point(airAt(13)), AboveRating, Now, "above what the hose bears, 12 bar"},
	{"a slip", point(func(p *Point) { p.Slip = true }), BeltsSlip, Watch, "The belts slipped."},
	{"an override", point(func(p *Point) { p.Control, p.By, p.Reason = q.Known(reading(110)), "AB", "to get it home" }), AboveSetting, Now, "grip pressure 6 psi, belt speed 110 ft/min is above what is allowed, grip pressure 6 psi, belt speed 95 ft/min"},
	{"a fold", func(w *writer, t testing.TB) { w.add(t, Stop{Mark: w.mark(60e9), Reason: StopFold}) }, FoldSeen, Now, "The cable folded."},
	{"a marked jacket", func(w *writer, t testing.TB) { w.add(t, Stop{Mark: w.mark(60e9), Reason: StopJacket}) }, JacketSeen, Now, "The jacket is marked."},
	{"radio lost", func(w *writer, t testing.TB) { w.add(t, Stop{Mark: w.mark(60e9), Reason: StopRadio}) }, RadioLost, Now, "Radio lost."},
	{"a restart", func(w *writer, t testing.TB) {
		w.add(t, at(w, 20))
		w.add(t, Stop{Mark: w.mark(60e9), Reason: StopPlanned})
		w.right(t)
		w.add(t, Restart{Mark: w.mark(10e9)})
	}, AfterRestart, Watch, "friction at rest is higher"},
	{"an hour later", func(w *writer, t testing.TB) {
		w.add(t, at(w, 20, cableWarm(42)))
		w.at = w.at.Add(61 * time.Minute)
	}, StaleTemperature, Watch, "more than an hour ago"},
	{"a minute later", point(cableWarm(42)), StaleTemperature, 0, ""},
}

// Each alert comes when it is due, with what to do, and not before.
func TestAlerts(t *testing.T) {
	for _, tt := range alertsDue {
		t.Run(tt.name, func(t *testing.T) {
			p := plan(t)
			p.Ratings.Hose = q.Known(q.From[q.Pressure](12, "bar"))
			w := moving(t, p)
			tt.do(w, t)
			v := NewModel(p).View(w.run, w.at)
			if tt.when == 0 {
				without(t, v, tt.kind)
				return
			}
			a := alertOf(t, v, tt.kind)
			require.Equal(t, tt.when, a.When)
			require.Contains(t, a.Says, tt.says)
			require.True(t, len(v.Alerts) == 1 || v.Alerts[0].When <= v.Alerts[len(v.Alerts)-1].When)
		})
	}
}

// After a slip one rung more grip pressure, within what was tried clean, is no override; a
// second is, and so is the first without a slip.
func TestOneRungAfterASlip(t *testing.T) {
	grip := func(psi float64) func(*Point) {
		return func(p *Point) { p.Grip = q.Known(q.From[q.Pressure](psi, "psi")) }
	}
	w := moving(t, plan(t))
	require.ErrorContains(t, w.run.Refuses(at(w, 20, grip(8))), "6 psi")
	w.add(t, at(w, 25, func(p *Point) { p.Slip = true }))
	require.Equal(t, "8 psi", q.Text(NewModel(w.run.Plan).View(w.run, w.at).Allowed.Or(session.Setting{}).Grip, "psi"))
	w.add(t, at(w, 30, grip(8)))
	require.Empty(t, w.run.Overrides())
	require.ErrorContains(t, w.run.Refuses(at(w, 35, grip(10))), "grip pressure 10 psi, belt speed 95 ft/min is above what is allowed now, grip pressure 8 psi, belt speed 95 ft/min\n  ")

	w = moving(t, plan(t))
	w.add(t, at(w, 25, func(p *Point) { p.Slip, p.CableTemperature = true, q.Known(fahrenheit(50)) }))
	require.ErrorContains(t, w.run.Refuses(at(w, 30, grip(8))), "6 psi", "a warmer jacket is softer: nobody has tried more on it")

	p := plan(t)
	p.GripTried = q.Known(q.From[q.Pressure](7, "psi"))
	w = moving(t, p)
	w.add(t, at(w, 25, func(p *Point) { p.Slip = true }))
	require.ErrorContains(t, w.run.Refuses(at(w, 30, grip(8))), "7 psi", "not above what the trial tried")
	w.add(t, at(w, 30, grip(7)))
	require.Empty(t, w.run.Overrides())
}

func TestOverridesAreNamed(t *testing.T) {
	w := moving(t, plan(t))
	over := func(by, reason string) Point {
		return at(w, 20, func(p *Point) { p.Control, p.By, p.Reason = q.Known(reading(110)), by, reason })
	}
	require.ErrorContains(t, w.run.Refuses(over("AB", " ")), "who decided otherwise, and why")
	require.ErrorContains(t, w.run.Refuses(over("", "slow")), "who decided otherwise, and why")
	w.add(t, over("AB", "to get it home"))
	o := w.run.Overrides()
	require.Len(t, o, 1)
	require.Equal(t, "grip pressure 6 psi, belt speed 110 ft/min", o[0].Dialled)
	require.Equal(t, "grip pressure 6 psi, belt speed 95 ft/min", o[0].Allowed)
	w.add(t, at(w, 40, func(p *Point) { p.Control = q.Known(reading(95)) }))
	require.Len(t, w.run.Overrides(), 1)
	without(t, NewModel(w.run.Plan).View(w.run, w.at), AboveSetting)

	w.run.Entries = append(w.run.Entries, at(w, 60, func(p *Point) { p.Control = q.Known(reading(120)) })) // as a hand-written file may have it
	require.Len(t, w.run.Overrides(), 2)
	require.Equal(t, "Go back now; or write down who decided it, and why.", alertOf(t, NewModel(w.run.Plan).View(w.run, w.at), AboveSetting).Do)
}
