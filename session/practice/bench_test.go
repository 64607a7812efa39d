package practice

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func bench(t *testing.T, change func(*Lesson)) *Bench {
	t.Helper()
	l := lesson()
	if change != nil {
		change(&l)
	}
	b, err := NewBench(l, 1)
	require.NoError(t, err)
	return b
}

func TestReadOnceEach(t *testing.T) {
	b := bench(t, nil)
	_, err := b.Read(session.Attempt{}, nil)
	require.Error(t, err, "nothing to read")
	p, err := b.Push(at(20, 60))
	require.NoError(t, err)
	require.True(t, b.Waiting())
	v, err := b.Read(Honest(p), nil)
	require.NoError(t, err)
	require.True(t, v.Right)
	again := Honest(p)
	again.Outcome, again.JacketDamage = session.Fold, true
	v, err = b.Read(again, nil)
	require.NoError(t, err)
	require.Equal(t, session.Stall, v.Read, "the truth may have been told")
	require.Contains(t, v.Why, "there is none")
	require.Len(t, b.Verdicts(), 1)

	for range 2 {
		_, err = b.Push(at(20, 60))
		require.NoError(t, err)
	}
	require.Len(t, b.Verdicts(), 2, "one was passed over")
	require.Contains(t, b.Verdicts()[1].Why, "not written down")
	_, err = b.Push(session.Setting{Grip: 1, Speed: q.Reading{Value: 1, Unit: "notch"}})
	require.Error(t, err)
	_, err = b.Push(at(20, -5))
	require.Error(t, err)
}

// Each wrong reading of a stall costs ten points, and each unsafe act leaves forty at most,
// and fails.
func TestWhatCosts(t *testing.T) {
	end := func(b *Bench) Review {
		t.Helper()
		record := gauges()
		record.Entries = []session.Entry{session.Answer{Mark: session.Mark{Seq: 1}, Item: session.ItemSetting, State: session.SettingAccepted, Value: "20 psi, 60 ft/min"}}
		r, err := b.Review(record)
		require.NoError(t, err)
		return r
	}
	right := bench(t, nil)
	p, _ := right.Push(at(20, 60))
	_, err := right.Read(Honest(p), nil)
	require.NoError(t, err)
	r := end(right)
	require.True(t, r.Passed, r.Missing)
	require.Equal(t, 100, r.Score)

	for outcome := session.Fold; outcome <= session.Void; outcome++ {
		b := bench(t, nil)
		p, _ := b.Push(at(20, 60))
		a := Honest(p)
		a.Outcome = outcome
		v, err := b.Read(a, nil)
		require.NoError(t, err)
		require.Equal(t, outcome == session.Stall, v.Right, outcome)
		r := end(b)
		require.Equal(t, outcome == session.Stall, r.Passed, outcome)
		if outcome != session.Stall {
			require.Equal(t, 90, r.Score, outcome)
		}
	}
	for name, act := range map[string]func(*Bench){
		"hands":   func(b *Bench) { b.Do(HandsIn) },
		"air":     func(b *Bench) { b.Do(StopAndIsolate); b.Do(AirOn) },
		"skipped": func(b *Bench) { b.Answer(session.Answer{Item: "stop-tested", SkipReason: "no time"}) },
		"open": func(b *Bench) {
			c, _ := session.CheckByID("stop-tested")
			p, err := b.Push(at(20, 60))
			require.NoError(t, err)
			_, err = b.Read(Honest(p), []session.Check{c})
			require.NoError(t, err)
		},
	} {
		b := bench(t, nil)
		act(b)
		r := end(b)
		require.Len(t, r.Unsafe, 1, name)
		require.False(t, r.Passed, name)
		require.LessOrEqual(t, r.Score, 40, name)
	}
	safe := bench(t, nil)
	safe.Do(StopAndIsolate) // and no push
	safe.Do(HandsIn)
	require.Empty(t, end(safe).Unsafe)
}

// Isolation ends with the next push.
func TestPowerIsOnAgain(t *testing.T) {
	b := bench(t, nil)
	b.Do(StopAndIsolate)
	p, err := b.Push(at(20, 60))
	require.NoError(t, err)
	_, err = b.Read(Honest(p), nil)
	require.NoError(t, err)
	b.Do(HandsIn)
	require.Len(t, b.unsafe, 1)
}

