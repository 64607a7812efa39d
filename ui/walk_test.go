package ui

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
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
func (w *walker) value(text string) string {
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

// timePasses lets it pass, mostly by a second, and sometimes back.
func (w *walker) timePasses() {
	w.clock = w.clock.Add([]time.Duration{time.Second, time.Minute, time.Second, 10 * time.Minute, time.Hour, 20 * time.Hour, -time.Hour, 4e4 * time.Hour, -4e4 * time.Hour}[max(0, w.random.IntN(60)-51)])
}

// step does one thing.
func (w *walker) step() {
	q := w.m.question
	w.timePasses()
	did := ""
	switch n := w.random.IntN(12); {
	case n < 6 && len(q.Choices) > 0 && w.m.overlay == noOverlay:
		i := w.random.IntN(len(q.Choices)) * w.random.IntN(2) // the first one goes on
		did = q.Choices[i].Label
		w.run(w.m.choose(i))
	case n < 10 && q.Enter != nil:
		text := w.value(cmp.Or([]string{q.Enter.Example, q.Enter.Now}[w.random.IntN(2)], q.Enter.Example))
		did = "= " + text
		if flow, effect, err := q.Enter.Take(w.m.flow, text); err == nil {
			w.run(w.m.do(flow, effect))
		}
	default:
		keys := []string{"?", "u", "m", "n", "b", "g", "o", "1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "-", "\r", "\x1b", "q", "r", "s", "l"}
		did = keys[w.random.IntN(len(keys))]
		_, cmd := w.m.Update(tea.KeyMsg{Type: map[string]tea.KeyType{"\r": tea.KeyEnter, "\x1b": tea.KeyEsc}[did], Runes: []rune(did)})
		w.run(cmd)
	}
	w.steps = append(w.steps, w.clock.Format(time.DateTime)+" "+q.ID+": "+strconv.Quote(did))
}

// walksFrom is where a walk begins: the start page of a library with a profile, a climb, a
// run with the cable moving, a lesson.
func walksFrom(t *testing.T, seed int) *walker {
	w := &walker{random: rand.New(rand.NewPCG(uint64(seed), 3))}
	dir := t.TempDir()
	switch seed % 4 {
	case 0, 1:
		pulledProfile(t, dir)
		w.driver = newDriver(t, dir)
		if seed%4 == 0 {
			break
		}
		w.key("2")
		for range 32 + seed%40 {
			w.driver.step(rig{fold: 118, slipPerPSI: 12}, w.key)
		}
	case 2:
		w.driver = runningDriver(t)
	default:
		w.driver = newPractice(t, ask.PracticeChoice{Lesson: strconv.Itoa(1 + seed/4%12), Seed: strconv.Itoa(seed)}, profiles.Options{Still: true})
	}
	return w
}

// anyWay walks so often as is asked for by BRINKMARK_WALKS, or a few times.
func anyWay(t *testing.T, walk func(*testing.T, *walker)) {
	rehearsal.Walks(t, 8, func(t *testing.T, seed int) {
		t.Parallel()
		w := walksFrom(t, seed)
		defer func() {
			if r := recover(); r != nil || t.Failed() {
				t.Errorf("%v after\n%s", r, lastSteps(w.steps))
				if r != nil {
					panic(r)
				}
			}
		}()
		walk(t, w)
		w.leaveRun()
		rehearsal.RequireSound(t, w.dir, w.m.Now)
	})
}

// TestAnyWay walks about as nobody should, with the clock going where it likes: nothing ends
// the program, whatever is to be seen can be drawn, and what is on disk can always be opened
// again.
func TestAnyWay(t *testing.T) {
	anyWay(t, func(t *testing.T, w *walker) {
		for range 400 {
			w.step()
			size := [][2]int{{80, 24}, {60, 20}, {120, 40}, {1 + w.random.IntN(200), 1 + w.random.IntN(60)}}[w.random.IntN(4)]
			_, _ = w.m.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			_ = w.m.draw()
			if w.left {
				w.leaveRun()
				at := w.clock
				w.driver = newDriver(t, w.dir)
				w.clock, w.m.Options.Still = at, true
			}
		}
	})
}

// TestAnyWayPlain does the same line by line.
func TestAnyWayPlain(t *testing.T) {
	choice := regexp.MustCompile(`(?m)^  (\d+)  `)
	anyWay(t, func(t *testing.T, w *walker) {
		lines := 0
		crew := &operator{}
		crew.answer = func(asked string) string {
			if lines++; lines > 300 {
				return ""
			}
			w.timePasses()
			line := "1"
			switch n, typed := w.random.IntN(12), toType(asked[strings.LastIndex(asked, "\n[")+1:]); {
			case n == 0:
				line = []string{"u", "?", "m", "0", "99", "-1", "b", "\x1b[2J", "q", "qq"}[w.random.IntN(10)]
			case n < 7 && typed != "":
				line = cmp.Or(w.value(typed), " ")
			case n < 5:
				line = strconv.Itoa(1 + w.random.IntN(1+len(choice.FindAllString(asked, -1))))
			}
			w.steps = append(w.steps, asked[max(0, len(asked)-300):]+line)
			return line
		}
		for lines < 300 {
			p := Plain{In: crew, Out: crew, Now: w.m.Now, Keeper: w.m.Keeper, Home: w.m.home}
			require.NoError(t, p.Run())
			w.m.Keeper = p.Keeper
			w.leaveRun()
			at := w.clock
			w.driver = newDriver(t, w.dir)
			w.clock = at
		}
	})
}

func lastSteps(steps []string) (text string) {
	for _, s := range steps[max(0, len(steps)-25):] {
		text += "  " + s + "\n"
	}
	return text
}
