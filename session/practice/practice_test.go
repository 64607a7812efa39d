package practice

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func at(psi, feet float64) session.Setting {
	return session.Setting{Grip: q.From[q.Pressure](psi, "psi"), Speed: q.Reading{Value: float64(q.From[q.Speed](feet, "ft/min")), Unit: "m/s"}}
}

// sure is a rig without chance, so that a push can be worked out by hand.
func sure(change func(*Rig)) Rig {
	r := thin()
	r.FoldSpread, r.SlipSpread, r.Vary = 0, 0, 0
	if change != nil {
		change(&r)
	}
	return r
}

func pushOn(t *testing.T, r Rig, s session.Setting) *Push {
	t.Helper()
	require.NoError(t, checked(r))
	p, err := r.push(s, 1, 1, r.Troubles)
	require.NoError(t, err)
	return p
}

// The peak of a drive whose push falls evenly to nothing at its free-running speed,
// coasting into a spring, by the closed form of a damped oscillator.
//
// Source: Den Hartog, Mechanical Vibrations, free damped vibration (from memory):
// M·x” + c·x' + k·x = T with c = T/v, x(0) = 0, x'(0) = v.
func TestPeakOfAHit(t *testing.T) {
	for _, mass := range []float64{60, 80, 150} {
		r := sure(func(r *Rig) { r.Cable.Soundness, r.Drive.MovingMass = 1, mass })
		per, err := r.takeUp(1)
		require.NoError(t, err)
		k, c := 1/per, r.Drive.ThrustPerSpeed.Value
		omega := math.Sqrt(k / mass)
		zeta := c / (2 * math.Sqrt(k*mass))
		require.Less(t, zeta, 1.0)
		damped := omega * math.Sqrt(1-zeta*zeta)
		v := 0.5
		thrust := c * v
		a := -thrust / k
		b := (v + zeta*omega*a) / damped
		// x' = 0 at the first time where the phase of the two terms says so.
		phase := math.Atan2(damped*b-zeta*omega*a, damped*a+zeta*omega*b)
		if phase < 0 {
			phase += math.Pi
		}
		when := phase / damped
		peak := thrust + k*math.Exp(-zeta*omega*when)*(a*math.Cos(phase)+b*math.Sin(phase))

		m, w, err := r.prepare(session.Setting{Grip: 5e5, Speed: q.Reading{Value: v, Unit: "m/s"}}, 1, nil)
		require.NoError(t, err)
		p := &Push{allowance: r.allowance()}
		require.InEpsilon(t, peak, p.run(m, w), 0.01, "mass %v", mass)
		require.Greater(t, peak, thrust)
	}
}

// take-up of 1 N: 3 m·(0.009²/(4·0.3) + 1/150000) m/N at the temperature of the
// stiffness, by hand.
func TestTakeUp(t *testing.T) {
	r := sure(func(r *Rig) { r.Temperature = 20 })
	per, err := r.takeUp(1)
	require.NoError(t, err)
	require.InEpsilon(t, 3*(0.009*0.009/1.2+1/150000.0), per, 1e-8)
}

