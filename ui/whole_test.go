package ui

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/words"
)

// pagesLooked is how many pages of a screen are looked through: more than any has.
const pagesLooked = 12

// wholeLabels holds that nothing needed to be safe or to decide is cut on a screen, on none
// of its pages: every label of a choice, and every state of a check, stands whole in what is
// touched for it, and no line ends in a cut mark.
func wholeLabels(t *testing.T, m *model) {
	t.Helper()
	if m.w < draw.LeastWidth || m.overlay != noOverlay {
		return
	}
	first := m.page
	defer func() { m.page = first }()
	for page := range pagesLooked {
		m.page = page
		c := m.draw()
		lines := strings.Split(m.View(), "\n")
		for _, target := range c.Targets {
			for _, label := range labelsAt(m, target.Key) {
				if m.Options.ASCII {
					label = words.ASCII(label)
				}
				assert.True(t, standsIn(label, lines, target.Rect), "%s at %d x %d, page %d: %q is cut to\n%s", m.question.ID, m.w, m.h, page+1, label, cellsOf(lines, target.Rect))
			}
		}
		if m.asksValue() && m.failure == "" {
			for _, line := range m.question.Body {
				assert.True(t, standsIn(line, lines, draw.Area(0, 0, m.w, m.h)), "%s at %d x %d: %q is cut", m.question.ID, m.w, m.h, line)
			}
		}
		if m.question.ID == "review-list" {
			continue // a row is a summary; names and notes from outside stand in it
		}
		for _, line := range lines[1 : m.h-1] { // the bar says in short what the job page says in full
			assert.NotRegexp(t, cutMark, line, "%s at %d x %d, page %d", m.question.ID, m.w, m.h, page+1)
		}
	}
}

// cutMark is what ends a text that was cut, but for work under way.
var cutMark = regexp.MustCompile(`…(\s|$)`)

// labelsAt are the texts that must stand whole where a key can be touched.
func labelsAt(m *model, key string) []string {
	if m.asksValue() || m.overlay != noOverlay {
		return nil
	}
	i := m.chosen(key)
	if i < 0 {
		return nil
	}
	if rows := m.question.Rows; len(rows) > 0 && i > 0 {
		return rows[i-1][:]
	}
	return []string{m.question.Choices[i].Label}
}

// standsIn reports whether all words of a text stand in a part of the screen, in their order.
func standsIn(text string, lines []string, r draw.Rect) bool {
	left := strings.Fields(words.Clean(text))
	for _, word := range strings.Fields(cellsOf(lines, r)) {
		if len(left) > 0 && word == left[0] {
			left = left[1:]
		}
	}
	return len(left) == 0
}

// cellsOf is what stands in a part of the screen.
func cellsOf(lines []string, r draw.Rect) string {
	var out []string
	for y := r.Y; y < r.Y+r.H && y < len(lines); y++ {
		var b strings.Builder
		x := 0
		for _, char := range lines[y] {
			if x >= r.X && x < r.X+r.W {
				b.WriteRune(char)
			}
			x += lipgloss.Width(string(char))
		}
		out = append(out, b.String())
	}
	return strings.Join(out, "\n")
}

// killersAgain is every check before the first push, asked once more after a pause: more than
// a low screen has lines for.
func killersAgain(t *testing.T, w, h int) *driver {
	d := newDriver(t, t.TempDir())
	d.send(tea.WindowSizeMsg{Width: w, Height: h})
	d.key("2")
	for n := 0; d.m.question.ID != "dial"; n++ {
		require.Less(t, n, 60)
		d.key("1")
	}
	d.clock = d.clock.Add(session.LongPause + time.Minute)
	d.m.ask()
	require.Equal(t, "block", d.m.question.ID)
	return d
}

// What is asked and the state it must be in stand whole, on one page or another, and nothing
// is confirmed that was not yet on the screen.
func TestBlockIsWhole(t *testing.T) {
	rehearsal.Long(t)
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}, {60, 16}, {44, 20}, {40, 12}} {
		d := killersAgain(t, size[0], size[1])
		wholeLabels(t, d.m)
		if slices.Contains(sizes, size) {
			sameScreen(t, fmt.Sprintf("block_again/%dx%d", size[0], size[1]), d.m)
		}
		rows := len(d.m.question.Rows)
		require.Greater(t, rows, 6)
		seen := map[string]bool{}
		for d.m.question.ID == "block" {
			for _, target := range d.m.draw().Targets {
				seen[target.Key] = true
			}
			d.key("1")
		}
		for i := range rows {
			require.True(t, seen[strconv.Itoa(i+2)], "%v: %d was confirmed unseen", size, i+2)
		}
	}
}

