package ui

import (
	"slices"
	"strconv"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// mostDigits is how many choices have a key each: of more there are pages.
const mostDigits = 9

// listPage is how many choices a page of a list shows: six on a small screen, so that they
// can be two rows high, for a glove, beside a text of three.
func (m *model) listPage() int {
	if m.h < 24 {
		return 6
	}
	return 8
}

// chosen is the place of the choice that shows a key on the screen as it is now; -1 where none
// does, even if one of another page has it.
func (m *model) chosen(name string) int {
	if !slices.ContainsFunc(m.draw().Targets, func(t draw.Target) bool { return t.Key == name }) {
		return -1
	}
	keys := m.keys()
	for place, i := range m.question.Shown() {
		if keys[place] == name {
			return i
		}
	}
	return -1
}

// keys are what the shown choices answer to on this page, "" for those on another.
func (m *model) keys() []string {
	at, all := m.question.Shown(), m.question.Keys()
	keys := make([]string, len(at))
	first := m.firstOfPage(max(len(at), 1))
	for place, i := range at {
		if len(at) <= mostDigits {
			keys[place] = all[i]
		} else if place >= first && place < first+m.listPage() {
			keys[place] = strconv.Itoa(place - first + 1)
		}
	}
	return keys
}

func (m *model) firstOfPage(n int) int {
	pages := (n + m.listPage() - 1) / m.listPage()
	return m.page % pages * m.listPage()
}

// gap is what parts two buttons of a line.
const gap = 2

// row is a line of equal buttons.
type row struct {
	choices []int // places in shown
	height  int
}

// rows lays choices out in rows of buttons, or returns nil when only a list fits.
// Where not all fit, those needed now and then are a page further.
func (m *model) rows(width, height int) (rows []row, paged bool) {
	var majors, minors []int
	for place, i := range m.question.Shown() {
		switch m.question.Choices[i].Rank {
		case ask.Ending:
		case ask.Major:
			majors = append(majors, place)
		default:
			minors = append(minors, place)
		}
	}
	if len(majors)+len(minors) > mostDigits {
		return nil, false
	}
	tall := 5
	if height >= 26 {
		tall = 7
	}
	few, many := max(width/22, 1), max(width/18, 1)
	for n := many; n > 1; n-- { // rather more rows than labels that are cut
		if m.readable(majors, (width-2*(n-1))/n, 5) && total(split(minors, few, 3))+total(split(majors, n, 5)) <= height {
			many = n
			break
		}
	}
	for _, h := range []int{tall, 5} {
		if rows := append(split(minors, few, 3), split(majors, many, h)...); total(rows) <= height {
			return rows, false
		}
	}
	if len(majors) > 0 && len(minors) > 0 {
		if m.page%2 == 1 {
			majors = minors
		}
		for n := many; n > 0; n-- {
			for _, h := range []int{5, 4, 3} {
				if rows := split(majors, n, h); total(rows) <= height && m.whole(rows, width) {
					return rows, true
				}
			}
		}
	}
	for _, h := range []int{4, 3} {
		if rows := append(split(minors, few, 3), split(majors, many, h)...); total(rows) <= height {
			return rows, false
		}
	}
	return nil, false
}

// readable reports whether no label of some choices is cut on buttons of a size.
func (m *model) readable(places []int, width, height int) bool {
	at := m.question.Shown()
	for _, place := range places {
		if len(words.Wrap(m.question.Choices[at[place]].Label, width-4)) > height-2 {
			return false
		}
	}
	return true
}

// whole reports whether rows of buttons show every label whole. Lines do where they do not.
func (m *model) whole(rows []row, width int) bool {
	for _, line := range rows {
		n := len(line.choices)
		wide := (width - gap*(n-1)) / n
		if n == 1 && width >= 50 {
			wide = width / 2
		}
		if !m.readable(line.choices, wide, line.height) {
			return false
		}
	}
	return true
}

// split breaks places into rows of at most n.
func split(places []int, n, height int) []row {
	var rows []row
	count := (len(places) + n - 1) / n
	for i := range count {
		from, to := i*len(places)/count, (i+1)*len(places)/count
		rows = append(rows, row{places[from:to], height})
	}
	return rows
}

func total(rows []row) int {
	sum := 0
	for _, r := range rows {
		sum += r.height
	}
	return sum
}

// buttons draws the choices at the bottom of a part of the screen and returns what
// is left above them.
func (m *model) buttons(c *draw.Canvas, r draw.Rect, keep int) draw.Rect {
	if left := m.endings(c, r); left.H < r.H {
		r, keep = left, min(keep, left.H-lowest)
		if left.H < 2*lowest {
			keep = left.H / 2
		}
	}
	rows, paged := m.rows(r.W, r.H-keep)
	c.Paged = c.Paged || paged
	if rows == nil || !m.whole(rows, r.W) {
		return m.list(c, r, keep)
	}
	y := r.Y + r.H - total(rows)
	rest := draw.Area(r.X, r.Y, r.W, y-r.Y)
	for _, line := range rows {
		m.buttonRow(c, draw.Area(r.X, y, r.W, line.height), line.choices)
		y += line.height
	}
	return rest
}

// lowest is how low the ways on may be under what ends.
const lowest = 5

// endings draws what writes for good or ends under the headline, in a line of its own, where
// on no page a choice is that leads to it. It returns what is left.
func (m *model) endings(c *draw.Canvas, r draw.Rect) draw.Rect {
	shown, keys := m.question.Shown(), m.keys()
	var places []int
	for place, i := range shown {
		if m.question.Choices[i].Rank == ask.Ending && len(shown) <= mostDigits {
			places = append(places, place)
		}
	}
	if len(places) == 0 {
		return r
	}
	wide := (r.W - gap*(len(places)-1)) / len(places)
	if len(places) == 1 && r.W >= 50 {
		wide = (r.W - gap) / 2
	}
	tall := 3
	for _, place := range places {
		tall = max(tall, len(words.Wrap(m.question.Choices[shown[place]].Label, wide-4))+2)
	}
	if tall > r.H/2 { // then they are lines
		for _, place := range places {
			label := m.question.Choices[shown[place]].Label
			at := draw.Area(r.X, r.Y, r.W, min(len(words.Wrap(keys[place]+"  "+label, r.W)), 2))
			c.Button(at, keys[place], label, draw.LookButton)
			r.Y, r.H = r.Y+at.H, r.H-at.H
		}
		return r
	}
	for i, place := range places {
		at := draw.Area(r.X+i*(wide+gap), r.Y, wide, tall)
		if m.Options.Left {
			at.X = r.X + r.W - wide - i*(wide+gap)
		}
		choice := m.question.Choices[shown[place]]
		c.Button(at, keys[place], choice.Label, m.lookOf(choice))
	}
	return draw.Area(r.X, r.Y+tall, r.W, r.H-tall)
}

// buttonRow draws one line of buttons. A button that is alone takes the half of the
// screen where no first button of a full line is, so that a confirmation is never
// where the outcome was.
func (m *model) buttonRow(c *draw.Canvas, r draw.Rect, places []int) {
	at, keys := m.question.Shown(), m.keys()
	n := len(places)
	if n == 1 && r.W >= 50 {
		half := r.W / 2
		if !m.Options.Left {
			r.X += r.W - half
		}
		r.W = half
	}
	w := (r.W - gap*(n-1)) / n
	for i, place := range places {
		x := r.X + i*(w+gap)
		if m.Options.Left && n > 1 {
			x = r.X + (n-1-i)*(w+gap)
		}
		choice := m.question.Choices[at[place]]
		c.Button(draw.Area(x, r.Y, w, r.H), keys[place], choice.Label, m.lookOf(choice))
	}
}

func (m *model) lookOf(choice ask.Choice) draw.Look {
	switch {
	case choice.Look != draw.LookText:
		return choice.Look
	case choice.Rank == ask.Major || choice.Rank == ask.Ending:
		return draw.LookMain
	}
	return draw.LookButton
}

// list draws the choices as lines, a page at a time.
func (m *model) list(c *draw.Canvas, r draw.Rect, keep int) draw.Rect {
	at, keys := m.question.Shown(), m.keys()
	var page []int
	for place, i := range at {
		if len(at) > mostDigits || m.question.Choices[i].Rank != ask.Ending {
			page = append(page, place)
		}
	}
	if len(at) > mostDigits {
		first := m.firstOfPage(len(at))
		c.Paged, page = true, page[first:min(first+m.listPage(), len(at))]
	}
	if len(page) == 0 {
		return r
	}
	height := min(max((r.H-keep)/len(page), 1), 3)
	y := r.Y + r.H - height*len(page)
	rest := draw.Area(r.X, r.Y, r.W, max(y-r.Y, 0))
	for _, place := range page {
		c.Button(draw.Area(r.X, y, r.W, height), keys[place], m.question.Choices[at[place]].Label, draw.LookButton)
		y += height
	}
	return rest
}
