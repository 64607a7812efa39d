package draw

import (
	"fmt"
	"math"
	"strings"

	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// PlotRoute draws a route in plan, to one scale both ways, and below it from the side,
// heights drawn larger, in at most h lines of w characters: D the drive, E the far end, X
// where the cable stops short of it, o bends, . straights. It is empty where it would be
// too small to read.
func PlotRoute(route reach.Route, stop q.Maybe[q.Length], u reach.Units, w, h int) []string {
	if w < leastPlotWidth || h < leastRouteHeight {
		return nil
	}
	spots, guessed := route.Trace()
	d := routeDrawing{spots, map[int]bool{}, stop}
	for i := 2; i < len(spots); i++ { // a bend is traced in more than one step, as no straight is
		if spots[i].Section == spots[i-1].Section {
			d.bends[spots[i].Section] = true
		}
	}
	caption := "Plan. D drive, E far end, o bend, . straight"
	if _, stops := stop.Get(); stops {
		caption += ", X stops here"
	}
	note := ""
	if guessed {
		note = "Bends without a side are drawn left and right in turn."
	}
	side, flat := d.side(u, w, min(h/3, 6))
	rows := h - 1 - len(side) - map[bool]int{true: 1}[note != ""]
	plan := d.plan(w, rows)
	lines := append([]string{words.ClipTo(caption, w)}, plan...)
	if note != "" {
		lines = append(lines, words.ClipTo(note, w))
	}
	if flat {
		return append(lines, words.ClipTo("Side: level all the way.", w))
	}
	return append(lines, side...)
}

// routeDrawing is a route to be drawn.
type routeDrawing struct {
	spots []reach.Spot
	bends map[int]bool // by section
	stop  q.Maybe[q.Length]
}

// sketch is a grid of characters with a scale.
type sketch struct {
	cells          [][]rune
	x0, y0, sx, sy float64 // of the top left cell, and cells per metre
}

func newSketch(w, h int) sketch {
	s := sketch{cells: make([][]rune, h)}
	for i := range s.cells {
		s.cells[i] = []rune(strings.Repeat(" ", w))
	}
	return s
}

func (s sketch) mark(x, y float64, symbol rune) {
	column, row := int(math.Round((x-s.x0)*s.sx)), int(math.Round((s.y0-y)*s.sy))
	if row >= 0 && row < len(s.cells) && column >= 0 && column < len(s.cells[row]) {
		s.cells[row][column] = symbol
	}
}

func (s sketch) lines() []string {
	lines := make([]string, len(s.cells))
	for i, row := range s.cells {
		lines[i] = strings.TrimRight(string(row), " ")
	}
	return lines
}

// along marks a route cell by cell: straights first, so that no bend is hidden, and its
// ends last.
func (d routeDrawing) along(s sketch, at func(reach.Spot) (x, y float64)) {
	spots := d.spots
	for _, bent := range []bool{false, true} {
		for i := 1; i < len(spots); i++ {
			if d.bends[spots[i].Section] != bent {
				continue
			}
			x1, y1 := at(spots[i-1])
			x2, y2 := at(spots[i])
			steps := 1 + int(2*math.Max(math.Abs(x2-x1)*s.sx, math.Abs(y2-y1)*s.sy))
			for n := range steps + 1 {
				part := float64(n) / float64(steps)
				s.mark(x1+part*(x2-x1), y1+part*(y2-y1), map[bool]rune{true: 'o', false: '.'}[bent])
			}
		}
	}
	x, y := at(spots[len(spots)-1])
	s.mark(x, y, 'E')
	if here, stops := d.stop.Get(); stops {
		x, y := at(spotAt(spots, here))
		s.mark(x, y, 'X')
	}
	x, y = at(spots[0])
	s.mark(x, y, 'D')
}

// spotAt is the place a length along the route.
func spotAt(spots []reach.Spot, at q.Length) reach.Spot {
	for i := 1; i < len(spots); i++ {
		a, b := spots[i-1], spots[i]
		if at > b.At && i < len(spots)-1 {
			continue
		}
		part := math.Min(1, math.Max(0, float64(at-a.At)/float64(b.At-a.At)))
		between := func(x, y q.Length) q.Length { return x + q.Length(part)*(y-x) }
		return reach.Spot{At: at, East: between(a.East, b.East), North: between(a.North, b.North), Height: between(a.Height, b.Height), Section: b.Section}
	}
	return spots[0]
}

// cellAspect is how much taller a character is than wide, on most terminals.
const cellAspect = 2

// plan draws a route from above, the way out of the drive to the right.
func (d routeDrawing) plan(w, h int) []string {
	west, east, south, north := extent(d.spots, func(s reach.Spot) (float64, float64) { return float64(s.East), float64(s.North) })
	scale := math.Min(float64(w-1)/math.Max(east-west, 1e-9), float64(h-1)*cellAspect/math.Max(north-south, 1e-9))
	used := min(h, 1+int(math.Ceil((north-south)*scale/cellAspect)))
	s := newSketch(w, used)
	s.x0, s.y0, s.sx, s.sy = west, north, scale, scale/cellAspect
	d.along(s, func(p reach.Spot) (float64, float64) { return float64(p.East), float64(p.North) })
	return s.lines()
}

// leastRouteHeight leaves the plan two lines.
const leastRouteHeight = 9

// side draws heights over the way along the route in at most h lines, the first of which
// says the scale. flat reports that there is nothing to draw.
func (d routeDrawing) side(u reach.Units, w, h int) (lines []string, flat bool) {
	at := func(s reach.Spot) (float64, float64) { return float64(s.At), float64(s.Height) }
	_, end, low, high := extent(d.spots, at)
	if high-low < 0.1 {
		return []string{""}, true
	}
	s := newSketch(w, h-1)
	s.y0, s.sx, s.sy = high, float64(w-1)/end, float64(h-2)/(high-low)
	d.along(s, at)
	caption := fmt.Sprintf("Side, heights enlarged: %s the drive", heights(low, high, u))
	return append([]string{words.ClipTo(caption, w)}, s.lines()...), false
}

// heights are the lowest and the highest place against the drive, where a route begins.
func heights(low, high float64, u reach.Units) string {
	text := func(h float64) string { return reach.LengthText(q.Length(math.Abs(h)), u.Length) }
	switch {
	case low >= 0:
		return "up to " + text(high) + " above"
	case high <= 0:
		return "down to " + text(low) + " below"
	}
	return text(low) + " below to " + text(high) + " above"
}

func extent(spots []reach.Spot, at func(reach.Spot) (x, y float64)) (left, right, bottom, top float64) {
	left, bottom = math.Inf(1), math.Inf(1)
	right, top = math.Inf(-1), math.Inf(-1)
	for _, s := range spots {
		x, y := at(s)
		left, right, bottom, top = math.Min(left, x), math.Max(right, x), math.Min(bottom, y), math.Max(top, y)
	}
	return left, right, bottom, top
}
