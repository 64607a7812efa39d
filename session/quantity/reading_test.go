package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// 1 ft/min = 0.00508 m/s: NIST SP 811 (2008), appendix B.8, from memory, exact there.
func TestParseReading(t *testing.T) {
	for text, row := range map[string]struct {
		want  Reading
		unit  string // as shown
		shown string
	}{
		"95 ft/min":         {Reading{95 * 0.00508, "m/s"}, "ft/min", "95 ft/min"},
		"95fpm":             {Reading{95 * 0.00508, "m/s"}, "ft/min", "95 ft/min"},
		"95 FPM":            {Reading{95 * 0.00508, "m/s"}, "ft/min", "95 ft/min"},
		"30 m/min":          {Reading{0.5, "m/s"}, "m/min", "30 m/min"},
		"0 m/s":             {Reading{0, "m/s"}, "m/s", "0 m/s"},
		"250 psi":           {Reading{250, "psi"}, "psi", "250 psi"},
		"41.5 kPa":          {Reading{41.5, "kPa"}, "kPa", "41.5 kPa"},
		"3 notches":         {Reading{3, "notches"}, "notches", "3 notches"},
		" 3  belt   steps ": {Reading{3, "belt steps"}, "belt steps", "3 belt steps"},
		"4.5":               {Reading{4.5, ""}, "", "4.5"},
		"35 %":              {Reading{35, "%"}, "%", "35 %"},
		"35%":               {Reading{35, "%"}, "%", "35 %"},
		"40°":               {Reading{40, "°"}, "°", "40 °"},
		"12 kgf/cm²":        {Reading{12, "kgf/cm²"}, "kgf/cm²", "12 kgf/cm²"},
		"120 rev/min":       {Reading{120, "rev/min"}, "rev/min", "120 rev/min"},
		"120 rpm":           {Reading{120, "rpm"}, "rpm", "120 rpm"},
		"5 mm":              {Reading{5, "mm"}, "mm", "5 mm"},
	} {
		got, err := ParseReading(text)
		require.NoError(t, err, text)
		require.Equal(t, row.want.Unit, got.Unit, text)
		require.InDelta(t, row.want.Value, got.Value, 1e-15, text)
		unit, err := ReadingUnit(text)
		require.NoError(t, err, text)
		require.Equal(t, row.unit, unit)
		require.Equal(t, row.shown, got.Text(unit))
	}
}

func TestReadingIn(t *testing.T) {
	require.InDelta(t, 100, Reading{0.508, "m/s"}.In("ft/min"), 1e-12)
	require.Equal(t, 3.0, Reading{3, "notches"}.In("notches"))
}

const speedNames = "m/min, ft/min, m/s, ft/s or km/h"

func TestReadingRefusals(t *testing.T) {
	for text, problem := range map[string]string{
		"":                      "does not begin with a number",
		"fast":                  "does not begin with a number",
		"-3 notches":            "must be from 0 to 1000000000",
		"-3 m/s":                "must be from 0 to 1000 m/s",
		"2e9 mA":                "must be from 0 to 1000000000",
		"1e-40 mA":              "too close to 0",
		"3 m/m":                 `"m/m" may be a speed; use ` + speedNames,
		"3 ft / m":              `"ft / m" may be a speed; use ` + speedNames,
		"3 mm/s":                `"mm/s" may be a speed; use ` + speedNames,
		"3 MPM":                 `"MPM" may be a speed; use ` + speedNames,
		"3 mph":                 `"mph" may be a speed; use ` + speedNames,
		"1 000 mA":              "write one plain decimal number",
		"0x10 mA":               "write one plain decimal number",
		"1/4 notch":             "write one plain decimal number",
		"3-4 notches":           "write one plain decimal number",
		"3 no-tches":            unitRule,
		"3 (m/s)":               unitRule,
		"3 ²":                   unitRule,
		"3 notches\xff":         unitRule,
		"3 notch\u200bes":       unitRule,
		"3 seventeen letters":   unitRule,
		"3 \x07notches":         "has a control character",
		"1,5 notches":           "a comma can mean two things, write a decimal point",
		strings.Repeat("3", 65): "longer than 64 bytes",
	} {
		_, err := ParseReading(text)
		require.ErrorContains(t, err, " is not a reading of the push control: "+problem)
		_, err = ReadingUnit(text)
		require.ErrorContains(t, err, problem)
	}
}

func TestPushUnit(t *testing.T) {
	for text, row := range map[string]struct {
		want  string
		speed bool
	}{
		"ft/min": {"ft/min", true}, " fpm ": {"ft/min", true}, "metres per minute": {"m/min", true},
		"notches": {"notches", false}, "": {"", false}, "psi": {"psi", false}, "% open": {"% open", false},
	} {
		unit, speed, err := PushUnit(text)
		require.NoError(t, err, text)
		require.Equal(t, row.want, unit)
		require.Equal(t, row.speed, speed)
	}
	for _, text := range []string{"m/m", "mpm", "4 steps", "a\nb", "½", strings.Repeat("n", 17), strings.Repeat(" ", 80)} {
		_, _, err := PushUnit(text)
		requireSafe(t, err)
		require.ErrorContains(t, err, "is not a unit of the push control: ")
	}
}

