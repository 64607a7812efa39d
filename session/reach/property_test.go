package reach

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// anyJob is a job of random figures, some of them bad ideas.
func anyJob(t testing.TB, r *rand.Rand) Job {
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	bore := between(0.004, 0.05)
	d := bore * between(0.3, 0.93)
	var all []Section
	slope := 0.0
	for range 1 + r.IntN(12) {
		if r.IntN(3) == 0 {
			slope = between(-12, 12)
		}
		all = append(all, Straight{q.Length(between(5, 250)), q.Angle(slope * degree)})
		if r.IntN(2) == 0 {
			b := Bend{q.Angle(between(5, 90) * degree), q.Length(between(0.3, 4)), Plane(r.IntN(3))}
			if b.Plane != Level {
				b.Angle = q.Angle(between(2, 20) * degree)
			}
			all = append(all, b)
		}
	}
	j := Job{
		Cable: Cable{q.Length(d), q.LinearDensity(between(600, 1300) * d * d), q.Stiffness(between(0.2, 3) * 1e8 * d * d * d * d)},
		Bore:  q.Length(bore), Air: air(between(0, 14)), Friction: between(0.05, 0.35), Route: route(t, all...),
		Push: Push{q.Force(between(2, 5e5*d*d*6)), q.Force(between(2, 1e6*d*d*6)), 0}, Contact: Contact(r.IntN(3)),
	}
	if r.IntN(2) == 0 {
		j.Waves = waves(between(0.01, 0.08), between(3, 15))
	}
	if r.IntN(3) == 0 {
		b := newBalance(j)
		j.Air.FreeAir = q.Known(b.pipe.flow(b.inlet, math.Inf(1), 0).freeAir()*q.FlowRate(between(0.2, 1.2)) + 1e-6)
	}
	require.NoError(t, j.Check())
	return j
}

// The facts the search rests on: the further the head, the smaller what is available, and
// the least stream of a span helps less than that of any head in it.
func TestAirHelpsLessTheFurtherTheHead(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for range 300 {
		j := anyJob(t, r)
		b := newBalance(j)
		speed := []float64{0, 0, 0.5}[r.IntN(3)]
		heads := []float64{b.pipe.length * r.Float64(), b.pipe.length * r.Float64()}
		if r.IntN(4) == 0 {
			heads[0], heads[1] = b.pipe.length*0.999, b.pipe.length
		}
		near, far := b.run(min(heads[0], heads[1]), speed), b.run(max(heads[0], heads[1]), speed)
		about := fmt.Sprintf("%+v, heads %v", j, heads)
		require.LessOrEqual(t, near.air.inlet, far.air.inlet*(1+1e-9), about)
		require.GreaterOrEqual(t, b.available(near.air), b.available(far.air)-1e-6, about)
		least := b.with(b.pipe.least(near.air, far.air), speed)
		for i := range 5 {
			between := b.run(near.air.head+float64(i)/4*(far.air.head-near.air.head), speed)
			require.LessOrEqual(t, far.air.mass, between.air.mass*(1+1e-9), about)
			require.LessOrEqual(t, far.air.atHead, between.air.atHead*(1+1e-9), about)
			for k := range 10 {
				x := between.air.head * float64(k) / 10
				require.LessOrEqual(t, least.help(x), between.help(x)+1e-7*math.Abs(between.help(x)), about)
			}
		}
	}
}

// The search against a plain scan of heads a quarter of a metre apart.
func TestNoPeakIsMissed(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	stuck := 0
	for range 60 {
		j := anyJob(t, r)
		b := newBalance(j)
		at, all := b.reach(b.available)
		const apart = 0.25
		scanned, fits := b.pipe.length, true
		for head := apart; ; head += apart {
			head = math.Min(head, b.pipe.length)
			push, available := b.required(head)
			if !(push <= available) {
				scanned, fits = head, false
				break
			}
			if head >= b.pipe.length {
				break
			}
		}
		about := fmt.Sprintf("%+v", j)
		if !all {
			stuck++
		}
		require.LessOrEqual(t, at, scanned+1e-6, about)
		if all || fits { // a peak that just touches may count as stuck, by no more than rounding
			if all != fits {
				push, available := b.required(at + finestStep)
				require.InDelta(t, available, push, 0.02*math.Max(1, math.Abs(available)), about)
			}
			continue
		}
		if at < scanned-apart-1e-6 { // a peak narrower than the scan: it is there
			push, available := b.required(at + finestStep)
			require.Greater(t, push, available-0.01*math.Max(1, math.Abs(available)), about)
		}
	}
	require.Greater(t, stuck, 10)
}

