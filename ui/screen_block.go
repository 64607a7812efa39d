package ui

import (
	"strconv"

	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// keyWide is the room for the number of a line.
const keyWide = 3

// blockRow is a check on its lines: what is asked, and the state it must be in.
type blockRow struct{ ask, state []string }

func (b blockRow) height() int { return max(len(b.ask), len(b.state)) }

// drawBlock draws the checks of one place with the state each must be in, a page at a time
// where they do not all fit: neither is ever cut, and nothing is confirmed unseen. Touching a
// line says that it is not so.
func (m *model) drawBlock(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	rows, need, column := m.blockRows(rest.W - keyWide)
	tall := min(max(rest.H-need-1, 3), 7)
	if two := rest.H - need - len(rows) - 1; two >= 5 { // rows two high, for a glove, before a larger button
		tall = min(two, 7)
	}
	lines := draw.Area(rest.X, rest.Y+1, rest.W, rest.H-tall-1)
	c.Write(rest.X, rest.Y, rest.X+rest.W, "Not so? Its number.", draw.LookText)
	pages := blockPages(rows, lines.H)
	page := m.page % len(pages)
	c.Paged, c.Unread = len(pages) > 1, page < len(pages)-1
	spare := 0
	if len(pages) == 1 {
		spare = min((lines.H-need)/len(rows), 2)
	}
	y := lines.Y
	for i := pages[page][0]; i < pages[page][1]; i++ {
		height := min(rows[i].height()+spare, lines.Y+lines.H-y)
		key := strconv.Itoa(i + 2)
		c.Targets = append(c.Targets, draw.Target{Rect: draw.Area(lines.X, y, lines.W, height), Key: key})
		c.Write(lines.X, y, lines.X+keyWide, key, draw.LookText)
		x := lines.X + keyWide
		writeLines(c, draw.Area(x, y, column, height), rows[i].ask, draw.LookText)
		writeLines(c, draw.Area(x+column+1, y, rest.W-keyWide-column-1, height), rows[i].state, draw.LookStrong)
		y += height
	}
	m.buttonRow(c, draw.Area(rest.X, rest.Y+rest.H-tall, rest.W, tall), []int{0})
}

// blockRows breaks the checks into lines and returns how many they need, and the column of
// what is asked: the narrowest with which they need the fewest.
func (m *model) blockRows(width int) (rows []blockRow, need, column int) {
	for wide := width / 3; wide <= width*2/3; wide++ {
		var broken []blockRow
		sum := 0
		for _, row := range m.question.Rows {
			b := blockRow{words.Wrap(row[0], wide), words.Wrap(row[1], width-wide-1)}
			broken, sum = append(broken, b), sum+b.height()
		}
		if rows == nil || sum < need {
			rows, need, column = broken, sum, wide
		}
	}
	return rows, need, column
}

// blockPages are the first row and the one after the last of each page.
func blockPages(rows []blockRow, height int) (pages [][2]int) {
	from, used := 0, 0
	for i, row := range rows {
		if i > from && used+row.height() > height {
			pages, from, used = append(pages, [2]int{from, i}), i, 0
		}
		used += row.height()
	}
	return append(pages, [2]int{from, len(rows)})
}

func writeLines(c *draw.Canvas, r draw.Rect, lines []string, look draw.Look) {
	for i, line := range lines[:min(len(lines), r.H)] {
		c.Write(r.X, r.Y+i, r.X+r.W, line, look)
	}
}
