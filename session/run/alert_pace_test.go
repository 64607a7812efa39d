package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// at45 is a plan whose setting has the belts at 45 ft/min; without a reach where so wished.
func at45(t *testing.T, reached bool) Plan {
	p := plan(t)
	p.Setting = setting(6, 45)
	if !reached {
		p.Reach = q.Maybe[Worked]{}
	}
	return p
}

func feet(v float64) float64 { return float64(q.From[q.Length](v, "ft")) }

func sight(w *writer) View { return NewModel(w.run.Plan).View(w.run, w.at) }

// The cable cannot go faster than its belts: told at once, with or without a reach, by a speed
// read off or by two marks, and until a mark is read that can be. Common sense, no source.
func TestFasterThanTheBelts(t *testing.T) {
	for _, reached := range []bool{true, false} {
		w := moving(t, at45(t, reached))
		w.add(t, at(w, feet(45)))
		without(t, sight(w), TooFast)
		w.add(t, at(w, feet(45+333)))
		a := alertOf(t, sight(w), TooFast)
		require.Equal(t, Now, a.When)
		require.Equal(t, "The cable at 333 ft/min is faster than the belts, dialled to 45 ft/min.", a.Says)
		require.Contains(t, a.Do, "Read the mark again at once. ")
		require.Contains(t, a.Do, "Is it true, stop the drive")
		w.add(t, Point{Mark: w.mark(time.Second), CableTemperature: q.Known(fahrenheit(42))})
		alertOf(t, sight(w), TooFast)
		w.add(t, at(w, feet(45+333+44)))
		without(t, sight(w), TooFast)
	}
	w := moving(t, at45(t, false))
	w.add(t, at(w, feet(45), func(p *Point) { p.Speed = q.Known(q.From[q.Speed](60, "ft/min")) }))
	require.Contains(t, alertOf(t, sight(w), TooFast).Says, "60 ft/min is faster than the belts, dialled to 45 ft/min")
}

// A mark pressed a second early or late, and a gauge that is a little off, are no runaway.
func TestAsFastAsTheBelts(t *testing.T) {
	w := moving(t, at45(t, false))
	for i := 1; i <= 4; i++ {
		w.add(t, Point{Mark: w.mark(11 * time.Second), Printed: q.Known(q.Length(1000 + feet(10*float64(i))))}) // 13 s at 45 ft/min
		without(t, sight(w), TooFast)
	}
}

// Turned down, the cable went at the speed of before until then: that is no runaway.
func TestTurnedDownIsNoRunaway(t *testing.T) {
	w := moving(t, at45(t, true))
	w.add(t, at(w, feet(45)))
	w.add(t, Point{Mark: w.mark(50 * time.Second), Control: q.Known(reading(20))})
	w.add(t, Point{Mark: w.mark(10 * time.Second), Printed: q.Known(q.Length(1000 + feet(45+41)))})
	v := sight(w)
	without(t, v, TooFast)
	require.False(t, v.Pace.Known(), "both speeds are in it")
	w.add(t, at(w, feet(45+41+45)))
	alertOf(t, sight(w), TooFast)
}

// Where the control reads no speed the drive's top speed serves, and where nobody knows that
// either the usual one, as a thing to look at.
func TestFasterThanTheDrive(t *testing.T) {
	pressureDriven := func(top q.Speed) *writer {
		p := plan(t)
		p.Setting.Speed = q.Reading{Value: 30, Unit: "bar"}
		p.Rig.PushUnit, p.Rig.SpeedLimit, p.DropTo = "bar", q.Known(q.Reading{Value: 60, Unit: "bar"}), nil
		worked := p.Reach.Or(Worked{})
		worked.Job.Push.TopSpeed = top
		p.Reach = q.Known(worked)
		w := moving(t, p)
		w.add(t, at(w, 20))
		w.add(t, at(w, 20+70))
		return w
	}
	a := alertOf(t, sight(pressureDriven(0.5)), TooFast)
	require.Equal(t, Now, a.When)
	require.Contains(t, a.Says, "is faster than the drive can, 98 ft/min") // 0.5 m/s
	a = alertOf(t, sight(pressureDriven(1)), TooFast)
	require.Equal(t, Watch, a.When)
	require.Contains(t, a.Says, "is faster than belt drives usually do, 197 ft/min") // 60 m/min
	without(t, sight(pressureDriven(2)), TooFast)
}

// A stark drop is told though it was slow from the first point, or the first was misread.
func TestStarkDropFromTheFirst(t *testing.T) {
	for _, reached := range []bool{true, false} {
		w := moving(t, at45(t, reached))
		w.add(t, at(w, feet(333)))
		w.add(t, at(w, feet(333+6)))
		a := alertOf(t, sight(w), NearlyStopped)
		require.Equal(t, Now, a.When)
		require.Contains(t, a.Says, "It has nearly stopped: 6 ft/min, 13 % of ")
		require.Contains(t, a.Says, "45 ft/min.")
		w.add(t, at(w, feet(333+6+9)))
		require.Contains(t, alertOf(t, sight(w), NearlyStopped).Says, "9 ft/min, 20 % of ")
		require.Equal(t, StoppingDo, alertOf(t, sight(w), NearlyStopped).Do)
	}
}