// A setting is not accepted while a warning of it was never on the screen; once it was, any
// page answers, by key and by touch.
func TestWarningsAreSeenBeforeTheyAreAnswered(t *testing.T) {
	for _, press := range []func(*driver) func(string){
		func(d *driver) func(string) { return d.key }, func(d *driver) func(string) { return d.touch },
	} {
		d := newDriver(t, t.TempDir())
		d.send(tea.WindowSizeMsg{Width: 60, Height: 20})
		d.key("2")
		for n := 0; d.m.question.ID != "setting"; n++ {
			require.Less(t, n, 200)
			d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
		}
		d.m.question.Body = append(d.m.question.Body, "! One warning more than a page has.", "! And another one.", "! And the last.")
		require.True(t, d.m.draw().Unread)
		d.key("1") // what is no decision yet is not kept waiting
		require.Equal(t, "lower", d.m.question.ID)
		d.key("a")
		d.m.question.Body = append(d.m.question.Body, "! One warning more than a page has.", "! And another one.", "! And the last.")
		for !strings.Contains(d.m.View(), "And the last.") {
			press(d)("0")
			require.Equal(t, "setting", d.m.question.ID)
		}
		for n := 0; !d.m.draw().Unread; n++ { // back at the first page
			require.Less(t, n, 4)
			press(d)("n")
		}
		press(d)("0")
		require.NotEqual(t, "setting", d.m.question.ID)
	}
}

// A page without a way on is drawn too.
func TestNoChoices(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.m.question = ask.Question{ID: "none", Title: "Nothing can be done here", Body: []string{"This stays readable."}}
	require.Contains(t, d.m.View(), "This stays readable.")
}

// The checks that a slip opens again stand beside the press that answers them.
func TestSlipChecksAreSeen(t *testing.T) {
	for _, size := range sizes {
		d := newDriver(t, t.TempDir())
		d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		d.key("2")
		for n := 0; d.m.question.ID != "read"; n++ {
			require.Less(t, n, 60)
			d.key("1")
		}
		d.key("2")
		for _, page := range []struct {
			id    string
			lines []string
		}{
			{"slip", []string{"SLIP. Stop, isolate, then wipe the belts", "Drive belts? The run's, clean, dry.", "Cable line and belt chalk? At the pointer, bold."}},
			{"dial", []string{"Guards, hands, sleeves, hair? Guards on, all clear."}},
		} {
			require.Equal(t, page.id, d.m.question.ID)
			require.False(t, d.m.draw().Unread)
			screen := strings.Split(d.m.View(), "\n")
			for _, line := range page.lines {
				require.True(t, standsIn(line, screen, draw.Area(0, 0, d.m.w, d.m.h)), "%v: %s\n%s", size, line, d.m.View())
			}
			d.key("1")
		}
	}
}

// Whatever the size, every line of a text comes onto the screen as one presses on, and the
// press that was kept waiting is taken in the end.
func TestReadingOnEnds(t *testing.T) {
	rehearsal.Long(t)
	for _, id := range []string{"job", "cautions", "dial", "setting"} {
		d := newDriver(t, t.TempDir())
		d.key("2")
		for n := 0; d.m.question.ID != id; n++ {
			require.Less(t, n, 200)
			d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
		}
		d.m.question.Body = append(d.m.question.Body, "! "+strings.Repeat("One warning more than a page has. ", 9))
		for w := draw.LeastWidth; w <= 124; w += 7 {
			for h := draw.LeastHeight; h <= 44; h += 3 {
				d.m.w, d.m.h, d.m.page, d.m.seen = w, h, 0, false
				var shown []string
				for n := 0; d.m.choosesUnread(d.goesOn()); n++ {
					require.Less(t, n, 60, "%s at %d x %d", id, w, h)
					shown = append(shown, strings.Split(d.m.View(), "\n")[4:h-1]...)
					d.m.turnPage()
				}
				shown = append(shown, strings.Split(d.m.View(), "\n")[4:h-1]...)
				for _, line := range d.m.question.Body {
					if strings.HasPrefix(line, "!") {
						require.True(t, standsIn(line, shown, draw.Area(0, 0, w, len(shown))), "%s at %d x %d: %s\n%s", id, w, h, line, strings.Join(shown, "\n"))
					}
				}
			}
		}
	}
}
