package draw

import (
	"fmt"
	"math"

	"github.com/charmbracelet/lipgloss"

	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// PracticePicture draws pushes of a practice rig as lines of text. It shows what a
// crew can see, and the cable in the stub, which only practice can show; what it was
// is for the trainee to read.
type PracticePicture struct {
	Push  *practice.Push
	Rig   session.Rig // whose gauges it is read on
	ASCII bool
}

const (
	leastPracticeWidth  = 58 // narrower, the words tell it
	LeastPracticeHeight = 9
	aroundStub          = 6 // rows besides the bore: gauges, two walls, the strip and two lines under it
	mostBore            = 9 // rows
)

// Frame draws one moment on at most h lines of at most w characters; nil when there is
// no room for it.
func (p PracticePicture) Frame(s practice.State, w, h int) *Canvas {
	if w < leastPracticeWidth || h < LeastPracticeHeight {
		return nil
	}
	bore := min(h-aroundStub, mostBore)
	bore -= 1 - bore%2 // a row in the middle for the cable outside the stub
	c := NewCanvas(w, bore+aroundStub, p.ASCII)
	c.Write(0, 0, w, p.Gauges(s), LookText)
	l := p.layout(w, bore)
	p.drawStub(c, s, l)
	p.drawDrive(c, s, l)
	p.drawStrip(c, s, l.bottom+1)
	words := p.LineWords(s)
	if lipgloss.Width(words) > w {
		words = p.lineNumbers(s)
	}
	c.Write(0, l.bottom+2, w, words, LookText)
	c.Write(0, l.bottom+3, w, p.WitnessWords(s), LookText)
	return c
}

// Still draws the rig before the push and after it, one under the other; only after
// where there is no room for both, without its caption where that is too much, and nil
// where there is no room for the picture.
func (p PracticePicture) Still(w, h int) *Canvas {
	end := "At the end. " + p.ChalkWords(p.Push.After()) // a still picture does not show it
	if before := p.Frame(p.Push.Before(), w, h/2-1); before != nil {
		after := p.Frame(p.Push.After(), w, h/2-1)
		c := NewCanvas(w, before.H+after.H+2, p.ASCII)
		c.captioned(0, "Before the push.", before)
		c.captioned(before.H+1, end, after)
		return c
	}
	after := p.Frame(p.Push.After(), w, h-1)
	if after == nil {
		return p.Frame(p.Push.After(), w, h)
	}
	c := NewCanvas(w, after.H+1, p.ASCII)
	c.captioned(0, end, after)
	return c
}

// captioned draws a picture under its caption.
func (c *Canvas) captioned(y int, caption string, picture *Canvas) {
	c.Write(0, y, c.W, caption, LookText)
	c.paste(Rect{0, y + 1, c.W, picture.H}, picture)
}

// paste draws a picture as it is, cut at the right and below.
func (c *Canvas) paste(r Rect, picture *Canvas) {
	for y := range min(picture.H, r.H) {
		for x := range min(picture.W, r.W) {
			at := picture.cells[y*picture.W+x]
			c.set(r.X+x, r.Y+y, at.r, at.look)
		}
	}
}

// Legend says what the signs of the picture are.
func (p PracticePicture) Legend() string {
	return fmt.Sprintf("* belt chalk, %c pointer, I cable line, a allowance line", p.rune('v'))
}

// Words tells the push for a reader without a picture: a line whenever the chalk or
// the line does something else.
func (p PracticePicture) Words() []string {
	var lines []string
	last := ""
	for t := 0.0; ; t += 0.125 {
		s := p.Push.At(t)
		if now := p.ChalkWords(s) + p.place(s); now != last {
			last = now
			lines = append(lines, fmt.Sprintf("%.1f s: %s %s", s.At, p.ChalkWords(s), p.LineWords(s)))
		}
		if t >= p.Push.Lasts() {
			lines = append(lines, p.Gauges(s), p.WitnessWords(s))
			break
		}
	}
	if p.ASCII {
		for i := range lines {
			lines[i] = words.ASCII(lines[i])
		}
	}
	return lines
}

// practiceLayout is where things stand, in columns and rows.
type practiceLayout struct {
	top, middle, bottom int // rows of the walls, and of the cable between them
	belts               Rect
	mouth, plug         int     // columns of the stub's two ends
	thick               float64 // of the cable, in half rows
}

func (p PracticePicture) layout(w, bore int) practiceLayout {
	l := practiceLayout{top: 1, middle: 1 + (bore+1)/2, bottom: bore + 2}
	reel, gap := w/10, 2
	l.thick = float64(p.Push.Scene.OuterDiameter/p.Push.Scene.InnerDiameter) * float64(2*bore)
	beside := min(int(math.Ceil((l.thick/2-1)/2)), bore/2-1) // rows of cable on each side of the middle one
	l.belts = Rect{reel, l.middle - 1 - max(beside, 0), max(w/6, 8), 3 + 2*max(beside, 0)}
	l.mouth = l.belts.X + l.belts.W + gap
	l.plug = w - 4
	return l
}

// practiceRunes are the picture's parts in plain ASCII, and where the terminal has more.
var practiceRunes = map[rune]rune{'#': '█', '"': '▀', '_': '▄', '=': '═', 'v': '▼', 'P': '▓', '-': '─'}

func (p PracticePicture) rune(r rune) rune {
	if more, ok := practiceRunes[r]; ok && !p.ASCII {
		return more
	}
	return r
}

// drawStub draws the stub from above, the cable in it and before it, and the plug.
func (p PracticePicture) drawStub(c *Canvas, s practice.State, l practiceLayout) {
	for x := l.mouth; x <= l.plug; x++ {
		c.set(x, l.top, p.rune('='), LookText)
		c.set(x, l.bottom, p.rune('='), LookText)
	}
	rows := l.bottom - l.top - 1
	inside := float64(l.plug - l.mouth)
	bore := float64(p.Push.Scene.InnerDiameter)
	marks := newMarks(l.plug, 2*rows)
	for x := range l.mouth {
		marks.stamp(x, float64(rows), l.thick, nearMark)
	}
	for _, at := range p.shape(s) {
		if column := l.mouth + int(at.along*inside); column < l.plug {
			marks.stamp(column, (at.above/bore+0.5)*float64(2*rows), l.thick, at.mark)
		}
	}
	for row := range rows {
		for i, b := range marks.row(rows - 1 - row) {
			if b != ' ' {
				c.set(i, l.top+1+row, p.rune(rune(b)), LookText)
			}
		}
	}
	shift := 0
	if s.PlugShift > 0 {
		shift = 1
	}
	for y := l.top + 1; y < l.bottom; y++ {
		c.set(l.plug+shift, y, p.rune('P'), LookText)
		c.set(l.plug+shift+1, y, p.rune('P'), LookText)
	}
}

// shape is the cable's axis in the stub: along in parts of its length, above in m from
// the duct's axis.
func (p PracticePicture) shape(s practice.State) []place {
	scene := p.Push.Scene
	r := float64(scene.InnerDiameter-scene.OuterDiameter) / 2
	head := 1 - float64(s.Head/scene.StubLength)
	if head <= 0 {
		return nil
	}
	room := s.Swing * r
	switch {
	case s.InGap, s.Shape == practice.Straight:
		return line(0, head, 0, nearMark)
	case s.Shape == practice.Folded:
		const at, back = 0.35, 0.15 // where it folds, and how far each leg of the fold reaches
		pitch := 1 / math.Max(s.Waves, 1)
		shape := append(wave(0, at, pitch, r, true), line(at-back, at, -r, nearMark)...)
		shape = append(append(shape, riser(at, r, kinkMark)...), riser(at-back, r, kinkMark)...)
		return append(shape, wave(at, head, pitch, r, true)...)
	case s.Shape == practice.Snaking:
		return wave(0, head, 2/math.Max(s.Waves, 1), room, false)
	}
	return wave(0, head, 1/math.Max(s.Waves, 0.5), room, true)
}

// drawDrive draws the belts with their chalk, and a bend in the gap behind them.
func (p PracticePicture) drawDrive(c *Canvas, s practice.State, l practiceLayout) {
	if s.InGap {
		for y := l.top; y <= l.middle; y++ {
			c.set(l.mouth-1, y, 'X', LookFold)
		}
	}
	for x := l.belts.X; x < l.belts.X+l.belts.W; x++ {
		c.set(x, l.belts.Y, 'o', LookText)
		c.set(x, l.belts.Y+l.belts.H-1, 'o', LookText)
	}
	// Two chalk marks half round the belt from each other run with the cable: when one
	// goes out of sight the other comes in. A column is as much belt as it is stub.
	metres := float64(p.Push.Scene.StubLength) / float64(l.plug-l.mouth)
	chalk := l.belts.X + int(math.Mod(float64(s.BeltTravel)/metres, float64(l.belts.W)))
	c.set(chalk, l.belts.Y, '*', LookStrong)
	c.set(chalk, l.belts.Y+l.belts.H-1, '*', LookStrong)
	if l.belts.Y-1 > l.top-1 {
		c.Write(l.belts.X, l.belts.Y-1, l.mouth, "belts", LookText)
	}
}

// drawStrip draws the cable line against its pointer, larger than life: the pointer in
// the middle, the allowance line right of it.
func (p PracticePicture) drawStrip(c *Canvas, s practice.State, y int) {
	const label = "line"
	c.Write(0, y, c.W, label, LookText)
	left, right := len(label)+1, c.W-2
	for x := left; x <= right; x++ {
		c.set(x, y, p.rune('-'), LookText)
	}
	middle := (left + right) / 2
	// The allowance stands at half of the right half.
	columns := float64(right-middle) / 2 / math.Max(float64(p.Push.Allowance()), 0.001)
	at := func(l q.Length) int {
		return min(max(middle+int(math.Round(float64(l)*columns)), left), right)
	}
	c.set(middle, y, p.rune('v'), LookText)
	c.set(at(p.Push.Allowance()), y, 'a', LookText)
	c.set(at(s.Line), y, 'I', LookStrong)
	if at(s.Line) == right {
		c.set(right, y, '>', LookStrong)
	}
	if at(s.Line) == left {
		c.set(left, y, '<', LookStrong)
	}
}

// Gauges are what the gauges read at a moment.
func (p PracticePicture) Gauges(s practice.State) string {
	text := fmt.Sprintf("%.1f s  grip pressure %s", s.At, q.Text(q.Pressure(whole(q.In(s.GripGauge, p.Rig.GripUnit), p.Rig.GripUnit)), p.Rig.GripUnit))
	if drive, ok := s.DriveGauge.Get(); ok {
		reads := practice.ReadDrive(drive, p.Rig)
		text += "  drive " + reads.Text(reads.Unit)
	}
	return text + fmt.Sprintf("  supply %.0f %%", 100*s.SupplyPart)
}

// whole reads a gauge to its next whole unit.
func whole(v float64, unit string) float64 {
	return float64(q.From[q.Pressure](math.Round(v), unit))
}

// ChalkWords say what the chalk across the belts does.
func (p PracticePicture) ChalkWords(s practice.State) string {
	if s.BeltsTurn() {
		return "Belt chalk goes round."
	}
	return "Belt chalk stands still."
}

// place is which part of its way the line is on.
func (p PracticePicture) place(s practice.State) string {
	switch {
	case s.Line < -practice.Eye && s.CableMoves():
		return "coming up"
	case s.Line < -practice.Eye:
		return "short"
	case s.Line <= practice.Eye:
		return "at"
	case s.Line <= p.Push.Allowance():
		return "within"
	}
	return "past"
}

// lineNumbers is the same for a narrow picture.
func (p PracticePicture) lineNumbers(s practice.State) string {
	return fmt.Sprintf("Line %+.0f mm, allowance line %.0f mm", q.In(s.Line, "mm"), q.In(p.Push.Allowance(), "mm"))
}

// LineWords say where the cable line stands.
func (p PracticePicture) LineWords(s practice.State) string {
	mm := func(l q.Length) string { return fmt.Sprintf("%.0f mm", q.In(l, "mm")) }
	allowance := mm(p.Push.Allowance())
	switch p.place(s) {
	case "coming up":
		return fmt.Sprintf("Line %s short of its pointer, coming up.", mm(-s.Line))
	case "short":
		return fmt.Sprintf("Line %s short of its pointer, and it stays there.", mm(-s.Line))
	case "at":
		return "Line at its pointer."
	case "within":
		return fmt.Sprintf("Line %s past its pointer; allowance line at %s.", mm(s.Line), allowance)
	}
	return fmt.Sprintf("Line %s past its pointer, past the allowance line (%s).", mm(s.Line), allowance)
}

// WitnessWords say whether the lines on plug and stub are true.
func (p PracticePicture) WitnessWords(s practice.State) string {
	of := func(what string, shift q.Length) string {
		if shift < practice.Eye {
			return what + " line true"
		}
		return fmt.Sprintf("%s line off by %.0f mm", what, q.In(shift, "mm"))
	}
	return words.Capital(of("plug", s.PlugShift) + ", " + of("stub", s.StubShift) + ".")
}
