package draw

import (
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
)

// canvasDraws are the sequences a canvas draws with: ECMA-48's colours, erasing, and going to
// another cell.
var canvasDraws = regexp.MustCompile(`\x1b\[([0-9;]*[mH]|2J|K|[0-9]*[BCX])|\r\n+`)

// FuzzCanvas: whatever text reaches a canvas, on a terminal with colours or without, only
// printable cells and the canvas's own sequences come out.
func FuzzCanvas(f *testing.F) {
	f.Add("\x1b[2J\x1b]0;x\a\u009b31m\n\u202e", 3, 1)
	f.Add("光ケーブル", 70, -1)
	f.Add("e\u0301\u0301\xff\x00\u2028", -2, 5)
	f.Add(strings.Repeat("wide ", 100), 0, 0)
	colours := lipgloss.NewRenderer(io.Discard)
	colours.SetColorProfile(termenv.ANSI256)
	plain := lipgloss.NewRenderer(io.Discard)
	plain.SetColorProfile(termenv.Ascii)
	f.Fuzz(func(t *testing.T, text string, x, y int) {
		x, y = x%100, y%30
		for _, ascii := range []bool{false, true} {
			c := NewCanvas(40, 8, ascii)
			c.Write(x, y, x+30, text, LookText)
			c.Paragraph(Rect{x, y, 20, 4}, text, LookText)
			c.Text(Rect{1, 1, 20, 6}, []string{text, text})
			c.Button(Rect{2, 2, 20, 5}, "1", text, LookText)
			c.PadButton(Rect{22, 2, 12, 4}, "2", text)
			c.Picture(Rect{0, 5, 40, 3}, []string{text})
			for _, r := range []*lipgloss.Renderer{colours, plain} {
				for _, erases := range []bool{true, false} {
					drawn := c.Frame(NewTheme(r, Light)).Whole(erases)
					rest := canvasDraws.ReplaceAllString(drawn, "")
					require.False(t, strings.ContainsFunc(rest, func(r rune) bool { return !unicode.IsPrint(r) }), "%q", rest)
				}
			}
		}
	})
}
