package ui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
)

// drawReviewList draws records as rows that can be touched, and under them what else can
// be done.
func (m *model) drawReviewList(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	var rows, others []int
	for place, i := range m.question.Shown() {
		if m.question.Choices[i].More != nil {
			rows = append(rows, place)
		} else {
			others = append(others, place)
		}
	}
	const least = 3 // of a row: its key, its facts, what is against it
	tall := min(max(rest.H-least*ask.RecordsShown, 3), 5)
	y := rest.Y + rest.H - tall
	m.buttonRow(c, draw.Area(rest.X, y, rest.W, tall), others)
	if len(rows) == 0 {
		return
	}
	height := min(max((y-rest.Y)/ask.RecordsShown, 1), 7)
	for i, place := range rows {
		m.reviewRow(c, draw.Area(rest.X, rest.Y+i*height, rest.W, height), place)
	}
}

// reviewRow draws one record. A row with room for it keeps an empty line below.
func (m *model) reviewRow(c *draw.Canvas, r draw.Rect, place int) {
	choice := m.question.Choices[m.question.Shown()[place]]
	key := m.keys()[place]
	c.Targets = append(c.Targets, draw.Target{Rect: r, Key: key})
	c.Write(r.X, r.Y, r.X+3, key, draw.LookStrong)
	label, rest := partsFitting(choice.Label, r.W-3)
	if lipgloss.Width(label) <= r.W-3 {
		c.Write(r.X+3, r.Y, r.X+r.W, label, draw.LookStrong)
	} else {
		c.Paragraph(draw.Area(r.X+3, r.Y, r.W-3, 1), label, draw.LookStrong)
	}
	lines := draw.Area(r.X+3, r.Y+1, r.W-3, r.H-1)
	if r.H > 3 {
		lines.H--
	}
	more, last := slices.Clone(choice.More), len(choice.More)-1
	if rest != "" {
		more[0] = rest + "; " + more[0]
	}
	if lines.H > len(more) {
		more = append(more[:last], choice.Full...)
	}
	for i, line := range more {
		if lines.H < 1 {
			return
		}
		most := 1
		if i >= last {
			most = lines.H
		}
		used := min(c.Paragraph(draw.Area(lines.X, lines.Y, lines.W, most), line, draw.LookText), most)
		lines.Y, lines.H = lines.Y+used, lines.H-used
	}
}

// partsFitting are as many of a key's parts as a line has room for, and the rest: what a line
// cuts off a duct size is another duct size.
func partsFitting(key string, width int) (line, rest string) {
	for line = key; lipgloss.Width(line) > width; {
		at := strings.LastIndex(line, ", ")
		if at < 0 {
			break
		}
		line = line[:at]
	}
	return line, strings.TrimPrefix(key[len(line):], ", ")
}

// drawReviewOne draws a record with all decisions in reach: what does not fit is a page
// further.
func (m *model) drawReviewOne(c *draw.Canvas, r draw.Rect) {
	const text = 8 // lines of it at least, where all decisions fit beside
	rest := m.headline(c, r)
	above, page := m.choices(c, rest, min(m.bodyTall(rest.W), text), nothing)
	m.body(c, above, page)
	c.Unread = false // a decision is confirmed on a page that says how much is against it
}

// drawReviewMap draws the pushes of a record.
func (m *model) drawReviewMap(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.H-5, 0))
	c.Map(above, m.question.Of.Trial, m.question.Of.Outlook)
}