func TestOutcomes(t *testing.T) {
	ledge := func(r *Rig) { r.Troubles = []Trouble{{Ledge, 1, 0.4}} }
	for name, tt := range map[string]struct {
		change func(*Rig)
		at     session.Setting
		truth  session.Outcome
		looks  session.Outcome
		away   string
	}{
		"stall":         {nil, at(20, 60), session.Stall, session.Stall, "The belts stood still."},
		"slip":          {nil, at(3, 60), session.Slip, session.Slip, "The belts ran on."},
		"fold":          {nil, at(30, 180), session.Fold, session.Fold, "past its pointer; the allowance"},
		"relief":        {func(r *Rig) { r.Drive.Relief, r.Drive.MovingMass = q.Known[q.Force](200), 1 }, at(30, 180), session.Stall, session.Stall, "stood still"},
		"ledge":         {ledge, at(20, 60), session.Void, session.Stall, "the head stood 400 mm from the plug"},
		"reel":          {func(r *Rig) { r.Troubles = []Trouble{{ReelHolds, 1, 0.3}} }, at(20, 60), session.Void, session.Stall, "almost straight"},
		"cold":          {func(r *Rig) { r.Troubles = []Trouble{{SupplyCold, 1, 0.6}} }, at(20, 60), session.Void, session.Stall, "60 % of its working level"},
		"low":           {func(r *Rig) { r.Troubles = []Trouble{{SupplyLow, 1, 0.6}} }, at(20, 60), session.Void, session.Stall, "supply gauge sags"},
		"worn":          {func(r *Rig) { r.Troubles = []Trouble{{BeltsWorn, 1, 0.2}} }, at(20, 60), session.Void, session.Slip, "The belts shine"},
		"plug":          {func(r *Rig) { r.Troubles = []Trouble{{PlugCreeps, 1, 100}} }, at(20, 60), session.Void, session.Fold, "The line on the plug is off"},
		"stub":          {func(r *Rig) { r.Troubles = []Trouble{{StubCreeps, 1, 100}} }, at(20, 60), session.Void, session.Fold, "The line on the stub is off"},
		"wet":           {func(r *Rig) { r.Troubles = []Trouble{{BeltsWet, 1, 0.2}} }, at(20, 60), session.Void, session.Slip, "damp"},
		"hurt":          {func(r *Rig) { r.Troubles = []Trouble{{CableHurt, 1, 0.3}} }, at(20, 60), session.Void, session.Fold, "soft spot"},
		"gap":           {func(r *Rig) { r.Troubles = []Trouble{{GapTooLong, 1, 100}} }, at(20, 60), session.Void, session.Fold, "The bend is in the gap"},
		"gauge high":    {func(r *Rig) { r.Troubles = []Trouble{{GaugeHigh, 1, 6 * 6895}} }, at(9, 60), session.Slip, session.Slip, "ran on"},
		"gauge is true": {nil, at(9, 60), session.Stall, session.Stall, "stood still"},
		"marked":        {func(r *Rig) { r.Drive.MarksAt = q.Known[q.Pressure](1e5) }, at(20, 60), session.Stall, session.Stall, "print of the belts"},
		"nothing":       {nil, at(0, 0), session.Stall, session.Stall, "stood still"},
	} {
		t.Run(name, func(t *testing.T) {
			p := pushOn(t, sure(tt.change), tt.at)
			require.Equal(t, tt.truth, p.Truth.Outcome)
			require.Equal(t, tt.looks, p.Truth.Looks)
			require.Contains(t, strings.Join(append(p.Truth.GaveAway, p.Truth.Withdrawn), " "), tt.away)
			require.Equal(t, tt.truth == session.Void, p.Truth.Reason != "")
		})
	}
}

// A push can be watched: time goes on, nothing runs backwards, nothing is no number,
// and the gauges say what the truth says.
func TestWatch(t *testing.T) {
	for _, s := range []session.Setting{at(20, 60), at(3, 60), at(30, 180), at(20, 5), at(0, 0)} {
		p := pushOn(t, sure(func(r *Rig) { r.Drive.GaugePerPush = q.Known[q.Pressure](6000) }), s)
		before := p.Before()
		require.Equal(t, Straight, before.Shape)
		require.Zero(t, before.Push)
		for now := 0.0; now <= p.Lasts()+1; now += 0.01 {
			state := p.At(now)
			require.GreaterOrEqual(t, state.At, before.At)
			require.LessOrEqual(t, state.At, now+1e-9)
			require.GreaterOrEqual(t, state.BeltTravel, before.BeltTravel)
			require.GreaterOrEqual(t, state.Line, before.Line)
			require.False(t, math.IsNaN(float64(state.Push)) || math.IsInf(float64(state.Push), 0) || state.Push < 0)
			require.True(t, state.Swing >= 0 && state.Swing <= 1)
			gauge, ok := state.DriveGauge.Get()
			require.True(t, ok)
			require.GreaterOrEqual(t, float64(gauge), 0.0)
			require.LessOrEqual(t, float64(gauge), 6000*800*s.Speed.Value*(1+1e-9), "no more than the drive gives")
			before = state
		}
		// With belts that have come to rest it is the stall thrust, by hand: 800 N/(m/s).
		if gauge, _ := p.After().DriveGauge.Get(); p.Truth.Outcome == session.Stall {
			require.InEpsilon(t, 6000*800*s.Speed.Value+1, float64(gauge)+1, 1e-3)
		}
		require.Equal(t, p.After(), p.At(math.Inf(1)))
		require.Equal(t, p.Before(), p.At(math.NaN()))
	}
}

