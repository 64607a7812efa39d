package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// withoutGauge is a run of which only moving and stalling tell, 400 m in.
func withoutGauge(t *testing.T) *writer {
	t.Helper()
	p := plan(t)
	p.Gauge = q.Maybe[PushGauge]{}
	p.Setting = setting(6, 60)
	r := simulatedWithout(t, p, 0.14, 20, 400)
	return &writer{r, r.Entries[len(r.Entries)-1].When()}
}

// A reading that cannot be meant tells nothing: it makes no bound, and hides no fit.
func TestNothingIsToldByWhatCannotBeMeant(t *testing.T) {
	for name, spoil := range map[string]func(*Point){
		"air beyond any compressor": airAt(30),
		"air hotter than boiling":   inletWarm(130),
		"faster than any cable":     cableSpeed(900),
	} {
		w := withoutGauge(t)
		before := NewModel(w.run.Plan).friction(w.run.course())
		require.Equal(t, Bounded, before.Kind)
		w.add(t, at(w, 460, spoil))
		require.Equal(t, before, NewModel(w.run.Plan).friction(w.run.course()), name)

		p := plan(t)
		r := simulated(t, p, simulation{0.10, 1, 10, 500, 7})
		fitted := NewModel(p).friction(r.course())
		require.Equal(t, Fitted, fitted.Kind)
		odd := at(&writer{r, r.Entries[len(r.Entries)-1].When()}, 540, spoil)
		odd.Push = q.Known(q.Reading{Value: 8, Unit: "bar"})
		r.Entries = append(r.Entries, odd)
		require.Equal(t, fitted, NewModel(p).friction(r.course()), name)
	}
}

// What a stall tells goes by what stood in the log before it, not by what a clock says that
// was put back.
func TestStallAfterTheClockWentBack(t *testing.T) {
	stall := func(back time.Duration) Friction {
		w := withoutGauge(t)
		w.add(t, Stop{Mark: w.mark(20*time.Second - back), Printed: q.Known(1000 + stallsAt(t, w.run.Plan, 0.14)), Reason: StopStalled, Stalled: true})
		return NewModel(w.run.Plan).friction(w.run.course())
	}
	want := stall(0)
	require.True(t, want.Low.Known())
	require.Equal(t, want, stall(30*24*time.Hour))
}

// A stall before the first point tells as much as one after: the setting was read back.
func TestStallBeforeTheFirstPoint(t *testing.T) {
	p := plan(t)
	p.Gauge, p.Setting = q.Maybe[PushGauge]{}, setting(6, 60)
	w := moving(t, p)
	w.add(t, Stop{Mark: w.mark(time.Minute), Printed: q.Known(1000 + stallsAt(t, p, 0.14)), Reason: StopStalled, Stalled: true})
	f := NewModel(p).friction(w.run.course())
	require.Equal(t, Bounded, f.Kind, f.Says)
	require.InDelta(t, 0.14, f.Low.Or(0), 0.14*0.06)
}

// Where no mark was read nobody knows where the head was: neither a stall nor a push tells
// anything then.
func TestNothingIsToldWithoutAMark(t *testing.T) {
	w := withoutGauge(t)
	before := NewModel(w.run.Plan).friction(w.run.course())
	w.add(t, Stop{Mark: w.mark(30 * time.Minute), Reason: StopStalled, Stalled: true})
	require.Equal(t, before, NewModel(w.run.Plan).friction(w.run.course()))

	p := plan(t)
	r := simulated(t, p, simulation{0.10, 1, 10, 300, 7})
	fitted := NewModel(p).friction(r.course())
	require.Equal(t, Fitted, fitted.Kind)
	far := &writer{r, r.Entries[len(r.Entries)-1].When()}
	for range 10 { // it has gone on, and pushes harder
		far.add(t, Point{Mark: far.mark(time.Minute), Speed: q.Known[q.Speed](0.45), Push: q.Known(q.Reading{Value: 12, Unit: "bar"})})
	}
	require.Equal(t, fitted, NewModel(p).friction(far.run.course()))
}

// It moves where it cannot by the rig card, with no friction at all: the card or the plan is
// wrong, and no figure is made of it.
func TestMovingAgainstTheRigCard(t *testing.T) {
	w := withoutGauge(t)
	w.run.Plan.Rig.ThrustPerSpeed = q.Known(q.ForcePerReading{Value: 100, Unit: "m/s"}) // 30 N, and the air pushes back with 90
	f := NewModel(w.run.Plan).friction(w.run.course())
	require.Equal(t, NoFriction, f.Kind, f.Says)
	require.False(t, f.High.Known())
	require.Contains(t, f.Says, "It moved where by the rig card it could not")
}

// The gauge shows what an independent program of the same forces has the drive give, at five
// heads: the fit finds the friction it was run with, 0.10. 90.478 N of each are the air's on
// the end of the cable at the seal, pressure times area.
//
// Source: a march by Runge and Kutta in another language, written apart from this project and
// agreeing with scipy's to six digits; its pushes behind the seal with the cable at rest.
func TestFitAgainstAnIndependentProgram(t *testing.T) {
	p := plan(t)
	p.Gauge = q.Known(PushGauge{PerReading: q.ForcePerReading{Value: 1, Unit: "N"}})
	w := moving(t, p)
	w.add(t, at(w, 1)) // the first after a start is left out
	for _, row := range []struct{ in, behindSeal float64 }{{375, -20.734}, {750, -15.214}, {900, -10.7025}, {1125, -3.288}, {1500, 7.538}} {
		w.at = w.at.Add(time.Hour)
		w.add(t, at(w, row.in, cableSpeed(0.01), func(pt *Point) { pt.Push = q.Known(q.Reading{Value: 90.478 + row.behindSeal, Unit: "N"}) }))
	}
	f := NewModel(p).friction(w.run.course())
	require.Equal(t, Fitted, f.Kind, f.Says)
	require.Equal(t, 5, f.Readings)
	require.InDelta(t, 0.10, f.Mid.Or(0), 0.0005)
	t.Logf("%.5f, between %.5f and %.5f", f.Mid.Or(0), f.Low.Or(0), f.High.Or(0))
}
