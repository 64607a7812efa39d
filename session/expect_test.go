package session

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// stiffTrial is a whole job, invented.
func stiffTrial() Trial {
	return Trial{
		Cable: Cable{
			OuterDiameter: q.Known(q.Length(0.012)), Mass: q.Known(q.LinearDensity(0.110)),
			BendingStiffness: q.Known(q.Stiffness(2.0)), StiffnessTemperature: q.Known(q.Temperature(23)),
			PolyethyleneShare: q.Known(0.5), MinBendRadius: q.Known(q.Length(0.120)),
			KinkRadius: q.Known(q.Length(0.060)), CrushLimit: q.Known(q.LineLoad(11000)),
		},
		Duct:       Duct{Size: "40/33"},
		Conditions: Conditions{CableTemperature: q.Known(q.Temperature(23)), Unit: "°C"},
		Rig:        Rig{BeltLength: q.Known(q.Length(0.30)), ClampPerGrip: q.Known(q.ForcePerPressure(0.015)), Gap: q.Known(q.Length(0.04))},
		Stub:       Stub{Length: q.Known(q.Length(20))},
	}
}

func TestExpectTakesEveryFigureOfTheTrial(t *testing.T) {
	e, err := Expect(stiffTrial())
	require.NoError(t, err)
	require.Empty(t, e.Warnings, "nothing is missing")
	fold, known := e.FoldLimit.Get()
	require.True(t, known)
	require.InDelta(t, 28.6686, float64(e.SnakingLoad.Or(0)), 5e-5, "Dawson & Paslay 1984, figures derived here")
	require.InDelta(t, 52.4185, float64(e.HelixLoad.Or(0)), 5e-5, "Wu & Juvkam-Wold 1993, figures derived here")
	require.InDelta(t, 3032.54, float64(e.BendLimitLoad.Or(0)), 5e-3, "derived here")
	require.InDelta(t, 5766.95, float64(fold.Mid), 5e-3, "derived here")
	require.InDelta(t, 220e3, float64(e.GripCeiling.Or(0)), 1e-6, "derived here")
	require.True(t, e.CanDoubleBack, "geometry: 33 mm is more than 2 × 12 mm")
}

func TestBore(t *testing.T) {
	trial := stiffTrial()
	trial.Duct = Duct{Size: "1.25 in SDR 11", InnerDiameter: q.Known(q.Length(0.0345))}
	id, source, err := trial.Bore()
	require.NoError(t, err)
	require.Equal(t, q.Length(0.0345), id, "what was measured wins")
	require.Equal(t, "as given in the job", source)

	trial.Duct.InnerDiameter = q.Maybe[q.Length]{}
	id, source, err = trial.Bore()
	require.NoError(t, err)
	require.InDelta(t, (1.660-2*0.151)*25.4, 1000*float64(id), 1e-9, "ASTM D3035, from memory: 1.660 in less two walls of 1.660/11")
	require.Contains(t, source, "SDR 11")
}

