package push

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// norris is the data set Norris of the NIST Statistical Reference Datasets, linear
// regression, lower difficulty: y, x. Typed from memory; that the certified values
// come out to all their digits proves the typing.
var norris = [][2]float64{
	{0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5},
	{668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
	{0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
	{557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
	{0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
	{10.2, 11.1}, {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5},
}

func TestFitNorris(t *testing.T) {
	x, y := make([]float64, len(norris)), make([]float64, len(norris))
	for i, pair := range norris {
		y[i], x[i] = pair[0], pair[1]
	}
	line, err := fit(x, y)
	require.NoError(t, err)
	const source = "NIST StRD Norris, certified value"
	checkRows(t, []row{
		{"intercept", float64(line.Offset), -0.262323073774029, 1e-12, source},
		{"slope", line.Slope, 1.00211681802045, 1e-14, source},
		{"residual standard deviation", float64(line.Spread), 0.884796396144373, 1e-13, source},
	})
}

func thrust(points ...float64) []ThrustPair {
	var pairs []ThrustPair
	for i := 0; i < len(points); i += 2 {
		pairs = append(pairs, ThrustPair{q.Reading{Value: points[i], Unit: "notches"}, q.Force(points[i+1])})
	}
	return pairs
}

func TestFitThrust(t *testing.T) {
	f, err := FitThrust(thrust(1, 25, 2, 40, 3, 55, 4, 70))
	require.NoError(t, err)
	require.Equal(t, "notches", f.PerReading.Unit)
	checkRows(t, []row{
		{"slope", f.PerReading.Value, 15, 1e-12, "the straight line the points lie on"},
		{"offset", float64(f.Offset), 10, 1e-12, "the straight line the points lie on"},
		{"spread", float64(f.Spread), 0, 1e-12, "the straight line the points lie on"},
	})
	require.Equal(t, -1, f.OutOfLine)
	require.Empty(t, f.Falls)
	require.Empty(t, f.Warnings)
}

func TestFitThrustNamesThePairOutOfLine(t *testing.T) {
	pulls := []float64{31, 59, 92, 119, 151, 178, 212, 239}
	for wrong := range pulls {
		var points []float64
		for i, p := range pulls {
			if i == wrong {
				p += 40
			}
			points = append(points, float64(i+1), p)
		}
		f, err := FitThrust(thrust(points...))
		require.NoError(t, err)
		require.Equal(t, wrong, f.OutOfLine)
		require.Greater(t, f.Residuals[wrong], q.Force(0))
		require.Contains(t, f.Warnings[len(f.Warnings)-1], "is out of line with the others: measure it again")
	}
}

func TestFitThrustScatterIsNotOutOfLine(t *testing.T) {
	f, err := FitThrust(thrust(1, 31, 2, 57, 3, 93, 4, 117, 5, 153, 6, 176))
	require.NoError(t, err)
	require.Equal(t, -1, f.OutOfLine)
	exact, err := FitThrust(thrust(1, 30, 2, 60, 3, 90, 4, 150))
	require.NoError(t, err)
	require.Equal(t, 3, exact.OutOfLine, "the others lie on a line to the last digit")
}

// The studentised residual is that of a line through the others: t = d/(s·√(1 + h′)),
// with d the distance of the pair from that line. Done here the long way.
func TestOutOfLineIsTheLeftOutResidual(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6, 7}
	y := []float64{11, 19, 32, 39, 51, 75, 71}
	others, err := fit([]float64{1, 2, 3, 4, 5, 7}, []float64{11, 19, 32, 39, 51, 71})
	require.NoError(t, err)
	away := y[5] - others.Slope*6 - float64(others.Offset)
	mean, sum := 22.0/6, 0.0
	for _, v := range []float64{1, 2, 3, 4, 5, 7} {
		sum += (v - mean) * (v - mean)
	}
	studentised := away / (float64(others.Spread) * math.Sqrt(1+1.0/6+(6-mean)*(6-mean)/sum))
	require.Greater(t, studentised, 5.6) // Student's t with 4 degrees of freedom, 1 − 0.05/14: tables give 4.60 at 0.995, 5.60 at 0.9975
	line, err := fit(x, y)
	require.NoError(t, err)
	require.Equal(t, 5, line.OutOfLine)

	y[5] = others.Slope*6 + float64(others.Offset) + away*4.6/studentised
	line, err = fit(x, y)
	require.NoError(t, err)
	require.Equal(t, -1, line.OutOfLine, "below the bound")
}

func TestFitThrustReportsFalls(t *testing.T) {
	f, err := FitThrust(thrust(3, 60, 1, 20, 2, 45, 4, 55, 4, 80, 5, 100))
	require.NoError(t, err)
	require.Equal(t, []int{3}, f.Falls)
	require.Equal(t, "pair 4 pulls less than a pair at a lower reading: measure it again", f.Warnings[0])
}

func TestFitTraction(t *testing.T) {
	f, err := FitTraction([]TractionPair{{20e3, 170}, {40e3, 360}, {60e3, 550}})
	require.NoError(t, err)
	require.InDelta(t, 0.0095, float64(f.PerGrip), 1e-12, "the straight line the points lie on")
	require.InDelta(t, -20, float64(f.Offset), 1e-9, "springs hold the belts open at first")
	require.InDelta(t, 0, value(TractionAt(f.PerGrip, f.Offset, 1e3)), 0, "never a negative push")
	require.InDelta(t, 265, value(TractionAt(f.PerGrip, f.Offset, 30e3)), 1e-9)
}

func TestFitErrors(t *testing.T) {
	speeds := []ThrustPair{{q.Reading{Value: 0.1, Unit: "m/s"}, 1}, {q.Reading{Value: 0.2, Unit: "m/s"}, 2}, {q.Reading{Value: 3, Unit: "notches"}, 3}}
	for _, tt := range []struct {
		pairs []ThrustPair
		want  string
	}{
		{nil, "pairs: 0: a line needs at least 3"},
		{thrust(1, 10, 2, 20), "pairs: 2: a line needs at least 3"},
		{thrust(2, 10, 2, 20, 2, 30), "reading: is the same in all pairs: take pairs over the whole range"},
		{thrust(1, 30, 2, 20, 3, 10), "pull: does not rise with the reading: no line can be used"},
		{thrust(1, 10, 2, 10, 3, 10), "pull: does not rise with the reading: no line can be used"},
		{thrust(1, 10, 2, -20, 3, 30), "pair 2: pull: -20 N: must be from 0 N to 100000 N"},
		{thrust(1, 10, 2, 20, math.NaN(), 30), "pair 3: reading: NaN: must be from 0 to 1e9"},
		{thrust(1, 10, 2, 20, 3, math.Inf(1)), "pair 3: pull: +Inf: must be from 0 N to 100000 N"},
		{speeds, `pair 3: reading in "notches": must be in "m/s" as in the first pair`},
	} {
		f, err := FitThrust(tt.pairs)
		require.EqualError(t, err, tt.want)
		require.Zero(t, f.Slope)
	}
	_, err := FitTraction([]TractionPair{{1, 1}, {2, 2}})
	require.EqualError(t, err, "pairs: 2: a line needs at least 3")
	_, err = FitTraction([]TractionPair{{1, 1}, {-2, 2}, {3, 3}})
	require.EqualError(t, err, "pair 2: grip pressure: -0.002 kPa: must be from 0 kPa to 100000 kPa")
}

func TestThrustAt(t *testing.T) {
	per := q.ForcePerReading{Value: 410, Unit: "m/s"}
	require.InDelta(t, 205, value(ThrustAt(per, 0, q.Reading{Value: 0.5, Unit: "m/s"})), 1e-9)
	require.InDelta(t, 0, value(ThrustAt(per, -300, q.Reading{Value: 0.5, Unit: "m/s"})), 0, "never a negative push")
	for at, want := range map[q.Reading]string{
		{Value: 3, Unit: "notches"}:      `push control reading in "notches": must be in "m/s" as the rig's figure is`,
		{Value: math.NaN(), Unit: "m/s"}: "push: NaN: must be from 0 N to 100000 N, no drive gives more",
		{Value: 1e9, Unit: "m/s"}:        "push: 410000000000 N: must be from 0 N to 100000 N, no drive gives more",
	} {
		push, err := ThrustAt(per, 0, at)
		require.EqualError(t, err, want)
		require.Zero(t, push)
	}
}

func FuzzFitThrust(f *testing.F) {
	f.Add(1.0, 25.0, 2.0, 40.0, 3.0, 55.0, 4.0, 71.0)
	f.Add(0.0, 0.0, 0.0, 0.0, 1e-9, 1e5, 1e9, 1e5)
	f.Fuzz(func(t *testing.T, x1, y1, x2, y2, x3, y3, x4, y4 float64) {
		line, err := FitThrust(thrust(x1, y1, x2, y2, x3, y3, x4, y4))
		if err != nil {
			return
		}
		for _, v := range append([]q.Force{q.Force(line.Slope), line.Offset, line.Spread}, line.Residuals...) {
			require.False(t, math.IsNaN(float64(v)) || math.IsInf(float64(v), 0), "%+v", line)
		}
		require.Greater(t, line.PerReading.Value, 0.0)
	})
}
