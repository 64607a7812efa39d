package ui

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/hinshun/vt10x"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/ui/draw"
)

// slowLine leads to a terminal that must show at every moment what the screen says, and
// counts the bytes of each key. It lets bubbletea's part out: one view, one write.
type slowLine struct {
	t      *testing.T
	d      *driver
	to     *terminal
	sent   bytes.Buffer
	screen vt10x.Terminal
	keys   []int
}

func newSlowLine(d *driver, colours termenv.Profile) *slowLine {
	l := &slowLine{t: d.t, d: d, screen: vt10x.New(vt10x.WithSize(d.m.w, d.m.h))}
	l.to = &terminal{out: &l.sent, erases: true}
	l.colours(colours)
	d.seen = func() { l.keys = append(l.keys, l.shows()) }
	return l
}

func (l *slowLine) colours(colours termenv.Profile) {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(colours)
	l.d.m.theme = draw.NewTheme(r, draw.Light)
}

// shows draws what there is to see now and returns the bytes it took.
func (l *slowLine) shows() int {
	l.t.Helper()
	l.sent.Reset()
	_, err := io.WriteString(l.to, onTerminal{model: l.d.m, to: l.to}.View())
	require.NoError(l.t, err)
	n := l.sent.Len()
	_, err = l.screen.Write(l.sent.Bytes())
	require.NoError(l.t, err)
	require.Equal(l.t, l.d.m.View(), strings.TrimSuffix(l.screen.String(), "\n"))
	return n
}

// figures are the median, the mean and the 90th percentile of the bytes of a key.
func (l *slowLine) figures() (median, mean, most int) {
	sorted := slices.Sorted(slices.Values(l.keys))
	for _, n := range sorted {
		mean += n
	}
	return sorted[len(sorted)/2], mean / len(sorted), sorted[len(sorted)*9/10]
}

// Bytes are time on a slow line: at 9600 baud a thousand of them take one second (ten bits
// a byte, as the usual setting 8N1 has it). The limits are a little above what was measured.
func TestBytesOfAKey(t *testing.T) {
	for _, row := range []struct {
		name                string
		colours             termenv.Profile
		ascii               bool
		whole, trial, runOf int // at most: of a whole screen, and in the median of a key
	}{
		{"256 colours", termenv.ANSI256, false, 1800, 980, 1450},
		{"16 colours", termenv.ANSI, false, 1700, 910, 1410},
		{"no colour", termenv.Ascii, false, 1800, 850, 1270},
		{"a slow line, see slow", termenv.Ascii, true, 600, 600, 600},
	} {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			d := newDriver(t, t.TempDir())
			d.m.Options.ASCII = row.ascii
			l := newSlowLine(d, row.colours)
			whole := l.shows()
			d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, d.key)
			median, mean, most := l.figures()
			t.Logf("a whole screen %d; a trial of %d keys: median %d, mean %d, 90th percentile %d", whole, len(l.keys), median, mean, most)
			require.LessOrEqual(t, whole, row.whole)
			require.LessOrEqual(t, median, row.trial)

			d = runningDriver(t)
			d.m.Options.ASCII = row.ascii
			l = newSlowLine(d, row.colours)
			l.shows()
			d.log("4750 ft", 63*time.Second).log("4850 ft", 63*time.Second)
			for range 8 { // marks offered
				d.after(30 * time.Second).key("1")
				d.after(20 * time.Second).key("1")
			}
			d.say("run-running: Another reading", "run-values: Cable temperature: 42", "run-value: =52 F", "run-running: Turned down: grip pressure 6 psi, belt speed 75 ft/min")
			median, mean, most = l.figures()
			t.Logf("a run of %d keys: median %d, mean %d, 90th percentile %d", len(l.keys), median, mean, most)
			require.LessOrEqual(t, median, row.runOf)
		})
	}
}

// After a resize, and after anything else was sent to the terminal, a screen is drawn whole.
func TestDrawnWholeAgain(t *testing.T) {
	d := newDriver(t, t.TempDir())
	l := newSlowLine(d, termenv.ANSI)
	whole := l.shows()
	require.Zero(t, l.shows(), "nothing differs")
	o := onTerminal{model: d.m, to: l.to, faults: &faults{}}
	_, _ = o.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	require.Zero(t, l.shows(), "the size it was drawn for")
	l.screen.Write([]byte("\x1b[2J"))
	_, _ = o.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	require.Equal(t, whole, l.shows())
	l.sent.Reset()
	_, err := io.WriteString(l.to, "\x1b[2J")
	require.NoError(t, err)
	require.Equal(t, "\x1b[m\x1b[24H\x1b[2J", l.sent.String(), "as the terminal is by itself, on its last line")
	require.Equal(t, whole, l.shows())
}
