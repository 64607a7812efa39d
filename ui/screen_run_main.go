package ui

import (
	"strings"

	"brinkmark/ui/draw"
)

// drawBig draws a question with figures to be read at arm's length. What must be read comes
// before how large: where the lines need the room, figures shrink to one line.
func (m *model) drawBig(c *draw.Canvas, r draw.Rect) {
	rest := m.alarmLine(c, r)
	need := m.bodyTall(rest.W)
	const buttons = 5
	style := c.FigureStyle(m.question.Big, rest.W, rest.H-buttons-min(need, rest.H))
	over := func(room int) int {
		if fits := c.FigureStyle(m.question.Big, rest.W, room-need); fits.Tall <= room {
			return fits.Tall
		}
		return c.FigureStyle(m.question.Big, rest.W, 0).Tall
	}
	above, page := m.choices(c, rest, max(min(need+style.Tall, rest.H-buttons), 0), over)
	if style = c.FigureStyle(m.question.Big, rest.W, above.H-need); style.Tall > above.H {
		style = c.FigureStyle(m.question.Big, rest.W, 0)
	}
	style.Draw(c, above, m.question.Big)
	below := style.Tall
	if need+below < above.H {
		below++ // a gap
	}
	m.body(c, draw.Area(above.X, above.Y+below, above.W, above.H-below), page)
}

// alarmLine draws what to do now, as an alarm where it is one, and returns what is left.
func (m *model) alarmLine(c *draw.Canvas, r draw.Rect) draw.Rect {
	if strings.HasPrefix(m.question.Title, "!!") {
		title := draw.Area(r.X, r.Y, r.W-safeWidth, 3)
		if m.Options.Left {
			title.X += safeWidth
		}
		c.Fill(title, draw.LookCaution)
		c.Paragraph(title, m.question.Title, draw.LookCaution)
		return draw.Area(r.X, r.Y+3, r.W, r.H-3)
	}
	return m.headline(c, r)
}
