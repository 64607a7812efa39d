package ui

import (
	"strings"

	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// drawQuestion draws any question that has no screen of its own: what to do, the
// setting it is about in figures to be read at arm's length, what one must know,
// and the ways on.
func (m *model) drawQuestion(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	need := 0
	for _, line := range m.question.Body {
		need += len(words.Wrap(line, rest.W))
	}
	const buttons = 5
	if m.question.ID == "dial" || need+figuresTall+buttons <= rest.H { // what must be read comes before how large
		rest = m.figures(c, rest)
	}
	above := m.buttons(c, rest, max(min(need, rest.H-buttons), 0))
	if m.question.ID == "dial" && c.W >= mapBeside && above.H >= 10 {
		half := above.W / 2
		c.Map(draw.Area(above.X+half+2, above.Y, above.W-half-2, above.H), m.flow.Trial, m.flow.Outlook)
		above.W = half
	}
	m.body(c, above)
}

// body draws what one must know, a page at a time when it does not fit: nothing
// that is needed to be safe is cut.
func (m *model) body(c *draw.Canvas, r draw.Rect) {
	var lines []string
	var looks []draw.Look
	for _, line := range m.question.Body {
		l := draw.LookText
		if strings.HasPrefix(line, "!") {
			l = draw.LookStrong
		}
		for _, part := range words.Wrap(line, r.W) {
			lines, looks = append(lines, part), append(looks, l)
		}
	}
	if r.H < 1 {
		return
	}
	pages := max((len(lines)+r.H-1)/r.H, 1)
	page := m.page % pages
	c.Paged, c.Unread = c.Paged || pages > 1, page < pages-1
	for i := page * r.H; i < min((page+1)*r.H, len(lines)); i++ {
		c.Write(r.X, r.Y+i-page*r.H, r.X+r.W, lines[i], looks[i])
	}
}

// mapBeside is the width from which the map stands beside the setting.
const mapBeside = 100

const figuresTall = 4

// figures draws the setting a question is about and returns what is left below.
func (m *model) figures(c *draw.Canvas, r draw.Rect) draw.Rect {
	if m.question.Setting == nil {
		return r
	}
	s := *m.question.Setting
	x := r.X + 1
	x += c.Block(x, r.Y, m.flow.Trial.Rig.ShowGrip(s.Grip), draw.LookStrong) + 4
	c.Block(x, r.Y, m.flow.Trial.Rig.ShowSpeed(s.Speed.Value), draw.LookStrong)
	return draw.Area(r.X, r.Y+figuresTall, r.W, r.H-figuresTall)
}
