package draw

import (
	"fmt"
	"math"

	"brinkmark/session/cable"
	"brinkmark/session/push"
	"brinkmark/ui/words"
)

// Picture draws the cable in its duct in at most h lines of at most w characters:
// at rest, snaking, coiled, and folded. Cable and bore, and turns and length, are to
// scale, though across is drawn larger than along; each caption says by how much.
// Low pictures leave out the first states. There is none when a figure it needs is
// missing: the stub's length, mass and bending stiffness.
func Picture(e push.Expected, job push.Job, w, h int) []string {
	panels := panelsOf(e, job)
	for len(panels) > 0 && h/len(panels) < leastPanel {
		panels = panels[1:]
	}
	if len(panels) == 0 || w < leastPicture {
		return nil
	}
	rows := min(h/len(panels), mostPanel) - aroundDuct
	var lines []string
	for _, p := range panels {
		lines = append(lines, p.draw(job, w, rows)...)
	}
	return lines
}

const (
	leastPicture = 40 // columns
	aroundDuct   = 3  // rows of a panel besides the bore: a caption and two walls
	leastPanel   = aroundDuct + 3
	mostPanel    = aroundDuct + 6
	turnColumns  = 9 // a turn drawn in fewer cannot be told from the next
)

// panel is one state of the cable: its shape in the part of the stub that is shown.
type panel struct {
	name  string
	stub  float64 // m
	shown float64 // of it, m
	shape []place
	last  bool // the end at the plug is shown, not that at the drive
}

// place is a point of the cable's axis, in m along the stub and above the duct's axis.
type place struct {
	along, above float64
	mark         mark
}

// mark is what is drawn of the cable at a place; a higher one hides a lower.
type mark int

const (
	noMark   mark = iota
	farMark       // behind, where a helix lies against the far wall
	nearMark      // in front
	kinkMark
)

func panelsOf(e push.Expected, job push.Job) []panel {
	stub, known1 := job.StubLength.Get()
	ei, known2 := e.BendingStiffness.Get()
	mass, known3 := job.Mass.Get()
	if !known1 || !known2 || !known3 {
		return nil
	}
	column, err1 := push.NewColumn(job.OuterDiameter, job.InnerDiameter, ei)
	weight, err2 := cable.Weight(mass)
	if err1 != nil || err2 != nil {
		return nil
	}
	snake, err1 := column.StubSnaking(stub, weight)
	coil, err2 := column.StubHelix(stub, weight)
	if err1 != nil || err2 != nil {
		return nil
	}
	length, r := float64(stub), float64(e.Clearance)
	return []panel{
		{"At rest, on the bottom. Side", length, length, line(0, length, -r, nearMark), false},
		wavy(fmt.Sprintf("Snaking, bends: %d. Seen from above", snake.Waves), length, 2*length/float64(snake.Waves), r, false),
		wavy(fmt.Sprintf("Coiled, turns: %d. Side", coil.Waves), length, length/float64(coil.Waves), r, true),
		folded(e, job, length),
	}
}

// wavy is a snake or a helix over as much of the stub as shows its turns.
func wavy(name string, stub, pitch, r float64, helix bool) panel {
	shown := math.Min(stub, turnsShown*pitch)
	return panel{name, stub, shown, wave(0, shown, pitch, r, helix), false}
}

// turnsShown is how many turns a picture of the usual width has room for.
const turnsShown = 76 / turnColumns

// folded is the helix at the fold limit, then either the tip turned back, where
// there is room, or a kink.
func folded(e push.Expected, job push.Job, stub float64) panel {
	r := float64(e.Clearance)
	pitch := tightest(job, r)
	shown := math.Min(stub, turnsShown*pitch)
	turns := math.Floor(0.5 * shown / pitch)
	if e.CanDoubleBack {
		end := (turns + 0.75) * pitch // at the bottom
		if end > 0.8*shown {
			end = 0
		}
		plug, tip := 0.98*shown, end+0.3*(shown-end)
		shape := append(wave(0, end, pitch, r, true), line(end, plug, -r, nearMark)...)
		shape = append(shape, riser(plug, r, nearMark)...)
		return panel{"Folded back at its tip. Side", stub, shown, append(shape, line(tip, plug, r, nearMark)...), true}
	}
	kink := (math.Floor(0.4*shown/pitch) + 0.25) * pitch // at the top, and on from the bottom
	shape := append(wave(0, kink, pitch, r, true), wave(kink, shown, pitch, -r, true)...)
	return panel{"Kinked where it lies. Side", stub, shown, append(shape, riser(kink, r, kinkMark)...), false}
}

