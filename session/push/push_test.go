package push

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// row is a figure with the value it must have, to the digits its source prints.
type row struct {
	what      string
	got       float64
	want, tol float64
	source    string
}

func checkRows(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		t.Run(r.what, func(t *testing.T) { require.InDelta(t, r.want, r.got, r.tol, r.source) })
	}
}

func value[T ~float64](v T, err error) float64 {
	if err != nil {
		panic(err)
	}
	return float64(v)
}

func column(od, id q.Length, ei q.Stiffness) Column {
	c, err := NewColumn(od, id, ei)
	if err != nil {
		panic(err)
	}
	return c
}

// Three invented pairs of cable and duct, which the figures marked "derived here" are
// for: a slim cable in a slim duct, a stout one in a wider duct, and the slim cable
// in the wider duct.
var (
	slim  = column(0.006, 0.010, 0.10)
	stout = column(0.012, 0.033, 2.0)
	loose = column(0.006, 0.033, 0.10)

	slimWeight  = q.LineLoad(value(cable.Weight(0.030)))
	stoutWeight = q.LineLoad(value(cable.Weight(0.110)))
)

const derived = "derived here"

func TestNewColumn(t *testing.T) {
	require.InDelta(t, 0.002, slim.clearance, 1e-15)
	require.InDelta(t, 0.0105, stout.clearance, 1e-15)
	require.InDelta(t, 0.0135, loose.clearance, 1e-15)
	for _, tt := range []struct {
		od, id q.Length
		ei     q.Stiffness
		want   string
	}{
		{0, 0.01, 1, "outer diameter: 0 mm: must be from 0.5 mm to 200 mm"},
		{12.4, 0.034, 1, "outer diameter: 12400 mm: must be from 0.5 mm to 200 mm"},
		{0.012, 0.010, 1, "inner diameter: 10 mm: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{0.012, 0.012, 1, "inner diameter: 12 mm: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{0.012, q.Length(math.NaN()), 1, "inner diameter: NaN: must be from 12.1 mm to 1000 mm, wider than the cable's 12 mm"},
		{0.012, 0.034, 0, "bending stiffness: 0 N·m²: must be from 0.000001 N·m² to 1000000 N·m²"},
	} {
		c, err := NewColumn(tt.od, tt.id, tt.ei)
		require.EqualError(t, err, tt.want)
		require.Zero(t, c)
	}
}

func TestZeroColumnPanics(t *testing.T) {
	require.PanicsWithValue(t, "push: Column not made by NewColumn", func() { Column{}.CollapseLoad() })
}

func TestMisusePanics(t *testing.T) {
	require.Panics(t, func() { _, _ = slim.LongDuctLoad(0, 1) })
	require.Panics(t, func() { _, _ = GapLoad(1, 0.1, 0) })
}

// logUniform is any number of a range, all powers of ten alike.
func logUniform(r *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, r.Float64())
}

// Whatever figures come in, what goes out is a finite number that is not negative,
// or an error with nothing.
func TestNothingWildLeaves(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	fit := func(what string, v float64, err error) {
		t.Helper()
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0) || v < 0, "%s: %v", what, v)
		require.True(t, err == nil || v == 0, "%s: %v with %v", what, v, err)
	}
	for range 20000 {
		od := q.Length(logUniform(r, 0.5e-3, 0.2))
		c, err := NewColumn(od, od+2*q.Length(logUniform(r, 5e-5, 0.4)), q.Stiffness(logUniform(r, 1e-6, 1e6)))
		require.NoError(t, err)
		weight := q.LineLoad(logUniform(r, 1e-4, 1e3))
		push, length := q.Force(logUniform(r, 1e-3, 1e6)), q.Length(logUniform(r, 1e-3, 1e5))
		friction := Friction{c, weight, logUniform(r, 0.001, 5)}
		for what, f := range figures(c, weight, push, length, friction) {
			v, err := f()
			fit(what, v, err)
		}
	}
}

// figures are the functions of the package that take these figures.
func figures(c Column, w q.LineLoad, push q.Force, length q.Length, friction Friction) map[string]func() (float64, error) {
	return map[string]func() (float64, error){
		"long duct":  func() (float64, error) { f, err := c.LongDuctLoad(HelixComplete, w); return float64(f), err },
		"long":       func() (float64, error) { f, err := c.LongLength(w); return float64(f), err },
		"lift-off":   func() (float64, error) { f, err := c.LiftOff(w); return float64(f), err },
		"stub snake": func() (float64, error) { s, err := c.StubSnaking(length, w); return float64(s.Push), err },
		"stub helix": func() (float64, error) { s, err := c.StubHelix(length, w); return float64(s.Push), err },
		"contact":    func() (float64, error) { h, err := c.Helix(push); return float64(h.Contact), err },
		"pitch":      func() (float64, error) { h, err := c.Helix(push); return float64(h.Pitch), err },
		"slack":      func() (float64, error) { f, err := c.Slack(push, length); return float64(f), err },
		"collapse":   func() (float64, error) { return float64(c.CollapseLoad()), nil },
		"at radius":  func() (float64, error) { f, err := c.LoadAtRadius(length); return float64(f), err },
		"drive":      func() (float64, error) { f, err := friction.DrivePush(push, length); return float64(f), err },
		"tip":        func() (float64, error) { f, err := friction.TipPush(push, length); return float64(f), err },
		"ceiling":    func() (float64, error) { f, err := friction.TipCeiling(length); return float64(f), err },
		"lock-up":    func() (float64, error) { f, err := friction.LockUpLength(push); return float64(f), err },
		"bend": func() (float64, error) {
			f, err := Capstan(push, friction.Coefficient, q.Angle(length))
			return float64(f), err
		},
		"gap": func() (float64, error) {
			f, err := GapLoad(q.Stiffness(c.stiffness), length, FixedPinned)
			return float64(f), err
		},
		"slip":   func() (float64, error) { f, err := SlipPush(friction.Coefficient, push); return float64(f), err },
		"clamp":  func() (float64, error) { f, err := ClampFor(push, friction.Coefficient); return float64(f), err },
		"impact": func() (float64, error) { f, err := Impact(q.Speed(length), push, 0.1); return float64(f), err },
		"wave":   func() (float64, error) { f, err := WaveSpeed(push, 0.1); return float64(f), err },
	}
}

func FuzzFigures(f *testing.F) {
	f.Add(0.012, 0.033, 2.0, 1.07873, 100.0, 3.0, 0.2)
	f.Add(0.012, 0.033, 2.0, 1.07873, 100.0, 50.0, 0.2)
	f.Add(0.006, 0.033, 0.1, 0.2942, 500.0, 0.03, 0.2)
	f.Fuzz(func(t *testing.T, od, id, ei, weight, push, length, mu float64) {
		c, err := NewColumn(q.Length(od), q.Length(id), q.Stiffness(ei))
		if err != nil {
			c = stout
		}
		friction := Friction{c, q.LineLoad(weight), mu}
		for what, figure := range figures(c, friction.Weight, q.Force(push), q.Length(length), friction) {
			v, err := figure()
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0) || v < 0, "%s: %v", what, v)
			require.True(t, err == nil || v == 0, "%s: %v with %v", what, v, err)
		}
	})
}
