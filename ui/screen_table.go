package ui

import (
	"brinkmark/ui/draw"
)

// drawTable draws a page with a table over the ways on.
func (m *model) drawTable(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.H-5, 0))
	used := c.Text(draw.Area(above.X, above.Y, above.W, above.H/3), m.question.Body)
	c.Table(draw.Area(above.X, above.Y+used, above.W, above.H-used), m.question.Table, m.page)
}
