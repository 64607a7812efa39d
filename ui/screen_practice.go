package ui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// scene is what a practice rig shows beside a question: the push that is made, or was.
type scene struct{ practicePicture }

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
	return m.question.ID == "push" && (m.question.scene == nil || !m.watch.over)
}

func (m *model) startWatching() tea.Cmd {
	at := max(m.question.scene.push.Lasts()-longestWatch, 0)
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
	if msg.push != m.pushes || m.question.ID != "push" || m.question.scene == nil || m.watch.over {
		return nil
	}
	m.watch.at = m.Now().Sub(m.watch.from).Seconds()
	if m.watch.at >= m.question.scene.push.Lasts() {
		m.watch.over = true
		return nil
	}
	return m.soon()
}

// drawScene draws a question beside the push it is about.
func (m *model) drawScene(c *canvas, r rect) {
	rest := m.headline(c, r)
	picture := m.question.scene.practicePicture
	picture.ascii = m.Options.ASCII
	if m.handsOff() {
		now := picture.push.At(m.watch.at)
		words := []string{picture.chalkWords(now), picture.lineWords(now), picture.gauges(now), picture.witnessWords(now)}
		drawn := picture.frame(now, rest.w, rest.h-2)
		c.drawn(rest, drawn, words)
		if drawn != nil {
			c.text(rect{rest.x, rest.y + drawn.h + 1, rest.w, 1}, []string{picture.legend()})
		}
		return
	}
	above := m.buttons(c, rest, min(leastPracticeHeight+1, rest.h-3))
	if m.question.ID != "push" {
		used := c.text(above, m.question.Body)
		above = rect{above.x, above.y + used, above.w, above.h - used}
	}
	words := picture.words()
	c.drawn(above, picture.still(above.w, above.h), words[max(len(words)-3, 0):])
}

// drawn draws a picture, or says it in words where there is no room for it.
func (c *canvas) drawn(r rect, picture *canvas, words []string) {
	if picture == nil {
		c.text(r, words)
		return
	}
	c.paste(r, picture)
}

// picture writes lines as they are, cut at the right.
func (c *canvas) picture(r rect, lines []string) {
	for i, line := range lines[:min(len(lines), max(r.h, 0))] {
		c.write(r.x, r.y+i, r.x+r.w, line, lookText)
	}
}