func TestExpectErrors(t *testing.T) {
	const (
		noOuter = "cable.outer_diameter: missing: take it from the data sheet, or measure it with calipers across two ways"
		noInner = "duct.inner_diameter: missing, and so is duct.size: measure the bore across two ways, or give the size printed on the duct"
	)
	for _, tt := range []struct {
		name   string
		change func(*Trial)
		want   string
	}{
		{"nothing", func(t *Trial) { t.Cable.OuterDiameter, t.Duct = q.Maybe[q.Length]{}, Duct{} }, noOuter + "\n" + noInner},
		{"no outer diameter", func(t *Trial) { t.Cable.OuterDiameter = q.Maybe[q.Length]{} }, noOuter},
		{"a size of no standard", func(t *Trial) { t.Duct.Size = "the orange one" },
			`duct.inner_diameter: missing, and does not follow from the duct size: "the orange one": not a size whose bore is standard: measure the inner diameter, or write a size as in "1.25 in SDR 11", "40/33" or "14/10"`},
		{"measured duct smaller", func(t *Trial) { t.Duct.InnerDiameter = q.Known(q.Length(0.010)) },
			"duct.inner_diameter: inner diameter: 10 mm: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{"named duct smaller", func(t *Trial) { t.Duct.Size = "14/10" },
			"duct.size: inner diameter: 10 mm: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{"no diameter", func(t *Trial) { t.Cable.OuterDiameter = q.Known(q.Length(0)) },
			"cable.outer_diameter: outer diameter: 0 mm: must be from 0.5 mm to 200 mm"},
		{"no mass", func(t *Trial) { t.Cable.Mass = q.Known(q.LinearDensity(0)) },
			"cable.mass: mass: 0 kg/km: must be from 0.1 kg/km to 50000 kg/km"},
		{"share", func(t *Trial) { t.Cable.PolyethyleneShare = q.Known(1.5) },
			"cable.polyethylene_share: polyethylene share: 1.5: must be from 0 to 1"},
		{"stiffness", func(t *Trial) { t.Cable.BendingStiffness = q.Known(q.Stiffness(0)) },
			"cable.bending_stiffness: bending stiffness: 0 N·m²: must be from 0.000001 N·m² to 1000000 N·m²"},
		{"bend radius", func(t *Trial) { t.Cable.MinBendRadius = q.Known(q.Length(0.001)) },
			"cable.min_bend_radius: least bend radius: 1 mm: must be from 6 mm to 100000 mm"},
		{"kink radius", func(t *Trial) { t.Cable.KinkRadius = q.Known(q.Length(0.001)) },
			"cable.kink_radius: kink radius: 1 mm: must be from 6 mm to 100000 mm"},
		{"too warm", func(t *Trial) { t.Conditions.CableTemperature = q.Known(q.Temperature(70)) },
			"conditions.cable_temperature: temperature: 158 °F: must be from -20 °F to 140 °F"},
		{"measured too cold", func(t *Trial) { t.Cable.StiffnessTemperature = q.Known(q.Temperature(-40)) },
			"cable.stiffness_temperature: temperature: -40 °F: must be from -20 °F to 140 °F"},
		{"gap", func(t *Trial) { t.Rig.Gap = q.Known(q.Length(20)) }, "rig.gap: gap: 20000 mm: must be from 1 mm to 10000 mm"},
		{"stub", func(t *Trial) { t.Stub.Length = q.Known(q.Length(0)) },
			"stub.length: length of the duct: 0 m: must be from 0.001 m to 100000 m"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trial := stiffTrial()
			tt.change(&trial)
			e, err := Expect(trial)
			require.EqualError(t, err, tt.want)
			require.Zero(t, e)
		})
	}
}

// Where nothing has to be carried, no temperature is refused.
func TestExpectNeedsNoTableWithoutCarrying(t *testing.T) {
	for name, change := range map[string]func(*Trial){
		"no share":       func(t *Trial) { t.Cable.PolyethyleneShare = q.Maybe[float64]{} },
		"no stiffness":   func(t *Trial) { t.Cable.BendingStiffness = q.Maybe[q.Stiffness]{} },
		"measured there": func(t *Trial) { t.Cable.StiffnessTemperature = q.Known(q.Temperature(70)) },
		"not known":      func(t *Trial) { t.Cable.StiffnessTemperature = q.Maybe[q.Temperature]{} },
	} {
		trial := stiffTrial()
		trial.Conditions.CableTemperature = q.Known(q.Temperature(70))
		change(&trial)
		_, err := Expect(trial)
		require.NoError(t, err, name)
	}
}

// Every figure a job can get wrong has its key: none is left to a guess.
func TestExpectErrorsHaveKeys(t *testing.T) {
	for _, change := range []func(*Trial){
		func(t *Trial) { t.Cable.CrushLimit = q.Known(q.LineLoad(0)) },
		func(t *Trial) { t.Rig.BeltLength = q.Known(q.Length(0)) },
		func(t *Trial) { t.Rig.ClampPerGrip = q.Known(q.ForcePerPressure(0)) },
	} {
		trial := stiffTrial()
		change(&trial)
		_, err := Expect(trial)
		require.Error(t, err)
		key, _, _ := strings.Cut(err.Error(), ":")
		require.Regexp(t, `^(cable|rig)\.[a-z_]+$`, key, err.Error())
	}
}

func BenchmarkExpect(b *testing.B) {
	trial := stiffTrial()
	var e push.Expected
	for b.Loop() {
		e, _ = Expect(trial)
	}
	require.True(b, e.FoldLimit.Known())
}