const finestStep = 0.01

// A spike of a few metres that a scan would step over: steep up, then steep down.
func TestNarrowPeakIsFound(t *testing.T) {
	j := jobOf(t, "A")
	j.Air.Inlet, j.Waves, j.Cable.Mass = bar(2), q.Maybe[Waves]{}, 0.4
	plain := j
	plain.Route = straight(t, 250)
	j.Route = route(t, Straight{Length: 200}, Straight{5, 80 * degree}, Straight{5, -80 * degree}, Straight{Length: 40})
	b := balanceOf(t, j)
	before, _ := b.required(199)
	peak, _ := b.required(205)
	after, _ := b.required(215)
	require.Greater(t, peak, before+5)
	require.Greater(t, peak, after+5, "the way down takes the push back")
	free := b.entry(b.run(205, 0).air)
	j.Push.Safe = q.Force(free + (peak+math.Max(before, after))/2)
	r := found(t, j)
	require.False(t, r.ReachesEnd)
	require.Greater(t, float64(r.Reach), 200.0)
	require.Less(t, float64(r.Reach), 205.0)
}

func TestMoreHelpsNeverHurts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	for range 40 {
		j := anyJob(t, r)
		at, _ := newBalance(j).reach(newBalance(j).available)
		for name, change := range map[string]func(*Job){
			"more push":        func(j *Job) { j.Push.Safe *= 1.2; j.Push.Drive *= 1.2 },
			"less friction":    func(j *Job) { j.Friction *= 0.8 },
			"a bolder contact": func(j *Job) { j.Contact = ContactNever },
		} {
			k := j
			change(&k)
			better, _ := newBalance(k).reach(newBalance(k).available)
			require.GreaterOrEqual(t, better, at-0.02, "%s: %+v", name, j)
		}
	}
}

func TestMorePressureMeansMoreAir(t *testing.T) {
	j := jobOf(t, "A")
	last := 0.0
	for p := 0.0; p < 15; p += 0.5 {
		j.Air.Inlet = bar(p)
		b := newBalance(j)
		s := b.pipe.flow(b.inlet, b.most, 700)
		require.GreaterOrEqual(t, s.mass, last)
		last = s.mass
	}
}

func TestUnitsDoNotMatter(t *testing.T) {
	j := jobOf(t, "G")
	k := j
	k.Air.Inlet = q.From[q.Pressure](q.In(j.Air.Inlet, "psi"), "psi")
	k.Bore = q.From[q.Length](q.In(j.Bore, "in"), "in")
	k.Cable.OuterDiameter = q.From[q.Length](q.In(j.Cable.OuterDiameter, "in"), "in")
	k.Cable.Mass = q.From[q.LinearDensity](q.In(j.Cable.Mass, "lb/1000 ft"), "lb/1000 ft")
	k.Cable.Stiffness = q.From[q.Stiffness](q.In(j.Cable.Stiffness, "lbf·in²"), "lbf·in²")
	k.Push.Safe = q.From[q.Force](q.In(j.Push.Safe, "lbf"), "lbf")
	k.Air.Temperature = q.From[q.Temperature](q.In(j.Air.Temperature, "°F"), "°F")
	a, b := found(t, j), found(t, k)
	near(t, float64(a.Reach), float64(b.Reach), 2e-5)
	near(t, float64(a.Drive), float64(b.Drive), 1e-4)
	near(t, float64(a.FreeAir), float64(b.FreeAir), 1e-6)
	near(t, 14.5038, q.In(bar(1), "psi"), 1e-5, "NIST SP 811, appendix B.8")
}

