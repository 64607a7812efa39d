package ui

import (
	"brinkmark/ui/draw"
)

// drawReachPicture draws a picture over the ways on.
func (m *model) drawReachPicture(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.H-5, 0))
	lines := m.question.Picture(above.W, above.H)
	if lines == nil {
		lines = []string{"Too small to draw here."}
	}
	c.Picture(above, lines)
}
