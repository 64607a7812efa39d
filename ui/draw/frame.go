package draw

import (
	"slices"
	"strconv"
	"strings"

	"brinkmark/ui/words"
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
const leastErased = 9

// leastErasedToEnd is the same at the end of a row.
const leastErasedToEnd = 4

// change writes what differs, one way of drawing after another: to go elsewhere takes fewer
// bytes than to draw otherwise.
func (p *pen) change(before Frame) {
	for _, how := range p.of.drawnIn() {
		for y := range p.of.h {
			p.changeRow(y, before.row(y), how)
		}
	}
}

// drawnIn are the ways of drawing in a frame, the one of most cells first.
func (f Frame) drawnIn() []drawn {
	all := []drawn{f.ground}
	for _, cell := range f.cells {
		if !slices.Contains(all, cell.how) {
			all = append(all, cell.how)
		}
	}
	return all
}

func (p *pen) changeRow(y int, old []shown, how drawn) {
	row := p.of.row(y)
	end := p.blankFrom(row, old)
	for x := 0; x < end; x++ {
		if row[x] == old[x] || row[x].how != how {
			continue
		}
		for row[x].r == 0 && x > 0 {
			x--
		}
		p.to(x, y, row)
		p.draw(how)
		if n := blanks(row[x:end]); n >= leastErased && p.erasesIn(how) {
			p.WriteString("\x1b[" + strconv.Itoa(n) + "X")
			x += n - 1
		} else {
			p.put(row, &x)
		}
	}
	if end < len(row) && row[end].how == how {
		p.to(end, y, row)
		p.draw(how)
		p.WriteString("\x1b[K")
	}
}

// blanks is with how many equal blanks a row begins.
func blanks(row []shown) (n int) {
	for n < len(row) && row[n].r == ' ' && row[n] == row[0] {
		n++
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
	end, differ := len(row), 0
	for from := end - 1; from >= 0 && row[from] == last; from-- {
		if old[from] != last {
			end, differ = from, differ+1
		}
	}
	if differ < leastErasedToEnd {
		return len(row)
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

// to moves the cursor, by writing what stands between where that is shorter.
func (p *pen) to(x, y int, row []shown) {
	if p.x == x && p.y == y {
		return
	}
	moves := "\x1b[" + strconv.Itoa(y+1) + ";" + strconv.Itoa(x+1) + "H"
	if x == 0 {
		moves = "\x1b[" + strconv.Itoa(y+1) + "H"
	}
	switch {
	case p.x == unknown:
	case y == p.y && x > p.x:
		moves = "\x1b[" + strconv.Itoa(x-p.x) + "C"
		if between := row[p.x:x]; len(between) < len(moves) && p.plain(between) {
			moves = ""
			for _, cell := range between {
				moves += string(cell.r)
			}
		}
	case y == p.y+1 && x == 0:
		moves = "\r\n"
	case y == p.y+1:
		moves = "\r\n\x1b[" + strconv.Itoa(x) + "C"
	}
	p.WriteString(moves)
	p.x, p.y = x, y
}

// plain reports whether cells are letters that would be drawn as the pen draws now.
func (p *pen) plain(cells []shown) bool {
	return !slices.ContainsFunc(cells, func(c shown) bool { return c.how != p.how || c.r < ' ' || words.CellWidth(c.r) != 1 || c.r > '~' })
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
