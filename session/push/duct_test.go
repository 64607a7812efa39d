package push

import (
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// Diameters and least walls of ASTM D3035 and ASTM F2160, from memory; inches.
func TestPipeBore(t *testing.T) {
	for _, tt := range []struct {
		size        string
		outer, wall float64
	}{
		{"0.5 in SDR 9", 0.840, 0.093}, {"0.5 in SDR 11", 0.840, 0.076}, {"0.5 in SDR 17", 0.840, 0.062},
		{"0.75 in SDR 11", 1.050, 0.095}, {"0.75 in SDR 17", 1.050, 0.062},
		{"1 in SDR 9", 1.315, 0.146}, {"1 in SDR 11", 1.315, 0.120}, {"1 in SDR 13.5", 1.315, 0.097},
		{"1.25 in SDR 9", 1.660, 0.184}, {"1.25 in SDR 11", 1.660, 0.151}, {"1.25 in SDR 13.5", 1.660, 0.123},
		{"1.5 in SDR 11", 1.900, 0.173}, {"1.5 in SDR 13.5", 1.900, 0.141},
		{"2 in SDR 9", 2.375, 0.264}, {"2 in SDR 11", 2.375, 0.216}, {"2 in SDR 13.5", 2.375, 0.176},
		{"2 in SDR 15.5", 2.375, 0.153}, {"2 in SDR 17", 2.375, 0.140}, {"2.5 in SDR 11", 2.875, 0.261},
		{"3 in SDR 11", 3.500, 0.318}, {"4 in SDR 11", 4.500, 0.409}, {"4 in SDR 13.5", 4.500, 0.333},
		{"5 in SDR 11", 5.563, 0.506}, {"6 in SDR 11", 6.625, 0.602}, {"6 in SDR 17", 6.625, 0.390},
	} {
		t.Run(tt.size, func(t *testing.T) {
			id, rule, err := InnerDiameter(tt.size)
			require.NoError(t, err)
			require.InDelta(t, tt.outer-2*tt.wall, q.In(id, "in"), 1e-9)
			require.Contains(t, rule, "less twice the least wall")
		})
	}
}

func TestInnerDiameterSpellings(t *testing.T) {
	for size, mm := range map[string]float64{
		"1.25 in SDR 11": 34.4932, "1-1/4 in SDR11": 34.4932, `1.25" SDR 11`: 34.4932, `1 1/4" SDR-11`: 34.4932, "1¼ in sdr 11": 34.4932,
		"1¼″ SDR 11": 34.4932, "1.25in SDR11": 34.4932, "1.25 inch SDR 11": 34.4932, "1.250 inches DR 11": 34.4932, "1.25 in. SDR: 11": 34.4932,
		"1.25 in IPS SDR 11": 34.4932, "  1.25   in  SDR   11 ": 34.4932, "3/4 in SDR 11": 21.844, `½" SDR 9`: 16.6116,
		"40/33": 33, "40/33 mm": 33, "40 / 33mm": 33, "14/10": 10, "14/10 mm": 10, "5/3.5": 3.5, "32/26": 26,
	} {
		id, _, err := InnerDiameter(size)
		require.NoError(t, err, size)
		require.InDelta(t, mm, q.In(id, "mm"), 1e-9, size)
	}
	_, rule, err := InnerDiameter("1.25 in SDR 11")
	require.NoError(t, err)
	require.Equal(t, "outer diameter 1.660 in less twice the least wall of 0.151 in (iron pipe size, SDR 11)", rule)
	_, rule, err = InnerDiameter("40/33")
	require.NoError(t, err)
	require.Equal(t, "second number of the size: 33 mm inner in 40 mm outer diameter", rule)
}

func TestInnerDiameterRefuses(t *testing.T) {
	const hint = `: measure the inner diameter, or write a size as in "1.25 in SDR 11", "40/33" or "14/10"`
	for size, why := range map[string]string{
		"":                 `duct size: "": not a size whose bore is standard`,
		"innerduct":        `duct size: "innerduct": not a size whose bore is standard`,
		"1.25 SDR 11":      `duct size: "1.25 SDR 11": not a size whose bore is standard`,
		"32 mm SDR 11":     `duct size: "32 mm SDR 11": not a size whose bore is standard`,
		"1.25 in SIDR 11":  `duct size: "1.25 in SIDR 11": not a size whose bore is standard`,
		"1.25 in":          `duct size: "1.25 in": not a size whose bore is standard`,
		"-1.25 in SDR 11":  `duct size: "-1.25 in SDR 11": not a size whose bore is standard`,
		"1.25 in SDR 11 x": `duct size: "1.25 in SDR 11 x": not a size whose bore is standard`,
		"1.3 in SDR 11":    `duct size: "1.3 in SDR 11": not an iron pipe size from 1/2 to 6 in`,
		"1/0 in SDR 11":    `duct size: "1/0 in SDR 11": not an iron pipe size from 1/2 to 6 in`,
		"1..2 in SDR 11":   `duct size: "1..2 in SDR 11": not an iron pipe size from 1/2 to 6 in`,
		"1.25 in SDR 21":   `duct size: "1.25 in SDR 21": the SDR must be 9, 11, 13.5, 15.5 or 17`,
		"33/40":            `duct size: "33/40": no outer and inner diameter in mm`,
		"40/40":            `duct size: "40/40": no outer and inner diameter in mm`,
		"3/4":              `duct size: "3/4": no outer and inner diameter in mm`,
		"40/10":            `duct size: "40/10": no outer and inner diameter in mm`,
		"400/330":          `duct size: "400/330": no outer and inner diameter in mm`,
		"12345678901234567890123456789012345678901234567890": `duct size: "1234567890123456789012345678901234567890…": too long`,
	} {
		id, rule, err := InnerDiameter(size)
		require.EqualError(t, err, why+hint)
		require.Zero(t, id)
		require.Empty(t, rule)
	}
}

func FuzzInnerDiameter(f *testing.F) {
	for _, size := range []string{"1.25 in SDR 11", "1-1/4 in SDR11", `1¼" SDR 13.5`, "40/33 mm", "14/10", "1/0 in SDR 9", "''"} {
		f.Add(size)
	}
	f.Fuzz(func(t *testing.T, size string) {
		id, rule, err := InnerDiameter(size)
		if err != nil {
			require.Zero(t, id)
			require.Empty(t, rule)
			return
		}
		require.True(t, id >= 1.5e-3 && id <= 0.2, "%v", id)
		require.NotEmpty(t, rule)
	})
}
