// Package draw draws a screen cell by cell, and plots, maps and pictures in characters. It
// is handed what to draw, and knows neither questions nor keys.
package draw

import (
	"cmp"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"brinkmark/ui/words"
)

// Below this size nothing can be read at arm's length, and one line says so.
const (
	LeastWidth  = 40
	LeastHeight = 12
)

// Rect is a part of the screen in cells.
type Rect struct{ X, Y, W, H int }

// Area is the part w wide and h high whose first cell is at x, y.
func Area(x, y, w, h int) Rect { return Rect{x, y, w, h} }

// Holds reports whether a cell lies in it.
func (r Rect) Holds(x, y int) bool { return x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H }

// cell is one character and how it looks. A rune of 0 continues a wide one.
type cell struct {
	r    rune
	look Look
}

// Canvas is a screen under construction: exactly w × h cells. Whatever is drawn
// outside is cut, so no layout can overflow a terminal.
type Canvas struct {
	W, H    int
	cells   []cell
	Targets []Target
	ascii   bool
	Paged   bool // something is a page further
	Unread  bool // some of the text is
}

// Target is a part of the screen that can be touched, and the key that does the
// same.
type Target struct {
	Rect
	Key string
}

// NewCanvas is an empty screen; ascii keeps it to plain letters.
func NewCanvas(w, h int, ascii bool) *Canvas {
	c := &Canvas{W: w, H: h, cells: make([]cell, w*h), ascii: ascii}
	for i := range c.cells {
		c.cells[i] = cell{' ', LookText}
	}
	return c
}

func (c *Canvas) set(x, y int, r rune, l Look) {
	if x >= 0 && x < c.W && y >= 0 && y < c.H {
		c.cells[y*c.W+x] = cell{r, l}
	}
}

// Write draws one line of text, cut at right, and returns the column after it.
func (c *Canvas) Write(x, y, right int, text string, l Look) int {
	right = min(right, c.W)
	if c.ascii {
		text = words.ASCII(text)
	}
	for _, r := range words.Clean(text) {
		w := words.CellWidth(r)
		if w == 0 || r == '\n' {
			continue
		}
		if x+w > right {
			return x
		}
		c.set(x, y, r, l)
		if w == 2 {
			c.set(x+1, y, 0, l)
		}
		x += w
	}
	return x
}

// Fill paints a part of the screen with one look.
func (c *Canvas) Fill(r Rect, l Look) {
	for y := r.Y; y < r.Y+r.H; y++ {
		for x := r.X; x < r.X+r.W; x++ {
			c.set(x, y, ' ', l)
		}
	}
}

// Paragraph draws wrapped text into a part of the screen and returns how many rows
// it took. What does not fit is cut with an ellipsis: the whole is on the help page.
func (c *Canvas) Paragraph(r Rect, text string, l Look) int {
	lines := words.Wrap(text, r.W)
	for i, line := range lines {
		if i >= r.H {
			return r.H
		}
		if i == r.H-1 && len(lines) > r.H {
			mark := " …"
			if c.ascii {
				mark = words.ASCII(mark)
			}
			room := max(r.W-lipgloss.Width(mark), 1) // cut at a word: half a number is another number
			line = strings.TrimRight(words.ClipTo(words.Wrap(line, room)[0], room), " ") + mark
		}
		c.Write(r.X, r.Y+i, r.X+r.W, line, l)
	}
	return len(lines)
}

// Box draws a frame: in plain ASCII, which is for lines that are slow, its corners.
func (c *Canvas) Box(r Rect, l Look) {
	corners := []rune("++++")
	if !c.ascii {
		corners = []rune("┌┐└┘")
		for x := r.X + 1; x < r.X+r.W-1; x++ {
			c.set(x, r.Y, '─', l)
			c.set(x, r.Y+r.H-1, '─', l)
		}
		for y := r.Y + 1; y < r.Y+r.H-1; y++ {
			c.set(r.X, y, '│', l)
			c.set(r.X+r.W-1, y, '│', l)
		}
	}
	c.set(r.X, r.Y, corners[0], l)
	c.set(r.X+r.W-1, r.Y, corners[1], l)
	c.set(r.X, r.Y+r.H-1, corners[2], l)
	c.set(r.X+r.W-1, r.Y+r.H-1, corners[3], l)
}

// Button draws a target: its key, its label, and a frame that is there without
// colour too. A low one has no frame.
func (c *Canvas) Button(r Rect, key, label string, l Look) {
	if r.W < 3 || r.H < 1 {
		return
	}
	c.Targets = append(c.Targets, Target{r, key})
	if text := key + "  " + label; r.H == 2 && lipgloss.Width(text) > r.W {
		c.Paragraph(r, text, LookText)
		return
	} else if r.H < 3 {
		c.Write(r.X, r.Y, r.X+r.W, text, LookText)
		return
	}
	c.Fill(r, l)
	c.Box(r, l)
	if len(key) == 1 || key == "enter" || key == "esc" {
		c.Write(r.X+2, r.Y, r.X+r.W-1, " "+key+" ", l)
	}
	lines := words.Wrap(label, r.W-4)
	lines = lines[:min(len(lines), r.H-2)]
	top := r.Y + 1 + (r.H-2-len(lines))/2
	for i, line := range lines {
		indent := (r.W - 4 - lipgloss.Width(line)) / 2
		c.Write(r.X+2+max(indent, 0), top+i, r.X+r.W-2, line, l)
	}
}

// String is the canvas as lines of text.
func (c *Canvas) String() string {
	var b strings.Builder
	for i, cell := range c.cells {
		if i > 0 && i%c.W == 0 {
			b.WriteByte('\n')
		}
		if cell.r != 0 {
			b.WriteRune(cell.r)
		}
	}
	return b.String()
}

// PadButton draws a target of the pad, on a low screen its label alone.
func (c *Canvas) PadButton(r Rect, key, label string) {
	if r.H >= 3 {
		c.Button(r, key, label, LookButton)
		return
	}
	c.Targets = append(c.Targets, Target{r, key})
	c.Write(r.X, r.Y, r.X+r.W, cmp.Or(label, key), LookStrong)
}

// Text draws lines until they or the rows run out and returns the rows used.
func (c *Canvas) Text(r Rect, lines []string) int {
	y := r.Y
	for _, line := range lines {
		if y >= r.Y+r.H {
			break
		}
		l := LookText
		if strings.HasPrefix(line, "!") {
			l = LookStrong
		}
		y += c.Paragraph(Rect{r.X, y, r.W, r.Y + r.H - y}, line, l)
	}
	return y - r.Y
}

// Drawn draws a picture, or says it in words where there is no room for it.
func (c *Canvas) Drawn(r Rect, picture *Canvas, words []string) {
	if picture == nil {
		c.Text(r, words)
		return
	}
	c.paste(r, picture)
}

// Picture writes lines as they are, cut at the right.
func (c *Canvas) Picture(r Rect, lines []string) {
	for i, line := range lines[:min(len(lines), max(r.H, 0))] {
		c.Write(r.X, r.Y+i, r.X+r.W, line, LookText)
	}
}
