package ui

import "brinkmark/session"

// mapBeside is the width from which the map stands beside the setting.
const mapBeside = 100

// drawDial draws the next setting in figures to be read at arm's length, why this
// one, and the press that starts the push.
func (m *model) drawDial(c *canvas, r rect) {
	rest := m.headline(c, r)
	s := *m.question.Setting
	digits := rect{rest.x, rest.y, rest.w, 3}
	x := digits.x + 1
	x += c.block(x, digits.y, m.flow.Trial.Rig.ShowGrip(s.Grip), lookStrong) + 4
	c.block(x, digits.y, m.flow.Trial.Rig.ShowSpeed(s.Speed.Value), lookStrong)
	rest.y, rest.h = rest.y+4, rest.h-4
	above := m.buttons(c, rest, 2)
	if c.w >= mapBeside && above.h >= 10 {
		half := above.w / 2
		c.drawMap(rect{above.x + half + 2, above.y, above.w - half - 2, above.h}, m.flow)
		above.w = half
	}
	c.text(above, m.question.Body)
}

// drawPush draws the one screen nobody touches.
func (m *model) drawPush(c *canvas, r rect) {
	rest := m.headline(c, r)
	lines := append([]string{}, m.question.Body...)
	lines = append(lines, "", "The question comes by itself.")
	c.text(rest, lines)
	mid := rest.y + rest.h/2
	for i, s := range session.Signs()[:3] {
		if y := mid + 2*i; y < rest.y+rest.h {
			c.write(rest.x, y, rest.x+rest.w, upperText(s.Outcome)+": belts "+s.Belts+"; line "+s.Line, lookText)
		}
	}
}