// The same seed is the same rig and the same pushes, whatever was pushed before, and
// on every machine: what is expected here was written down once and for all.
func TestSameSeedSameRig(t *testing.T) {
	l := lesson()
	first := map[uint64]string{}
	for seed := range uint64(4) {
		b, err := NewBench(l, seed)
		require.NoError(t, err)
		line := fmt.Sprintf("%.9g %.9g", b.rig.Cable.Soundness, float64(b.rig.Drive.TractionPer))
		for n, s := range []session.Setting{at(4, 20), at(4, 60), at(8, 100), at(12, 120), at(20, 140)} {
			p, err := b.Push(s)
			require.NoError(t, err)
			line += fmt.Sprintf(" %s %.6f", p.Truth.Outcome, float64(p.After().Line))
			_, err = b.Read(Honest(p), nil)
			require.NoError(t, err)
			alone, err := b.rig.push(s, seed, n+1, nil)
			require.NoError(t, err)
			require.Equal(t, p.After(), alone.After(), "a push depends on those before it")
		}
		first[seed] = line
	}
	require.Equal(t, sameEverywhere, first)
}

var sameEverywhere = map[uint64]string{
	0: "0.291401023 0.00765851154 stall 0.017617 slip 0.040484 stall 0.078013 fold 1.093590 fold 1.374632",
	1: "0.279067602 0.00822692442 stall 0.017617 slip 0.041388 stall 0.086950 fold 1.103050 fold 1.373676",
	2: "0.294664049 0.00836306733 stall 0.017617 slip 0.045534 stall 0.088083 fold 1.058155 fold 1.359552",
	3: "0.350118829 0.00843661159 stall 0.017617 slip 0.041388 stall 0.088083 stall 0.105699 fold 1.234470",
}

func TestNormal(t *testing.T) {
	from := source(7, 7)
	const n = 20000
	sum, squares := 0.0, 0.0
	for range n {
		v := normal(from)
		require.True(t, v >= -6 && v <= 6)
		sum, squares = sum+v, squares+v*v
	}
	// Mean 0 and variance 1, within four standard errors: 1/√n and √(2/n).
	require.InDelta(t, 0, sum/n, 4/math.Sqrt(n))
	require.InDelta(t, 1, squares/n, 4*math.Sqrt(2.0/n))
}

func TestRounded(t *testing.T) {
	for _, v := range []float64{0, 1, -2.5, 1e-9, 123456.789, 3e8, math.Pi} {
		require.InEpsilon(t, v+1e-300, rounded(v)+1e-300, 1e-9)
		require.Equal(t, rounded(v), rounded(rounded(v)))
		if v != 0 {
			require.Equal(t, rounded(v), rounded(math.Nextafter(rounded(v), 1e300)), "%v", v)
		}
	}
	require.True(t, math.IsInf(rounded(math.Inf(1)), 1))
}

