package draw

import (
	"strings"

	"github.com/charmbracelet/lipgloss"

	"brinkmark/ui/words"
)

// Table is what a page lists in columns. It is laid out for whatever width there is.
type Table struct {
	Head []string
	Rows []tableRow
}

type tableRow struct {
	Cells  []string
	strong bool // it wants to be seen
}

// Add puts a row under the others; a strong one wants to be seen.
func (t *Table) Add(strong bool, cells ...string) {
	t.Rows = append(t.Rows, tableRow{cells, strong})
}

const (
	columnGap   = 2
	leastColumn = 8
)

// widths gives every column what it needs, or takes from the widest until all fit.
func (t *Table) widths(w int) []int {
	widths := make([]int, len(t.Head))
	for _, row := range append([]tableRow{{Cells: t.Head}}, t.Rows...) {
		if len(row.Cells) < 2 {
			continue // a heading across
		}
		for i, c := range row.Cells[:min(len(row.Cells), len(widths))] {
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
func (t *Table) lines(widths []int, w int) [][]tableLine {
	var all [][]tableLine
	for _, row := range t.Rows {
		if len(row.Cells) == 1 {
			all = append(all, []tableLine{{[]string{words.ClipTo(row.Cells[0], w)}, row.strong}})
			continue
		}
		var lines []tableLine
		for i, c := range row.Cells {
			for n, part := range words.Wrap(c, widths[i]) {
				if n == len(lines) {
					lines = append(lines, tableLine{make([]string, len(row.Cells)), row.strong})
				}
				lines[n].cells[i] = part
			}
		}
		all = append(all, lines)
	}
	return all
}

// Table draws a table, a page at a time: no row is broken over two pages, and the
// heads stand on each.
func (c *Canvas) Table(r Rect, t *Table, page int) {
	widths := t.widths(r.W)
	if len(t.Rows) == 0 {
		c.Write(r.X, r.Y, r.X+r.W, "Nothing is written down.", LookText)
		return
	}
	top := 0
	if strings.Join(t.Head, "") != "" {
		c.tableLine(Rect{r.X, r.Y, r.W, 1}, tableLine{t.Head, true}, widths)
		top = 1
	}
	pages := pagesOf(t.lines(widths, r.W), max(r.H-top, 1))
	page %= len(pages)
	c.Paged = c.Paged || len(pages) > 1
	for i, line := range pages[page] {
		c.tableLine(Rect{r.X, r.Y + top + i, r.W, 1}, line, widths)
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

func (c *Canvas) tableLine(r Rect, line tableLine, widths []int) {
	look := LookText
	if line.strong {
		look = LookStrong
	}
	x := r.X
	for i, text := range line.cells {
		right := r.X + r.W
		if len(line.cells) > 1 {
			right = min(right, x+widths[i])
		}
		c.Write(x, r.Y, right, text, look)
		if i < len(widths) {
			x += widths[i] + columnGap
		}
	}
}

// CellsText is a row in one line of text.
func CellsText(cells []string) string { return strings.Join(words.NotEmpty(cells...), " | ") }
