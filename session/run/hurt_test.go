package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// With a fold goes what the cable ran with when it folded: not what was read back at first, and
// not what was turned to when it stood already.
func TestHurtsTellWhatWasInForce(t *testing.T) {
	grip := func(psi float64) func(*Point) {
		return func(p *Point) { p.Grip = q.Known(q.From[q.Pressure](psi, "psi")) }
	}
	control := func(feet float64) func(*Point) { return func(p *Point) { p.Control = q.Known(reading(feet)) } }
	fold := func(w *writer, t *testing.T) { w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopFold}) }
	for _, tt := range []struct {
		name  string
		do    func(*writer, *testing.T)
		fold  bool
		set   session.Setting
		cable q.Temperature
	}{
		{"as read back", fold, true, setting(6, 95), fahrenheit(42)},
		{"turned down on the way, and warmer", func(w *writer, t *testing.T) {
			w.add(t, at(w, 20, control(70), cableWarm(45)))
			w.add(t, at(w, 40, grip(5)))
			fold(w, t)
		}, true, setting(5, 70), fahrenheit(45)},
		{"turned down when it stood", func(w *writer, t *testing.T) {
			fold(w, t)
			w.add(t, at(w, 20, grip(2), control(20), cableWarm(60)))
			w.add(t, End{Mark: w.mark(time.Minute), Reason: EndFold})
		}, true, setting(6, 95), fahrenheit(42)},
		{"stopped for something else, then seen", func(w *writer, t *testing.T) {
			w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopSlowed})
			w.add(t, at(w, 20, grip(2)))
			w.add(t, End{Mark: w.mark(time.Minute), Reason: "Cable folded"})
			w.right(t)
			w.add(t, Closing{Mark: w.mark(time.Minute), Folds: 1})
		}, true, setting(6, 95), fahrenheit(42)},
		{"a mark on the jacket", func(w *writer, t *testing.T) {
			w.add(t, at(w, 20, grip(4)))
			w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopJacket})
		}, false, setting(4, 95), fahrenheit(42)},
		{"damage found at the end", func(w *writer, t *testing.T) {
			w.add(t, at(w, 20, grip(4)))
			w.add(t, End{Mark: w.mark(time.Minute), Arrived: true})
			w.right(t)
			w.add(t, Closing{Mark: w.mark(time.Minute), Damaged: true})
		}, false, setting(4, 95), fahrenheit(42)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := moving(t, plan(t))
			tt.do(w, t)
			hurts := w.run.Hurts()
			require.Len(t, hurts, 1)
			require.Equal(t, tt.fold, hurts[0].Fold)
			is, known := hurts[0].Setting.Get()
			require.True(t, known)
			require.InDelta(t, float64(tt.set.Grip), float64(is.Grip), 1)
			require.InDelta(t, tt.set.Speed.Value, is.Speed.Value, 1e-9)
			require.InDelta(t, float64(tt.cable), float64(hurts[0].Cable.Or(-99)), 1e-9)
		})
	}
}

// Where nothing was read the plan's setting and the trial's temperature stand; where they are not
// known either, nothing is made up.
func TestHurtsWithoutReadings(t *testing.T) {
	p := plan(t)
	only := Run{Plan: p, Entries: []session.Entry{Start{}, Stop{Reason: StopFold}}}.Hurts()
	require.Equal(t, []Hurt{{Fold: true, Setting: q.Known(p.Setting), Cable: p.MadeAt}}, only)
	none := Run{Entries: []session.Entry{Stop{Reason: StopFold}}}.Hurts()
	require.Equal(t, []Hurt{{Fold: true}}, none)
}

// A fold that is taken back speaks against nothing, and more folds than were told are told.
func TestHurtsTakenBackAndCounted(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopFold})
	w.add(t, session.Undo{Mark: w.mark(time.Minute), Drops: w.run.LastNumber()})
	require.Empty(t, w.run.Hurts())
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopFold})
	w.add(t, End{Mark: w.mark(time.Minute), Reason: EndFold})
	w.right(t)
	w.add(t, Closing{Mark: w.mark(time.Minute), Folds: 3, Damaged: true})
	hurts := w.run.Hurts()
	require.Len(t, hurts, 4)
	require.False(t, hurts[3].Fold)
	require.Len(t, Run{Entries: []session.Entry{Closing{Folds: 1 << 40}}}.Hurts(), mostFolds)
}

// A marked jacket ends the pushing as a fold does: what marked it is never pushed with again. How
// the setting stands is nothing to act on then.
func TestHurtEndsTheRun(t *testing.T) {
	for reason, says := range map[string]string{StopFold: "the cable folded: it is not pushed any more\n  ", StopJacket: "the jacket was marked: the cable is not pushed any more\n  "} {
		w := moving(t, plan(t))
		w.add(t, at(w, 20, cableWarm(60))) // warmer than the setting, and above what is allowed
		w.add(t, Stop{Mark: w.mark(time.Minute), Reason: reason})
		w.right(t)
		require.ErrorContains(t, w.run.Refuses(Restart{Mark: w.mark(0)}), says)
		for _, kind := range []Kind{AboveSetting, SettingTooHigh, NoSetting, BeltsSlip} {
			without(t, sight(w), kind)
		}
		tooHigh := at(w, 20, func(p *Point) { p.Grip = q.Known(q.From[q.Pressure](40, "psi")) })
		require.NoError(t, w.run.Refuses(tooHigh), "nobody has to decide on what is not pushed with")
		w.add(t, session.Undo{Mark: w.mark(0), Drops: w.run.LastNumber()})
	}
}

// A run given up for a marked jacket tells of it once.
func TestEndForAMarkedJacket(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, End{Mark: w.mark(time.Minute), Reason: "Jacket marked"})
	require.Len(t, w.run.Hurts(), 1)
	require.False(t, w.run.Hurts()[0].Fold)
	w = moving(t, plan(t))
	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopJacket})
	w.add(t, End{Mark: w.mark(time.Minute), Reason: EndJacket})
	require.Len(t, w.run.Hurts(), 1)
}
