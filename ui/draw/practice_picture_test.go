package draw

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/ui/golden"
)

// drawnLines are the characters of a picture, without its looks.
func drawnLines(c *Canvas) []string {
	if c == nil {
		return nil
	}
	lines := make([]string, c.H)
	for y := range lines {
		for _, at := range c.cells[y*c.W : (y+1)*c.W] {
			lines[y] += string(at.r)
		}
		lines[y] = strings.TrimRight(lines[y], " ")
	}
	return lines
}

// practicePush makes one push on the rig of the first lesson, with a trouble if any.
func practicePush(t testing.TB, psi, feet float64, troubles ...practice.Trouble) PracticePicture {
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
	return PracticePicture{Push: p, Rig: l.Job.Rig}
}

func practicePushes(t testing.TB) map[string]PracticePicture {
	return map[string]PracticePicture{
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
				text = append(append(text, drawnLines(p.Frame(p.Push.At(part*p.Push.Lasts()), w, h-9))...), "")
			}
			text = append(append(text, drawnLines(p.Still(w, h))...), "")
			plain := p
			plain.ASCII = true
			text = append(append(text, drawnLines(plain.Frame(p.Push.After(), w, h-9))...), "")
			text = append(text, p.Words()...)
			golden.Same(t, fmt.Sprintf("practice_%s_%d", name, w), strings.Join(text, "\n")+"\n")
		}
	}
}

// No frame of any push, at any size, is wider or higher than asked for, and in ASCII
// mode nothing else is drawn.
func TestPracticePictureFits(t *testing.T) {
	rehearsal.Long(t)
	for name, p := range practicePushes(t) {
		for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}, {200, 60}, {58, 11}, {59, 12}, {57, 30}, {61, 25}, {80, 10}, {0, 0}, {-1, -5}} {
			w, h := size[0], size[1]
			for i := 0; i <= 8; i++ {
				s := p.Push.At(p.Push.Lasts() * float64(i) / 8)
				for _, ascii := range []bool{true, false} {
					p.ASCII = ascii
					for _, lines := range [][]string{drawnLines(p.Frame(s, w, h)), drawnLines(p.Still(w, h))} {
						require.LessOrEqual(t, len(lines), max(h, 0), "%s %v", name, size)
						for _, line := range lines {
							require.LessOrEqual(t, lipgloss.Width(line), w, "%s %v: %q", name, size, line)
							require.Equal(t, line, words.Clean(line))
							require.True(t, !ascii || line == words.ASCII(line), "%q", line)
						}
					}
				}
			}
			require.Equal(t, w >= leastPracticeWidth && h >= LeastPracticeHeight, p.Frame(p.Push.Before(), w, h) != nil, "%v", size)
		}
	}
}

// Neither picture nor words name the outcome: that is for the trainee to read.
func TestPracticePictureKeepsTheSecret(t *testing.T) {
	for name, p := range practicePushes(t) {
		text := strings.ToLower(strings.Join(append(drawnLines(p.Still(80, 40)), p.Words()...), "\n"))
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
		words := practicePushes(t)[name].Words()
		last := words[len(words)-3]
		require.Contains(t, last, tt.belts, name)
		require.Contains(t, last, tt.line, name)
	}
	require.Contains(t, strings.Join(practicePushes(t)["plug"].Words(), " "), "Plug line off by")
	require.Contains(t, strings.Join(practicePushes(t)["cold"].Words(), " "), "supply 50 %")
}

func BenchmarkPracticePicture(b *testing.B) {
	p := practicePush(b, 30, 180)
	for i := 0; b.Loop(); i++ {
		p.Frame(p.Push.At(float64(i%50)*0.1), 120, 40)
	}
}

// What must be seen first is drawn in looks of its own, on the screen too: the line and
// the chalk, and a bend in the gap.
func TestPracticePictureLooks(t *testing.T) {
	want := map[rune]Look{'I': LookStrong, '*': LookStrong, 'X': LookFold}
	seen := map[rune]bool{}
	requireLooks := func(c *Canvas, r Rect) {
		for y := r.Y; y < r.Y+r.H; y++ {
			for x := r.X; x < r.X+r.W; x++ {
				at := c.cells[y*c.W+x]
				if l, ok := want[at.r]; ok {
					seen[at.r] = true
					require.Equal(t, l, at.look, "%c", at.r)
				}
			}
		}
	}
	gap := practicePushes(t)["gap"]
	for i := range 9 {
		c := gap.Frame(gap.Push.At(gap.Push.Lasts()*float64(i)/8), 80, 15)
		// The words under the picture have letters of their own.
		requireLooks(c, Rect{0, 1, 80, c.H - 3})
	}
	require.Len(t, seen, 3)

	c := NewCanvas(80, 24, false)
	c.paste(Rect{1, 1, 78, 22}, gap.Frame(gap.Push.At(gap.Push.Lasts()), 78, 22))
	require.True(t, slices.Contains(c.cells, cell{'X', LookFold}))
	require.True(t, slices.Contains(c.cells, cell{'>', LookStrong}))
}
