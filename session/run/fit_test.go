package run

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// A run with a friction that is known is read with a gauge's steps and noise; the fit must
// name a range that holds it in at least 90 of 100 cases, and not a wide one.
func TestFitFindsTheFriction(t *testing.T) {
	const seeds = 100
	for _, tt := range []struct {
		mu, noise, every, until float64
		division                float64 // bar, of 10 N each
		width                   float64 // most the half range may be, as a part of friction
	}{
		{0.10, 2, 10, 300, 0.5, 0.13},
		{0.10, 4, 10, 600, 0.5, 0.07},
		{0.12, 3, 5, 1000, 1, 0.05},
		{0.08, 0.5, 20, 1400, 1, 0.10},
		{0.14, 6, 10, 500, 0.1, 0.06},
		{0.06, 8, 25, 1200, 2, 0.20},
	} {
		t.Run(fmt.Sprintf("friction %v to %v m", tt.mu, tt.until), func(t *testing.T) {
			p := plan(t)
			g := p.Gauge.Or(PushGauge{})
			g.Division = q.Known(q.Reading{Value: tt.division, Unit: "bar"})
			p.Gauge = q.Known(g)
			m := NewModel(p)
			held, miss, half := 0, 0.0, 0.0
			for seed := range uint64(seeds) {
				f := m.friction(simulated(t, p, simulation{tt.mu, tt.noise, tt.every, tt.until, seed}).course())
				require.Equal(t, Fitted, f.Kind, "%s", f.Says)
				low, mid, high := f.Low.Or(0), f.Mid.Or(0), f.High.Or(0)
				require.True(t, low < mid && mid < high)
				if low <= tt.mu && tt.mu <= high {
					held++
				}
				miss += (mid - tt.mu) * (mid - tt.mu) / seeds
				half += (high - low) / 2 / seeds
			}
			t.Logf("root mean square error %.2g (%.1f %%), range ± %.2g (%.1f %%), held in %d of %d", math.Sqrt(miss), 100*math.Sqrt(miss)/tt.mu, half, 100*half/tt.mu, held, seeds)
			require.GreaterOrEqual(t, held, seeds*90/100)
			require.Less(t, half, tt.width*tt.mu)
		})
	}
}

// Friction of the seal that was not measured is taken for the cable's: the fit errs high, and
// so the new reach short. Measured, it does not matter.
func TestFitAndTheSeal(t *testing.T) {
	p := plan(t)
	g := p.Gauge.Or(PushGauge{})
	g.Seal = 12
	p.Gauge = q.Known(g)
	r := simulated(t, p, simulation{0.10, 1, 10, 500, 7})
	told := NewModel(p).friction(r.course())
	require.Equal(t, Fitted, told.Kind)
	require.InDelta(t, 0.10, told.Mid.Or(0), 0.005)
	require.NotContains(t, told.Says, "seal")

	g.Seal = 0
	p.Gauge = q.Known(g)
	silent := NewModel(p).friction(r.course())
	require.Equal(t, Fitted, silent.Kind)
	require.Greater(t, silent.Mid.Or(0), 1.05*told.Mid.Or(0))
	require.Contains(t, silent.Says, "seal's own friction was not measured")
}

// Readings that no friction gives are no fit.
func TestNoFitOfNonsense(t *testing.T) {
	p := plan(t)
	r := simulated(t, p, simulation{0.10, 1, 10, 500, 7})
	for i, e := range r.Entries {
		if pt, ok := e.(Point); ok {
			pt.Push = q.Known(q.Reading{Value: 0, Unit: "bar"}) // the gauge's needle sticks at zero
			r.Entries[i] = pt
		}
	}
	f := NewModel(p).friction(r.course())
	require.NotEqual(t, Fitted, f.Kind)
	require.False(t, f.Mid.Known())
	require.Contains(t, f.Says, "is its zero right")
}

// Little is told before 100 m, and by fewer than five parts of the route.
func TestFitWaits(t *testing.T) {
	p := plan(t)
	for _, until := range []float64{20, 99} {
		f := NewModel(p).friction(simulated(t, p, simulation{0.10, 0.5, 5, until, 3}).course())
		require.Equal(t, NoFriction, f.Kind)
		require.Equal(t, "Nothing can be told of friction before 100 m.", f.Says)
	}
	f := NewModel(p).friction(simulated(t, p, simulation{0.10, 0.5, 60, 180, 3}).course())
	require.NotEqual(t, Fitted, f.Kind)
}

