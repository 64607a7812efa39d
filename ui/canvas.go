package ui

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
)

// rect is a part of the screen in cells.
type rect struct{ x, y, w, h int }

func (r rect) holds(x, y int) bool { return x >= r.x && x < r.x+r.w && y >= r.y && y < r.y+r.h }

// cell is one character and how it looks. A rune of 0 continues a wide one.
type cell struct {
	r    rune
	look look
}

// canvas is a screen under construction: exactly w × h cells. Whatever is drawn
// outside is cut, so no layout can overflow a terminal.
type canvas struct {
	w, h    int
	cells   []cell
	targets []target
	ascii   bool
	paged   bool // something is a page further
	unread  bool // some of the text is
}

// target is a part of the screen that can be touched, and the key that does the
// same.
type target struct {
	rect
	key string
}

func newCanvas(w, h int, ascii bool) *canvas {
	c := &canvas{w: w, h: h, cells: make([]cell, w*h), ascii: ascii}
	for i := range c.cells {
		c.cells[i] = cell{' ', lookText}
	}
	return c
}

func (c *canvas) set(x, y int, r rune, l look) {
	if x >= 0 && x < c.w && y >= 0 && y < c.h {
		c.cells[y*c.w+x] = cell{r, l}
	}
}

// write draws one line of text, cut at right, and returns the column after it.
func (c *canvas) write(x, y, right int, text string, l look) int {
	right = min(right, c.w)
	if c.ascii {
		text = asciiOnly(text)
	}
	for _, r := range Clean(text) {
		w := cellWidth(r)
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

func cellWidth(r rune) int {
	if r < utf8.RuneSelf {
		return 1
	}
	return lipgloss.Width(string(r))
}

// fill paints a part of the screen with one look.
func (c *canvas) fill(r rect, l look) {
	for y := r.y; y < r.y+r.h; y++ {
		for x := r.x; x < r.x+r.w; x++ {
			c.set(x, y, ' ', l)
		}
	}
}

// paragraph draws wrapped text into a part of the screen and returns how many rows
// it took. What does not fit is cut with an ellipsis: the whole is on the help page.
func (c *canvas) paragraph(r rect, text string, l look) int {
	lines := wrap(text, r.w)
	for i, line := range lines {
		if i >= r.h {
			return r.h
		}
		if i == r.h-1 && len(lines) > r.h {
			line = strings.TrimRight(clipTo(line, r.w-2), " ") + " …"
		}
		c.write(r.x, r.y+i, r.x+r.w, line, l)
	}
	return len(lines)
}

// box draws a frame.
func (c *canvas) box(r rect, l look) {
	h, v, corners := '─', '│', []rune("┌┐└┘")
	if c.ascii {
		h, v, corners = '-', '|', []rune("++++")
	}
	for x := r.x + 1; x < r.x+r.w-1; x++ {
		c.set(x, r.y, h, l)
		c.set(x, r.y+r.h-1, h, l)
	}
	for y := r.y + 1; y < r.y+r.h-1; y++ {
		c.set(r.x, y, v, l)
		c.set(r.x+r.w-1, y, v, l)
	}
	c.set(r.x, r.y, corners[0], l)
	c.set(r.x+r.w-1, r.y, corners[1], l)
	c.set(r.x, r.y+r.h-1, corners[2], l)
	c.set(r.x+r.w-1, r.y+r.h-1, corners[3], l)
}

// button draws a target: its key, its label, and a frame that is there without
// colour too. A low one has no frame.
func (c *canvas) button(r rect, key, label string, l look) {
	if r.w < 3 || r.h < 1 {
		return
	}
	c.targets = append(c.targets, target{r, key})
	if r.h < 3 {
		c.write(r.x, r.y, r.x+r.w, key+"  "+label, lookText)
		return
	}
	c.fill(r, l)
	c.box(r, l)
	if len(key) == 1 || key == "enter" || key == "esc" {
		c.write(r.x+2, r.y, r.x+r.w-1, " "+key+" ", l)
	}
	lines := wrap(label, r.w-4)
	lines = lines[:min(len(lines), r.h-2)]
	top := r.y + 1 + (r.h-2-len(lines))/2
	for i, line := range lines {
		indent := (r.w - 4 - lipgloss.Width(line)) / 2
		c.write(r.x+2+max(indent, 0), top+i, r.x+r.w-2, line, l)
	}
}

// render writes the canvas as lines of text and control sequences, each line drawn alike
// whatever was drawn before it. Over a slow line every byte counts: only what differs from
// the cell before is said.
func (c *canvas) render(t *theme, erases bool) string {
	var b strings.Builder
	for y := range c.h {
		if y > 0 {
			b.WriteByte('\n')
		}
		row := c.cells[y*c.w : (y+1)*c.w]
		if ground := row[len(row)-1]; erases && ground.r == ' ' {
			renderErased(&b, row, t, ground)
		} else {
			renderAll(&b, row, t)
		}
	}
	return b.String()
}

func renderAll(b *strings.Builder, row []cell, t *theme) {
	now := t.drawn[row[0].look]
	if !t.bare() {
		b.WriteString(now.all())
	}
	for _, cell := range row {
		next := t.drawn[cell.look]
		b.WriteString(next.after(now))
		now = next
		if cell.r != 0 {
			b.WriteRune(cell.r)
		}
	}
}

// leastSkip is how many blanks are skipped rather than written.
const leastSkip = 6

// renderErased writes a row that ends in blanks for a terminal that erases in the colour
// it draws with: the whole row is erased, and blanks are skipped. It ends before its last
// blanks, and in their colour, since bubbletea erases what is left of a line.
func renderErased(b *strings.Builder, row []cell, t *theme, ground cell) {
	blank := func(c cell) bool { return c.r == ' ' && t.drawn[c.look] == t.drawn[ground.look] }
	end := len(row)
	for end > 0 && blank(row[end-1]) {
		end--
	}
	now := t.drawn[ground.look]
	b.WriteString(now.all())
	if end > 0 {
		b.WriteString("\x1b[K")
	}
	for x := 0; x < end; x++ {
		skip := 0
		for blank(row[x+skip]) {
			skip++
		}
		if skip >= leastSkip {
			fmt.Fprintf(b, "\x1b[%dC", skip)
			x += skip
		}
		next := t.drawn[row[x].look]
		b.WriteString(next.after(now))
		now = next
		if row[x].r != 0 {
			b.WriteRune(row[x].r)
		}
	}
	b.WriteString(t.drawn[ground.look].after(now))
}

// wrap breaks text into lines of at most width cells, at spaces where it can.
func wrap(text string, width int) []string {
	if width < 1 {
		return nil
	}
	var lines []string
	for _, part := range strings.Split(Clean(text), "\n") {
		line := ""
		for _, word := range strings.Fields(part) {
			for lipgloss.Width(word) > width {
				if line != "" {
					lines, line = append(lines, line), ""
				}
				head := clipTo(word, width)
				lines, word = append(lines, head), word[len(head):]
				if head == "" {
					word = ""
				}
			}
			switch {
			case line == "":
				line = word
			case lipgloss.Width(line)+1+lipgloss.Width(word) <= width:
				line += " " + word
			default:
				lines, line = append(lines, line), word
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// clipTo returns as much of the beginning of text as fits.
func clipTo(text string, width int) string {
	used := 0
	for i, r := range text {
		w := cellWidth(r)
		if used+w > width {
			return text[:i]
		}
		used += w
	}
	return text
}

var asciiWords = strings.NewReplacer("°", " deg ", "·", ".", "²", "2", "³", "3", "…", "...", "–", "-", "−", "-", "×", "x", "±", "+-")

func asciiOnly(text string) string {
	return strings.Map(func(r rune) rune {
		if r > 126 {
			return '?'
		}
		return r
	}, asciiWords.Replace(strings.ReplaceAll(text, " °", " deg ")))
}
