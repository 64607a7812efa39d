package practice

import (
	"fmt"
	"math"
	"strings"
	"testing"

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
	require.NoError(t, r.Check())
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
			require.InDelta(t, 6000*float64(state.Push), float64(gauge), 1e-6)
			before = state
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

func TestRigRefuses(t *testing.T) {
	for name, change := range map[string]func(*Rig){
		"soundness":  func(r *Rig) { r.Cable.Soundness = 0 },
		"no number":  func(r *Rig) { r.FoldSpread = math.NaN() },
		"duct":       func(r *Rig) { r.Duct.InnerDiameter = r.Cable.OuterDiameter },
		"stub":       func(r *Rig) { r.Duct.StubLength = 0 },
		"unit":       func(r *Rig) { r.Drive.ThrustPerSpeed.Unit = "notch" },
		"mass":       func(r *Rig) { r.Cable.Mass = 0 },
		"trouble":    func(r *Rig) { r.Troubles = []Trouble{{TroubleKind(99), 1, 1}} },
		"size":       func(r *Rig) { r.Troubles = []Trouble{{SupplyLow, 1, 2}} },
		"when":       func(r *Rig) { r.Troubles = []Trouble{{SupplyLow, 0, 0.5}} },
		"kink":       func(r *Rig) { r.Cable.KinkRadius = 0 },
		"hot":        func(r *Rig) { r.Cable.StiffnessTemperature = 300 },
		"never ends": func(r *Rig) { r.Duct.RunUp = 1000 },
	} {
		r := thin()
		change(&r)
		require.Error(t, r.Check(), name)
	}
	require.NoError(t, thin().Check())
}

// Every trouble is found by a check that there is, by an answer that check offers and
// that is not right.
func TestTroublesHaveTheirCheck(t *testing.T) {
	for _, name := range TroubleNames() {
		k, ok := TroubleNamed(name)
		require.True(t, ok)
		c, known := session.CheckByID(k.Check())
		require.True(t, known, name)
		require.Contains(t, c.States, rows[k].state, name)
		require.False(t, c.Right(rows[k].state, ""), name)
	}
}
