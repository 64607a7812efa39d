package push

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// job is a whole job, invented: what each figure must come to is in the tests.
func job() Job {
	return Job{
		OuterDiameter:        0.012,
		InnerDiameter:        0.033,
		Mass:                 q.Known(q.LinearDensity(0.110)),
		Stiffness:            q.Known(q.Stiffness(2.0)),
		StiffnessTemperature: q.Known(q.Temperature(23)),
		CableTemperature:     q.Known(q.Temperature(23)),
		PolyethyleneShare:    q.Known(0.5),
		MinBendRadius:        q.Known(q.Length(0.120)),
		KinkRadius:           q.Known(q.Length(0.060)),
		CrushLimit:           q.Known(q.LineLoad(11000)),
		BeltLength:           q.Known(q.Length(0.30)),
		ClampPerGrip:         q.Known(q.ForcePerPressure(0.015)),
		Gap:                  q.Known(q.Length(0.04)),
		StubLength:           q.Known(q.Length(20)),
	}
}

func expect(t *testing.T, j Job) Expected {
	t.Helper()
	e, err := Expect(j)
	require.NoError(t, err)
	return e
}

func TestExpect(t *testing.T) {
	e := expect(t, job())
	fold, known := e.FoldLimit.Get()
	require.True(t, known)
	checkRows(t, []row{
		{"fill by diameter", e.FillByDiameter, 0.363636, 5e-7, "geometry"},
		{"fill by area", e.FillByArea, 0.132231, 5e-7, "geometry"},
		{"clearance", float64(e.Clearance), 0.0105, 1e-12, "geometry"},
		{"stiffness", float64(e.BendingStiffness.Or(0)), 2.0, 0, "the same temperature"},
		{"snaking", float64(e.SnakingLoad.Or(0)), 28.6686, 5e-5, derived},
		{"helix", float64(e.HelixLoad.Or(0)), 52.4185, 5e-5, derived},
		{"bend limit at 10 OD", float64(e.BendLimitLoad.Or(0)), 3032.54, 5e-3, derived},
		{"fold limit at 5 OD", float64(fold.Mid), 5766.95, 5e-3, derived},
		{"low", float64(fold.Low / fold.Mid), 0.518, 5e-4, "5 % of a log-normal spread of 0.40, derived here"},
		{"high", float64(fold.High.Or(0) / fold.Mid), 1.931, 5e-4, "95 % of a log-normal spread of 0.40, derived here"},
		{"grip ceiling", float64(e.GripCeiling.Or(0)), 220e3, 1e-6, derived},
	})
	require.True(t, e.CanDoubleBack)
	require.Empty(t, e.Warnings)
}

func TestExpectHighStopsAtCollapse(t *testing.T) {
	j := job()
	j.OuterDiameter, j.Stiffness, j.KinkRadius = 0.006, q.Known(q.Stiffness(0.10)), q.Known(q.Length(0.030))
	fold, _ := expect(t, j).FoldLimit.Get()
	require.InDelta(t, 366.232, float64(fold.Mid), 5e-4, derived)
	require.InDelta(t, 422.387, float64(fold.High.Or(0)), 5e-4, derived)
}

func TestExpectWarmer(t *testing.T) {
	stiffness := func(at float64) float64 {
		j := job()
		j.CableTemperature = q.Known(q.From[q.Temperature](at, "°F"))
		return float64(expect(t, j).BendingStiffness.Or(0))
	}
	require.InDelta(t, 19.357, 100*(1-stiffness(68)/stiffness(35)), 6e-4,
		"derived here; multipliers of the Plastics Pipe Institute handbook, from memory")
	require.Less(t, stiffness(90), stiffness(73.4))
}

func TestExpectOnlyDiameters(t *testing.T) {
	e := expect(t, Job{OuterDiameter: 0.0124, InnerDiameter: 0.0345})
	require.Equal(t, Expected{
		FillByDiameter: e.FillByDiameter, FillByArea: e.FillByArea, Clearance: e.Clearance, CanDoubleBack: true,
		Warnings: []string{
			"bending stiffness not known, so no push is worked out: measure a droop",
			"mass not known, so neither are the snaking and helix loads",
			"least bend radius under load not known, so neither is the bend limit: see the data sheet; 20 outer diameters is usual outdoors",
			"grip ceiling not known: it needs the cable's crush limit, the belt length and the clamp force per grip pressure",
		},
	}, e)
}

func TestExpectWithoutKinkRadius(t *testing.T) {
	j := job()
	j.KinkRadius = q.Maybe[q.Length]{}
	e := expect(t, j)
	fold, known := e.FoldLimit.Get()
	require.True(t, known)
	require.InDelta(t, 5766.95, float64(fold.Mid), 5e-3, derived)
	require.InDelta(t, 3032.54*0.51793, float64(fold.Low), 0.05, "at 10 OD, less the spread: derived here")
	require.False(t, fold.High.Known())
	require.Equal(t, []string{"kink radius not known: 5 outer diameters is taken, which is a guess; the real fold limit may be far higher or lower"}, e.Warnings)
}

