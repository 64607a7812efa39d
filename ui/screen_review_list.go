package ui

import (
	"slices"
	"strconv"
)

// drawReviewList draws records as rows that can be touched, and under them what else can
// be done.
func (m *model) drawReviewList(c *canvas, r rect) {
	rest := m.headline(c, r)
	var rows, others []int
	for place, i := range m.question.shown() {
		if m.question.Choices[i].more != nil {
			rows = append(rows, place)
		} else {
			others = append(others, place)
		}
	}
	const least = 3 // of a row: its key, its facts, what is against it
	tall := min(max(rest.h-least*recordsShown, 3), 5)
	y := rest.y + rest.h - tall
	m.buttonRow(c, rect{rest.x, y, rest.w, tall}, others)
	if len(rows) == 0 {
		return
	}
	height := min(max((y-rest.y)/recordsShown, 1), 7)
	for i, place := range rows {
		m.reviewRow(c, rect{rest.x, rest.y + i*height, rest.w, height}, place)
	}
}

// reviewRow draws one record. A row with room for it keeps an empty line below.
func (m *model) reviewRow(c *canvas, r rect, place int) {
	choice := m.question.Choices[m.question.shown()[place]]
	key := strconv.Itoa(place + 1)
	c.targets = append(c.targets, target{r, key})
	c.write(r.x, r.y, r.x+3, key, lookStrong)
	c.write(r.x+3, r.y, r.x+r.w, choice.Label, lookStrong)
	lines := rect{r.x + 3, r.y + 1, r.w - 3, r.h - 1}
	if r.h > 3 {
		lines.h--
	}
	more, last := choice.more, len(choice.more)-1
	if lines.h > len(more) {
		more = append(slices.Clone(more[:last]), choice.full...)
	}
	for i, line := range more {
		if lines.h < 1 {
			return
		}
		most := 1
		if i >= last {
			most = lines.h
		}
		used := min(c.paragraph(rect{lines.x, lines.y, lines.w, most}, line, lookText), most)
		lines.y, lines.h = lines.y+used, lines.h-used
	}
}

// drawReviewOne draws a record with all decisions in reach: what does not fit is a page
// further.
func (m *model) drawReviewOne(c *canvas, r rect) {
	const text = 8 // lines of it at least, where all decisions fit beside
	rest := m.headline(c, r)
	need := 0
	for _, line := range m.question.Body {
		need += len(wrap(line, rest.w))
	}
	m.body(c, m.buttons(c, rest, min(need, text)))
}

// drawReviewMap draws the pushes of a record.
func (m *model) drawReviewMap(c *canvas, r rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.h-5, 0))
	c.drawMap(above, *m.question.of)
}
