package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// A setting is read back at the temperature read last, not at the first of the record: the
// cable has stood in the sun since. What it was dropped to stays until the run ends, in the shade
// again too: no check can be made with the cable in the duct. A reading taken back drops nothing.
func TestReadBackGoesByTheLastTemperature(t *testing.T) {
	w := moving(t, plan(t)) // read back at 42 °F
	w.add(t, at(w, 20, cableWarm(50)))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopPlanned})
	full := Dialled{Mark: w.mark(time.Minute), Setting: w.run.Plan.Setting}
	require.Equal(t, Warmer, w.run.ReadBack(full).Warmth)
	require.ErrorContains(t, w.run.Refuses(full), "95 ft/min dialled, 85 ft/min allowed: 10 ft/min too high")
	full.CableTemperature = q.Known(fahrenheit(44)) // in the shade again
	require.Equal(t, Held, w.run.ReadBack(full).Warmth)
	require.ErrorContains(t, w.run.Refuses(full), "It was warmer in this run: no more than grip pressure 6 psi, belt speed 85 ft/min")
	full.Setting = setting(6, 85)
	require.NoError(t, w.run.Refuses(full))
	w.add(t, full)
	v := NewModel(w.run.Plan).View(w.run, w.at)
	require.Equal(t, "Stay at grip pressure 6 psi, belt speed 85 ft/min or below, until the run ends; a short check is for before the next run.", alertOf(t, v, SettingTooHigh).Do)

	w = moving(t, plan(t))
	w.add(t, at(w, 20, cableWarm(50)))
	w.add(t, session.Undo{Mark: w.mark(time.Minute), Drops: w.run.LastNumber()})
	require.Equal(t, InBand, w.run.ReadBack(Dialled{Mark: w.mark(time.Minute), Setting: w.run.Plan.Setting}).Warmth)
}

// The rung more that a slip allows may be dialled at a stop as well as under way.
func TestReadBackAfterASlip(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, at(w, 20, func(p *Point) { p.Slip = true }))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopSlip})
	more := Dialled{Mark: w.mark(time.Minute), Setting: setting(8, 95)}
	require.NoError(t, w.run.Refuses(more), "8 psi left the jacket clean in the trial")
	w.add(t, more)
	v := NewModel(w.run.Plan).View(w.run, w.at)
	without(t, v, AboveSetting)
	back, _ := v.ReadBack.Get()
	require.False(t, back.Above)
	require.Equal(t, "Grip pressure: 8 psi, as it should be.", back.Lines[0])
	more.Setting = setting(10, 95)
	require.ErrorContains(t, w.run.Refuses(more), "10 psi dialled, 8 psi allowed")
}

// The crew's word for the push control may begin with any letter.
func TestReadBackInTheCrewsWord(t *testing.T) {
	p := plan(t)
	for word, want := range map[string]string{"öldruck": "Öldruck: 95 ft/min, as it should be.", "čerpadlo": "Čerpadlo: 95 ft/min, as it should be.", "": "Push control: 95 ft/min, as it should be."} {
		p.Rig.PushControl = word
		require.Equal(t, want, Run{Plan: p}.ReadBack(Dialled{Setting: p.Setting, CableTemperature: q.Known(fahrenheit(42))}).Lines[1])
	}
}

// After a mark that cannot be, nobody knows which of the two was misread: no speed is worked
// out from it.
func TestNoSpeedFromAnOddMark(t *testing.T) {
	for name, marks := range map[string][]float64{
		"misread low":  {20, 40, 10, 60},  // it went on at 10 m/min, and not at 50
		"misread high": {20, 900, 40, 60}, // 900 was too fast, and 40 went back
	} {
		w := moving(t, plan(t))
		for _, m := range marks {
			w.add(t, at(w, m))
		}
		require.False(t, w.run.course().now.Speed.Known(), name)
		w.add(t, at(w, 80))
		require.InDelta(t, 20, q.In(w.run.course().now.Speed.Or(0), "m/min"), 1e-9, "%s: the next is trusted", name)
	}
}

// Air that has fallen since the start is told at the first point.
func TestAirSagsFromTheStart(t *testing.T) {
	w := moving(t, plan(t)) // 8 bar
	w.add(t, at(w, 20, airAt(6)))
	require.Equal(t, "Air fell from 8 bar to 6 bar.", alertOf(t, NewModel(w.run.Plan).View(w.run, w.at), AirSags).Says)
}