// Derived here: 1 N/(ft/min) is 1/0.00508 N/(m/s).
func TestForcePerReading(t *testing.T) {
	const lbf = 4.4482216152605
	for text, row := range map[string]struct {
		want       ForcePerReading
		force, per string
		shown      string
	}{
		"410 N/(m/s)":      {ForcePerReading{410, "m/s"}, "N", "m/s", "410 N/(m/s)"},
		"410 N / ( m/s )":  {ForcePerReading{410, "m/s"}, "N", "m/min", "6.833 N/(m/min)"},
		"1.2 N/(ft/min)":   {ForcePerReading{1.2 / 0.00508, "m/s"}, "N", "fpm", "1.2 N/(ft/min)"},
		"1.2 N/fpm":        {ForcePerReading{1.2 / 0.00508, "m/s"}, "N", "ft/min", "1.2 N/(ft/min)"},
		"0.5 lbf/(ft/min)": {ForcePerReading{0.5 * lbf / 0.00508, "m/s"}, "lbf", "ft/min", "0.5 lbf/(ft/min)"},
		"2.9 N/psi":        {ForcePerReading{2.9, "psi"}, "N", "psi", "2.9 N/psi"},
		"12 lbf/notch":     {ForcePerReading{12 * lbf, "notch"}, "lbf", "notch", "12 lbf/notch"},
		"12 N per notch":   {ForcePerReading{12, "notch"}, "N", "notch", "12 N/notch"},
		"3 N/(kgf/cm²)":    {ForcePerReading{3, "kgf/cm²"}, "N", "kgf/cm²", "3 N/(kgf/cm²)"},
		"12 N/1":           {ForcePerReading{12, ""}, "N", "", "12 N/1"},
		"0 N/mA":           {ForcePerReading{0, "mA"}, "kN", "mA", "0 kN/mA"},
	} {
		got, err := ParseForcePerReading(text)
		require.NoError(t, err, text)
		require.Equal(t, row.want.Unit, got.Unit, text)
		require.InDelta(t, row.want.Value, got.Value, 1e-12*math.Max(1, row.want.Value), text)
		shown := got.Text(row.force, row.per)
		require.Equal(t, row.shown, shown)
		again, err := ParseForcePerReading(shown)
		require.NoError(t, err)
		require.InDelta(t, got.Value, again.Value, 0.5e-3*got.Value)
	}
}

func TestForcePerReadingRefusals(t *testing.T) {
	for text, problem := range map[string]string{
		"410 N":         `does not say per what; write it as in "410 N/(m/s)"`,
		"410 /(m/s)":    `unknown unit of force ""; use N, kN, daN, lbf or kgf`,
		"410 kg/notch":  `unknown unit of force "kg"; use N, kN, daN, lbf or kgf`,
		"410 N/m/s":     `"m/s" needs brackets, as in N/(m/s)`,
		"410 N/ft/min":  `"ft/min" needs brackets, as in N/(m/s)`,
		"410 N/(m/m)":   `"m/m" may be a speed; use ` + speedNames,
		"410 N/(m/s":    "a bracket is missing",
		"410 N/":        "no unit after the slash",
		"410 N/()":      "no unit after the slash",
		"-4 N/notch":    "must be from 0 to 1000000000 N",
		"410 N/1000 mA": unitRule,
		"4,1 N/notch":   "a comma can mean two things, write a decimal point",
	} {
		_, err := ParseForcePerReading(text)
		require.ErrorContains(t, err, " is not a force per reading: "+problem)
		requireSafe(t, err)
	}
}

func FuzzParseReading(f *testing.F) {
	for _, seed := range []string{
		"95 fpm", "3 notches", "35%", "4.5", "40°", "3 m/m", "1e9", "5 x1", "5 e3", "12 kgf/cm²", "3 \x1b", "0x1 mA",
		"410 N/(m/s)", "12 lbf/notch", "12 N/1", "3 N/(kgf/cm²)", "1 N/m/s", "5 N/%", "5 kN/°",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		fuzzReading(t, text)
		fuzzForcePerReading(t, text)
	})
}

func fuzzReading(t *testing.T, text string) {
	r, err := ParseReading(text)
	if err != nil {
		requireSafe(t, err)
		return
	}
	require.True(t, r.Value >= 0 && r.Value <= maxReading)
	unit, err := ReadingUnit(text)
	require.NoError(t, err)
	canonical, isSpeed, err := PushUnit(unit)
	require.NoError(t, err)
	require.Equal(t, unit, canonical)
	require.Equal(t, r.Unit == "m/s", isSpeed)
	if isSpeed {
		requireReadBack(t, Speed(r.Value), unit)
		return
	}
	again, err := ParseReading(r.Text(unit))
	require.NoError(t, err)
	require.Equal(t, r.Unit, again.Unit)
	require.InDelta(t, r.Value, again.Value, 0.5001e-3*r.Value)
}

func fuzzForcePerReading(t *testing.T, text string) {
	f, err := ParseForcePerReading(text)
	if err != nil {
		requireSafe(t, err)
		return
	}
	require.True(t, f.Value >= 0 && !math.IsInf(f.Value, 0))
	if size := f.In("N", f.Unit); size < 2*smallest || size > 0.999*forces.high {
		return
	}
	again, err := ParseForcePerReading(f.Text("N", f.Unit))
	require.NoError(t, err)
	require.Equal(t, f.Unit, again.Unit)
	require.InDelta(t, f.Value, again.Value, 0.5001e-3*f.Value)
}
