package ui

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
)

// walker presses and types whatever there is, in any order, at any time, on any screen.
type walker struct {
	*driver
	random *rand.Rand
	steps  []string // the last ones, to tell
}

// oddValues are what gloves, haste and spreadsheets bring.
var oddValues = []string{"0", "-5", "1e9", "0.0001", "999999999999", "", "x", "1e-300", "12 parsecs", "0 psi", "5000 psi", "0 ft", "3280000 ft", "-1 ft", "0 m", "999 km", "41 °F", "-60 °C", "900 °F", "0 %", "100 %", "0 N", "1e6 N", "0 s", "400 h", "AB", "AB, CD, EF"}

var firstNumber = regexp.MustCompile(`\d+(\.\d+)?`)

// value is something to type: what the page gives as an example or stands there already, a
// little or very much off, or something odd.
func (w *walker) value(e *ask.Entering) string {
	text := e.Example
	if e.Now != "" && w.random.IntN(2) == 0 {
		text = e.Now
	}
	switch w.random.IntN(4) {
	case 0:
		return oddValues[w.random.IntN(len(oddValues))]
	case 1:
		by := []float64{0, 0.5, 0.9, 1.1, 2, 10, 1000}[w.random.IntN(7)]
		return firstNumber.ReplaceAllStringFunc(text, func(n string) string {
			v, _ := strconv.ParseFloat(n, 64)
			return fmt.Sprint(v * by)
		})
	}
	return text
}

// step does one thing, and reports whether the crew left.
func (w *walker) step() (left bool) {
	q := w.m.question
	w.clock = w.clock.Add([]time.Duration{time.Second, time.Minute, time.Second, 10 * time.Minute, time.Hour, 20 * time.Hour, -time.Hour, 4e4 * time.Hour, -4e4 * time.Hour}[max(0, w.random.IntN(60)-51)])
	did := ""
	switch n := w.random.IntN(12); {
	case n < 6 && len(q.Choices) > 0 && w.m.overlay == noOverlay:
		i := w.random.IntN(len(q.Choices)) * w.random.IntN(2) // the first one goes on
		did = q.Choices[i].Label
		left = w.does(w.m.choose(i))
	case n < 10 && q.Enter != nil:
		text := w.value(q.Enter)
		did = "= " + text
		if flow, effect, err := q.Enter.Take(w.m.flow, text); err == nil {
			left = w.does(w.m.do(flow, effect))
		}
	default:
		keys := []string{"?", "u", "m", "n", "b", "g", "o", "1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "-", "\r", "\x1b", "q", "r", "s", "l"}
		did = keys[w.random.IntN(len(keys))]
		_, cmd := w.m.Update(tea.KeyMsg{Type: map[string]tea.KeyType{"\r": tea.KeyEnter, "\x1b": tea.KeyEsc}[did], Runes: []rune(did)})
		left = w.does(cmd)
	}
	w.steps = append(w.steps, w.clock.Format(time.DateTime)+" "+q.ID+": "+strconv.Quote(did))
	return left
}

// does carries out a command, unless it ends the screens.
func (w *walker) does(cmd tea.Cmd) (left bool) {
	if cmd == nil {
		return false
	}
	if w.m.question.ID == "push" && !w.m.busy {
		w.run(cmd)
		return false
	}
	if w.m.question.Again != nil && !w.m.busy {
		return false
	}
	msg := cmd()
	if _, quits := msg.(tea.QuitMsg); quits {
		return true
	}
	w.run(func() tea.Msg { return msg })
	return false
}

// walksFrom is where a walk begins: the start page of a library with a profile, a climb, a
// run with the cable moving.
func walksFrom(t *testing.T, seed int) *driver {
	if seed%3 == 1 {
		return runningDriver(t)
	}
	dir := t.TempDir()
	pulledProfile(t, dir)
	d := newDriver(t, dir)
	if seed%3 == 2 {
		d.key("2")
		for range 32 + seed%40 {
			d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
		}
	}
	return d
}

// TestAnyWay walks about as nobody should, with the clock going where it likes: nothing ends
// the program, whatever is to be seen can be drawn, and what is on disk can always be opened
// again. BRINKMARK_WALKS is how many walks.
func TestAnyWay(t *testing.T) {
	walks, _ := strconv.Atoi(cmp.Or(os.Getenv("BRINKMARK_WALKS"), "6"))
	first, _ := strconv.Atoi(os.Getenv("BRINKMARK_FIRST_WALK"))
	for seed := first; seed < first+walks; seed++ {
		t.Run(strconv.Itoa(seed), func(t *testing.T) {
			t.Parallel()
			w := &walker{driver: walksFrom(t, seed), random: rand.New(rand.NewPCG(uint64(seed), 3))}
			defer func() {
				if r := recover(); r != nil || t.Failed() {
					t.Errorf("%v after\n%s", r, lastSteps(w.steps))
					if r != nil {
						panic(r)
					}
				}
			}()
			for range 400 {
				left := w.step()
				size := [][2]int{{80, 24}, {60, 20}, {120, 40}, {1 + w.random.IntN(200), 1 + w.random.IntN(60)}}[w.random.IntN(4)]
				_, _ = w.m.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				_ = w.m.draw()
				if left {
					w.leaveRun()
					at := w.clock
					w.driver = newDriver(t, w.dir)
					w.clock = at
				}
			}
			w.leaveRun()
			library, err := profiles.OpenLibrary(w.dir, w.m.Now, nil)
			require.NoError(t, err)
			health := library.Health(nil)
			require.NoError(t, health.Problem)
			require.Empty(t, health.Unreadable)
			require.Empty(t, health.Torn)
		})
	}
}

func lastSteps(steps []string) (text string) {
	for _, s := range steps[max(0, len(steps)-25):] {
		text += "  " + s + "\n"
	}
	return text
}
