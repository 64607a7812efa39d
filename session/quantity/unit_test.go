package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The factors as printed in NIST Special Publication 811 (2008), appendix B.8
// and B.9, written from memory; seven digits unless the text there is exact.
func TestFactorsAgreeWithTheHandbook(t *testing.T) {
	const printed = 5e-7 // half a unit in the seventh digit, at worst
	for _, row := range []struct {
		unit      string
		got, want float64
		tol       float64 // relative
	}{
		{"in", float64(From[Length](1, "in")), 2.54e-2, 0},
		{"ft", float64(From[Length](1, "ft")), 3.048e-1, 0},
		{"lbf", float64(From[Force](1, "lbf")), 4.448222, printed},
		{"kgf", float64(From[Force](1, "kgf")), 9.80665, 0},
		{"psi", float64(From[Pressure](1, "psi")), 6.894757e3, printed},
		{"bar", float64(From[Pressure](1, "bar")), 1e5, 0},
		{"mbar", float64(From[Pressure](1, "mbar")), 1e2, 0},
		{"ft/min", float64(From[Speed](1, "ft/min")), 5.08e-3, 1e-15},
		{"ft/s", float64(From[Speed](1, "ft/s")), 3.048e-1, 0},
		{"km/h", float64(From[Speed](1, "km/h")), 2.777778e-1, printed},
		{"lb/ft", float64(From[LinearDensity](1, "lb/ft")), 1.488164, printed},
		{"lbf/in", float64(From[LineLoad](1, "lbf/in")), 1.751268e2, printed},
		{"lbf/ft", float64(From[LineLoad](1, "lbf/ft")), 1.459390e1, printed},
		{"cfm", float64(From[FlowRate](1, "cfm")), 4.719474e-4, printed},
		{"L/s", float64(From[FlowRate](1, "L/s")), 1e-3, 0},
		{"deg", float64(From[Angle](1, "deg")), 1.745329e-2, printed},
	} {
		require.InEpsilon(t, row.want, row.got, row.tol+1e-16, row.unit)
	}
}

// Derived here from the handbook's lbf, in², ft and lb of the table above.
func TestDerivedFactors(t *testing.T) {
	const lbf, in, ft, lb = 4.4482216152605, 0.0254, 0.3048, 0.45359237
	for _, row := range []struct {
		unit      string
		got, want float64
	}{
		{"lbf·in²", float64(From[Stiffness](1, "lbf·in²")), lbf * in * in},
		{"lbf·in², in digits", float64(From[Stiffness](1, "lbf·in²")), 0.002869814657301464},
		{"lbf·ft²", float64(From[Stiffness](1, "lbf·ft²")), lbf * ft * ft},
		{"N·mm²", float64(From[Stiffness](1, "N·mm²")), 1e-6},
		{"lb/1000 ft", In(From[LinearDensity](1, "lb/1000 ft"), "kg/km"), lb / ft},
		{"g/m", In(From[LinearDensity](1, "g/m"), "kg/km"), 1},
		{"N/100 mm", In(From[LineLoad](2200, "N/100 mm"), "N/cm"), 220},
		{"N/mm", In(From[LineLoad](22, "N/mm"), "kN/m"), 22},
		{"lbf/psi", float64(From[ForcePerPressure](1, "lbf/psi")), in * in},
		{"N/psi", float64(From[ForcePerPressure](1, "N/psi")), in * in / lbf},
		{"N/kPa", In(From[ForcePerPressure](9.5, "N/kPa"), "N/bar"), 950},
		{"N/Pa", In(From[ForcePerPressure](9.5, "N/kPa"), "N/Pa"), 0.0095},
		{"m³/h", In(From[FlowRate](60, "m³/h"), "m³/min"), 1},
		{"L/min", In(From[FlowRate](5200, "L/min"), "m³/min"), 5.2},
		{"m³/s", In(From[FlowRate](1, "m³/s"), "L/s"), 1000},
		{"daN", In(From[Force](50, "daN"), "kN"), 0.5},
		{"MPa", In(From[Pressure](1, "MPa"), "bar"), 10},
		{"Pa", In(From[Pressure](1013.25, "hPa"), "Pa"), 101325},
		{"km", In(From[Length](1.5, "km"), "cm"), 150000},
		{"rad", In(From[Angle](math.Pi, "rad"), "deg"), 180},
	} {
		require.InEpsilon(t, row.want, row.got, 1e-14, row.unit)
	}
}

