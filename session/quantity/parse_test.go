package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

// shape is what Parse made of a text, for tables over several quantities.
type shape struct {
	si   float64
	unit string
}

func parsed[T Scalar](text string) (shape, error) {
	v, err := Parse[T](text)
	if err != nil {
		return shape{}, err
	}
	unit, err := Unit[T](text)
	return shape{float64(v), unit}, err
}

// The units of a crew's gauges in SI.
const psi, lbf = 6894.757293168361, 4.4482216152605

// crewWrites are quantities as crews and data sheets write them, and what they come to.
//
// The SI values are derived here from the definitions of the units.
var crewWrites = map[string]struct {
	parse func(string) (shape, error)
	want  shape
}{
	"6 psi":              {parsed[Pressure], shape{6 * psi, "psi"}},
	"6psi":               {parsed[Pressure], shape{6 * psi, "psi"}},
	" 6\u00a0PSI ":       {parsed[Pressure], shape{6 * psi, "psi"}},
	"0.41 BAR":           {parsed[Pressure], shape{41000, "bar"}},
	"1013 mbar":          {parsed[Pressure], shape{101300, "hPa"}},
	"0.8 MPA":            {parsed[Pressure], shape{8e5, "MPa"}},
	"0 psi":              {parsed[Pressure], shape{0, "psi"}},
	"-0 psi":             {parsed[Pressure], shape{0, "psi"}},
	"41 °F":              {parsed[Temperature], shape{5, "°F"}},
	"41 F":               {parsed[Temperature], shape{5, "°F"}},
	"41degF":             {parsed[Temperature], shape{5, "°F"}},
	"41 deg F":           {parsed[Temperature], shape{5, "°F"}},
	"41 º F":             {parsed[Temperature], shape{5, "°F"}},
	"5 C":                {parsed[Temperature], shape{5, "°C"}},
	"5℃":                 {parsed[Temperature], shape{5, "°C"}},
	"−40 F":              {parsed[Temperature], shape{-40, "°F"}},
	"-40 c":              {parsed[Temperature], shape{-40, "°C"}},
	"32 F":               {parsed[Temperature], shape{0, "°F"}},
	"1.9 N·m²":           {parsed[Stiffness], shape{1.9, "N·m²"}},
	"1.9 N m2":           {parsed[Stiffness], shape{1.9, "N·m²"}},
	"1.9 N*m^2":          {parsed[Stiffness], shape{1.9, "N·m²"}},
	"1.9 N · m²":         {parsed[Stiffness], shape{1.9, "N·m²"}},
	"1.9 Nm2":            {parsed[Stiffness], shape{1.9, "N·m²"}},
	"1.9e6 N mm2":        {parsed[Stiffness], shape{1.9, "N·mm²"}},
	"660 lbf in2":        {parsed[Stiffness], shape{660 * lbf * 0.0254 * 0.0254, "lbf·in²"}},
	"660 lb-in²":         {parsed[Stiffness], shape{660 * lbf * 0.0254 * 0.0254, "lbf·in²"}},
	"118 kg/km":          {parsed[LinearDensity], shape{0.118, "kg/km"}},
	"79 lb/1000ft":       {parsed[LinearDensity], shape{79 * 0.45359237 / 304.8, "lb/1000 ft"}},
	"79 lb / 1000 ft":    {parsed[LinearDensity], shape{79 * 0.45359237 / 304.8, "lb/1000 ft"}},
	"79 lbs/kft":         {parsed[LinearDensity], shape{79 * 0.45359237 / 304.8, "lb/1000 ft"}},
	"2200 N/100mm":       {parsed[LineLoad], shape{22000, "N/100 mm"}},
	"2200 N/10 cm":       {parsed[LineLoad], shape{22000, "N/100 mm"}},
	"220 N/cm":           {parsed[LineLoad], shape{22000, "N/cm"}},
	"1.16 n/m":           {parsed[LineLoad], shape{1.16, "N/m"}},
	"12.4 mm":            {parsed[Length], shape{0.0124, "mm"}},
	"12.4 MM":            {parsed[Length], shape{0.0124, "mm"}},
	"0.49 in":            {parsed[Length], shape{0.49 * 0.0254, "in"}},
	".49 inch":           {parsed[Length], shape{0.49 * 0.0254, "in"}},
	"3 m":                {parsed[Length], shape{3, "m"}},
	"10 ft":              {parsed[Length], shape{3.048, "ft"}},
	"95 ft/min":          {parsed[Speed], shape{95 * 0.00508, "ft/min"}},
	"95 fpm":             {parsed[Speed], shape{95 * 0.00508, "ft/min"}},
	"95 feet per minute": {parsed[Speed], shape{95 * 0.00508, "ft/min"}},
	"0.5 m/s":            {parsed[Speed], shape{0.5, "m/s"}},
	"30 m/min":           {parsed[Speed], shape{0.5, "m/min"}},
	"245 kN":             {parsed[Force], shape{245000, "kN"}},
	"600 lb":             {parsed[Force], shape{600 * lbf, "lbf"}},
	"9.5 N/kPa":          {parsed[ForcePerPressure], shape{0.0095, "N/kPa"}},
	"2 lbf/psi":          {parsed[ForcePerPressure], shape{2 * 0.0254 * 0.0254, "lbf/psi"}},
	"5.2 m³/min":         {parsed[FlowRate], shape{5.2 / 60, "m³/min"}},
	"5.2 m^3/min":        {parsed[FlowRate], shape{5.2 / 60, "m³/min"}},
	"185 CFM":            {parsed[FlowRate], shape{185 * 0.3048 * 0.3048 * 0.3048 / 60, "cfm"}},
	"185 ft³/min":        {parsed[FlowRate], shape{185 * 0.3048 * 0.3048 * 0.3048 / 60, "cfm"}},
	"90 deg":             {parsed[Angle], shape{math.Pi / 2, "deg"}},
	"+1.5°":              {parsed[Angle], shape{math.Pi / 120, "deg"}},
	"−1.5 °":             {parsed[Angle], shape{-math.Pi / 120, "deg"}},
}

