package ui

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/rehearsal"
)

// longRun is a run with so many points.
func longRun(tb testing.TB, n int) (*driver, *profiles.Run) {
	t := &testing.T{}
	dir := tb.TempDir()
	d := newDriver(t, dir)
	id := pulledProfile(t, dir)
	text, err := os.ReadFile("../testdata/jobs/reach_example.toml")
	require.NoError(tb, err)
	file, err := profiles.ParseReach(profiles.Source{Text: text})
	require.NoError(tb, err)
	library, err := rehearsal.OpenLibrary(dir, d.m.Now, rand.NewChaCha8([32]byte{}))
	require.NoError(tb, err)
	r, err := library.NewRun(profiles.RunPlan{Profile: id, Reach: file})
	require.NoError(tb, err)
	mark := func(text string) profiles.Quantity[q.Length] {
		v, err := profiles.NewQuantity[q.Length](text)
		require.NoError(tb, err)
		return v
	}
	var dialled profiles.Dialled
	dialled.Grip, _ = profiles.NewQuantity[q.Pressure]("6 psi")
	dialled.CableTemperature, _ = profiles.NewQuantity[q.Temperature]("42 F")
	dialled.Speed, _ = profiles.NewReading("95 ft/min")
	answerAll := func() {
		for due := r.View().Due; len(due) > 0; due = r.View().Due {
			for _, c := range due {
				require.NoError(tb, r.Append(profiles.Answer{Item: c.ID, State: c.States[0]}))
			}
		}
	}
	answerAll()
	require.NoError(tb, r.Append(profiles.Answer{Item: run.ItemProved, State: "left out", SkipReason: "a benchmark"}))
	answerAll()
	require.NoError(tb, r.Append(dialled))
	answerAll()
	require.NoError(tb, r.Append(profiles.RunStart{Mark: mark("1417 m"), Counts: run.CountsUp}))
	for i := range n {
		d.clock = d.clock.Add(4 * time.Second)
		require.NoError(tb, r.Append(profiles.RunPoint{Mark: mark(fmt.Sprintf("%d m", 1419+2*i))}))
	}
	require.NoError(tb, r.Close())
	d.openRun(id)
	return d, r
}

// The run that is measured can be made.
func TestLongRun(t *testing.T) {
	d, r := longRun(t, 3)
	defer d.leaveRun()
	require.Len(t, r.View().Log, 3)
}

// A key on the main page of a run with 500 points, and what it draws.
func BenchmarkRunKey(b *testing.B) {
	d, _ := longRun(b, 500)
	defer d.leaveRun()
	d.m.w, d.m.h = 120, 40
	for b.Loop() {
		d.opensAndCloses("?")
	}
}

// The same with all that goes on beside the screen: the page read anew, and drawn.
func BenchmarkRunPage(b *testing.B) {
	d, _ := longRun(b, 500)
	defer d.leaveRun()
	d.m.w, d.m.h = 120, 40
	for b.Loop() {
		d.look()
		_ = d.m.View()
	}
}

// The plot of 500 points.
func BenchmarkRunPlot(b *testing.B) {
	d, _ := longRun(b, 500)
	defer d.leaveRun()
	d.m.w, d.m.h = 120, 40
	d.key("g")
	require.Equal(b, "run-plot", d.m.question.ID)
	for b.Loop() {
		_ = d.m.View()
	}
}

// BenchmarkPracticeFrame draws a moment of a push on a large screen.
func BenchmarkPracticeFrame(b *testing.B) {
	d := newPractice(b, ask.PracticeChoice{Lesson: "1", Seed: "7"}, profiles.Options{})
	d.t = &testing.T{}
	for d.m.question.ID != "push" {
		d.learn()
	}
	d.m.w, d.m.h = 120, 40
	d.m.theme = draw.NewTheme(lipgloss.NewRenderer(io.Discard), draw.Light)
	for i := 0; b.Loop(); i++ {
		d.m.watch.at = float64(i%50) * 0.1
		_ = d.m.View()
	}
}