// The air at the duct's mouth says nothing of the cable: each of the two grows old by itself.
func TestEachTemperatureGrowsOld(t *testing.T) {
	for _, tt := range []struct {
		name        string
		first, then func(*Point)
		says        string
	}{
		{"the cable", inletWarm(7), inletWarm(8), "The temperature of the cable was read more than an hour ago."},
		{"the air", inletWarm(7), cableWarm(43), "The temperature of the inlet air was read more than an hour ago."},
	} {
		w := moving(t, plan(t)) // reads the cable
		w.add(t, at(w, 20, tt.first))
		w.at = w.at.Add(50 * time.Minute)
		w.add(t, at(w, 40, tt.then))
		without(t, NewModel(w.run.Plan).View(w.run, w.at), StaleTemperature)
		w.at = w.at.Add(15 * time.Minute)
		require.Equal(t, tt.says, alertOf(t, NewModel(w.run.Plan).View(w.run, w.at), StaleTemperature).Says, tt.name)
	}
}

// A fold counts whatever way it is written down, and at once.
func TestHurtHoweverItIsSaid(t *testing.T) {
	for name, e := range map[string]session.Entry{
		"by the reason offered": Stop{Reason: StopFold},
		"typed":                 Stop{Reason: " Fold"},
		"given up for it":       End{Reason: EndFold},
		"given up, typed":       End{Reason: "fold"},
		"found at the end":      Closing{Folds: 1},
	} {
		folded, damaged := Run{Entries: []session.Entry{e}}.Hurt()
		require.True(t, folded, name)
		require.False(t, damaged, name)
	}
	for name, e := range map[string]session.Entry{"stop": Stop{Reason: "jacket marked"}, "typed": Stop{Reason: "Jacket Marked "}, "closing": Closing{Damaged: true}} {
		folded, damaged := Run{Entries: []session.Entry{e}}.Hurt()
		require.False(t, folded, name)
		require.True(t, damaged, name)
	}
	folded, damaged := Run{Entries: []session.Entry{Stop{Reason: "folder of the route is missing"}, End{Reason: "stuck"}}}.Hurt()
	require.False(t, folded || damaged)
}

// What the cable moves on cannot be taken from under it.
func TestUndoOfWhatTheRunRestsOn(t *testing.T) {
	w := moving(t, plan(t))
	for _, e := range w.run.Entries {
		undo := session.Undo{Mark: w.mark(0), Drops: e.Number()}
		switch e := e.(type) {
		case Dialled, Proving:
			require.ErrorContains(t, w.run.Refuses(undo), "later entries rest on it", "%T", e)
		case session.Answer:
			if c, check := CheckByID(e.Item); check && c.Killer && stageOf(t, c.ID) == AirStage {
				require.ErrorContains(t, w.run.Refuses(undo), "later entries rest on it", c.ID)
			}
		}
	}
	w.add(t, at(w, 20))
	w.add(t, session.Undo{Mark: w.mark(0), Drops: w.run.LastNumber()})
	require.NoError(t, w.run.Refuses(session.Undo{Mark: w.mark(0), Drops: w.run.Entries[len(w.run.Entries)-3].Number()}), "the start, the last that stands")
}

// To go on at what has become too high for the warmth is an override, though nobody turned
// anything: it is told, and whoever reads the record sees it.
func TestRestartAboveWhatIsAllowed(t *testing.T) {
	stopped := func() *writer {
		w := moving(t, plan(t))
		w.add(t, at(w, 20, cableWarm(50)))
		require.Empty(t, w.run.Overrides(), "it became too high under way: the alert says so")
		w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopTemperature})
		w.right(t)
		return w
	}
	w := stopped()
	w.add(t, Restart{Mark: w.mark(time.Minute), By: "AB"})
	require.Len(t, w.run.Overrides(), 1)
	require.Equal(t, "grip pressure 6 psi, belt speed 95 ft/min", w.run.Overrides()[0].Dialled)
	require.Equal(t, "grip pressure 6 psi, belt speed 85 ft/min", w.run.Overrides()[0].Allowed)
	require.False(t, w.run.Overrides()[0].Named())
	require.Equal(t, "Go back now; or write down who decided it, and why.", alertOf(t, NewModel(w.run.Plan).View(w.run, w.at), AboveSetting).Do)

	w = stopped()
	w.add(t, Dialled{Mark: w.mark(time.Minute), Setting: setting(6, 85)})
	w.right(t)
	w.add(t, Restart{Mark: w.mark(time.Minute), By: "AB"})
	require.Empty(t, w.run.Overrides())

	w = stopped()
	w.add(t, Dialled{Mark: w.mark(time.Minute), Setting: setting(6, 95), By: "AB", Reason: "shade in ten minutes"})
	w.right(t)
	w.add(t, Restart{Mark: w.mark(time.Minute), By: "AB"})
	require.Len(t, w.run.Overrides(), 1, "once, and named")
	require.True(t, w.run.Overrides()[0].Named())
}
