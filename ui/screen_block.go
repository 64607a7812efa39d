package ui

import (
	"strconv"

	"brinkmark/ui/draw"
)

// drawBlock draws the checks of one place with the state each must be in. Touching
// a line says that it is not so.
func (m *model) drawBlock(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	n := len(m.question.Rows)
	tall := min(max(rest.H-n-1, 3), 7)
	lines := draw.Area(rest.X, rest.Y, rest.W, rest.H-tall)
	height := min(max(lines.H/(n+1), 1), 3)
	c.Write(lines.X, lines.Y, lines.X+lines.W, "Not so? Its number.", draw.LookText)
	ask := 0
	for _, row := range m.question.Rows {
		ask = max(ask, len(row[0]))
	}
	ask = min(ask, lines.W*3/5)
	for i, row := range m.question.Rows {
		y := lines.Y + 1 + i*height
		if y >= lines.Y+lines.H {
			break
		}
		c.Targets = append(c.Targets, draw.Target{Rect: draw.Area(lines.X, y, lines.W, height), Key: strconv.Itoa(i + 2)})
		c.Write(lines.X, y, lines.X+3, strconv.Itoa(i+2), draw.LookText)
		c.Write(lines.X+3, y, lines.X+3+ask, row[0], draw.LookText)
		c.Write(lines.X+4+ask, y, lines.X+lines.W, row[1], draw.LookStrong)
	}
	m.buttonRow(c, draw.Area(rest.X, rest.Y+rest.H-tall, rest.W, tall), []int{0})
}