// However a crew writes a quantity, its value and its unit are read.
func TestParseReadsWhatACrewWrites(t *testing.T) {
	for text, row := range crewWrites {
		got, err := row.parse(text)
		require.NoError(t, err, text)
		require.Equal(t, row.want.unit, got.unit, text)
		require.InDelta(t, row.want.si, got.si, 1e-13*math.Max(1, math.Abs(row.want.si)), text)
		require.False(t, math.Signbit(got.si) && got.si == 0, text)
	}
}

const pressureUnits = "; use psi, kPa, bar, MPa, Pa or hPa"

func TestRefusalsSayWhy(t *testing.T) {
	long := strings.Repeat("6", 70) + " psi"
	for text, want := range map[string]string{
		"6 pis":         `"6 pis" is not a pressure: unknown unit "pis"` + pressureUnits,
		"6 mPa":         `"6 mPa" is not a pressure: unknown unit "mPa"` + pressureUnits,
		"6 psig":        `"6 psig" is not a pressure: unknown unit "psig"` + pressureUnits,
		"6":             `"6" is not a pressure: no unit` + pressureUnits,
		"":              `"" is not a pressure: does not begin with a number` + pressureUnits,
		"psi":           `"psi" is not a pressure: does not begin with a number` + pressureUnits,
		"NaN psi":       `"NaN psi" is not a pressure: does not begin with a number` + pressureUnits,
		"Inf psi":       `"Inf psi" is not a pressure: does not begin with a number` + pressureUnits,
		"- 6 psi":       `"- 6 psi" is not a pressure: does not begin with a number` + pressureUnits,
		"6,5 psi":       `"6,5 psi" is not a pressure: a comma can mean two things, write a decimal point` + pressureUnits,
		"0x10 psi":      `"0x10 psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"1_000 psi":     `"1_000 psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"1 000 psi":     `"1 000 psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"6. psi":        `"6. psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"5-6 psi":       `"5-6 psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"1/4 psi":       `"1/4 psi" is not a pressure: write one plain decimal number` + pressureUnits,
		"-6 psi":        `"-6 psi" is not a pressure: must be from 0 to 145038 psi` + pressureUnits,
		"1e9 psi":       `"1e9 psi" is not a pressure: must be from 0 to 145038 psi` + pressureUnits,
		"1e999 psi":     `"1e999 psi" is not a pressure: must be from 0 to 145038 psi` + pressureUnits,
		"1e-300 psi":    `"1e-300 psi" is not a pressure: too close to 0` + pressureUnits,
		"1e-999 psi":    `"1e-999 psi" is not a pressure: too close to 0` + pressureUnits,
		"6 \x1b[2Jpsi":  `"6 \x1b[2Jpsi" is not a pressure: has a control character` + pressureUnits,
		"6 psi\n":       `"6 psi\n" is not a pressure: has a control character` + pressureUnits,
		"6 \u202epsi":   `"6 \u202epsi" is not a pressure: unknown unit "\u202epsi"` + pressureUnits,
		"6 psi\xff":     `"6 psi\xff" is not a pressure: unknown unit "psi\xff"` + pressureUnits,
		"6 psi 4":       `"6 psi 4" is not a pressure: unknown unit "psi 4"` + pressureUnits,
		"6 ·psi":        `"6 ·psi" is not a pressure: unknown unit "·psi"` + pressureUnits,
		long:            `"` + long[:64] + `…" is not a pressure: longer than 64 bytes` + pressureUnits,
		"6 lbf/in2 psi": `"6 lbf/in2 psi" is not a pressure: unknown unit "lbf/in2 psi"` + pressureUnits,
	} {
		_, err := Parse[Pressure](text)
		require.EqualError(t, err, want)
		_, err = Unit[Pressure](text)
		require.EqualError(t, err, want)
	}
}