func TestExpectWarnings(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Job)
		want   string
	}{
		{"no share", func(j *Job) {
			j.PolyethyleneShare, j.CableTemperature = q.Maybe[float64]{}, q.Known(q.Temperature(35))
		}, "bending stiffness is not corrected for temperature: the polyethylene share is not known; a warmer cable folds sooner than these figures say"},
		{"no share, same temperature", func(j *Job) { j.PolyethyleneShare = q.Maybe[float64]{} }, ""},
		{"not known when measured", func(j *Job) { j.StiffnessTemperature = q.Maybe[q.Temperature]{} },
			"bending stiffness is not corrected for temperature: the temperature it was measured at is not known"},
		{"not known now", func(j *Job) { j.CableTemperature = q.Maybe[q.Temperature]{} },
			"bending stiffness is not corrected for temperature: the cable's temperature is not known"},
		{"outside the table", func(j *Job) { j.CableTemperature = q.Known(q.Temperature(65)) },
			"bending stiffness is not corrected for temperature: polyethylene is tabled from -20 °F to 140 °F only (-29 °C to 60 °C)"},
		{"no room to double back", func(j *Job) { j.InnerDiameter = 0.020 },
			"the duct has no room for the cable to double back: past the fold limit it kinks where it lies"},
		{"just room to double back", func(j *Job) { j.InnerDiameter = 0.025 },
			"the duct has only just room for the cable to double back: a fold may jam"},
		{"room for a Z", func(j *Job) { j.InnerDiameter = 0.0259 }, ""},
		{"wide gap", func(j *Job) { j.Gap = q.Known(q.Length(0.3)) },
			"the cable may buckle in the gap between drive and duct before it folds in the duct: shorten the gap or fit a lead-in piece"},
		{"short stub", func(j *Job) { j.StubLength = q.Known(q.Length(3)) },
			"the stub is short for this cable: its ends hold the cable, so it snakes and coils at a higher push there than in a long duct"},
		{"kink above the bend radius", func(j *Job) { j.KinkRadius = q.Known(q.Length(0.15)) },
			"the kink radius is larger than the least bend radius under load: check both"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := job()
			tt.change(&j)
			e := expect(t, j)
			require.True(t, e.FoldLimit.Known())
			if tt.want == "" {
				require.Empty(t, e.Warnings)
				return
			}
			require.Equal(t, []string{tt.want}, e.Warnings)
		})
	}
}

func TestExpectErrors(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Job)
		want   string
	}{
		{"duct smaller than the cable", func(j *Job) { j.InnerDiameter = 0.010 }, "inner diameter: 10 mm: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{"no cable", func(j *Job) { j.OuterDiameter = 0 }, "outer diameter: 0 mm: must be from 0.5 mm to 200 mm"},
		{"zero mass", func(j *Job) { j.Mass = q.Known(q.LinearDensity(0)) }, "mass: 0 kg/km: must be from 0.1 kg/km to 50000 kg/km"},
		{"zero stiffness", func(j *Job) { j.Stiffness = q.Known(q.Stiffness(0)) }, "bending stiffness: 0 N·m²: must be from 0.000001 N·m² to 1000000 N·m²"},
		{"share in per cent", func(j *Job) { j.PolyethyleneShare = q.Known(50.0) }, "polyethylene share: 50: must be from 0 to 1"},
		{"bend radius", func(j *Job) { j.MinBendRadius = q.Known(q.Length(0.005)) }, "least bend radius: 5 mm: must be from 6 mm to 100000 mm"},
		{"kink radius", func(j *Job) { j.KinkRadius = q.Known(q.Length(0)) }, "kink radius: 0 mm: must be from 6 mm to 100000 mm"},
		{"gap", func(j *Job) { j.Gap = q.Known(q.Length(-1)) }, "gap: -1000 mm: must be from 1 mm to 10000 mm"},
		{"stub", func(j *Job) { j.StubLength = q.Known(q.Length(0)) }, "length of the duct: 0 m: must be from 0.001 m to 100000 m"},
		{"belts", func(j *Job) { j.BeltLength = q.Known(q.Length(30)) }, "belt length: 30 m: must be from 0.01 m to 5 m"},
		{"clamp", func(j *Job) { j.ClampPerGrip = q.Known(q.ForcePerPressure(0)) }, "clamp force per grip pressure: 0 N/kPa: must be from 0.001 N/kPa to 1000 N/kPa"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := job()
			tt.change(&j)
			e, err := Expect(j)
			require.EqualError(t, err, tt.want)
			require.Zero(t, e)
		})
	}
}

// For any cable the figures are finite, in order, and never negative.
func TestExpectAlwaysSane(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		j := job()
		j.OuterDiameter = q.Length(logUniform(r, 0.5e-3, 0.2))
		j.InnerDiameter = j.OuterDiameter + q.Length(logUniform(r, 1e-4, 0.7))
		j.Mass = q.Known(q.LinearDensity(logUniform(r, 1e-4, 50)))
		j.Stiffness = q.Known(q.Stiffness(logUniform(r, 1e-4, 1e4)))
		j.CableTemperature = q.Known(q.Temperature(-28 + 88*r.Float64()))
		j.KinkRadius = q.Known(j.OuterDiameter * q.Length(logUniform(r, 0.5, 40)))
		j.MinBendRadius = q.Known(j.OuterDiameter * q.Length(logUniform(r, 0.5, 40)))
		if r.IntN(3) == 0 {
			j.KinkRadius = q.Maybe[q.Length]{}
		}
		e := expect(t, j)
		fold, _ := e.FoldLimit.Get()
		require.True(t, 0 < fold.Low && fold.Low < fold.Mid && fold.Mid <= fold.High.Or(fold.Mid)*(1+1e-12), "%+v", fold)
		require.True(t, 0 < e.SnakingLoad.Or(0) && e.SnakingLoad.Or(0) < e.HelixLoad.Or(0))
		for _, v := range []float64{float64(fold.High.Or(fold.Mid)), float64(e.HelixLoad.Or(0)), float64(e.BendLimitLoad.Or(0)), float64(e.GripCeiling.Or(0))} {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0) || v <= 0)
		}
	}
}

func BenchmarkExpect(b *testing.B) {
	j := job()
	for b.Loop() {
		e, err := Expect(j)
		if err != nil || !e.FoldLimit.Known() {
			b.Fatal(err)
		}
	}
}
