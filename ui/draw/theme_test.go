package draw

import (
	"fmt"
	"io"
	"math"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
)

// Contrast is computed as WCAG 2.2 defines it (success criterion 1.4.6, relative
// luminance); every pair of the themes must reach 7:1.
func TestContrast(t *testing.T) {
	for _, b := range []Brightness{Light, Dark} {
		for l, i := range inks(b) {
			got := contrast(t, i.text, i.ground)
			require.GreaterOrEqual(t, got, 7.0, "look %d of %d", l, b)
		}
	}
	require.InDelta(t, 21, contrast(t, "#000000", "#FFFFFF"), 1e-9)
	require.InDelta(t, 4.54, contrast(t, "#767676", "#FFFFFF"), 0.005) // the usual example of just above 4.5:1
}

// What a terminal of 256 colours makes of the inks reaches 7:1 too. Its colours from 16 on
// are a cube of six levels (xterm's 256colres.pl; from memory).
func TestContrastOf256Colours(t *testing.T) {
	levels := [6]int{0, 95, 135, 175, 215, 255}
	hex := func(parameter string) string {
		n := 0
		_, err := fmt.Sscanf(parameter[len("38;5;"):], "%d", &n)
		require.NoError(t, err)
		require.True(t, n >= 16 && n < 232, "%s is the terminal's own or a grey", parameter)
		n -= 16
		return fmt.Sprintf("#%02X%02X%02X", levels[n/36], levels[n/6%6], levels[n%6])
	}
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI256)
	for _, b := range []Brightness{Light, Dark} {
		for l, d := range NewTheme(r, b).drawn {
			require.GreaterOrEqual(t, contrast(t, hex(d.text), hex(d.ground)), 7.0, "look %d of %d", l, b)
		}
	}
}

// Where there are sixteen colours, many terminals draw bold black as dark grey: bold picks
// the brighter half of them (xterm's resource boldColors; common practice).
func TestBlackIsNotBoldIn16Colours(t *testing.T) {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI)
	for _, b := range []Brightness{Light, Dark} {
		for l, d := range NewTheme(r, b).drawn {
			require.False(t, d.bold && d.text == "30", "look %d of %d", l, b)
			require.Contains(t, []string{"30", "97"}, d.text, "look %d of %d", l, b)
		}
	}
}

// Without colours what matters is still bold and the bars are turned round, whoever took the
// colours away: the terminal, NO_COLOR or the options.
func TestLooksWithoutColour(t *testing.T) {
	for _, profile := range []termenv.Profile{termenv.Ascii, termenv.ANSI256} {
		r := lipgloss.NewRenderer(io.Discard)
		r.SetColorProfile(profile)
		theme := NewTheme(r, Colourless)
		if profile == termenv.Ascii {
			require.Equal(t, theme.drawn, NewTheme(r, Dark).drawn)
		}
		require.Equal(t, drawn{reverse: true}, theme.drawn[LookBar])
		for _, l := range []Look{LookStrong, LookMain, LookStall, LookSlip, LookFold, LookCaution} {
			require.Equal(t, drawn{bold: true}, theme.drawn[l], "look %d", l)
		}
	}
}

func contrast(t *testing.T, a, b string) float64 {
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

func luminance(t *testing.T, hex string) float64 {
	var rgb [3]int
	_, err := fmt.Sscanf(hex, "#%02X%02X%02X", &rgb[0], &rgb[1], &rgb[2])
	require.NoError(t, err)
	var lin [3]float64
	for i, v := range rgb {
		s := float64(v) / 255
		if lin[i] = s / 12.92; s > 0.04045 {
			lin[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return 0.2126*lin[0] + 0.7152*lin[1] + 0.0722*lin[2]
}

// Every style a theme paints with is one of its own inks: nothing is drawn in a
// terminal's own colours by accident, and never only one of text and ground is set.
func TestThemesPaintBothColours(t *testing.T) {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.TrueColor)
	for _, b := range []Brightness{Light, Dark} {
		theme := NewTheme(r, b)
		for l := LookText; l < lookEnd; l++ {
			painted := theme.drawn[l].all()
			require.Contains(t, painted, "38;2;", "text of look %d", l)
			require.Contains(t, painted, "48;2;", "ground of look %d", l)
		}
	}
}