func TestRefusalsByQuantity(t *testing.T) {
	for text, row := range map[string]struct {
		parse func(string) (shape, error)
		want  string
	}{
		"10'":      {parsed[Length], `"10'" is not a length: write one plain decimal number; use m, mm, cm, km, ft or in`},
		"-300 C":   {parsed[Temperature], `"-300 C" is not a temperature: must be from -273.1 to 500 °C; use °C or °F`},
		"999 F":    {parsed[Temperature], `"999 F" is not a temperature: must be from -459.7 to 932 °F; use °C or °F`},
		"41 °":     {parsed[Temperature], `"41 °" is not a temperature: unknown unit "°"; use °C or °F`},
		"1e6 °":    {parsed[Angle], `"1e6 °" is not an angle: must be from -57296 to 57296 deg; use deg or rad`},
		"-1 m/s":   {parsed[Speed], `"-1 m/s" is not a speed: must be from 0 to 1000 m/s; use m/min, ft/min, m/s, ft/s or km/h`},
		"30 m/m":   {parsed[Speed], `"30 m/m" is not a speed: unknown unit "m/m"; use m/min, ft/min, m/s, ft/s or km/h`},
		"50 kg":    {parsed[Force], `"50 kg" is not a force: unknown unit "kg"; use N, kN, daN, lbf or kgf`},
		"185 scfm": {parsed[FlowRate], `"185 scfm" is not a flow of air: unknown unit "scfm"; use m³/min, cfm, m³/h, m³/s, L/min or L/s`},
	} {
		_, err := row.parse(text)
		require.EqualError(t, err, row.want)
	}
}

func TestParseErrorKeepsItsParts(t *testing.T) {
	_, err := Parse[Temperature]("41 K")
	var refused *ParseError
	require.ErrorAs(t, err, &refused)
	require.Equal(t, ParseError{"41 K", "temperature", `unknown unit "K"`, []string{"°C", "°F"}}, *refused)

	alone := ParseError{"6", "length", "no unit", []string{"m"}}
	require.EqualError(t, &alone, `"6" is not a length: no unit; use m`)
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"6 psi", "41 °F", "−40 F", "1.9 N·m²", "79 lb/1000 ft", "2200 N/100mm", "95 fpm", "1e-9 m",
		"90°", "5.2 m³/min", "NaN m", "1e999 kN", "0x1p3 ft", "12,4 mm", "999999.7 m", "-459.67 F",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		fuzzOne[Length](t, text)
		fuzzOne[Force](t, text)
		fuzzOne[Pressure](t, text)
		fuzzOne[Speed](t, text)
		fuzzOne[Temperature](t, text)
		fuzzOne[Stiffness](t, text)
		fuzzOne[LinearDensity](t, text)
		fuzzOne[LineLoad](t, text)
		fuzzOne[ForcePerPressure](t, text)
		fuzzOne[FlowRate](t, text)
		fuzzOne[Angle](t, text)
	})
}

func fuzzOne[T Scalar](t *testing.T, text string) {
	v, err := Parse[T](text)
	if err != nil {
		requireSafe(t, err)
		return
	}
	k := kindOf[T]()
	require.True(t, k.low <= float64(v) && float64(v) <= k.high)
	unit, err := Unit[T](text)
	require.NoError(t, err)
	requireReadBack(t, v, unit)
}

// requireReadBack checks that what is printed is read as the value it shows.
// Rounding to the printed digits may carry a value over the edge of its range.
func requireReadBack[T Scalar](t *testing.T, v T, unit string) {
	t.Helper()
	k, x := kindOf[T](), In(v, unit)
	size := math.Abs(float64(v))
	if float64(v) > 0.999*k.high || float64(v) < k.low+0.001*math.Abs(k.low) || size != 0 && size < 2*smallest {
		return
	}
	shown := Text(v, unit)
	again, err := Parse[T](shown)
	require.NoError(t, err)
	require.InDelta(t, x, In(again, unit), 0.5001e-3*math.Abs(x)+1e-9, shown)
	require.Equal(t, shown, Text(again, unit))

	plain := ASCII(shown)
	require.NotContains(t, strings.Map(func(r rune) rune {
		if r > unicode.MaxASCII {
			return '?'
		}
		return r
	}, plain), "?")
	typed, err := Parse[T](plain)
	require.NoError(t, err)
	require.Equal(t, again, typed)
}

func requireSafe(t *testing.T, err error) {
	t.Helper()
	var refused *ParseError
	require.True(t, errors.As(err, &refused))
	require.NotEmpty(t, refused.Problem)
	require.Less(t, len(err.Error()), 1000)
	require.False(t, strings.ContainsFunc(err.Error(), func(r rune) bool { return !unicode.IsPrint(r) }), "%q", err)
}
