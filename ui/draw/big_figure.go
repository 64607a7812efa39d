package draw

import (
	"strings"

	"brinkmark/ui/words"
)

// BigFigure is a figure to be read at arm's length, and what it is.
type BigFigure struct{ Caption, Text string }

// bigStyle is how big figures are drawn: rows of so many in block digits so many times as
// large, or for no row one line.
type bigStyle struct{ across, times, Tall int }

// bigTall is how tall a row of digits so many times as large is, with its caption over it.
func bigTall(times int) int { return 1 + 3*times }

// FigureStyle is the largest style that fits into a width and height; one line at least.
func (c *Canvas) FigureStyle(figures []BigFigure, w, h int) bigStyle {
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
	return bigStyle{Tall: len(words.Wrap(BigLine(figures), w))}
}

// bigWidth is the width of the widest row.
func bigWidth(figures []BigFigure, across, times int) int {
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

func (f BigFigure) width(times int) int {
	number, unit, _ := strings.Cut(f.Text, " ")
	w := len([]rune(unit))
	if unit == "" {
		w = -times // nothing after the last digit's gap
	}
	for _, r := range number {
		w += times * (len([]rune(blockDigits[r][0])) + 1)
	}
	return max(w, len([]rune(f.Caption)))
}

func (s bigStyle) Draw(c *Canvas, r Rect, figures []BigFigure) {
	if s.across == 0 {
		c.Paragraph(Rect{r.X, r.Y, r.W, s.Tall}, BigLine(figures), LookStrong)
		return
	}
	x := r.X
	for i, f := range figures {
		if i%s.across == 0 {
			x = r.X
		}
		y := r.Y + i/s.across*bigTall(s.times)
		c.Write(x, y, c.W, f.Caption, LookText)
		if s.times == 1 {
			c.Block(x, y+1, f.Text, LookStrong)
		} else {
			c.blockTwice(x, y+1, f.Text)
		}
		x += f.width(s.times) + bigGap
	}
}

// doubled is each cell of a block digit as two rows of cells twice as wide.
var doubled = map[rune][2]string{'█': {"██", "██"}, '▀': {"██", "  "}, '▄': {"  ", "██"}, ' ': {"  ", "  "}}

// blockTwice writes a number in block digits twice as large, and its unit.
func (c *Canvas) blockTwice(x, y int, text string) {
	number, unit, _ := strings.Cut(text, " ")
	for _, r := range number {
		w := 0
		for i, row := range blockDigits[r] {
			at := x
			for _, cell := range row {
				for half, part := range doubled[cell] {
					c.Write(at, y+2*i+half, c.W, part, LookStrong)
				}
				at += 2
			}
			w = max(w, at-x)
		}
		x += w + 2
	}
	c.Write(x, y+4, c.W, unit, LookStrong)
}

// BigLine says the figures in one line.
func BigLine(figures []BigFigure) string {
	var said []string
	for _, f := range figures {
		said = append(said, f.Text+" "+f.Caption)
	}
	return strings.Join(said, "   ")
}