func TestReversedAndSplit(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 4))
	for range 50 {
		a := anyJob(t, r).Route
		back := a.Reversed().Reversed()
		near(t, float64(a.Length()), float64(back.Length()), 1e-12)
		for i, p := range a.pieces {
			require.InDelta(t, p.from, back.pieces[i].from, 1e-9)
			require.InDelta(t, p.slope, back.pieces[i].slope, 1e-12)
			require.InDelta(t, p.slopeAt(p.to), -a.Reversed().pieces[len(a.pieces)-1-i].slope, 1e-12)
		}
		before, after := a.SplitAt(a.Length() / 2)
		near(t, float64(a.Length()), float64(before.Length()+after.Length()), 1e-9)
		near(t, float64(a.Bends()), float64(before.Bends()+after.Bends()), 1e-9)
	}
	up := route(t, Straight{100, 5 * degree}, Straight{100, -2 * degree}).Reversed()
	require.InDelta(t, 2*degree, up.pieces[0].slope, 1e-12)
	require.InDelta(t, -5*degree, up.pieces[1].slope, 1e-12)
}

// requireSane holds for every result there is.
func requireSane(t testing.TB, j Job, r Result) {
	t.Helper()
	about := fmt.Sprintf("%+v", j)
	finite := func(values ...float64) {
		for _, v := range values {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), about)
		}
	}
	finite(float64(r.PushAtInlet), float64(r.Drive), float64(r.Available), float64(r.Time), float64(r.Compensated), float64(r.SpeedAtReach))
	for _, v := range []float64{float64(r.Reach), float64(r.Entry), float64(r.Inlet), float64(r.FreeAir), float64(r.FreeAirEmpty), float64(r.Time), float64(r.SpeedAtReach)} {
		finite(v)
		require.GreaterOrEqual(t, v, 0.0, about)
	}
	require.LessOrEqual(t, r.Reach, r.End, about)
	require.Equal(t, r.ReachesEnd, !r.Stuck.Known(), about)
	require.Equal(t, r.ReachesEnd, r.Reach == r.End, about)
	require.GreaterOrEqual(t, r.Compensated, r.Reach, about)
	for _, p := range r.Profile {
		finite(float64(p.At), float64(p.Pressure), float64(p.Push))
		require.GreaterOrEqual(t, float64(p.Pressure), 0.0, about)
	}
	for i, h := range r.Heads {
		finite(float64(h.At), float64(h.Available), float64(h.Required.Or(0)))
		require.True(t, i == 0 || h.At > r.Heads[i-1].At, about)
	}
	if r.Reach > 1 { // nowhere did the drive give more than it may
		require.LessOrEqual(t, float64(r.PushAtInlet), float64(r.Available)+1e-3*math.Max(1, float64(j.Push.Safe)), about)
	}
}

func TestResultsAreSane(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 5))
	for range 100 {
		j := anyJob(t, r)
		requireSane(t, j, found(t, j))
	}
}

func FuzzFind(f *testing.F) {
	f.Add(0.012, 0.026, 0.115, 2.0, 8.0, 0.1, 250.0, 300.0, 1.5, 90.0, 1.0)
	f.Add(0.007, 0.008, 0.038, 0.1, 10.0, 0.12, 80.0, 120.0, -30.0, 30.0, 0.5)
	f.Add(0.0018, 0.0035, 0.0026, 1e-3, 0.0, 2.0, 0.0, 1e4, 90.0, 360.0, 1e4)
	f.Add(0.2, 0.5, 50.0, 1e6, 25.0, 0.005, 2e4, 2e4, -90.0, 0.1, 0.02)
	f.Fuzz(func(t *testing.T, d, bore, mass, ei, p, mu, safe, drive, slope, angle, radius float64) {
		sections := []Section{Straight{100, 0}, Bend{q.Angle(angle * degree), q.Length(radius), Plane(int(uint(int64(mass*1000)) % 3))}, Straight{200, q.Angle(slope * degree)}}
		route, err := NewRoute(sections)
		if err != nil {
			return
		}
		if p < 0 || p > 100 || math.IsNaN(p) {
			return
		}
		j := Job{Cable{q.Length(d), q.LinearDensity(mass), q.Stiffness(ei)}, q.Length(bore), air(p), mu, Push{q.Force(safe), q.Force(drive), 0}, q.Maybe[Waves]{}, route, ContactAlways}
		r, err := Find(j)
		if err != nil {
			return
		}
		requireSane(t, j, r)
	})
}

