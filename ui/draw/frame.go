package draw

import (
	"slices"
	"strconv"
	"strings"
)

// Frame is a screen as a terminal shows it: what stands in each cell, and how it is drawn.
type Frame struct {
	w, h   int
	cells  []shown
	ground drawn // of what is read: most of the screen
}

// shown is one cell. A rune of 0 continues a wide one.
type shown struct {
	r   rune
	how drawn
}

// looks reports whether a cell looks as another: how a blank would draw its text is not seen.
func (s shown) looks(as shown) bool {
	return s == as || s.r == ' ' && as.r == ' ' && s.how.ground == as.how.ground && !s.how.reverse && !as.how.reverse
}

// Frame is the canvas as a theme draws it.
func (c *Canvas) Frame(t *Theme) Frame {
	f := Frame{c.W, c.H, make([]shown, len(c.cells)), t.drawn[LookText]}
	for i, cell := range c.cells {
		f.cells[i] = shown{cell.r, t.drawn[cell.look]}
	}
	return f
}

// Same reports whether two frames show the same.
func (f Frame) Same(as Frame) bool {
	return f.w == as.w && f.h == as.h && slices.Equal(f.cells, as.cells)
}

// Whole is what draws the frame whatever is shown before. Not every terminal erases in the
// colour it draws with.
func (f Frame) Whole(erases bool) string {
	p := pen{of: f, erases: erases}
	p.WriteString(f.ground.all())
	p.how = f.ground
	before := Frame{w: f.w, h: f.h, cells: make([]shown, len(f.cells))} // nothing is known
	if erases || f.ground == (drawn{}) {
		p.WriteString("\x1b[2J")
		for i := range before.cells {
			before.cells[i] = shown{' ', f.ground}
		}
	}
	p.WriteString("\x1b[H")
	p.change(before)
	return p.String()
}

// Change is what draws the frame where another is shown. Over a slow line every byte
// counts: only cells that differ are written.
func (f Frame) Change(before Frame, erases bool) string {
	if f.w != before.w || f.h != before.h {
		return f.Whole(erases)
	}
	p := pen{of: f, erases: erases, x: unknown, how: drawn{text: inNoWay}}
	p.change(before)
	return p.String()
}

// LastLine is what puts the cursor there, to be erased or written on as the terminal does
// by itself.
func (f Frame) LastLine() string { return "\x1b[m\x1b[" + strconv.Itoa(max(f.h, 1)) + "H" }

// pen writes what differs, and knows where the cursor is and how the terminal draws.
type pen struct {
	strings.Builder
	of     Frame
	erases bool
	x, y   int
	how    drawn
}

// unknown is where the cursor is after a last column, too: terminals differ there.
const unknown = -1

// inNoWay stands for whatever the terminal was last told to draw in.
const inNoWay = "?"

// leastErased is how many cells are erased rather than written: to go past them takes
// bytes, too.
const leastErased = 7

// leastErasedToEnd is the same at the end of a row.
const leastErasedToEnd = 4

// change writes what differs, one way of drawing after another: to go elsewhere takes fewer
// bytes than to draw otherwise. The way of most cells comes last, so that the blanks between
// others are written with them.
func (p *pen) change(before Frame) {
	before.cells = slices.Clone(before.cells)
	for _, how := range p.of.drawnIn() {
		for y := range p.of.h {
			p.changeRow(y, before.row(y), how)
		}
	}
}

// drawnIn are the ways of drawing in a frame, the one of most cells last.
func (f Frame) drawnIn() []drawn {
	var all []drawn
	for _, cell := range f.cells {
		if cell.how != f.ground && !slices.Contains(all, cell.how) {
			all = append(all, cell.how)
		}
	}
	return append(all, f.ground)
}

// changeRow writes what differs in a row that is drawn so, and with it the blanks that look
// the same drawn so; old is what is shown, and then what is shown after it.
func (p *pen) changeRow(y int, old []shown, how drawn) {
	row := p.of.row(y)
	differs := func(x int) bool { return !row[x].looks(old[x]) }
	here := false
	for x := range row {
		here = here || row[x].how == how && differs(x)
	}
	if !here {
		return
	}
	drawable := func(x int) bool { return row[x].how == how || row[x].looks(shown{' ', how}) }
	end := p.blankFrom(row, old)
	for x := 0; x < end; x++ {
		if !differs(x) || !drawable(x) {
			continue
		}
		for row[x].r == 0 && x > 0 {
			x--
		}
		from := x
		p.to(x, y, row)
		p.draw(how)
		if n := blanks(row[x:end], old[x:end]); n >= leastErased && p.erasesIn(how) {
			p.WriteString("\x1b[" + strconv.Itoa(n) + "X")
			x += n - 1
		} else {
			p.put(row, &x)
		}
		copy(old[from:x+1], row[from:x+1])
	}
	if end < len(row) && drawable(end) {
		p.to(p.erasedFrom(end, y, row), y, row)
		p.draw(how)
		p.WriteString("\x1b[K")
		copy(old[end:], row[end:])
	}
}

