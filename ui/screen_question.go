package ui

import "strings"

// drawQuestion draws any question that has no screen of its own: what to do, the
// setting it is about in figures to be read at arm's length, what one must know,
// and the ways on.
func (m *model) drawQuestion(c *canvas, r rect) {
	rest := m.headline(c, r)
	need := 0
	for _, line := range m.question.Body {
		need += len(wrap(line, rest.w))
	}
	const buttons = 5
	if m.question.ID == "dial" || need+figuresTall+buttons <= rest.h { // what must be read comes before how large
		rest = m.figures(c, rest)
	}
	above := m.buttons(c, rest, max(min(need, rest.h-buttons), 0))
	if m.question.ID == "dial" && c.w >= mapBeside && above.h >= 10 {
		half := above.w / 2
		c.drawMap(rect{above.x + half + 2, above.y, above.w - half - 2, above.h}, m.flow)
		above.w = half
	}
	m.body(c, above)
}

// body draws what one must know, a page at a time when it does not fit: nothing
// that is needed to be safe is cut.
func (m *model) body(c *canvas, r rect) {
	var lines []string
	var looks []look
	for _, line := range m.question.Body {
		l := lookText
		if strings.HasPrefix(line, "!") {
			l = lookStrong
		}
		for _, part := range wrap(line, r.w) {
			lines, looks = append(lines, part), append(looks, l)
		}
	}
	if r.h < 1 {
		return
	}
	pages := max((len(lines)+r.h-1)/r.h, 1)
	page := m.page % pages
	c.paged, c.unread = c.paged || pages > 1, page < pages-1
	for i := page * r.h; i < min((page+1)*r.h, len(lines)); i++ {
		c.write(r.x, r.y+i-page*r.h, r.x+r.w, lines[i], looks[i])
	}
}

// mapBeside is the width from which the map stands beside the setting.
const mapBeside = 100

const figuresTall = 4

// figures draws the setting a question is about and returns what is left below.
func (m *model) figures(c *canvas, r rect) rect {
	if m.question.Setting == nil {
		return r
	}
	s := *m.question.Setting
	x := r.x + 1
	x += c.block(x, r.y, m.flow.Trial.Rig.ShowGrip(s.Grip), lookStrong) + 4
	c.block(x, r.y, m.flow.Trial.Rig.ShowSpeed(s.Speed.Value), lookStrong)
	return rect{r.x, r.y + figuresTall, r.w, r.h - figuresTall}
}