// Source: NIST SP 811 (2008), appendix B.8, t/°C = (t/°F − 32)/1.8. The fixed
// points (water freezes, the scales cross) are common knowledge.
func TestTemperature(t *testing.T) {
	for _, row := range []struct{ fahrenheit, celsius float64 }{
		{32, 0}, {-40, -40}, {212, 100}, {41, 5}, {68, 20}, {73.4, 23}, {35, 5.0 / 3},
	} {
		require.InDelta(t, row.celsius, float64(From[Temperature](row.fahrenheit, "°F")), 1e-13)
		require.InDelta(t, row.fahrenheit, In(Temperature(row.celsius), "°F"), 1e-12)
	}
}

// A length written in inches and in millimetres is one number, so that records
// in either unit compare equal.
func TestExactFactorsMeet(t *testing.T) {
	require.Equal(t, From[Length](1, "in"), From[Length](25.4, "mm"))
	require.Equal(t, From[Length](10, "ft"), From[Length](3.048, "m"))
	require.Equal(t, From[Pressure](0.41, "bar"), From[Pressure](41, "kPa"))
	require.Equal(t, From[LinearDensity](118, "kg/km"), From[LinearDensity](0.118, "kg/m"))
}

func TestEverySpellingMeansOneUnit(t *testing.T) {
	for _, k := range kinds {
		seen := map[string]string{}
		for _, u := range k.units {
			spellings := append(strings.Fields(u.spellings), plain(u.name))
			for _, s := range spellings {
				require.Equal(t, plain(s), s, "%s of %s is not as plain makes it", s, k.name)
				require.Empty(t, seen[strings.ToLower(s)], "%s of %s", s, k.name)
				seen[strings.ToLower(s)] = u.name
				require.Equal(t, u.name, k.find(s).name)
			}
		}
	}
}

func TestEveryKindIsComplete(t *testing.T) {
	require.Len(t, kinds, 12)
	for zero, k := range kinds {
		require.NotEmpty(t, k.name)
		require.Less(t, k.low, k.high, "%T", zero)
		require.Greater(t, len(k.units), 1, "%T", zero)
		for _, name := range []string{k.metric, k.customary, k.standard} {
			require.Equal(t, name, k.must(name).name, "%T", zero)
		}
	}
}

func TestUnitsShown(t *testing.T) {
	require.Equal(t, "bar", Preferred[Pressure](Metric))
	require.Equal(t, "psi", Preferred[Pressure](Customary))
	require.Equal(t, "m", Preferred[Length](Metric))
	require.Equal(t, "ft", Preferred[Length](Customary))
	require.Equal(t, "mm", PreferredDiameter(Metric))
	require.Equal(t, "in", PreferredDiameter(Customary))
	require.Equal(t, "kPa", Standard[Pressure]())
	require.Equal(t, "m/min", Standard[Speed]())
	require.Equal(t, "kg/km", Standard[LinearDensity]())
	require.Equal(t, []string{"°C", "°F"}, Units[Temperature]())
}

func TestMisusePanics(t *testing.T) {
	for name, misuse := range map[string]func(){
		"quantity: no system of units 0":                   func() { Preferred[Length](System(0)) },
		`quantity: no unit "psi" of length`:                func() { In(Length(1), "psi") },
		`quantity: no unit "" of force`:                    func() { From[Force](1, "") },
		`quantity: no unit "mPa" of pressure`:              func() { Text(Pressure(1), "mPa") },
		"quantity: value is not finite":                    func() { Text(Force(math.NaN()), "N") },
		`quantity: reading in "notches" asked for in "mA"`: func() { Reading{3, "notches"}.In("mA") },
		`quantity: no unit "notches" of speed`:             func() { _ = Reading{1, "m/s"}.Text("notches") },
		`quantity: reading in "psi" asked for in "bar"`:    func() { ForcePerReading{3, "psi"}.In("N", "bar") },
	} {
		require.PanicsWithValue(t, name, misuse)
	}
	require.Panics(t, func() { From[Force](math.MaxFloat64, "kN") })
	require.Panics(t, func() { In(Length(math.Inf(1)), "m") })
}