// blanks is with how many equal blanks a row begins, up to the last that is not yet shown.
func blanks(row, old []shown) (n int) {
	for i := 0; i < len(row) && row[i].r == ' ' && row[i].looks(row[0]); i++ {
		if !row[i].looks(old[i]) {
			n = i + 1
		}
	}
	return n
}

// erasesIn reports whether what is erased looks so.
func (p *pen) erasesIn(how drawn) bool { return p.erases && !how.reverse }

func (f Frame) row(y int) []shown { return f.cells[y*f.w : (y+1)*f.w] }

// blankFrom is from where on a row is erased up to its end; its length where that saves
// nothing.
func (p *pen) blankFrom(row, old []shown) int {
	last := row[len(row)-1]
	if last.r != ' ' || !p.erasesIn(last.how) && last.how != (drawn{}) {
		return len(row)
	}
	end, differs := len(row), 0 // the first and the last that are not yet shown
	for from := end - 1; from >= 0 && row[from].looks(last); from-- {
		if !old[from].looks(last) {
			end, differs = from, max(differs, from+1)
		}
	}
	if differs-end < leastErasedToEnd {
		return len(row)
	}
	return end
}

// erasedFrom is where the pen goes to erase a row from a column on: to what is blank as well
// before it, where that takes fewer bytes.
func (p *pen) erasedFrom(end, y int, row []shown) int {
	from := end
	for from > 0 && row[from-1].looks(row[end]) {
		from--
	}
	switch {
	case p.y == y && from <= p.x && p.x <= end:
		return p.x
	case from == 0:
		return 0
	}
	return end
}

// put writes a cell and moves on to its last column.
func (p *pen) put(row []shown, x *int) {
	p.WriteRune(row[*x].r)
	for *x+1 < len(row) && row[*x+1].r == 0 {
		*x++
	}
	if p.x = *x + 1; p.x >= len(row) {
		p.x = unknown
	}
}

// to moves the cursor by the fewest bytes.
func (p *pen) to(x, y int, row []shown) {
	if p.x == x && p.y == y {
		return
	}
	moves := "\x1b[" + strconv.Itoa(y+1) + ";" + strconv.Itoa(x+1) + "H"
	if x == 0 {
		moves = "\x1b[" + strconv.Itoa(y+1) + "H"
	}
	shorter := func(other string) {
		if len(other) < len(moves) {
			moves = other
		}
	}
	if p.x != unknown {
		switch down := y - p.y; {
		case down == 0 && x > p.x:
			shorter(p.along(row[p.x:x]))
		case down > 0:
			shorter("\r" + strings.Repeat("\n", down) + p.along(row[:x]))
			if x == p.x {
				shorter(moved(down, "B"))
			}
		}
	}
	p.WriteString(moves)
	p.x, p.y = x, y
}

// moved is a move of the cursor by so many cells (ECMA-48: B is down, C to the right).
func moved(n int, where string) string {
	if n == 1 {
		return "\x1b[" + where
	}
	return "\x1b[" + strconv.Itoa(n) + where
}

// along is a move to the right over some cells, by writing them where that is shorter.
func (p *pen) along(between []shown) string {
	if len(between) == 0 {
		return ""
	}
	move := moved(len(between), "C")
	if len(between) > len(move) || !p.plain(between) {
		return move
	}
	var written strings.Builder
	for _, cell := range between {
		written.WriteRune(cell.r)
	}
	return written.String()
}

// plain reports whether cells are letters that would be drawn as the pen draws now.
func (p *pen) plain(cells []shown) bool {
	return !slices.ContainsFunc(cells, func(c shown) bool { return c.r < ' ' || c.r > '~' || !c.looks(shown{c.r, p.how}) })
}

// draw changes how the terminal draws.
func (p *pen) draw(how drawn) {
	if p.how.text == inNoWay {
		p.WriteString(how.all())
	} else {
		p.WriteString(how.after(p.how))
	}
	p.how = how
}
