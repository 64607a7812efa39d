package ui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// table is what a page lists in columns. It is laid out for whatever width there is.
type table struct {
	head []string
	rows []tableRow
}

type tableRow struct {
	cells  []string
	strong bool // it wants to be seen
}

func (t *table) add(strong bool, cells ...string) {
	t.rows = append(t.rows, tableRow{cells, strong})
}

const (
	columnGap   = 2
	leastColumn = 8
)

// widths gives every column what it needs, or takes from the widest until all fit.
func (t *table) widths(w int) []int {
	widths := make([]int, len(t.head))
	for _, row := range append([]tableRow{{cells: t.head}}, t.rows...) {
		if len(row.cells) < 2 {
			continue // a heading across
		}
		for i, c := range row.cells[:min(len(row.cells), len(widths))] {
			widths[i] = max(widths[i], lipgloss.Width(c))
		}
	}
	sum := columnGap * (len(widths) - 1)
	for _, n := range widths {
		sum += n
	}
	for ; sum > w; sum-- {
		widest := 0
		for i, n := range widths {
			if n >= widths[widest] {
				widest = i
			}
		}
		if widths[widest] <= leastColumn {
			break
		}
		widths[widest]--
	}
	return widths
}

// tableLine is one line of a table as laid out.
type tableLine struct {
	cells  []string
	strong bool
}

// lines lays rows out, cells broken over lines where they must be.
func (t *table) lines(widths []int, w int) [][]tableLine {
	var all [][]tableLine
	for _, row := range t.rows {
		if len(row.cells) == 1 {
			all = append(all, []tableLine{{[]string{clipTo(row.cells[0], w)}, row.strong}})
			continue
		}
		var lines []tableLine
		for i, c := range row.cells {
			for n, part := range wrap(c, widths[i]) {
				if n == len(lines) {
					lines = append(lines, tableLine{make([]string, len(row.cells)), row.strong})
				}
				lines[n].cells[i] = part
			}
		}
		all = append(all, lines)
	}
	return all
}

// tableColumns draws a table, a page at a time: no row is broken over two pages, and the
// heads stand on each.
func (m *model) tableColumns(c *canvas, r rect, t *table) {
	widths := t.widths(r.w)
	if len(t.rows) == 0 {
		c.write(r.x, r.y, r.x+r.w, "Nothing is written down.", lookText)
		return
	}
	top := 0
	if strings.Join(t.head, "") != "" {
		m.tableLine(c, rect{r.x, r.y, r.w, 1}, tableLine{t.head, true}, widths)
		top = 1
	}
	pages := pagesOf(t.lines(widths, r.w), max(r.h-top, 1))
	page := m.page % len(pages)
	c.paged = c.paged || len(pages) > 1
	for i, line := range pages[page] {
		m.tableLine(c, rect{r.x, r.y + top + i, r.w, 1}, line, widths)
	}
}

// pagesOf fills pages of at most h lines with rows.
func pagesOf(rows [][]tableLine, h int) [][]tableLine {
	pages := [][]tableLine{nil}
	for _, row := range rows {
		last := len(pages) - 1
		if len(pages[last]) > 0 && len(pages[last])+len(row) > h {
			pages = append(pages, nil)
			last++
		}
		for len(row) > h { // taller than a page
			pages[last], row = append(pages[last], row[:h]...), row[h:]
			pages = append(pages, nil)
			last++
		}
		pages[last] = append(pages[last], row...)
	}
	return pages
}

func (m *model) tableLine(c *canvas, r rect, line tableLine, widths []int) {
	look := lookText
	if line.strong {
		look = lookStrong
	}
	x := r.x
	for i, text := range line.cells {
		right := r.x + r.w
		if len(line.cells) > 1 {
			right = min(right, x+widths[i])
		}
		c.write(x, r.y, right, text, look)
		if i < len(widths) {
			x += widths[i] + columnGap
		}
	}
}

// drawTable draws a page with a table over the ways on.
func (m *model) drawTable(c *canvas, r rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.h-5, 0))
	used := c.text(rect{above.x, above.y, above.w, above.h / 3}, m.question.Body)
	m.tableColumns(c, rect{above.x, above.y + used, above.w, above.h - used}, m.question.table)
}

// showTable lists a table line by line.
func (p *Plain) showTable(t *table) {
	if t == nil {
		return
	}
	if strings.Join(t.head, "") != "" {
		p.say("  " + cellsText(t.head))
	}
	for _, row := range t.rows {
		p.say("  " + cellsText(row.cells))
	}
}

func cellsText(cells []string) string {
	var said []string
	for _, c := range cells {
		if c != "" {
			said = append(said, c)
		}
	}
	return strings.Join(said, " | ")
}
