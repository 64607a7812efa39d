package cable

import (
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func TestLaboratoryMethods(t *testing.T) {
	const source = "IEC 60794-1-21 method E17, from memory; beam theory"
	checkRows(t, []row{
		{"three-point", value(ThreePoint(10, 0.4, 0.010)), 1.33333, 5e-6, source},
		{"cantilever", value(Cantilever(10, 0.4, 0.010)), 21.3333, 5e-5, source},
		{"U-bend", value(UBend(1, 1.01, 0.01)), 0.348301, 5e-7, "0.3483 from memory of IEC 60794-1-21; 0.348301 derived here"},
		{"U-bend, as printed", value(UBend(1, 1.01, 0.01)), 0.3483, 5e-5, "IEC 60794-1-21 method E17, from memory"},
		{"U-bend, axis to axis", value(UBend(10, 0.06, 0.02)), 0.348301 * 10 * 0.04 * 0.04, 1e-8, "derived here"},
	})
}

func TestLaboratoryMethodErrors(t *testing.T) {
	three := func(f q.Force, l, y q.Length) error { _, err := ThreePoint(f, l, y); return err }
	tip := func(f q.Force, l, y q.Length) error { _, err := Cantilever(f, l, y); return err }
	bend := func(f q.Force, gap, od q.Length) error { _, err := UBend(f, gap, od); return err }
	require.EqualError(t, three(0, 0.4, 0.01), "force: 0 N: must be from 0.001 N to 100000 N")
	require.EqualError(t, three(10, 0.4, 0.05), "deflection: 50 mm: must be from 0.1 mm to 40 mm, a tenth of the length")
	require.EqualError(t, tip(10, 0, 0.01), "length: 0 m: must be from 0.01 m to 20 m")
	require.EqualError(t, tip(10, 0.4, 0), "deflection: 0 mm: must be from 0.1 mm to 40 mm, a tenth of the length")
	require.EqualError(t, tip(1e5, 20, 1e-4), "bending stiffness: 2.667e+12 N·m²: must be from 0.000001 N·m² to 1000000 N·m²")
	require.EqualError(t, bend(10, 0.012, 0.012), "gap between the plates: 12 mm: must be from 24 mm to 5000 mm, at least two outer diameters")
	require.EqualError(t, bend(10, 0.06, 0), "outer diameter: 0 mm: must be from 0.5 mm to 200 mm")
}

func TestBendRules(t *testing.T) {
	loaded, unloaded, err := OutsidePlant.Radii(0.012)
	require.NoError(t, err)
	indoorLoaded, indoorUnloaded, err := Indoor.Radii(0.012)
	require.NoError(t, err)
	checkRows(t, []row{
		{"outside plant, loaded diameter", 2 * float64(loaded), 40 * 0.012, 1e-12, "ICEA S-87-640: bend diameter 40 × OD"},
		{"outside plant, residual diameter", 2 * float64(unloaded), 20 * 0.012, 1e-12, "ICEA S-87-640: bend diameter 20 × OD"},
		{"indoor, loaded radius", float64(indoorLoaded), 15 * 0.012, 1e-12, "TIA-568, second-hand"},
		{"indoor, unloaded radius", float64(indoorUnloaded), 10 * 0.012, 1e-12, "TIA-568, second-hand"},
		{"jacket strain at the usual kink, %", 100.0 / (2 * UsualKink), 10, 1e-12, "polyethylene yields near 10 %, from memory"},
	})
	_, _, err = OutsidePlant.Radii(0)
	require.EqualError(t, err, "outer diameter: 0 mm: must be from 0.5 mm to 200 mm")
}

func TestGripCeiling(t *testing.T) {
	perCentimetre := q.From[q.LineLoad](110, "N/cm")
	checkRows(t, []row{
		{"110 N/cm on 0.30 m", value(ClampLimit(perCentimetre, 0.30)), 3300, 1e-9, "110 N/cm of GR-20 and ICEA-640, from memory"},
		{"220 N/cm is 2200 N/100 mm", value(ClampLimit(q.From[q.LineLoad](220, "N/cm"), 0.1)), 2200, 1e-9, "the 100 mm plate of IEC 60794-1-21 E3A"},
		{"at 15 N/kPa", value(GripCeiling(perCentimetre, 0.30, 0.015)), 220e3, 1e-6, "derived here"},
	})
	_, err := GripCeiling(perCentimetre, 0.30, 0)
	require.EqualError(t, err, "clamp force per grip pressure: 0 N/kPa: must be from 0.001 N/kPa to 1000 N/kPa")
	_, err = GripCeiling(0, 0.30, 0.015)
	require.EqualError(t, err, "crush limit: 0 N/100 mm: must be from 1 N/100 mm to 100000 N/100 mm")
	_, err = ClampLimit(perCentimetre, 0)
	require.EqualError(t, err, "belt length: 0 m: must be from 0.01 m to 5 m")
}
