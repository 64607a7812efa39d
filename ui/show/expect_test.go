package show

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
	"brinkmark/ui/golden"
)

func expectationOf(t *testing.T, text string) (Expectation, error) {
	t.Helper()
	r, err := profiles.Parse("job.toml", []byte("format = 1\n"+text))
	require.NoError(t, err)
	trial, err := r.Trial()
	require.NoError(t, err)
	return NewExpectation(*r, trial)
}

func shown(t *testing.T, text string) string {
	t.Helper()
	x, err := expectationOf(t, text)
	require.NoError(t, err)
	var out bytes.Buffer
	x.Show(&out)
	for _, line := range strings.Split(out.String(), "\n") {
		require.LessOrEqual(t, lipgloss.Width(line), TextWidth, line)
	}
	return out.String()
}

const wholeJob = `
[cable]
make = "Northmoor"
type = "LT-96 loose tube"
outer_diameter = "12.4 mm"
mass = "118 kg/km"
bending_stiffness = "1.9 N·m²"
stiffness_temperature = "73.4 °F"
polyethylene_share = 0.5
min_bend_radius = "250 mm"
kink_radius = "60 mm"
crush_limit = "2200 N/100mm"
[duct]
size = "1.25 in SDR 11"
[conditions]
cable_temperature = "41 °F"
[rig]
push_unit = "ft/min"
grip_limit = "60 psi"
speed_limit = "220 ft/min"
belt_length = "0.30 m"
clamp_per_grip = "15 N/kPa"
[stub]
length = "3 m"
`

func TestShowExpectGolden(t *testing.T) {
	golden.Same(t, "expect", shown(t, wholeJob))
}

func TestShowExpectWithoutFigures(t *testing.T) {
	got := shown(t, "[cable]\nouter_diameter = \"12.4 mm\"\n[duct]\ninner_diameter = \"34.5 mm\"\n")
	require.Contains(t, got, "Fold limit: not known")
	require.Contains(t, got, "Bending stiffness: not known")
	require.Contains(t, got, "brinkmark droop --help")
	require.Contains(t, got, "cable at a temperature not known")
	require.NotContains(t, got, "====", "no picture")
}

func TestShowExpectByTheRigCard(t *testing.T) {
	inOneLine := func(text string) string { return strings.Join(strings.Fields(shown(t, text)), " ") }
	without := inOneLine(wholeJob)
	require.Contains(t, without, "Without a pull test on the rig card")
	with := inOneLine(strings.Replace(wholeJob, "[rig]", "[rig]\nthrust_per_speed = \"1000 N/(m/s)\"\nthrust_offset = \"50 N\"", 1))
	require.NotContains(t, with, "Without a pull test")
	require.Contains(t, with, "By the rig card the drive gives the lower figure only beyond the control's limit")
	guessed := strings.Replace(wholeJob, "kink_radius = \"60 mm\"\n", "", 1)
	require.Contains(t, inOneLine(guessed), "how high is not known")

	x, err := expectationOf(t, strings.Replace(wholeJob, "[rig]", "[rig]\nthrust_per_speed = \"1000 N/(m/s)\"\nthrust_offset = \"50 N\"", 1))
	require.NoError(t, err)
	at, known := x.reading(550)
	require.True(t, known)
	require.Equal(t, "at 98.43 ft/min", at, "(550 N − 50 N)/(1000 N per m/s) = 0.5 m/s; 0.3048 m to the foot")
	at, _ = x.reading(10)
	require.Equal(t, "at 0 ft/min", at, "the drive pushes more than that at rest")
}

// The job screen shows a force only where a pull test has made it one.
func TestExpectLines(t *testing.T) {
	x, err := expectationOf(t, wholeJob)
	require.NoError(t, err)
	require.NotRegexp(t, `\d N\b`, strings.Join(x.Lines(), "\n"))
	require.NotRegexp(t, `lbf`, strings.Join(x.Lines(), "\n"))
	require.Contains(t, x.Lines()[0], "a pull test makes it a reading")

	x, err = expectationOf(t, strings.Replace(wholeJob, "[rig]", "[rig]\nthrust_per_speed = \"20000 N/(m/s)\"", 1))
	require.NoError(t, err)
	require.Contains(t, x.Lines()[0], "lbf as a force")
}

// tableJob is an invented cable in a duct at a temperature.
func tableJob(cable, duct, at string) string {
	return cable + "stiffness_temperature = \"73.4 °F\"\npolyethylene_share = 0.5\ncrush_limit = \"1500 N/100mm\"\n[duct]\nsize = \"" + duct + "\"\n[conditions]\ncable_temperature = \"" + at + "\"\n" +
		"[rig]\nbelt_length = \"0.30 m\"\nclamp_per_grip = \"15 N/kPa\"\nthrust_offset = \"0 N\"\n[stub]\nlength = \"3 m\"\n"
}

// Three invented cables in two ducts at two temperatures, all figures.
func TestExpectTableGolden(t *testing.T) {
	cables := []struct{ name, text string }{
		{"6 mm", "[cable]\nouter_diameter = \"6 mm\"\nmass = \"30 kg/km\"\nbending_stiffness = \"0.10 N m2\"\nmin_bend_radius = \"120 mm\"\nkink_radius = \"30 mm\"\n"},
		{"9 mm", "[cable]\nouter_diameter = \"9 mm\"\nmass = \"65 kg/km\"\nbending_stiffness = \"0.60 N m2\"\nmin_bend_radius = \"180 mm\"\nkink_radius = \"45 mm\"\n"},
		{"12 mm", "[cable]\nouter_diameter = \"12 mm\"\nmass = \"110 kg/km\"\nbending_stiffness = \"2.0 N m2\"\nmin_bend_radius = \"240 mm\"\nkink_radius = \"60 mm\"\n"},
	}
	var b strings.Builder
	fmt.Fprintln(&b, "cable  duct   at     fill  clear    stiff       snakes  coils   bend    fold limit, N       back  grip")
	for _, c := range cables {
		for _, duct := range []string{"18/14", "40/33"} {
			for _, at := range []string{"41 °F", "95 °F"} {
				x, err := expectationOf(t, tableJob(c.text, duct, at))
				require.NoError(t, err)
				limit, _ := x.FoldLimit.Get()
				fmt.Fprintf(&b, "%-6s %-6s %-6s %3.0f %%  %-8s %-11s %-7s %-7s %-7s %-6.0f%-6.0f%-7.0f %-5v %s\n",
					c.name, duct, at, 100*x.FillByDiameter, q.Text(x.Clearance, "mm"), Text(x.BendingStiffness, "N·m²"),
					x.force(x.SnakingLoad), x.force(x.HelixLoad), x.force(x.BendLimitLoad),
					float64(limit.Low), float64(limit.Mid), float64(limit.High.Or(0)), x.CanDoubleBack, Text(x.GripCeiling, "psi"))
			}
		}
	}
	golden.Same(t, "table", b.String())
}

func TestExpectationErrors(t *testing.T) {
	_, err := expectationOf(t, "[cable]\nouter_diameter = \"12.4 mm\"\n[duct]\ninner_diameter = \"10 mm\"\n")
	require.EqualError(t, err, "duct.inner_diameter: inner diameter: 10 mm: must be from 12.5 mm to 1000 mm, wider than the cable's 12.4 mm")
}