func TestBadFigures(t *testing.T) {
	for _, tt := range []struct {
		change func(*Job)
		field  string
		says   string
	}{
		{func(j *Job) { j.Cable.OuterDiameter = 0 }, "cable.outer_diameter", "outer diameter: 0 mm"},
		{func(j *Job) { j.Cable.OuterDiameter = 0.03 }, "duct.inner_diameter", "wider than the cable's 30 mm"},
		{func(j *Job) { j.Cable.Mass = q.LinearDensity(math.NaN()) }, "cable.mass", "mass: NaN"},
		{func(j *Job) { j.Cable.Stiffness = 0 }, "cable.bending_stiffness", "bending stiffness: 0"},
		{func(j *Job) { j.Air.Inlet = -1e5 }, "air.inlet_pressure", "inlet pressure: -1 bar"},
		{func(j *Job) { j.Air.Inlet = 800e5 }, "air.inlet_pressure", "inlet pressure: 800 bar"},
		{func(j *Job) { j.Air.Ambient = 0 }, "air.ambient_pressure", "ambient pressure, absolute: 0 kPa"},
		{func(j *Job) { j.Air.Temperature = 150 }, "air.temperature", "air temperature: 150 °C"},
		{func(j *Job) { j.Air.FreeAir = q.Known(q.FlowRate(0)) }, "air.free_air", "free air: 0"},
		{func(j *Job) { j.Friction = 0 }, "friction.coefficient", "must be from 0.005 to 2"},
		{func(j *Job) { j.Push.Safe = -1 }, "push.safe", "push: -1 N"},
		{func(j *Job) { j.Push.Drive = 1e6 }, "push.drive_limit", "push: 1"},
		{func(j *Job) { j.Waves = waves(1, 5) }, "waves.amplitude", "a tenth of the period"},
		{func(j *Job) { j.Route = Route{} }, "section", "none"},
	} {
		j := jobOf(t, "A")
		tt.change(&j)
		_, err := Find(j)
		var bad *FieldError
		require.ErrorAs(t, err, &bad)
		require.Equal(t, tt.field, bad.Field)
		require.ErrorContains(t, err, tt.says)
	}
	for _, tt := range []struct {
		sections []Section
		field    string
	}{
		{nil, "section"},
		{[]Section{Straight{Length: -5}}, "section[0].length"},
		{[]Section{Straight{Length: 5}, Straight{5, 2}}, "section[1].slope"},
		{[]Section{Straight{Length: 5}, Bend{0, 1, Level}}, "section[1].bend"},
		{[]Section{Straight{Length: 5}, Bend{1, 0, Level}}, "section[1].radius"},
		{[]Section{Bend{1, 5, Up}, Bend{1, 5, Up}}, "section[1].bend"},
		{[]Section{Straight{Length: 0.1}}, "section"},
	} {
		_, err := NewRoute(tt.sections)
		var bad *FieldError
		require.ErrorAs(t, err, &bad)
		require.Equal(t, tt.field, bad.Field)
	}
	r, err := NewRoute([]Section{Straight{Length: 50}, Bend{30 * degree, 2, Up}, Straight{Length: 50}})
	require.NoError(t, err)
	require.Len(t, r.Warnings, 1)
	require.Contains(t, r.Warnings[0], "section 3 begins at a slope of 0 deg where the one before ends at 30 deg")
}

// A seal that pushes back harder than the drive may push is an answer, not an error.
func TestSealAlone(t *testing.T) {
	j := jobOf(t, "A")
	j.Push.Safe = 50
	r := found(t, j)
	require.False(t, r.ReachesEnd)
	require.Zero(t, r.Reach)
	require.True(t, r.Stuck.Or(Stuck{}).Seal)
}

func TestHoldingBack(t *testing.T) {
	j := jobOf(t, "A")
	j.Route = route(t, Straight{Length: 100}, Straight{300, -20 * degree}, Straight{Length: 100})
	r := found(t, j)
	back, known := r.HoldBack.Get()
	require.True(t, known)
	push, _ := balanceOf(t, j).required(float64(back.At))
	require.InDelta(t, -push, float64(back.Force)+float64(balanceOf(t, j).entry(balanceOf(t, j).run(float64(back.At), 0).air)), 0.5)
	require.False(t, found(t, jobOf(t, "A")).HoldBack.Known(), "there the seal holds it")
}
