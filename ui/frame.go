package ui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"brinkmark/session"
)

// Below this size nothing can be read at arm's length, and one line says so.
const (
	leastWidth  = 40
	leastHeight = 12
)

// View draws the model. It reads nothing else and changes nothing.
func (m *model) View() string { return m.draw().render(m.theme, m.Erases) }

func (m *model) draw() *canvas {
	c := newCanvas(m.w, m.h, m.Options.ASCII)
	if m.w < leastWidth || m.h < leastHeight {
		c.paragraph(rect{0, 0, m.w, m.h}, fmt.Sprintf("Make the window larger: %d x %d at least. Nothing is lost.", leastWidth, leastHeight), lookText)
		return c
	}
	m.drawBody(c, m.frame(c))
	m.keyLine(c)
	return c
}

func (m *model) drawBody(c *canvas, body rect) {
	switch m.overlay {
	case makeSafeOverlay:
		m.drawMakeSafe(c, body)
	case whyOverlay:
		m.drawWhy(c, body)
	case mapOverlay:
		if m.question.Stage == session.JobStage && m.drawPicturePage(c, body) {
			return
		}
		m.drawMapPage(c, body)
	case optionsOverlay:
		m.drawOptions(c, body)
	case entryOverlay:
		m.drawEntry(c, body)
	default:
		if m.asksValue() {
			m.drawEntry(c, body)
		} else if m.question.scene != nil {
			m.drawScene(c, body)
		} else if m.question.picture != nil {
			m.drawReachPicture(c, body)
		} else if m.question.wait != nil {
			m.drawWait(c, body)
		} else if draw, ok := screens[m.question.ID]; ok {
			draw(m, c, body)
		} else if m.question.table != nil {
			m.drawTable(c, body)
		} else if m.question.big != nil {
			m.drawBig(c, body)
		} else {
			m.drawQuestion(c, body)
		}
	}
}

// screens are the questions that are drawn in a way of their own; every other is
// drawn by drawQuestion.
var screens = map[string]func(*model, *canvas, rect){
	"push":        (*model).drawPush,
	"block":       (*model).drawBlock,
	"review-list": (*model).drawReviewList,
	"review-one":  (*model).drawReviewOne,
	"review-map":  (*model).drawReviewMap,
}

// frame draws what every screen has, the top line, the make-safe target and the
// keys, and returns the rest.
func (m *model) frame(c *canvas) rect {
	c.fill(rect{0, 0, c.w, 1}, lookBar)
	c.write(1, 0, c.w-1, m.barText(), lookBar)
	if m.overlay != makeSafeOverlay {
		c.button(m.safeRect(c), m.safeKey(), "MAKE SAFE", lookCaution)
	}
	rest := rect{1, 1, c.w - 2, c.h - 2}
	if line := m.failure; line != "" {
		line = "! " + line
		rows := min(len(wrap(line, c.w-2)), 3)
		c.fill(rect{0, c.h - 1 - rows, c.w, rows}, lookCaution)
		c.paragraph(rect{1, c.h - 1 - rows, c.w - 2, rows}, line, lookCaution)
		rest.h -= rows
	}
	return rest
}

const safeWidth = 15

// safeKey is the key of the make-safe card here: a letter, but where letters are
// typed a sign that no value has.
func (m *model) safeKey() string {
	if m.entering() {
		return keys.MakeSafe.Keys()[1]
	}
	return keys.MakeSafe.Keys()[0]
}

// entering reports whether characters go into a value.
func (m *model) entering() bool {
	return m.overlay == entryOverlay || m.overlay == noOverlay && m.asksValue()
}

func (m *model) safeRect(c *canvas) rect {
	if m.Options.Left {
		return rect{0, 1, safeWidth, 3}
	}
	return rect{c.w - safeWidth, 1, safeWidth, 3}
}

func (m *model) barText() string {
	if m.trial == nil {
		return strings.TrimSpace(either(upperText(m.question.where()), "brinkmark") + "  " + m.question.about)
	}
	r := m.flow.Record
	return strings.ToUpper(m.question.where()) + "  " + join(r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Conditions.CableTemperature.String())
}

func (m *model) waiting() string {
	if m.trial == nil {
		return "Working …"
	}
	return "Writing …"
}

// keyLine draws the keys that do something here; each can be touched too. While
// something is being done there is none, and the line says so.
func (m *model) keyLine(c *canvas) {
	y := c.h - 1
	if m.busy {
		c.fill(rect{0, y, c.w, 1}, lookCaution)
		c.write(1, y, c.w-1, m.waiting(), lookCaution)
		return
	}
	c.fill(rect{0, y, c.w, 1}, lookBar)
	x := 1
	for _, b := range m.liveKeys(c.paged) {
		text := b.Help().Key + " " + b.Help().Desc
		if x+lipgloss.Width(text) > c.w-1 {
			return
		}
		c.targets = append(c.targets, target{rect{x, y, lipgloss.Width(text), 1}, b.Keys()[0]})
		x = c.write(x, y, c.w, text, lookBar) + 3
	}
}

func (m *model) liveKeys(paged bool) []key.Binding {
	switch {
	case m.handsOff() && m.overlay == noOverlay:
		return nil
	case m.entering():
		return []key.Binding{keys.Accept, keys.Delete, keys.Other}
	case m.overlay != noOverlay:
		return []key.Binding{keys.Back}
	}
	live := []key.Binding{keys.Why}
	if paged {
		live = append(live, keys.More)
	}
	if m.trial != nil {
		live = append(live, keys.Undo, keys.Map)
	}
	for _, c := range m.question.Choices {
		if c.also != nil && !(c.also == &keys.More && paged) {
			live = append(live, *c.also)
		}
	}
	if m.question.Enter != nil {
		live = append(live, keys.Enter)
	}
	return append(live, keys.Options, keys.Leave)
}

// headline draws what to do now beside the make-safe target and returns what is
// left below it.
func (m *model) headline(c *canvas, r rect) rect {
	title := rect{r.x, r.y, r.w - safeWidth, 3}
	if m.Options.Left {
		title.x += safeWidth
	}
	c.paragraph(title, m.question.Title, lookStrong)
	return rect{r.x, r.y + 3, r.w, r.h - 3}
}

// text draws lines until they or the rows run out and returns the rows used.
func (c *canvas) text(r rect, lines []string) int {
	y := r.y
	for _, line := range lines {
		if y >= r.y+r.h {
			break
		}
		l := lookText
		if strings.HasPrefix(line, "!") {
			l = lookStrong
		}
		y += c.paragraph(rect{r.x, y, r.w, r.y + r.h - y}, line, l)
	}
	return y - r.y
}
