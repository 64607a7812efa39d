package draw

import (
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/hinshun/vt10x"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
)

// A terminal that was sent one change after another shows in every cell the letter and the
// colours of one on which the last screen was drawn alone, cell by cell.
func TestChangesAddUp(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 1))
		r := lipgloss.NewRenderer(io.Discard)
		r.SetColorProfile([]termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.ANSI256, termenv.TrueColor}[random.IntN(4)])
		themes := []*Theme{NewTheme(r, Light), NewTheme(r, Dark), NewTheme(r, Colourless)}
		erases := random.IntN(2) == 0
		var before Frame
		w, h := 1+random.IntN(60), 1+random.IntN(12)
		screen := vt10x.New(vt10x.WithSize(w, h))
		for n := range 30 {
			c := NewCanvas(w, h, false)
			scribble(c, random)
			frame := c.Frame(themes[random.IntN(10)/8])
			_, err := screen.Write([]byte(frame.Change(before, erases)))
			require.NoError(t, err)
			before = frame
			alone := vt10x.New(vt10x.WithSize(w, h))
			_, err = alone.Write([]byte(oneByOne(frame)))
			require.NoError(t, err)
			for y := range h {
				for x := range w {
					if want, got := seen(alone.Cell(x, y)), seen(screen.Cell(x, y)); want != got {
						require.Equal(t, want, got, "seed %d, screen %d, %d × %d, cell %d, %d", seed, n, w, h, x, y)
					}
				}
			}
		}
	}
}

// seen is what one sees of a cell: of a blank its ground alone.
func seen(g vt10x.Glyph) vt10x.Glyph {
	if g.Char == ' ' {
		g.Mode, g.FG = 0, 0
	}
	return g
}

// scribble draws what screens are made of.
func scribble(c *Canvas, random *rand.Rand) {
	for range random.IntN(6) {
		at := Rect{random.IntN(c.W), random.IntN(c.H), 1 + random.IntN(c.W), 1 + random.IntN(c.H)}
		l := Look(random.IntN(int(lookEnd)))
		switch random.IntN(4) {
		case 0:
			c.Fill(at, l)
		case 1:
			c.Box(at, l)
		default:
			c.Write(at.X, at.Y, c.W, strings.Repeat("ab  c ─ ° ", random.IntN(4)), l)
		}
	}
}

// oneByOne draws a frame in the longest way there is.
func oneByOne(f Frame) string {
	var b strings.Builder
	for y := range f.h {
		for x, cell := range f.row(y) {
			p := pen{of: f, x: unknown}
			p.to(x, y, f.row(y))
			b.WriteString(p.String() + cell.how.all() + string(cell.r))
		}
	}
	return b.String()
}

// A character two cells wide is written whole when either of its cells differs.
func TestWideCharactersAreWrittenWhole(t *testing.T) {
	frame := func(text string) Frame {
		c := NewCanvas(8, 1, false)
		c.Write(0, 0, 8, text, LookText)
		return c.Frame(&Theme{})
	}
	require.Equal(t, "\x1b[1H\x1b[mb線", frame("b線").Change(frame("線b"), true))
	require.Equal(t, "\x1b[1;2H\x1b[mb", frame("abc").Change(frame("aac"), true))
	require.Equal(t, "\x1b[1;2H\x1b[m線", frame("a線c").Change(frame("a管c"), true))
}
