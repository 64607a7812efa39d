package cable

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

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

func TestWeight(t *testing.T) {
	checkRows(t, []row{
		{"110 kg/km", value(Weight(0.110)), 1.07873, 5e-6, "g of NIST SP 811"},
	})
}

func TestRangeCheck(t *testing.T) {
	r := Range[q.Length]{"overhang", "m", 0.05, 20}
	inches := Range[q.Length]{"gap", "in", q.From[q.Length](0.1, "in"), q.From[q.Length](0.3, "in")}
	tests := []struct {
		name string
		err  error
		want string
	}{
		{"inside", r.Check(1), ""},
		{"lowest", r.Check(0.05), ""},
		{"highest", r.Check(20), ""},
		{"rounding", inches.Check(3 * q.From[q.Length](0.1, "in")), ""},
		{"below", r.Check(0), "overhang: 0 m: must be from 0.05 m to 20 m"},
		{"above", r.Check(21), "overhang: 21 m: must be from 0.05 m to 20 m"},
		{"negative", r.Check(-1), "overhang: -1 m: must be from 0.05 m to 20 m"},
		{"no number", r.Check(q.Length(math.NaN())), "overhang: NaN: must be from 0.05 m to 20 m"},
		{"infinite", r.Check(q.Length(math.Inf(-1))), "overhang: -Inf: must be from 0.05 m to 20 m"},
		{"huge", r.Check(math.MaxFloat64), "overhang: 1.7976931348623157e+308: must be from 0.05 m to 20 m"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.want == "" {
				require.NoError(t, tt.err)
				return
			}
			require.EqualError(t, tt.err, tt.want)
		})
	}
}

func BenchmarkCableFigures(b *testing.B) {
	droop := Droop{Overhang: 1, Drop: 0.25, Mass: 0.110}
	for b.Loop() {
		bending, _ := droop.Solve()
		carried, err1 := StiffnessAt(bending.Stiffness, 0.5, 20, 5)
		ceiling, err2 := GripCeiling(22000, 0.3, 0.015)
		if err1 != nil || err2 != nil || carried <= 0 || ceiling <= 0 {
			b.Fatal(err1, err2)
		}
	}
}
