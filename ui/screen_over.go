package ui

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/session"
)

// pressOverlay does what a key does on a page over the question.
func (m *model) pressOverlay(name string, is func(key.Binding) bool) tea.Cmd {
	switch {
	case is(keys.More):
		if m.page++; m.overlay == mapOverlay && m.plot == nil {
			m.plot = newFoldPlot(m.flow)
		}
	case m.overlay == optionsOverlay && len(name) == 1 && name[0] >= '1' && name[0] <= '9':
		return m.toggle(int(name[0] - '1'))
	default:
		m.overlay, m.page = noOverlay, 0
	}
	return nil
}

func (m *model) backButton(c *canvas, r rect) rect {
	const tall = 5
	c.button(rect{r.x + r.w/2, r.y + r.h - tall, r.w - r.w/2, tall}, keys.Back.Help().Key, yesNo(m.trial == nil, "Back", "Back to the trial"), lookMain)
	return rect{r.x, r.y, r.w, r.h - tall}
}

// drawMakeSafe draws the card that is one key away from everywhere.
func (m *model) drawMakeSafe(c *canvas, r rect) {
	heading, steps := session.MakeSafe()
	c.fill(rect{0, r.y, c.w, 1}, lookCaution)
	c.write(r.x, r.y, r.x+r.w, upperText(heading), lookCaution)
	rest := m.backButton(c, rect{r.x, r.y + 1, r.w, r.h - 1})
	step := 1
	if rest.h >= 2*len(steps) {
		step = 2
	}
	for i, s := range steps {
		c.write(rest.x, rest.y+i*step+step-1, rest.x+rest.w, fmt.Sprintf("%d. %s", i+1, s), lookStrong)
	}
}

// drawWhy draws the reasons behind the question, a page at a time.
func (m *model) drawWhy(c *canvas, r rect) {
	lines := append([]string{}, m.question.Help...)
	if m.trial != nil && m.flow.Outlook.Next != nil && m.question.Stage == session.ClimbStage {
		lines = append(append(lines, ""), Why(m.flow.Trial, m.flow.Outlook)...)
	}
	if len(lines) == 0 {
		lines = []string{"There is nothing more to say here."}
	}
	area := rect{r.x, r.y, r.w - safeWidth, r.h}
	rest := m.backButton(c, r)
	area.h = rest.h
	if m.Options.Left {
		area.x += safeWidth
	}
	var wrapped []string
	for _, line := range lines {
		wrapped = append(wrapped, wrap(line, area.w)...)
	}
	pages := max((len(wrapped)+area.h-1)/max(area.h, 1), 1)
	first := m.page % pages * area.h
	for i, line := range wrapped[first:min(first+area.h, len(wrapped))] {
		c.write(area.x, area.y+i, area.x+area.w, line, lookText)
	}
	if pages > 1 {
		c.button(rect{r.x, rest.y + rest.h, r.w/2 - 2, 5}, keys.More.Help().Key, fmt.Sprintf("Page %d of %d", m.page%pages+1, pages), lookButton)
	}
}

// drawPicturePage draws the cable in the duct, before there are pushes to map. It
// reports whether the job says enough for that.
func (m *model) drawPicturePage(c *canvas, r rect) bool {
	at := rect{r.x, r.y + 3, r.w, r.h - 3 - 5}
	if !c.drawPicture(at, m.flow) {
		return false
	}
	m.backButton(c, r)
	return true
}

// drawMapPage draws the map, and a page further the fold chance against speed.
func (m *model) drawMapPage(c *canvas, r rect) {
	rest := m.backButton(c, r)
	rest.w -= safeWidth
	if m.Options.Left {
		rest.x += safeWidth
	}
	other := rect{r.x, r.y + r.h - 5, r.w/2 - 2, 5}
	if m.page%2 == 1 {
		c.button(other, keys.More.Help().Key, "Map", lookButton)
		c.drawFoldPlot(rest, m.flow, m.plot)
		return
	}
	c.button(other, keys.More.Help().Key, "Fold chance by speed", lookButton)
	c.drawMap(rest, m.flow)
}