// The fold chance that a review states is the share of hits that fold.
func TestFoldChance(t *testing.T) {
	r := thin()
	r.Vary, r.Drive.TractionPer = 0, 1
	for _, feet := range []float64{95, 105, 110, 115, 120} {
		s := at(30, feet)
		want, err := r.foldChance(s, 1)
		require.NoError(t, err)
		folds := 0
		const n = 400
		for seed := range uint64(n) {
			p, err := r.push(s, seed, 1, nil)
			require.NoError(t, err)
			if p.Truth.Outcome == session.Fold {
				folds++
			}
		}
		require.InDelta(t, want, float64(folds)/n, 4*math.Sqrt(0.25/n), "%v ft/min", feet)
	}
}

// What is out of range is told by its key, each by itself.
func TestRigRefuses(t *testing.T) {
	for key, change := range map[string]func(*Rig){
		"hidden.soundness":             func(r *Rig) { r.Cable.Soundness = 0 },
		"hidden.fold_spread":           func(r *Rig) { r.FoldSpread = math.NaN() },
		"hidden.slip_spread":           func(r *Rig) { r.SlipSpread = 0.6 },
		"hidden.vary":                  func(r *Rig) { r.Vary = -0.1 },
		"hidden.celsius_per_push":      func(r *Rig) { r.WarmPerPush = 3 },
		"hidden.inner_diameter":        func(r *Rig) { r.Duct.InnerDiameter = r.Cable.OuterDiameter },
		"hidden.outer_diameter":        func(r *Rig) { r.Cable.OuterDiameter = 0 },
		"hidden.bending_stiffness":     func(r *Rig) { r.Cable.Stiffness = 0 },
		"hidden.polyethylene_share":    func(r *Rig) { r.Cable.PolyethyleneShare = 2 },
		"hidden.axial_stiffness":       func(r *Rig) { r.Cable.AxialStiffness = 0 },
		"hidden.stub_length":           func(r *Rig) { r.Duct.StubLength = 0 },
		"hidden.thrust_per_speed":      func(r *Rig) { r.Drive.ThrustPerSpeed.Unit = "notch" },
		"hidden.thrust_offset":         func(r *Rig) { r.Drive.ThrustOffset = 2e4 },
		"hidden.traction_per_grip":     func(r *Rig) { r.Drive.TractionPer = 0 },
		"hidden.traction_offset":       func(r *Rig) { r.Drive.TractionOffset = -2e4 },
		"hidden.relief":                func(r *Rig) { r.Drive.Relief = q.Known[q.Force](0) },
		"hidden.marks_at":              func(r *Rig) { r.Drive.MarksAt = q.Known[q.Pressure](0) },
		"hidden.gauge_per_kilonewton":  func(r *Rig) { r.Drive.GaugePerPush = q.Known[q.Pressure](0) },
		"hidden.moving_kilograms":      func(r *Rig) { r.Drive.MovingMass = 0 },
		"hidden.mass":                  func(r *Rig) { r.Cable.Mass = 0 },
		"trouble[0].kind":              func(r *Rig) { r.Troubles = []Trouble{{TroubleKind(99), 1, 1}} },
		"trouble[1].size":              func(r *Rig) { r.Troubles = []Trouble{{SupplyLow, 1, 0.5}, {SupplyLow, 1, 2}} },
		"trouble[0].size":              func(r *Rig) { r.Troubles = []Trouble{{PlugCreeps, 1, 1}} },
		"trouble[0].from":              func(r *Rig) { r.Troubles = []Trouble{{SupplyLow, 0, 0.5}} },
		"hidden.kink_radius":           func(r *Rig) { r.Cable.KinkRadius = 0 },
		"hidden.stiffness_temperature": func(r *Rig) { r.Cable.StiffnessTemperature = 300 },
		"hidden.run_up":                func(r *Rig) { r.Duct.RunUp = 1000 },
	} {
		r := thin()
		change(&r)
		wrong := Each(checked(r))
		require.Len(t, wrong, 1, "%s: %v", key, wrong)
		var p *Problem
		require.ErrorAs(t, wrong[0], &p)
		require.Equal(t, key, p.Key)
		require.NotEmpty(t, p.Do)
		require.Equal(t, key+": "+p.Says+"\n  "+p.Do, p.Error())
	}
	require.NoError(t, checked(thin()))
	require.Empty(t, Each(nil))
}