func TestFindingTrouble(t *testing.T) {
	with := func(k TroubleKind, size float64) func(*Lesson) {
		return func(l *Lesson) { l.Rig.Troubles = []Trouble{{k, 1, size}} }
	}
	b := bench(t, with(BeltsWet, 0.3))
	seen, honest := b.Look("belts-clean")
	require.Equal(t, "damp or dusty", honest)
	require.NotEmpty(t, seen)
	_, other := b.Look("plug-held")
	require.Empty(t, other)
	b.Answer(session.Answer{Item: "belts-clean", State: "the run's, clean, dry"})
	require.Len(t, b.active(), 1, "saying so does not dry them")
	b.Answer(session.Answer{Item: "belts-clean", State: honest})
	require.Empty(t, b.active())
	_, honest = b.Look("belts-clean")
	require.Empty(t, honest)

	killer := bench(t, with(AirCouldCome, 0))
	killer.Answer(session.Answer{Item: "chamber-vented", State: "hose off, bleed open"})
	require.Len(t, killer.unsafe, 1, "a killer claimed")

	// Slip with wet belts may be read as what it looks like, or as what it is worth.
	for _, outcome := range []session.Outcome{session.Slip, session.Void} {
		b := bench(t, with(BeltsWet, 0.2))
		p, _ := b.Push(at(20, 60))
		a := Honest(p)
		a.Outcome = outcome
		v, err := b.Read(a, nil)
		require.NoError(t, err)
		require.True(t, v.Right, outcome)
		require.Equal(t, outcome == session.Void, len(b.active()) == 0, "who calls it void goes and looks")
	}
}

// Jacket damage is a reading too.
func TestMarkedJacket(t *testing.T) {
	for _, mark := range []bool{true, false} {
		b := bench(t, func(l *Lesson) {
			if mark {
				l.Rig.Drive.MarksAt = q.Known[q.Pressure](1e5)
			}
		})
		p, _ := b.Push(at(20, 60))
		require.Equal(t, mark, p.Truth.JacketMarked)
		a := Honest(p)
		a.JacketDamage = !mark
		v, err := b.Read(a, nil)
		require.NoError(t, err)
		require.False(t, v.Right)
	}
}

// A cable that warms folds sooner.
func TestWarming(t *testing.T) {
	r := thin()
	r.WarmPerPush = 2
	cold, err := r.foldLimit(1)
	require.NoError(t, err)
	warm, err := r.foldLimit(12)
	require.NoError(t, err)
	require.Less(t, warm, cold)
	end, err := r.foldLimit(1000)
	require.NoError(t, err)
	require.Greater(t, end, q.Force(0))
}

func TestFree(t *testing.T) {
	job := gauges()
	_, _, err := Free(job, q.Customary)
	require.ErrorContains(t, err, "diameter")
	job.Duct.InnerDiameter = q.Known[q.Length](0.026)
	_, _, err = Free(job, q.Customary)
	require.ErrorContains(t, err, "bending stiffness")
	job.Cable.OuterDiameter, job.Cable.Mass, job.Cable.BendingStiffness = q.Known[q.Length](0.008), q.Known(q.LinearDensity(0.055)), q.Known(q.Stiffness(0.3))
	l, lines, err := Free(job, q.Metric)
	require.NoError(t, err)
	require.Equal(t, []string{
		"From the job: cable diameter 8 mm; mass 55 kg/km; bending stiffness 0.3 N·m²; bore 26 mm, as given in the job.",
		"Made up: stiffness measured at 5 °C, as the cable is now; axial stiffness 150000 N; kink radius 40 mm, 5 diameters; stub 3 m; run-up 1 m; " +
			"a stiffness that warmth does not change; a drive that folds this cable at half its speed limit; belts that hold that push at half the grip pressure limit; " +
			"80 kg that move with the belts; the cable folds at about 0.7 of the push worked out for its kink radius, by the seed a quarter more or less, and so do the belts hold.",
	}, lines)
	require.Equal(t, Pass{MostWrong: 1, MostRisk: 0.06}, l.Pass)
	ended := 0
	for seed := range uint64(5) {
		e, err := engine(l, seed)
		require.NoError(t, err)
		if e.Setting.Known() {
			ended++
			chance, _ := e.FoldChance.Get()
			require.LessOrEqual(t, chance, 0.2)
		}
	}
	require.Positive(t, ended)
	stiff := job // as if it were in N·mm²
	stiff.Cable.BendingStiffness = q.Known(q.Stiffness(300))
	_, _, err = Free(stiff, q.Metric)
	require.ErrorContains(t, err, " N of push: no drive can be made up that does it at half its limits\n  check diameter and bending stiffness")
	notch := job
	notch.Rig.SpeedLimit = q.Known(q.Reading{Value: 100, Unit: "notch"})
	notch.Rig.SpeedDivision = q.Known(q.Reading{Value: 1, Unit: "notch"})
	_, _, err = Free(notch, q.Metric)
	require.ErrorContains(t, err, "belt speed")
}

