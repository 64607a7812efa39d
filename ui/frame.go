package ui

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// View is what the screen says. It reads nothing but the model and changes nothing.
func (m *model) View() string { return m.draw().String() }

func (m *model) draw() *draw.Canvas {
	c := draw.NewCanvas(m.w, m.h, m.shown().ASCII)
	if m.w < draw.LeastWidth || m.h < draw.LeastHeight {
		c.Paragraph(draw.Area(0, 0, m.w, m.h), fmt.Sprintf("Make the window larger: %d x %d at least. Nothing is lost.", draw.LeastWidth, draw.LeastHeight), draw.LookText)
		return c
	}
	m.drawBody(c, m.frame(c))
	m.keyLine(c)
	return c
}

func (m *model) drawBody(c *draw.Canvas, body draw.Rect) {
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
		} else if m.question.Scene != nil {
			m.drawScene(c, body)
		} else if m.question.Picture != nil {
			m.drawReachPicture(c, body)
		} else if m.question.Wait != nil {
			m.drawWait(c, body)
		} else if draw, ok := screens[m.question.ID]; ok {
			draw(m, c, body)
		} else if m.question.Table != nil {
			m.drawTable(c, body)
		} else if m.question.Big != nil {
			m.drawBig(c, body)
		} else {
			m.drawQuestion(c, body)
		}
	}
}

// screens are the questions that are drawn in a way of their own; every other is
// drawn by drawQuestion.
var screens = map[string]func(*model, *draw.Canvas, draw.Rect){
	"push":        (*model).drawPush,
	"block":       (*model).drawBlock,
	"review-list": (*model).drawReviewList,
	"review-one":  (*model).drawReviewOne,
	"review-map":  (*model).drawReviewMap,
}

// frame draws what every screen has, the top line, the make-safe target and the
// keys, and returns the rest.
func (m *model) frame(c *draw.Canvas) draw.Rect {
	c.Fill(draw.Area(0, 0, c.W, 1), draw.LookBar)
	if bar := m.barText(); lipgloss.Width(bar) <= c.W-2 {
		c.Write(1, 0, c.W-1, bar, draw.LookBar)
	} else {
		c.Paragraph(draw.Area(1, 0, c.W-2, 1), bar, draw.LookBar)
	}
	if m.overlay != makeSafeOverlay {
		c.Button(m.safeRect(c), m.safeKey(), "MAKE SAFE", draw.LookCaution)
	}
	rest := draw.Area(1, 1, c.W-2, c.H-2)
	if line := m.failure; line != "" {
		line = "! " + line
		rows := min(len(words.Wrap(line, c.W-2)), 3)
		c.Fill(draw.Area(0, c.H-1-rows, c.W, rows), draw.LookCaution)
		c.Paragraph(draw.Area(1, c.H-1-rows, c.W-2, rows), line, draw.LookCaution)
		rest.H -= rows
	}
	return rest
}

const safeWidth = 15

// safeKey is the key of the make-safe card here: a letter, but where letters are
// typed a sign that no value has.
func (m *model) safeKey() string {
	if m.entering() {
		return ask.Keys.MakeSafe.Keys()[1]
	}
	return ask.Keys.MakeSafe.Keys()[0]
}

// entering reports whether characters go into a value.
func (m *model) entering() bool {
	return m.overlay == entryOverlay || m.overlay == noOverlay && m.asksValue()
}

func (m *model) safeRect(c *draw.Canvas) draw.Rect {
	if m.Options.Left {
		return draw.Area(0, 1, safeWidth, 3)
	}
	return draw.Area(c.W-safeWidth, 1, safeWidth, 3)
}

func (m *model) barText() string {
	if m.trial == nil {
		return strings.TrimSpace(cmp.Or(strings.ToUpper(m.question.Where()), "brinkmark") + "  " + m.question.About)
	}
	r := m.flow.Record
	warm := r.Conditions.CableTemperature.String()
	if read, at := m.flow.Trial.TemperatureRead(); at.After(m.flow.Trial.Started) {
		warm = read
	}
	return strings.ToUpper(m.question.Where()) + "  " + words.Join(r.Cable.Make, r.Cable.Type, r.Duct.Size, warm)
}

func (m *model) waiting() string {
	if m.trial == nil {
		return "Working …"
	}
	return "Writing …"
}

// keyLine draws the keys that do something here; each can be touched too. While
// something is being done there is none, and the line says so.
func (m *model) keyLine(c *draw.Canvas) {
	y := c.H - 1
	if m.busy {
		c.Fill(draw.Area(0, y, c.W, 1), draw.LookCaution)
		c.Write(1, y, c.W-1, m.waiting(), draw.LookCaution)
		return
	}
	c.Fill(draw.Area(0, y, c.W, 1), draw.LookBar)
	keys, wide := m.liveKeys(c.Paged), 0
	for _, b := range keys {
		wide += lipgloss.Width(keyText(b))
	}
	gap := 1 // all of them rather than room between
	for gap < 3 && wide+(gap+1)*(len(keys)-1) <= c.W {
		gap++
	}
	x := max(min(1, c.W-wide-gap*(len(keys)-1)), 0)
	for _, b := range keys {
		w := lipgloss.Width(keyText(b))
		if x+w > c.W {
			return
		}
		c.Targets = append(c.Targets, draw.Target{Rect: draw.Area(x, y, w, 1), Key: b.Keys()[0]})
		x = c.Write(x, y, c.W, keyText(b), draw.LookBar) + gap
	}
}

func keyText(b key.Binding) string { return b.Help().Key + " " + b.Help().Desc }

func (m *model) liveKeys(paged bool) []key.Binding {
	switch {
	case m.handsOff() && m.overlay == noOverlay:
		return nil
	case m.entering():
		other := ask.Keys.Other
		if m.overlay != entryOverlay && len(m.question.Shown()) == 0 { // see leaveEntry
			other.SetHelp(other.Help().Key, words.YesNo(m.Keeper.Home == nil || m.asksBeforeLeaving() >= 0, "leave", "start page"))
		}
		return []key.Binding{ask.Keys.Accept, ask.Keys.Delete, other}
	case m.overlay != noOverlay:
		return []key.Binding{ask.Keys.Back}
	}
	live := []key.Binding{ask.Keys.Why}
	if paged {
		live = append(live, ask.Keys.More)
	}
	if m.trial != nil {
		live = append(live, ask.Keys.Undo, ask.Keys.Map)
	}
	for _, c := range m.question.Choices {
		if c.Also != nil && c.Also != &ask.Keys.Leave && !(c.Also == &ask.Keys.More && paged) {
			live = append(live, *c.Also)
		}
	}
	if m.question.Enter != nil {
		enter := ask.Keys.Enter
		if m.question.Lettered() {
			enter.SetHelp("0-9", enter.Help().Desc)
		}
		live = append(live, enter)
	}
	return append(live, ask.Keys.Options, ask.Keys.Leave)
}

// headline draws what to do now beside the make-safe target and returns what is
// left below it.
func (m *model) headline(c *draw.Canvas, r draw.Rect) draw.Rect {
	title := draw.Area(r.X, r.Y, r.W-safeWidth, 3)
	if m.Options.Left {
		title.X += safeWidth
	}
	c.Paragraph(title, m.question.Title, draw.LookStrong)
	return draw.Area(r.X, r.Y+3, r.W, r.H-3)
}