// Without a push gauge only bounds exist: what moves needs no more than the setting gives,
// what stalls no less. They hold the truth, and nothing is made up.
func TestBounds(t *testing.T) {
	p := plan(t)
	p.Gauge = q.Maybe[PushGauge]{}
	p.Setting = setting(6, 60) // pushes 152 N by its rig card
	const mu = 0.14
	r := simulatedWithout(t, p, mu, 20, 700)
	m := NewModel(p)
	f := m.friction(r.course())
	require.Equal(t, Bounded, f.Kind, f.Says)
	require.False(t, f.Mid.Known())
	require.False(t, f.Low.Known())
	require.Greater(t, f.High.Or(0), mu)
	require.Less(t, f.High.Or(0), 0.25, "it says something")
	require.Contains(t, f.Says, "Friction is at most")

	w := &writer{r, r.Entries[len(r.Entries)-1].When()}
	w.add(t, Stop{Mark: w.mark(20e9), Printed: q.Known(1000 + stallsAt(t, p, mu)), Reason: StopStalled, Stalled: true})
	f = m.friction(w.run.course())
	require.Equal(t, Bounded, f.Kind, f.Says)
	require.Greater(t, f.High.Or(0), f.Low.Or(1))
	require.LessOrEqual(t, f.Low.Or(1), mu*1.06, "it stalled where friction stops it, to 5 % of a node")
	require.Greater(t, f.Low.Or(0), 0.8*mu)

	p.Rig.ThrustPerSpeed = q.Maybe[q.ForcePerReading]{}
	f = NewModel(p).friction(w.run.course())
	require.Equal(t, NoFriction, f.Kind)
	require.Equal(t, "Nothing can be told of friction: there is no push gauge, and the rig card has no pull test.", f.Says)
	p.Reach = q.Maybe[Worked]{}
	require.Equal(t, "Nothing can be told of friction: no reach was worked out for this run.", NewModel(p).friction(w.run.course()).Says)
}

// stallsAt is where a cable at rest needs more than the setting gives.
func stallsAt(t *testing.T, p Plan, mu float64) q.Length {
	t.Helper()
	course, err := reach.NewCourse(p.Reach.Or(Worked{}).Job)
	require.NoError(t, err)
	limit := math.Min(500*p.Setting.Speed.Value, 0.006*float64(p.Setting.Grip))
	for in := q.Length(1); in < 1500; in++ {
		if push, ok := course.Drive(reach.Moment{Head: in, Inlet: 8e5, Temperature: 15}, mu).Get(); !ok || float64(push) > limit {
			return in
		}
	}
	require.Fail(t, "it never stalls")
	return 0
}

// simulatedWithout is a run without a gauge up to where its setting can push it.
func simulatedWithout(t *testing.T, p Plan, mu, every, until float64) Run {
	t.Helper()
	given := p
	given.Gauge = q.Known(PushGauge{PerReading: q.ForcePerReading{Value: 1, Unit: "N"}})
	r := simulated(t, given, simulation{mu, 0, every, until, 1})
	limit := math.Min(500*p.Setting.Speed.Value, 0.006*float64(p.Setting.Grip))
	for i, e := range r.Entries {
		if pt, ok := e.(Point); ok {
			if pt.Push.Or(q.Reading{}).Value > limit {
				r.Entries = r.Entries[:i]
				break
			}
			pt.Push = q.Maybe[q.Reading]{}
			r.Entries[i] = pt
		}
	}
	r.Plan = p
	return r
}

// The new reach from a fit holds the reach at the friction that is true.
func TestForecast(t *testing.T) {
	p := plan(t)
	const mu = 0.16 // the plan has 0.10, and the cable arrives; it will not
	v := NewModel(p).View(simulated(t, p, simulation{mu, 2, 10, 400, 5}), began)
	f := NewModel(p).Forecast(v, seeded())
	require.True(t, f.Known, f.Says)
	require.False(t, f.ReachesEnd)
	truth := trueReach(t, p, mu)
	require.Less(t, float64(f.Low), truth)
	require.Greater(t, float64(f.High), truth)
	require.InDelta(t, truth, float64(f.Reach), 60)
	alert, will := f.Alert.Get()
	require.True(t, will)
	require.Equal(t, WontReach, alert.Kind)
	require.Contains(t, f.Says, "By the friction so far it comes to ")
	require.Equal(t, f, NewModel(p).Forecast(v, seeded()), "the same record, the same forecast")

	v = NewModel(p).View(simulated(t, p, simulation{0.08, 2, 10, 400, 5}), began)
	f = NewModel(p).Forecast(v, seeded())
	require.True(t, f.ReachesEnd)
	require.Contains(t, f.Says, "it reaches the end, 1500 m")

	f = NewModel(p).Forecast(View{Friction: Friction{Kind: NoFriction, Says: "Nothing can be told yet."}}, seeded())
	require.Equal(t, Forecast{Says: "No new reach: nothing can be told yet."}, f)
}
