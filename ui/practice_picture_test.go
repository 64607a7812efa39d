package ui

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// drawnLines are the characters of a picture, without its looks.
func drawnLines(c *canvas) []string {
	if c == nil {
		return nil
	}
	lines := make([]string, c.h)
	for y := range lines {
		for _, at := range c.cells[y*c.w : (y+1)*c.w] {
			lines[y] += string(at.r)
		}
		lines[y] = strings.TrimRight(lines[y], " ")
	}
	return lines
}

// practicePush makes one push on the rig of the first lesson, with a trouble if any.
func practicePush(t testing.TB, psi, feet float64, troubles ...practice.Trouble) practicePicture {
	t.Helper()
	ls, wrong := lessons.BuiltIn()
	require.Empty(t, wrong)
	l := ls[0].Lesson
	l.Rig.Drive.GaugePerPush = q.Known[q.Pressure](3000)
	l.Rig.Troubles, l.SetUp = troubles, false
	b, err := practice.NewBench(l, 1)
	require.NoError(t, err)
	p, err := b.Push(session.Setting{Grip: q.From[q.Pressure](psi, "psi"), Speed: q.Reading{Value: float64(q.From[q.Speed](feet, "ft/min")), Unit: "m/s"}})
	require.NoError(t, err)
	return practicePicture{push: p, rig: l.Job.Rig}
}

func practicePushes(t testing.TB) map[string]practicePicture {
	return map[string]practicePicture{
		"stall": practicePush(t, 12, 70),
		"slip":  practicePush(t, 4, 90),
		"fold":  practicePush(t, 30, 180),
		"ledge": practicePush(t, 12, 70, practice.Trouble{Kind: practice.Ledge, From: 1, Size: 0.4}),
		"plug":  practicePush(t, 12, 70, practice.Trouble{Kind: practice.PlugCreeps, From: 1, Size: 100}),
		"gap":   practicePush(t, 30, 100, practice.Trouble{Kind: practice.GapTooLong, From: 1, Size: 60}),
		"cold":  practicePush(t, 12, 70, practice.Trouble{Kind: practice.SupplyCold, From: 1, Size: 0.5}),
	}
}

// The frames of one push, the still pictures and the words, at the sizes of a screen.
func TestPracticePictureGolden(t *testing.T) {
	for name, p := range practicePushes(t) {
		for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
			if size[0] != 80 && name != "fold" {
				continue
			}
			w, h := size[0], size[1]
			var text []string
			for _, part := range []float64{0, 0.3, 0.6, 1} {
				text = append(append(text, drawnLines(p.frame(p.push.At(part*p.push.Lasts()), w, h-9))...), "")
			}
			text = append(append(text, drawnLines(p.still(w, h))...), "")
			plain := p
			plain.ascii = true
			text = append(append(text, drawnLines(plain.frame(p.push.After(), w, h-9))...), "")
			text = append(text, p.words()...)
			sameAsGolden(t, fmt.Sprintf("practice_%s_%d", name, w), strings.Join(text, "\n")+"\n")
		}
	}
}

// No frame of any push, at any size, is wider or higher than asked for, and in ASCII
// mode nothing else is drawn.
func TestPracticePictureFits(t *testing.T) {
	for name, p := range practicePushes(t) {
		for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}, {200, 60}, {58, 11}, {59, 12}, {57, 30}, {61, 25}, {80, 10}, {0, 0}, {-1, -5}} {
			w, h := size[0], size[1]
			for i := 0; i <= 8; i++ {
				s := p.push.At(p.push.Lasts() * float64(i) / 8)
				for _, ascii := range []bool{true, false} {
					p.ascii = ascii
					for _, lines := range [][]string{drawnLines(p.frame(s, w, h)), drawnLines(p.still(w, h))} {
						require.LessOrEqual(t, len(lines), max(h, 0), "%s %v", name, size)
						for _, line := range lines {
							require.LessOrEqual(t, lipgloss.Width(line), w, "%s %v: %q", name, size, line)
							require.Equal(t, line, Clean(line))
							require.True(t, !ascii || line == asciiOnly(line), "%q", line)
						}
					}
				}
			}
			require.Equal(t, w >= leastPracticeWidth && h >= leastPracticeHeight, p.frame(p.push.Before(), w, h) != nil, "%v", size)
		}
	}
}

// What must be seen first is drawn in looks of its own, on the screen too: the line and
// the chalk, and a bend in the gap.
func TestPracticePictureLooks(t *testing.T) {
	want := map[rune]look{'I': lookStrong, '*': lookStrong, 'X': lookFold}
	seen := map[rune]bool{}
	requireLooks := func(c *canvas, r rect) {
		for y := r.y; y < r.y+r.h; y++ {
			for x := r.x; x < r.x+r.w; x++ {
				at := c.cells[y*c.w+x]
				if l, ok := want[at.r]; ok {
					seen[at.r] = true
					require.Equal(t, l, at.look, "%c", at.r)
				}
			}
		}
	}
	gap := practicePushes(t)["gap"]
	for i := range 9 {
		c := gap.frame(gap.push.At(gap.push.Lasts()*float64(i)/8), 80, 15)
		// The words under the picture have letters of their own.
		requireLooks(c, rect{0, 1, 80, c.h - 3})
	}
	require.Len(t, seen, 3)

	d := newPractice(t, PracticeChoice{Lesson: "1", Seed: "7"}, profiles.Options{})
	d.m.question = Question{ID: "push", scene: &scene{gap}}
	d.m.watch.at = gap.push.Lasts()
	c := newCanvas(80, 24, false)
	d.m.drawScene(c, rect{1, 1, 78, 22})
	require.True(t, slices.Contains(c.cells, cell{'X', lookFold}))
	require.True(t, slices.Contains(c.cells, cell{'>', lookStrong}))
}

// Neither picture nor words name the outcome: that is for the trainee to read.
func TestPracticePictureKeepsTheSecret(t *testing.T) {
	for name, p := range practicePushes(t) {
		text := strings.ToLower(strings.Join(append(drawnLines(p.still(80, 40)), p.words()...), "\n"))
		for _, word := range []string{"stall", "slip", "fold", "void", "ledge", "crept", "kink"} {
			require.NotContains(t, text, word, name)
		}
	}
}

// The words carry what belts and line did, so that the two questions can be answered
// without a picture.
func TestPracticeWordsAnswerTheTwoQuestions(t *testing.T) {
	for name, tt := range map[string]struct{ belts, line string }{
		"stall": {"stands still", "allowance line at"},
		"slip":  {"goes round", "allowance line at"},
		"fold":  {"goes round", "past the allowance line"},
		"ledge": {"stands still", "short of its pointer, and it stays there"},
		"plug":  {"goes round", "past the allowance line"},
	} {
		words := practicePushes(t)[name].words()
		last := words[len(words)-3]
		require.Contains(t, last, tt.belts, name)
		require.Contains(t, last, tt.line, name)
	}
	require.Contains(t, strings.Join(practicePushes(t)["plug"].words(), " "), "Plug line off by")
	require.Contains(t, strings.Join(practicePushes(t)["cold"].words(), " "), "supply 50 %")
}

func BenchmarkPracticePicture(b *testing.B) {
	p := practicePush(b, 30, 180)
	for i := 0; b.Loop(); i++ {
		p.frame(p.push.At(float64(i%50)*0.1), 120, 40)
	}
}
