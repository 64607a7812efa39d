package ui

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/hinshun/vt10x"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"brinkmark/ui/draw"
)

// line is a slow line to a terminal: it counts what goes over it, and the terminal at its
// end must show at every moment what the screen says.
type line struct {
	t      *testing.T
	m      *model
	to     *terminal
	sent   bytes.Buffer
	screen vt10x.Terminal
	keys   []int // bytes of each key
}

func newLine(t *testing.T, m *model, colours termenv.Profile, theme draw.Brightness, erases bool) *line {
	l := &line{t: t, m: m, screen: vt10x.New(vt10x.WithSize(m.w, m.h))}
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(colours)
	m.theme = draw.NewTheme(r, theme)
	l.to = &terminal{out: &l.sent, erases: erases}
	return l
}

// shows draws what the model shows now and returns the bytes it took.
func (l *line) shows() int {
	l.t.Helper()
	l.sent.Reset()
	_, err := io.WriteString(l.to, onTerminal{l.m, l.to}.View())
	require.NoError(l.t, err)
	n := l.sent.Len()
	_, err = l.screen.Write(l.sent.Bytes())
	require.NoError(l.t, err)
	require.Equal(l.t, l.m.View(), trimmed(l.screen.String(), l.m.h))
	return n
}

// trimmed is the screen without the line end of its last row.
func trimmed(screen string, h int) string { return screen[:len(screen)-1] }

func (l *line) pressed() { l.keys = append(l.keys, l.shows()) }

// figures are the median, the mean and the 90th percentile of bytes a key.
func (l *line) figures() (median, mean, most int) {
	sorted := slices.Sorted(slices.Values(l.keys))
	for _, n := range sorted {
		mean += n
	}
	return sorted[len(sorted)/2], mean / len(sorted), sorted[len(sorted)*9/10]
}

var _ = fmt.Sprint
var _ = time.Second

func TestBytes(t *testing.T) {
	for _, colours := range []termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.ANSI256} {
		d := newDriver(t, t.TempDir())
		l := newLine(t, d.m, colours, draw.Light, true)
		whole := l.shows()
		d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, func(key string) { d.key(key); l.pressed() })
		median, mean, most := l.figures()
		t.Logf("colours %d: whole %d, %d keys: median %d mean %d p90 %d", colours, whole, len(l.keys), median, mean, most)
	}
}
