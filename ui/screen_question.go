package ui

import (
	"slices"
	"strings"

	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// drawQuestion draws any question that has no screen of its own: what to do, the
// setting it is about in figures to be read at arm's length, what one must know,
// and the ways on.
func (m *model) drawQuestion(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	need := m.bodyTall(rest.W)
	const buttons = 5
	ends := rest.H - m.endings(draw.NewCanvas(c.W, c.H, false), rest).H
	if need+figuresTall+ends+buttons <= rest.H || m.question.ID == "dial" && !m.warns() { // what must be read comes before how large
		rest = m.figures(c, rest)
	}
	above, page := m.choices(c, rest, max(min(need, rest.H-buttons), 0), nothing)
	half := above.W / 2
	if m.question.ID == "dial" && c.W >= mapBeside && above.H >= max(m.bodyTall(half), 10) { // one page of text, or no map
		c.Map(draw.Area(above.X+half+2, above.Y, above.W-half-2, above.H), m.flow.Trial, m.flow.Outlook)
		above.W = half
	}
	m.body(c, above, page)
}

// choices draws the ways on as buttons. It returns what is left above them, as much of it on
// every page, since else a line could fall between two pages; and which page of the text is
// to stand there. Ways on that are a page further come behind the last page of the text, so
// that what one comes here to do stays where it is while one reads. figures is what is drawn
// over the text, of so much room.
func (m *model) choices(c *draw.Canvas, r draw.Rect, keep int, figures func(room int) int) (above draw.Rect, page int) {
	front, back := *m, *m
	front.page, back.page = 0, 1
	tried := draw.NewCanvas(c.W, c.H, false)
	room := min(front.buttons(tried, r, keep).H, back.buttons(tried, r, keep).H)
	pages := 1
	if left := room - figures(room); left > 0 {
		pages = max((m.bodyTall(r.W)+left-1)/left, 1)
	}
	shown, page := m, m.page%pages
	if tried.Paged && len(m.question.Shown()) <= mostDigits {
		shown, page = &front, m.page%(pages+1)
		if page == pages {
			shown, page = &back, 0
		}
	}
	above = shown.buttons(c, r, keep)
	above.H = room
	return above, page
}

// bodyTall is how many lines the text of a question takes.
func (m *model) bodyTall(width int) int {
	tall := 0
	for _, line := range m.question.Body {
		tall += len(words.Wrap(line, width))
	}
	return tall
}

func nothing(int) int { return 0 }

// warns reports whether a question has something that must be read.
func (m *model) warns() bool {
	return slices.ContainsFunc(m.question.Body, func(line string) bool { return strings.HasPrefix(line, "!") })
}

// body draws a page of what one must know: nothing that is needed to be safe is cut.
func (m *model) body(c *draw.Canvas, r draw.Rect, page int) {
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
	from, to := min(page*r.H, len(lines)), min((page+1)*r.H, len(lines))
	c.Paged, c.Unread = c.Paged || len(lines) > r.H, slices.Contains(looks[to:], draw.LookStrong)
	for i := from; i < to; i++ {
		c.Write(r.X, r.Y+i-from, r.X+r.W, lines[i], looks[i])
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
