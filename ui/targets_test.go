package ui

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
)

// after is what is to be seen and under way once messages have come to a screen, which
// itself stays as it is.
func after(m *model, msgs ...tea.Msg) string {
	still := *m
	still.last, still.held = press{}, draw.Target{}
	waiting := false
	for _, msg := range msgs {
		_, cmd := still.Update(msg)
		waiting = waiting || cmd != nil
	}
	return fmt.Sprint(still.overlay, still.page, still.typed, still.busy, still.failure, still.question.ID, waiting, "\n", still.View())
}

// namedKeys are the keys of targets that are no letters.
var namedKeys = map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "backspace": tea.KeyBackspace}

// keyOf is the press of the key a target shows.
func keyOf(name string) tea.Msg {
	if key, ok := namedKeys[name]; ok {
		return tea.KeyMsg{Type: key}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

// requireTargets requires that every target of a screen answers in its corners as its
// key does, that none lies over another, and that nothing else a finger or a wheel does has
// any effect. At 80 × 24 all but the keys in the last line are to be hit with a glove: about 17 by
// 20 mm on a tablet 22 cm wide (common practice, no source).
func requireTargets(t *testing.T, m *model) {
	t.Helper()
	finger := func(x, y int, action tea.MouseAction, button tea.MouseButton) tea.Msg {
		return tea.MouseMsg{X: x, Y: y, Action: action, Button: button}
	}
	down := func(x, y int) tea.Msg { return finger(x, y, tea.MouseActionPress, tea.MouseButtonLeft) }
	up := func(x, y int) tea.Msg { return finger(x, y, tea.MouseActionRelease, tea.MouseButtonLeft) }
	before := after(m)
	over := map[[2]int]string{}
	targets := m.draw().Targets
	for i, on := range targets {
		where := fmt.Sprintf("%s, target %q %v", m.question.ID, on.Key, on.Rect)
		require.True(t, on.X >= 0 && on.Y >= 0 && on.X+on.W <= m.w && on.Y+on.H <= m.h, where)
		if m.w == 80 && m.h == 24 && on.Y < m.h-1 {
			again := len(m.question.Rows) > 6 && on.W >= 60                                    // asked once more, eight on a page; a row of it is pressed where something is not so
			require.True(t, on.H >= 3 && on.W >= 8 || on.H == 2 && on.W >= 60 || again, where) // a row of a list goes across
		}
		for y := on.Y; y < on.Y+on.H; y++ {
			for x := on.X; x < on.X+on.W; x++ {
				require.Empty(t, over[[2]int{x, y}], where)
				over[[2]int{x, y}] = on.Key
			}
		}
		left, right, top, bottom := on.X, on.X+on.W-1, on.Y, on.Y+on.H-1
		if m.w > 80 { // to draw so much so often takes long
			continue
		}
		want := after(m, down(left, top), up(left, top))
		if len(on.Key) == 1 || namedKeys[on.Key] != 0 { // the others have no key
			require.Equal(t, after(m, keyOf(on.Key)), want, where)
		}
		for _, at := range [][2]int{{right, top}, {left, bottom}, {right, bottom}} {
			require.Equal(t, want, after(m, down(at[0], at[1]), up(left, bottom)), where)
		}
		if on.Key == m.safeKey() {
			require.Equal(t, want, after(m, down(left, top)), "it does not wait")
			continue
		}
		other := targets[(i+1)%len(targets)]
		require.Equal(t, before, after(m, down(left, top)), where)
		if other.Key != on.Key {
			require.Equal(t, before, after(m, down(left, top), finger(other.X, other.Y, tea.MouseActionMotion, tea.MouseButtonLeft), up(other.X, other.Y)), "drawn off: %s", where)
		}
	}
	requireNoOtherKeys(t, m, before)
	random := rand.New(rand.NewPCG(uint64(m.w), uint64(len(targets))))
	for range 3 {
		x, y := random.IntN(m.w), random.IntN(m.h)
		if over[[2]int{x, y}] == "" {
			require.Equal(t, before, after(m, down(x, y), up(x, y)), "%s at %d, %d", m.question.ID, x, y)
		}
		for _, button := range []tea.MouseButton{tea.MouseButtonWheelUp, tea.MouseButtonWheelDown, tea.MouseButtonRight, tea.MouseButtonMiddle} {
			require.Equal(t, before, after(m, finger(x, y, tea.MouseActionPress, button), finger(x, y, tea.MouseActionRelease, button)), "%s at %d, %d", m.question.ID, x, y)
		}
	}
}

// requireNoOtherKeys requires that a key which nothing on the screen shows does nothing.
func requireNoOtherKeys(t *testing.T, m *model, before string) {
	t.Helper()
	if m.asksValue() || m.overlay != noOverlay { // text is typed, any key leads back
		return
	}
	shown := map[string]bool{"!": true, "n": true} // the card, everywhere; the same page again, where there is one
	for _, on := range m.draw().Targets {
		shown[on.Key] = true
	}
	if m.question.Enter != nil && m.question.Lettered() { // a number is typed
		for _, digit := range digits {
			shown[string(digit)] = true
		}
	}
	for key := '!'; key <= '~'; key++ {
		if !shown[string(key)] {
			require.Equal(t, before, after(m, keyOf(string(key))), "%s: %q", m.question.ID, key)
		}
	}
}

// requireAnySize makes a screen other sizes, one after another: nothing is drawn outside, the
// smallest say why they cannot be used, and at the size it had it is what it was.
func requireAnySize(t *testing.T, m *model) {
	t.Helper()
	before, w, h := m.View(), m.w, m.h
	if w != 80 {
		return
	}
	random := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	sizes := [][2]int{{1, 1}, {2, 1}, {1, 24}, {39, 12}, {40, 11}, {40, 12}, {80, 12}, {40, 60}, {200, 60}}
	for range 4 {
		sizes = append(sizes, [2]int{1 + random.IntN(200), 1 + random.IntN(60)})
	}
	resized := *m
	for _, size := range sizes {
		_, _ = resized.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		lines := strings.Split(resized.View(), "\n")
		require.Len(t, lines, size[1])
		for _, line := range lines {
			require.Equal(t, size[0], lipgloss.Width(line), "%s at %v", m.question.ID, size)
		}
		small := size[0] < draw.LeastWidth || size[1] < draw.LeastHeight
		if small && size[0]*size[1] >= 100 && size[0] > 10 {
			require.Contains(t, strings.Join(strings.Fields(strings.Join(lines, " ")), " "), "Make the window larger", "at %v", size)
		}
		for _, on := range resized.draw().Targets {
			require.True(t, on.X >= 0 && on.Y >= 0 && on.X+on.W <= size[0] && on.Y+on.H <= size[1], "%s at %v: target %q %v", m.question.ID, size, on.Key, on.Rect)
		}
	}
	_, _ = resized.Update(tea.WindowSizeMsg{Width: w, Height: h})
	require.Equal(t, before, resized.View(), m.question.ID)
}

// reachable requires that every choice can be touched at every size, and nothing shares a
// cell or leaves the window.
func (d *driver) reachable() {
	for _, size := range append([][2]int{{100, 30}}, sizes...) {
		d.m.w, d.m.h = size[0], size[1]
		touched := map[string]bool{}
		for d.m.page = range 4 {
			at := map[[2]int]bool{}
			for _, target := range d.m.draw().Targets {
				touched[target.Key] = true
				for y := target.Y; y < target.Y+target.H; y++ {
					for x := target.X; x < target.X+target.W; x++ {
						require.False(d.t, at[[2]int{x, y}], "%s at %v: %q over another", d.m.question.ID, size, target.Key)
						at[[2]int{x, y}] = true
					}
				}
			}
			for _, line := range strings.Split(d.m.View(), "\n") {
				require.LessOrEqual(d.t, lipgloss.Width(line), size[0])
			}
		}
		for _, key := range d.m.question.Keys()[:len(d.m.question.Shown())] {
			if !d.m.asksValue() && len(d.m.question.Shown()) <= mostDigits {
				require.True(d.t, touched[key], "%s at %v: %s cannot be touched", d.m.question.ID, size, key)
			}
		}
	}
	d.m.w, d.m.h, d.m.page = 80, 24, 0
}

// A digit that no choice of a list's page has chooses none: the choice of that place is on
// the next page, where nobody sees it.
func TestDigitsOfAList(t *testing.T) {
	for _, size := range sizes {
		d := newPractice(t, ask.PracticeChoice{}, profiles.Options{Theme: "plain"})
		d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		d.at("lessons")
		shown := d.m.listPage()
		require.Greater(t, len(d.m.question.Shown()), mostDigits)
		digits := map[string]int{} // with how many rows each can be touched in
		for _, target := range d.m.draw().Targets {
			digits[target.Key] = target.H
		}
		require.NotContains(t, digits, fmt.Sprint(shown+1))
		for i := range shown {
			require.GreaterOrEqual(t, digits[fmt.Sprint(i+1)], 2)
		}
		d.key(fmt.Sprint(shown + 1))
		d.at("lessons")
		d.key(fmt.Sprint(shown))
		require.NotEqual(t, "lessons", d.m.question.ID)
	}
}