// What is expected is no more than the belts do as they are dialled now, and the pace begins anew.
func TestExpectedAsDialledNow(t *testing.T) {
	w := moving(t, at45(t, true))
	for i := 1; i <= 5; i++ {
		w.add(t, at(w, feet(45*float64(i))))
	}
	expected := func() float64 { return q.In(sight(w).Predicted.Or(0), "ft/min") }
	require.InDelta(t, 45, expected(), 1e-6)
	w.add(t, Point{Mark: w.mark(time.Second), Control: q.Known(reading(35))})
	require.InDelta(t, 35, expected(), 1e-6)
	require.False(t, sight(w).Pace.Known())
	for i := 1; i <= 4; i++ {
		w.add(t, at(w, feet(225+35*float64(i))))
		without(t, sight(w), SlowsEarly)
		without(t, sight(w), NearlyStopped)
	}
	require.InDelta(t, 1, sight(w).Pace.Or(0), 1e-6)
	eta, known := sight(w).ETA.Get()
	require.True(t, known)
	left := q.In(sight(w).Left.Or(0), "ft")
	require.InDelta(t, left/35*60, eta.Sub(w.at).Seconds(), left/35*60*0.02, "the rest at 35 ft/min")
}

// With cable in the duct nothing asks for a check or a trial with it: it stays at the lower
// setting until the run ends, and too warm for any ends the run.
func TestNoCheckWithCableInTheDuct(t *testing.T) {
	for _, warm := range []float64{50, 62, 33} {
		w := moving(t, plan(t))
		w.add(t, at(w, 20, cableWarm(warm)))
		for _, a := range sight(w).Alerts {
			require.NotContains(t, a.Do, "next stop")
			require.NotRegexp(t, "^Short check|until a short check", a.Do)
		}
	}
	w := moving(t, plan(t))
	w.add(t, at(w, 20, cableWarm(50)))
	require.Contains(t, alertOf(t, sight(w), SettingTooHigh).Do, "Drop to grip pressure 6 psi, belt speed 85 ft/min now. Stay there or below, until the run ends; a short check is for before the next run.")
	w.add(t, at(w, 40, func(p *Point) { p.Control = q.Known(reading(85)) }))
	a := alertOf(t, sight(w), SettingTooHigh)
	require.Equal(t, Watch, a.When)
	require.Contains(t, a.Do, "Stay at grip pressure 6 psi, belt speed 85 ft/min or below, until the run ends; a short check is for before the next run.")
	require.NotContains(t, StopReasons(), "short check due")

	before := beforeAir(t) // no cable in the duct yet: a check can be made
	before.add(t, Dialled{Mark: before.mark(time.Minute), Setting: setting(6, 85), CableTemperature: q.Known(fahrenheit(50))})
	require.Contains(t, alertOf(t, sight(before), SettingTooHigh).Do, "or below, until a short check.")
}

// Too warm for any setting: the run ends, and how the cable is left is said.
func TestTooWarmForAny(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, at(w, 20, cableWarm(62)))
	do := alertOf(t, sight(w), NoSetting).Do
	for _, said := range []string{"Stop the drive, isolate its supply, shut the air at its source, vent, read zero, tell the far end.", "cannot go on with this profile", "a new trial is due before any further push", "How the cable is left in the duct the supervisor decides"} {
		require.Contains(t, do, said)
	}
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopTemperature})
	w.right(t)
	require.ErrorContains(t, w.run.Refuses(Restart{Mark: w.mark(0)}), "warmer than any setting of this profile covers\n  ")
	w.add(t, at(w, 20, cableWarm(45)))
	require.NoError(t, w.run.Refuses(Restart{Mark: w.mark(0)}), "in the shade again")
}

// After a fold nothing is pushed any more, and it is said what to do and what never.
func TestFoldEndsTheRun(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopFold})
	w.right(t)
	require.ErrorContains(t, w.run.Refuses(Restart{Mark: w.mark(0)}), "the cable folded: it is not pushed any more\n  ")
	do := alertOf(t, sight(w), FoldSeen).Do
	for _, said := range []string{"Stop the drive, isolate its supply, shut the air at its source, vent, read zero", "Only then a hand near it.", "Never air, a rod or force", "scrap", "the supervisor and the makers' instructions decide"} {
		require.Contains(t, do, said)
	}
}

// A mark far on within the same second was misread: nobody can say which of the two.
func TestMarksInOneSecond(t *testing.T) {
	w := moving(t, at45(t, true))
	w.add(t, at(w, 14))
	w.add(t, Point{Mark: w.mark(0), Printed: q.Known[q.Length](1045)})
	require.Contains(t, alertOf(t, sight(w), WrongMark).Says, "faster than any drive")
	w = moving(t, at45(t, true))
	w.add(t, at(w, 14))
	w.add(t, Point{Mark: w.mark(0), Printed: q.Known[q.Length](1015)})
	without(t, sight(w), WrongMark)
}
