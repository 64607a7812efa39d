package ui

import "strconv"

// drawBlock draws the checks of one place with the state each must be in. Touching
// a line says that it is not so.
func (m *model) drawBlock(c *canvas, r rect) {
	rest := m.headline(c, r)
	n := len(m.question.Rows)
	tall := min(max(rest.h-n-1, 3), 7)
	lines := rect{rest.x, rest.y, rest.w, rest.h - tall}
	height := min(max(lines.h/(n+1), 1), 3)
	c.write(lines.x, lines.y, lines.x+lines.w, "Not so? Its number.", lookText)
	ask := 0
	for _, row := range m.question.Rows {
		ask = max(ask, len(row[0]))
	}
	ask = min(ask, lines.w*3/5)
	for i, row := range m.question.Rows {
		y := lines.y + 1 + i*height
		if y >= lines.y+lines.h {
			break
		}
		c.targets = append(c.targets, target{rect{lines.x, y, lines.w, height}, strconv.Itoa(i + 2)})
		c.write(lines.x, y, lines.x+3, strconv.Itoa(i+2), lookText)
		c.write(lines.x+3, y, lines.x+3+ask, row[0], lookText)
		c.write(lines.x+4+ask, y, lines.x+lines.w, row[1], lookStrong)
	}
	m.buttonRow(c, rect{rest.x, rest.y + rest.h - tall, rest.w, tall}, []int{0})
}
