package draw

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"
)

// However narrow, the pages of a table together hold every word of every cell, no line is
// wider than there is room, and no row that fits a page is broken over two.
func TestTablePages(t *testing.T) {
	tab := &Table{Head: []string{"at", "asked", "answer", "by"}}
	for i := range 17 {
		tab.Add(i%5 == 0, fmt.Sprintf("07:45:%02d", i), strings.Repeat("word ", i%7)+fmt.Sprint("end", i), "hose off, bleed open", "AB")
	}
	tab.Add(true, "The same in both:")
	for w := 44; w <= 120; w += 3 {
		widths := tab.widths(w)
		sum := columnGap * (len(widths) - 1)
		for _, n := range widths {
			sum += n
		}
		require.LessOrEqual(t, sum, w)
		rows := tab.lines(widths, w)
		for h := 4; h <= 40; h += 5 {
			var text []string
			for _, page := range pagesOf(rows, h) {
				require.LessOrEqual(t, len(page), h)
				for _, line := range page {
					for i, cell := range line.cells {
						if len(line.cells) > 1 {
							require.LessOrEqual(t, lipgloss.Width(cell), widths[i])
						}
						text = append(text, cell)
					}
				}
			}
			all := strings.Join(text, " ")
			require.Equal(t, 17, strings.Count(all, "AB"))
			for i := range 17 {
				require.Contains(t, all, fmt.Sprint("end", i))
			}
			require.Contains(t, all, "The same in both:")
		}
	}
}
