package ui

// drawQuestion draws any question that has no screen of its own: what to do, what
// one must know, and the ways on.
func (m *model) drawQuestion(c *canvas, r rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, min(len(m.question.Body), max(rest.h/3, 2)))
	c.text(above, m.question.Body)
}
