package cable

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func fahrenheit(f float64) q.Temperature { return q.From[q.Temperature](f, "°F") }

const pipeHandbook = "Plastics Pipe Institute, Handbook of PE Pipe, 2nd ed., ch. 3; from memory"

func TestMultiplier(t *testing.T) {
	at := func(f float64) float64 {
		m, err := Multiplier(fahrenheit(f))
		return value(m, err)
	}
	for i, f := range []float64{-20, -10, 0, 10, 20, 30, 40, 50, 60, 73.4, 80, 90, 100, 110, 120, 130, 140} {
		want := []float64{2.54, 2.36, 2.18, 2.00, 1.81, 1.65, 1.49, 1.32, 1.18, 1.00, 0.93, 0.82, 0.73, 0.64, 0.58, 0.50, 0.43}[i]
		require.InDelta(t, want, at(f), 1e-12, pipeHandbook)
	}
	checkRows(t, []row{
		{"35 °F", at(35), 1.57, 1e-9, "linear between 30 and 40 °F of " + pipeHandbook},
		{"68 °F", at(68), 1.07254, 5e-6, "linear between 60 and 73.4 °F of " + pipeHandbook},
		{"68 over 35 °F", at(68) / at(35), 0.683145, 6e-7, "derived here"},
		{"base", value(Multiplier(23)), 1, 1e-12, "the base temperature, 73 °F, is confirmed"},
		{"-20 °F, 300.0 over 110 kpsi", at(-20), 2.727, 0.2, "trade data sheets, short-term modulus"},
		{"140 °F, 50 over 110 kpsi", at(140), 0.4545, 0.03, "trade data sheets, short-term modulus"},
	})
}

func TestMultiplierOnlyInsideTheTable(t *testing.T) {
	for _, tt := range []struct {
		t    q.Temperature
		want string
	}{
		{fahrenheit(-20.5), "temperature: -20.5 °F: must be from -20 °F to 140 °F"},
		{fahrenheit(141), "temperature: 141 °F: must be from -20 °F to 140 °F"},
		{q.Temperature(math.NaN()), "temperature: NaN: must be from -20 °F to 140 °F"},
	} {
		m, err := Multiplier(tt.t)
		require.EqualError(t, err, tt.want)
		require.Zero(t, m)
	}
}

func TestMultiplierFallsSmoothly(t *testing.T) {
	last := math.Inf(1)
	for f := -20.0; f <= 140; f += 0.25 {
		m, err := Multiplier(fahrenheit(f))
		require.NoError(t, err)
		require.Less(t, m, last, "%v °F", f)
		require.True(t, math.IsInf(last, 1) || last-m < 0.02*0.25, "a typing error at %v °F", f)
		last = m
	}
}

func TestStiffnessAt(t *testing.T) {
	fall := func(share, sharedAt float64) float64 {
		base := value(StiffnessAt(1, share, fahrenheit(sharedAt), fahrenheit(35)))
		return 100 * (1 - value(StiffnessAt(1, share, fahrenheit(sharedAt), fahrenheit(68)))/base)
	}
	const source = "derived here; the table " + pipeHandbook
	checkRows(t, []row{
		{"0.3 at 73.4 °F", fall(0.3, 73.4), 12.745, 6e-4, source}, {"0.3 at 35 °F", fall(0.3, 35), 9.506, 6e-4, source}, {"0.3 at 68 °F", fall(0.3, 68), 12.215, 6e-4, source},
		{"0.5 at 73.4 °F", fall(0.5, 73.4), 19.357, 6e-4, source}, {"0.5 at 35 °F", fall(0.5, 35), 15.843, 6e-4, source}, {"0.5 at 68 °F", fall(0.5, 68), 18.825, 6e-4, source},
		{"0.8 at 73.4 °F", fall(0.8, 73.4), 27.333, 6e-4, source}, {"0.8 at 35 °F", fall(0.8, 35), 25.348, 6e-4, source}, {"0.8 at 68 °F", fall(0.8, 68), 27.063, 6e-4, source},
	})
}

func TestStiffnessAtUnchanged(t *testing.T) {
	require.Equal(t, 1.9, value(StiffnessAt(1.9, 0.5, 23, 23)))
	require.Equal(t, 1.9, value(StiffnessAt(1.9, 0, 23, 5)))
	require.Equal(t, 1.9, value(StiffnessAt(1.9, 0.5, 70, 70)), "the same temperature needs no table")
}

func TestStiffnessAtErrors(t *testing.T) {
	for _, tt := range []struct {
		ei     q.Stiffness
		share  float64
		at, to q.Temperature
		want   string
	}{
		{0, 0.5, 23, 5, "bending stiffness: 0 N·m²: must be from 0.000001 N·m² to 1000000 N·m²"},
		{1.9, -0.1, 23, 5, "polyethylene share: -0.1: must be from 0 to 1"},
		{1.9, 50, 23, 5, "polyethylene share: 50: must be from 0 to 1"},
		{1.9, math.NaN(), 23, 5, "polyethylene share: NaN: must be from 0 to 1"},
		{1.9, 0.5, 23, 70, "temperature: 158 °F: must be from -20 °F to 140 °F"},
		{1.9, 0.5, -40, 5, "temperature: -40 °F: must be from -20 °F to 140 °F"},
	} {
		ei, err := StiffnessAt(tt.ei, tt.share, tt.at, tt.to)
		require.EqualError(t, err, tt.want)
		require.Zero(t, ei)
	}
}