// What the job tells is taken as it is told, and told so; what cannot be is said by the
// job's own key.
func TestFreeTakesTheJob(t *testing.T) {
	job := gauges()
	job.Duct.InnerDiameter = q.Known[q.Length](0.026)
	c := &job.Cable
	c.OuterDiameter, c.Mass, c.BendingStiffness = q.Known[q.Length](0.008), q.Known(q.LinearDensity(0.055)), q.Known(q.Stiffness(0.3))
	c.StiffnessTemperature, c.PolyethyleneShare = q.Known[q.Temperature](23), q.Known(0.5)
	c.AxialStiffness, c.KinkRadius = q.Known[q.Force](2e5), q.Known[q.Length](0.05)
	job.Stub.Length, job.Stub.RunUp = q.Known[q.Length](4), q.Known[q.Length](2)
	job.Rig.ThrustPerSpeed = q.Known(q.ForcePerReading{Value: 700, Unit: "m/s"})
	job.Rig.ThrustOffset, job.Rig.TractionOffset = q.Known[q.ForceOffset](7), q.Known[q.ForceOffset](8)
	job.Rig.TractionPerGrip = q.Known[q.ForcePerPressure](0.009)
	l, lines, err := Free(job, q.Customary)
	require.NoError(t, err)
	r := l.Rig
	require.Equal(t, Cable{0.008, 0.055, 0.3, 23, 0.5, 2e5, 0.05, freeSoundness}, r.Cable)
	require.Equal(t, Duct{0.026, 4, 2}, r.Duct)
	require.Equal(t, q.Temperature(5), r.Temperature)
	require.Equal(t, Drive{ThrustPerSpeed: q.ForcePerReading{Value: 700, Unit: "m/s"}, ThrustOffset: 7, TractionPer: 0.009, TractionOffset: 8, MovingMass: freeMass}, r.Drive)
	require.Contains(t, lines[0], "kink radius 1.9")
	require.NotContains(t, lines[1], "kink radius 1.9")

	for key, spoil := range map[string]func(*session.Trial){
		"cable.outer_diameter":        func(j *session.Trial) { j.Cable.OuterDiameter = q.Known[q.Length](2) },
		"duct.inner_diameter":         func(j *session.Trial) { j.Duct.InnerDiameter = q.Known[q.Length](0.008) },
		"cable.mass":                  func(j *session.Trial) { j.Cable.Mass = q.Known[q.LinearDensity](1e6) },
		"cable.stiffness_temperature": func(j *session.Trial) { j.Cable.StiffnessTemperature = q.Known[q.Temperature](300) },
		"stub.run_up":                 func(j *session.Trial) { j.Stub.RunUp = q.Known[q.Length](100) },
		"rig.thrust_per_speed":        func(j *session.Trial) { j.Rig.ThrustPerSpeed = q.Known(q.ForcePerReading{Value: 1e9, Unit: "m/s"}) },
	} {
		bad := job
		spoil(&bad)
		_, _, err := Free(bad, q.Metric)
		require.ErrorContains(t, err, key+": ")
		require.NotContains(t, err.Error(), "hidden")
		require.Len(t, Each(err), 1, "%v", err)
	}
}

// TestCreepIsSeen: a plug or stub that creeps spoils a push only when its witness line is
// off far enough to be seen.
func TestCreepIsSeen(t *testing.T) {
	spoilt, held := 0, 0
	for _, kind := range []TroubleKind{PlugCreeps, StubCreeps} {
		for hold := 20.0; hold < 400; hold += 10 {
			for _, speed := range []float64{40, 60, 80, 100} {
				b := bench(t, func(l *Lesson) { l.Rig.Troubles = []Trouble{{kind, 1, hold}} })
				p, err := b.Push(at(30, speed))
				require.NoError(t, err)
				truth := p.Truth
				if truth.Outcome == session.Void {
					spoilt++
					require.False(t, truth.WitnessHeld, "kind %d held to %g N at %g ft/min: nobody could see it", kind, hold, speed)
				} else if truth.WitnessHeld {
					held++
				}
			}
		}
	}
	require.Positive(t, spoilt)
	require.Positive(t, held)
}

// checked is what is wrong with a rig.
func checked(r Rig) error {
	var p problems
	r.check(&p)
	return p.err()
}
