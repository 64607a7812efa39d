package ui

import (
	"time"

	"brinkmark/ui/draw"

	tea "github.com/charmbracelet/bubbletea"
)

// watch is a push being watched.
type watch struct {
	from time.Time
	at   float64 // s of it seen so far
	over bool
}

// frameTime is the time between two pictures: slow enough for a terminal over a slow
// line, and a late one skips what is past.
const frameTime = 100 * time.Millisecond

// frameMsg asks for the next picture of a push.
type frameMsg struct{ push int }

// longestWatch is how much of a push is watched, in s: of a slow one its end, for the
// run-up only takes time.
const longestWatch = 5

// handsOff reports whether a push goes on, during which nothing but the make-safe card
// answers.
func (m *model) handsOff() bool {
	return m.question.ID == "push" && (m.question.Scene == nil || !m.watch.over)
}

func (m *model) startWatching() tea.Cmd {
	at := max(m.question.Scene.Push.Lasts()-longestWatch, 0)
	m.watch = watch{from: m.Now().Add(-time.Duration(at * float64(time.Second))), at: at, over: m.Options.Still}
	if m.watch.over {
		return nil
	}
	return m.soon()
}

func (m *model) soon() tea.Cmd {
	push := m.pushes
	return tea.Tick(frameTime, func(time.Time) tea.Msg { return frameMsg{push} })
}

func (m *model) nextFrame(msg frameMsg) tea.Cmd {
	if msg.push != m.pushes || m.question.ID != "push" || m.question.Scene == nil || m.watch.over {
		return nil
	}
	m.watch.at = m.Now().Sub(m.watch.from).Seconds()
	if m.watch.at >= m.question.Scene.Push.Lasts() {
		m.watch.over = true
		return nil
	}
	return m.soon()
}

// drawScene draws a question beside the push it is about.
func (m *model) drawScene(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	picture := *m.question.Scene
	picture.ASCII = m.shown().ASCII
	if m.handsOff() {
		now := picture.Push.At(m.watch.at)
		words := []string{picture.ChalkWords(now), picture.LineWords(now), picture.Gauges(now), picture.WitnessWords(now)}
		drawn := picture.Frame(now, rest.W, rest.H-2)
		c.Drawn(rest, drawn, words)
		if drawn != nil {
			c.Text(draw.Area(rest.X, rest.Y+drawn.H+1, rest.W, 1), []string{picture.Legend()})
		}
		return
	}
	above := m.buttons(c, rest, min(draw.LeastPracticeHeight+1, rest.H-3))
	if m.question.ID != "push" {
		used := c.Text(above, m.question.Body)
		above = draw.Area(above.X, above.Y+used, above.W, above.H-used)
	}
	words := picture.Words()
	c.Drawn(above, picture.Still(above.W, above.H), words[max(len(words)-3, 0):])
}
