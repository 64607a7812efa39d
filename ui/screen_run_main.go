package ui

import "strings"

// drawBig draws a question with figures to be read at arm's length. What must be read comes
// before how large: where the lines need the room, figures shrink to one line.
func (m *model) drawBig(c *canvas, r rect) {
	rest := m.alarmLine(c, r)
	need := 0
	for _, line := range m.question.Body {
		need += len(wrap(line, rest.w))
	}
	const buttons = 5
	style := c.figureStyle(m.question.big, rest.w, rest.h-buttons-min(need, rest.h))
	above := m.buttons(c, rest, max(min(need+style.tall, rest.h-buttons), 0))
	if style = c.figureStyle(m.question.big, rest.w, above.h-need); style.tall > above.h {
		style = c.figureStyle(m.question.big, rest.w, 0)
	}
	style.draw(c, above, m.question.big)
	m.body(c, rect{above.x, above.y + style.tall, above.w, above.h - style.tall})
}

// alarmLine draws what to do now, as an alarm where it is one, and returns what is left.
func (m *model) alarmLine(c *canvas, r rect) rect {
	if strings.HasPrefix(m.question.Title, "!!") {
		title := rect{r.x, r.y, r.w - safeWidth, 3}
		if m.Options.Left {
			title.x += safeWidth
		}
		c.fill(title, lookCaution)
		c.paragraph(title, m.question.Title, lookCaution)
		return rect{r.x, r.y + 3, r.w, r.h - 3}
	}
	return m.headline(c, r)
}

// bigStyle is how big figures are drawn: rows of so many in block digits so many times as
// large, or for no row one line.
type bigStyle struct{ across, times, tall int }

// bigTall is how tall a row of digits so many times as large is, with its caption over it.
func bigTall(times int) int { return 1 + 3*times }

// figureStyle is the largest style that fits into a width and height; one line at least.
func (c *canvas) figureStyle(figures []bigFigure, w, h int) bigStyle {
	most := 2
	if c.ascii {
		most = 1 // lines cannot be made larger
	}
	for times := most; times > 0; times-- {
		for across := len(figures); across > 0; across-- {
			tall := (len(figures) + across - 1) / across * bigTall(times)
			if bigWidth(figures, across, times) <= w && tall <= h {
				return bigStyle{across, times, tall}
			}
			if times > 1 {
				break // larger, but not in more rows
			}
		}
	}
	return bigStyle{tall: len(wrap(bigLine(figures), w))}
}

// bigWidth is the width of the widest row.
func bigWidth(figures []bigFigure, across, times int) int {
	most := 0
	for from := 0; from < len(figures); from += across {
		w := -bigGap
		for _, f := range figures[from:min(from+across, len(figures))] {
			w += f.width(times) + bigGap
		}
		most = max(most, w)
	}
	return most
}

const bigGap = 2

func (f bigFigure) width(times int) int {
	number, unit, _ := strings.Cut(f.text, " ")
	w := len([]rune(unit))
	if unit == "" {
		w = -times // nothing after the last digit's gap
	}
	for _, r := range number {
		w += times * (len([]rune(blockDigits[r][0])) + 1)
	}
	return max(w, len([]rune(f.caption)))
}

func (s bigStyle) draw(c *canvas, r rect, figures []bigFigure) {
	if s.across == 0 {
		c.paragraph(rect{r.x, r.y, r.w, s.tall}, bigLine(figures), lookStrong)
		return
	}
	x := r.x
	for i, f := range figures {
		if i%s.across == 0 {
			x = r.x
		}
		y := r.y + i/s.across*bigTall(s.times)
		c.write(x, y, c.w, f.caption, lookText)
		if s.times == 1 {
			c.block(x, y+1, f.text, lookStrong)
		} else {
			c.blockTwice(x, y+1, f.text)
		}
		x += f.width(s.times) + bigGap
	}
}

// doubled is each cell of a block digit as two rows of cells twice as wide.
var doubled = map[rune][2]string{'█': {"██", "██"}, '▀': {"██", "  "}, '▄': {"  ", "██"}, ' ': {"  ", "  "}}

// blockTwice writes a number in block digits twice as large, and its unit.
func (c *canvas) blockTwice(x, y int, text string) {
	number, unit, _ := strings.Cut(text, " ")
	for _, r := range number {
		w := 0
		for i, row := range blockDigits[r] {
			at := x
			for _, cell := range row {
				for half, part := range doubled[cell] {
					c.write(at, y+2*i+half, c.w, part, lookStrong)
				}
				at += 2
			}
			w = max(w, at-x)
		}
		x += w + 2
	}
	c.write(x, y+4, c.w, unit, lookStrong)
}

// bigLine says the figures in one line.
func bigLine(figures []bigFigure) string {
	var said []string
	for _, f := range figures {
		said = append(said, f.text+" "+f.caption)
	}
	return strings.Join(said, "   ")
}

// showBig says the figures line by line.
func (p *Plain) showBig(q Question) {
	if len(q.big) > 0 {
		p.say("  " + bigLine(q.big))
	}
}
