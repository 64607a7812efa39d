package ui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/show"
	"brinkmark/ui/words"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/session"
)

// pressOverlay does what a key does on a page over the question.
func (m *model) pressOverlay(name string, is func(key.Binding) bool) tea.Cmd {
	switch {
	case is(ask.Keys.More):
		if m.page++; m.overlay == mapOverlay && m.plot == nil {
			m.plot = draw.NewFoldPlot(m.flow.Trial, m.flow.Outlook)
		}
	case m.overlay == optionsOverlay && len(name) == 1 && name[0] >= '1' && name[0] <= '9':
		return m.toggle(int(name[0] - '1'))
	default:
		m.overlay, m.page = noOverlay, 0
	}
	return nil
}

func (m *model) backButton(c *draw.Canvas, r draw.Rect) draw.Rect {
	const tall = 5
	c.Button(draw.Area(r.X+r.W/2, r.Y+r.H-tall, r.W-r.W/2, tall), ask.Keys.Back.Help().Key, words.YesNo(m.trial == nil, "Back", "Back to the trial"), draw.LookMain)
	return draw.Area(r.X, r.Y, r.W, r.H-tall)
}

// drawMakeSafe draws the card that is one key away from everywhere.
func (m *model) drawMakeSafe(c *draw.Canvas, r draw.Rect) {
	heading, steps := session.MakeSafe()
	c.Fill(draw.Area(0, r.Y, c.W, 1), draw.LookCaution)
	c.Write(r.X, r.Y, r.X+r.W, strings.ToUpper(heading), draw.LookCaution)
	rest := m.backButton(c, draw.Area(r.X, r.Y+1, r.W, r.H-1))
	step := 1
	if rest.H >= 2*len(steps) {
		step = 2
	}
	for i, s := range steps {
		c.Write(rest.X, rest.Y+i*step+step-1, rest.X+rest.W, fmt.Sprintf("%d. %s", i+1, s), draw.LookStrong)
	}
}

// drawWhy draws the reasons behind the question, a page at a time.
func (m *model) drawWhy(c *draw.Canvas, r draw.Rect) {
	lines := append([]string{}, m.question.Help...)
	if m.trial != nil && m.flow.Outlook.Next != nil && m.question.Stage == session.ClimbStage {
		lines = append(append(lines, ""), show.Why(m.flow.Trial, m.flow.Outlook)...)
	}
	if len(lines) == 0 {
		lines = []string{"There is nothing more to say here."}
	}
	area := draw.Area(r.X, r.Y, r.W-safeWidth, r.H)
	rest := m.backButton(c, r)
	area.H = rest.H
	if m.Options.Left {
		area.X += safeWidth
	}
	var wrapped []string
	for _, line := range lines {
		wrapped = append(wrapped, words.Wrap(line, area.W)...)
	}
	pages := max((len(wrapped)+area.H-1)/max(area.H, 1), 1)
	first := m.page % pages * area.H
	for i, line := range wrapped[first:min(first+area.H, len(wrapped))] {
		c.Write(area.X, area.Y+i, area.X+area.W, line, draw.LookText)
	}
	if pages > 1 {
		c.Button(draw.Area(r.X, rest.Y+rest.H, r.W/2-2, 5), ask.Keys.More.Help().Key, fmt.Sprintf("Page %d of %d", m.page%pages+1, pages), draw.LookButton)
	}
}

// drawPicturePage draws the cable in the duct, before there are pushes to map. It
// reports whether the job says enough for that.
func (m *model) drawPicturePage(c *draw.Canvas, r draw.Rect) bool {
	x, err := show.NewExpectation(m.flow.Record, m.flow.Trial)
	if err != nil {
		return false
	}
	at := draw.Area(r.X, r.Y+3, r.W, r.H-3-5)
	lines := draw.Picture(x.Expected, x.Job, at.W, at.H)
	if len(lines) == 0 {
		return false
	}
	c.Picture(at, lines)
	m.backButton(c, r)
	return true
}

// drawMapPage draws the map, and a page further the fold chance against speed.
func (m *model) drawMapPage(c *draw.Canvas, r draw.Rect) {
	rest := m.backButton(c, r)
	rest.W -= safeWidth
	if m.Options.Left {
		rest.X += safeWidth
	}
	other := draw.Area(r.X, r.Y+r.H-5, r.W/2-2, 5)
	if m.page%2 == 1 {
		c.Button(other, ask.Keys.More.Help().Key, "Map", draw.LookButton)
		c.FoldPlot(rest, m.plot)
		return
	}
	c.Button(other, ask.Keys.More.Help().Key, "Fold chance", draw.LookButton)
	c.Map(rest, m.flow.Trial, m.flow.Outlook)
}
