package ui

import (
	"strings"

	"brinkmark/session"
	"brinkmark/ui/draw"
)

// drawPush draws the one screen nobody touches.
func (m *model) drawPush(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	lines := append([]string{}, m.question.Body...)
	lines = append(lines, "The next question comes by itself.", "")
	for _, s := range session.Signs()[:3] {
		lines = append(lines, strings.ToUpper(s.Outcome)+": belts "+s.Belts+"; line "+s.Line+".")
	}
	c.Text(rest, lines)
}