// A lesson says nothing, or how it may be passed, or its job, wrong: each is told.
func TestLessonRefuses(t *testing.T) {
	require.NoError(t, lesson().Check())
	for key, change := range map[string]func(*Lesson){
		"id":              func(l *Lesson) { l.ID = "No Id" },
		"title":           func(l *Lesson) { l.Title = "" },
		"goal":            func(l *Lesson) { l.Goal = "" },
		"teaches":         func(l *Lesson) { l.Teaches = "" },
		"pass.most_wrong": func(l *Lesson) { l.Pass.MostWrong = -1 },
		"pass.most_risk":  func(l *Lesson) { l.Pass.MostRisk = math.NaN() },
		"pass.must_find":  func(l *Lesson) { l.Pass.MustFind = []TroubleKind{Ledge} },
		"pause.after":     func(l *Lesson) { l.Pause.After = -1 },
		"pause.minutes":   func(l *Lesson) { l.Pause.Lasts = -time.Minute },
		"cable.make":      func(l *Lesson) { l.Job.Cable.Make = "" },
		"rig.speed_limit": func(l *Lesson) {
			l.Job.Rig.SpeedLimit, l.Job.Rig.SpeedDivision = q.Known(q.Reading{Value: 9, Unit: "notch"}), q.Known(q.Reading{Value: 1, Unit: "notch"})
		},
		"attempt":         func(l *Lesson) { l.Job.Entries = []session.Entry{session.Attempt{}} },
		"run.length":      func(l *Lesson) { l.Run = &Run{1, 0.2, 0.4, 0.1, 100} },
		"run.friction":    func(l *Lesson) { l.Run = &Run{100, 0, 0.4, 0.1, 100} },
		"run.speed":       func(l *Lesson) { l.Run = &Run{100, 0.2, 0, 0.1, 100} },
		"run.harder":      func(l *Lesson) { l.Run = &Run{100, 0.2, 0.4, 0, 100} },
		"run.snag_at":     func(l *Lesson) { l.Run = &Run{100, 0.2, 0.4, 0.1, 0} },
		"trouble[0].from": func(l *Lesson) { l.SetUp, l.Rig.Troubles = true, []Trouble{{Ledge, 1, 0.4}} },
	} {
		l := lesson()
		change(&l)
		wrong := Each(l.Check())
		require.Len(t, wrong, 1, "%s: %v", key, wrong)
		var p *Problem
		require.ErrorAs(t, wrong[0], &p)
		require.Equal(t, key, p.Key)
		require.NotEmpty(t, p.Do)
	}
}

// A trouble out of its range is refused, whatever the unit of its size.
func TestTroubleSizes(t *testing.T) {
	for k, row := range rows {
		for _, size := range []float64{row.low*0.9 - 0.001, row.high*1.1 + 0.001, math.NaN()} {
			r := thin()
			r.Troubles = []Trouble{{k, 1, size}}
			require.ErrorContains(t, checked(r), "trouble[0].size: ", "%s %v", row.name, size)
			r.Troubles = []Trouble{{k, 1, (row.low + row.high) / 2}, {k, 100, row.low}, {k, 1, row.high}}
			require.NoError(t, checked(r), row.name)
		}
	}
}

// Every trouble is found by a check that there is, by an answer that check offers and
// that is not right.
func TestTroublesHaveTheirCheck(t *testing.T) {
	require.Len(t, TroubleNames(), 13)
	for _, name := range TroubleNames() {
		var k TroubleKind
		require.NoError(t, k.UnmarshalText([]byte(name)))
		c, known := session.CheckByID(k.Check())
		require.True(t, known, name)
		require.Contains(t, c.States, rows[k].state, name)
		require.False(t, c.Right(rows[k].state, ""), name)
	}
}