// tightest is the pitch of the helix bent to the kink radius, or as it collapses:
// sin²α = r/R, at most 2/3, at the slope α.
func tightest(job push.Job, r float64) float64 {
	kink := float64(job.KinkRadius.Or(cable.UsualKink * job.OuterDiameter))
	sine := math.Sqrt(math.Min(r/kink, 2.0/3))
	return 2 * math.Pi * r * math.Sqrt(1-sine*sine) / sine
}

const samples = 2000 // of a shape: many in a column

func wave(from, to, pitch, r float64, helix bool) []place {
	var shape []place
	for i := range samples {
		x := from + (to-from)*(float64(i)+0.5)/samples
		turn := 2 * math.Pi * x / pitch
		m := nearMark
		if helix && math.Cos(turn)*r < 0 {
			m = farMark
		}
		shape = append(shape, place{x, r * math.Sin(turn), m})
	}
	return shape
}

func line(from, to, y float64, m mark) []place {
	var shape []place
	for i := range samples {
		shape = append(shape, place{from + (to-from)*(float64(i)+0.5)/samples, y, m})
	}
	return shape
}

// riser goes from wall to wall at one place.
func riser(x, r float64, m mark) []place {
	var shape []place
	for i := range samples {
		shape = append(shape, place{x, r * (2*float64(i)/samples - 1), m})
	}
	return shape
}

// draw draws the shape between two walls, each character two marks high. The plug is
// at the right, or a tear where the stub goes on.
func (p panel) draw(job push.Job, w, rows int) []string {
	bore, inside := float64(job.InnerDiameter), w-1
	marks := newMarks(inside, 2*rows)
	thick := float64(job.OuterDiameter) / bore * float64(2*rows)
	for _, at := range p.shape {
		column := min(max(int(at.along/p.shown*float64(inside)), 0), inside-1)
		marks.stamp(column, (at.above/bore+0.5)*float64(2*rows), thick, at.mark)
	}
	end, part := p.part()
	taller := 2 * p.shown / float64(inside) / (bore / float64(rows)) // a character is about twice as tall as wide
	caption := fmt.Sprintf("%s, %s, %s", p.name, part, tooTall(taller))
	wall := make([]byte, inside)
	for i := range wall {
		wall[i] = '='
	}
	lines := []string{words.ClipTo(caption, w), string(wall) + string(end)}
	for row := range rows {
		lines = append(lines, string(marks.row(rows-1-row))+string(end))
	}
	return append(lines, string(wall)+string(end))
}

// part is how much of the stub is shown, and the mark of where that ends.
func (p panel) part() (end byte, part string) {
	percent := math.Max(1, 100*p.shown/p.stub)
	switch {
	case p.shown > 0.99*p.stub:
		return '|', "the whole stub"
	case p.last:
		return '|', fmt.Sprintf("the last %.0f %% of the stub", percent)
	}
	return '~', fmt.Sprintf("the first %.0f %% of the stub", percent)
}

func tooTall(times float64) string {
	if times < 1 {
		return fmt.Sprintf("%.0f", 1/times) + " times too long"
	}
	return fmt.Sprintf("%.0f", times) + " times too tall"
}

// markGrid is the inside of a duct in half characters, the lowest first.
type markGrid [][]mark

func newMarks(columns, halves int) markGrid {
	g := make(markGrid, columns)
	for i := range g {
		g[i] = make([]mark, halves)
	}
	return g
}

// stamp marks a thickness about a height in one column; at least one half character.
func (g markGrid) stamp(column int, height, thick float64, m mark) {
	halves := float64(len(g[column]))
	thick = math.Max(thick, 1)
	height = math.Min(math.Max(height, thick/2), halves-thick/2)
	from := int(math.Round(height - thick/2))
	to := min(max(int(math.Round(height+thick/2)), from+1), len(g[column]))
	for i := from; i < to; i++ {
		g[column][i] = max(g[column][i], m)
	}
}

// row writes one line of characters, counted from the bottom.
func (g markGrid) row(row int) []byte {
	text := make([]byte, len(g))
	for i := range g {
		text[i] = character(g[i][2*row+1], g[i][2*row])
	}
	return text
}

func character(upper, lower mark) byte {
	pair := func(m mark) (bool, bool) { return upper == m, lower == m }
	for _, look := range []struct {
		mark
		both, up, down byte
	}{{kinkMark, 'X', 'X', 'X'}, {nearMark, '#', '"', '_'}, {farMark, ':', '\'', '.'}} {
		up, down := pair(look.mark)
		switch {
		case up && down:
			return look.both
		case up:
			return look.up
		case down:
			return look.down
		}
	}
	return ' '
}
