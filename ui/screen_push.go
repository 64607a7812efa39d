package ui

import "brinkmark/session"

// drawPush draws the one screen nobody touches.
func (m *model) drawPush(c *canvas, r rect) {
	rest := m.headline(c, r)
	lines := append([]string{}, m.question.Body...)
	lines = append(lines, "The next question comes by itself.", "")
	for _, s := range session.Signs()[:3] {
		lines = append(lines, upperText(s.Outcome)+": belts "+s.Belts+"; line "+s.Line+".")
	}
	c.text(rest, lines)
}
