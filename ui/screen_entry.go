package ui

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	tea "github.com/charmbracelet/bubbletea"
)

// asksValue reports whether the question is first of all a value to enter.
func (m *model) asksValue() bool { return m.question.AsksValue() }

// Targets of the entry screen that are no characters.
const (
	unitKey  = "unit"
	lessKey  = "-"
	moreKey  = "+"
	otherKey = "other" // followed by the place of a choice
)

// pressEntry does what a key does while a value is entered. Characters are typed;
// a bare number gets the unit shown.
func (m *model) pressEntry(msg tea.KeyMsg, name string, is func(key.Binding) bool, again bool) tea.Cmd {
	m.failure = ""
	switch {
	case name == "enter" || is(ask.Keys.Accept):
		if again {
			return nil
		}
		return m.enter()
	case is(ask.Keys.Delete):
		m.erase()
	case name == "esc":
		return m.leaveEntry()
	case name == "ctrl+c":
		return tea.Quit
	case name == unitKey:
		m.typed = leadingNumber(m.typed) + " " + otherUnit(m.unit())
	case m.numeric() && (name == moreKey || name == lessKey):
		m.stepBy(name)
	case strings.HasPrefix(name, otherKey):
		return m.other(int(name[len(otherKey)] - '1'))
	case msg.Type == tea.KeySpace || name == " ":
		m.typed += " "
	case msg.Type == tea.KeyRunes && len(msg.Runes) == 1 && len(m.typed) < 60:
		m.character(words.Clean(string(msg.Runes)))
	}
	return nil
}

// character types one character. A digit goes before a unit that was chosen by its
// target.
func (m *model) character(text string) {
	number := leadingNumber(m.typed)
	if unit, ok := strings.CutPrefix(m.typed, number+" "); ok && m.offers(unit) && m.numeric() && otherUnit(unit) != unit && leadingNumber(text) != "" {
		m.typed = number + text + " " + unit
		return
	}
	m.typed += text
}

// offers reports whether a unit is one the unit target gives. Any other was typed, perhaps
// the beginning of a longer one, such as the m of m3/min.
func (m *model) offers(unit string) bool {
	for _, text := range []string{m.question.Enter.Now, m.question.Enter.Example} {
		if _, shown, ok := strings.Cut(text, " "); ok && (unit == shown || unit == otherUnit(shown)) {
			return true
		}
	}
	return false
}

// erase takes the last character back, of the number before its unit.
func (m *model) erase() {
	number := []rune(leadingNumber(m.typed))
	unit, ok := strings.CutPrefix(m.typed, string(number)+" ")
	switch r := []rune(m.typed); {
	case ok && m.numeric() && otherUnit(unit) != unit && len(number) > 0:
		m.typed = string(number[:len(number)-1]) + " " + unit
	case ok && otherUnit(unit) != unit:
		m.typed = ""
	case len(r) > 0:
		m.typed = string(r[:len(r)-1])
	}
}

// stepBy changes the number under way, or before one is typed the one on record, by
// a step. Before any number a minus is its sign.
func (m *model) stepBy(key string) {
	number, unit := leadingNumber(m.typed), m.unit()
	typedUnit := m.typed[len(number):]
	if number == "" {
		if now := leadingNumber(m.question.Enter.Now); now != "" && strings.HasSuffix(m.question.Enter.Now, " "+unit) {
			number = now
		} else if key == lessKey {
			m.character("-")
			return
		}
	}
	v, err := strconv.ParseFloat(cmp.Or(number, "0"), 64)
	if err != nil {
		return
	}
	step := m.step()
	if key == lessKey {
		step = -step
	}
	if v += step; v < 0 && !signed(unit) {
		v = 0
	}
	const places = 1e6 // far finer than any gauge; hides that tenths are not exact
	m.typed = strconv.FormatFloat(math.Round(v*places)/places, 'f', -1, 64) + typedUnit
}

// signed reports whether a figure may be below zero: a temperature, or a slope.
func signed(unit string) bool {
	return strings.HasSuffix(unit, "F") || strings.HasSuffix(unit, "C") || unit == "deg"
}

// step is what one press of a step target changes the number by: the step of the
// gauge where the value is set on one, else 1 of the unit shown.
func (m *model) step() float64 {
	number, unit, _ := strings.Cut(m.question.Enter.Step, " ")
	if v, err := strconv.ParseFloat(number, 64); err == nil && v > 0 && v <= 1e6 && unit == m.unit() {
		return v
	}
	return 1
}

// other makes another choice of a page that asks for a value, by its place.
func (m *model) other(place int) tea.Cmd {
	if at := m.question.Shown(); m.overlay == noOverlay && place >= 0 && place < len(at) {
		return m.choose(at[place])
	}
	return nil
}

// ways are the labels of the other ways on while a value is typed.
func (m *model) ways() []string {
	if m.overlay == entryOverlay { // more ways than one are on the question's own page
		return []string{"Back: type nothing"}
	}
	var labels []string
	for _, i := range m.question.Shown() {
		labels = append(labels, m.question.Choices[i].Label)
	}
	return labels
}

// leaveEntry gives the entry up: back to the question, or its first other way. From a
// value that is needed it is the page that asks to make safe, where one does, else the start
// page: the trial can be gone on with there, and is told of if something is live.
func (m *model) leaveEntry() tea.Cmd {
	if m.overlay == entryOverlay {
		m.overlay, m.typed = noOverlay, ""
		return nil
	}
	if at := m.question.Shown(); len(at) > 0 {
		return m.choose(at[0])
	}
	if i := m.asksBeforeLeaving(); i >= 0 {
		return m.choose(i)
	}
	if m.Keeper.Home == nil {
		return tea.Quit
	}
	return m.do(m.flow, ask.GoHome{})
}

// asksBeforeLeaving is the choice that leads to the page that asks to make safe, or -1.
func (m *model) asksBeforeLeaving() int {
	return slices.IndexFunc(m.question.Choices, func(c ask.Choice) bool { return c.Also == &ask.Keys.Leave })
}

func (m *model) enter() tea.Cmd {
	text := strings.TrimSpace(m.typed)
	if text == "" {
		return nil
	}
	if m.numeric() && leadingNumber(text) == text {
		text += " " + m.unit()
	}
	flow, effect, err := m.question.Enter.Take(m.flow, text)
	if err != nil {
		m.failure = err.Error()
		return nil
	}
	m.overlay = noOverlay
	return m.do(flow, effect)
}

// numeric reports whether a number with at most a unit is wanted.
func (m *model) numeric() bool { return m.question.Enter.Numeric() }

// unit is the unit a bare number gets: the one typed, else that of the value on
// record, else the example's.
func (m *model) unit() string {
	for _, text := range []string{m.typed, m.question.Enter.Now, m.question.Enter.Example} {
		if _, unit, ok := strings.Cut(strings.TrimRight(text, " "), " "); ok {
			return unit
		}
	}
	return ""
}

// otherUnits are the pairs a press of the unit target changes between.
var otherUnits = [][2]string{{"psi", "bar"}, {"F", "C"}, {"°F", "°C"}, {"mm", "in"}, {"m", "ft"}, {"ft/min", "m/min"}, {"lbf", "N"}, {"cfm", "m3/min"}, {"lb/1000 ft", "kg/km"}}

func otherUnit(unit string) string {
	for _, pair := range otherUnits {
		switch unit {
		case pair[0]:
			return pair[1]
		case pair[1]:
			return pair[0]
		}
	}
	return unit
}

// leadingNumber returns the number a text begins with.
func leadingNumber(text string) string {
	end := strings.IndexFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != '-' })
	if end < 0 {
		return text
	}
	return text[:end]
}

// drawEntry draws a value under way with what is known of it beside, and for a
// number a pad to touch.
func (m *model) drawEntry(c *draw.Canvas, r draw.Rect) {
	const tall = 3
	if m.numeric() && r.H-2*tall < padRows { // the targets need the room more than a frame
		m.drawEntryLow(c, r)
		return
	}
	rest := m.headline(c, r)
	wide := min(rest.W, 40)
	if m.numeric() {
		wide = min(rest.W, 24)
	}
	edge := draw.LookStrong
	if m.failure != "" {
		edge = draw.LookCaution
	}
	c.Box(draw.Area(rest.X, rest.Y, wide, tall), edge)
	c.Write(rest.X+2, rest.Y+1, rest.X+wide-2, m.shownValue(), draw.LookStrong)
	beside := []string{"such as " + m.question.Enter.Example}
	if m.numeric() { // the box shows the unit, and no figure that could be copied
		beside = append(words.NotEmpty(m.question.Enter.Known), m.question.Body...)
	}
	if m.failure != "" {
		beside = append([]string{"! Not taken: see below."}, beside...)
	}
	c.Text(draw.Area(rest.X+wide+2, rest.Y, rest.W-wide-2, tall), beside)
	rest.Y, rest.H = rest.Y+tall, rest.H-tall
	if !m.numeric() {
		c.Text(m.others(c, rest), m.question.Body)
		return
	}
	m.drawPad(c, rest)
}

// padRows is what a pad of four rows takes where each can still be hit with a glove.
const padRows = 4 * 3

// drawEntryLow draws a number under way in the rows of the headline, with nothing
// beside, and the pad in all that is left.
func (m *model) drawEntryLow(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	value := draw.Area(rest.X, rest.Y-1, rest.W-safeWidth, 1)
	if m.Options.Left {
		value.X += safeWidth
	}
	c.Fill(value, draw.LookText)
	c.Write(value.X, value.Y, value.X+value.W, "= "+m.shownValue(), draw.LookStrong)
	m.drawPad(c, rest)
}

// shownValue is the value under way as it will be taken, with the unit a bare
// number gets.
func (m *model) shownValue() string {
	number := leadingNumber(m.typed)
	if !m.numeric() || m.typed != number && m.typed != number+" "+m.unit() {
		return m.typed + "_"
	}
	return strings.TrimSpace(number + "_ " + m.unit())
}

// drawPad draws ten digits, point, delete, one step more and less, unit and done.
func (m *model) drawPad(c *draw.Canvas, r draw.Rect) {
	tall := min(max(r.H/4, 1), 5)
	wide := min(max((r.W-14)/6, 6), 14)
	for i, row := range [4]string{"789", "456", "123", ".0<"} {
		for j, d := range row {
			k, label := string(d), ""
			if d == '<' {
				k, label = "backspace", "del"
			}
			at := draw.Area(r.X+j*(wide+1), r.Y+i*tall, wide, tall)
			c.PadButton(at, k, label)
			if d != '<' && tall >= 3 {
				c.Write(at.X+wide/2, at.Y+tall/2, at.X+wide, k, draw.LookStrong)
			}
		}
	}
	x := r.X + 3*(wide+1)
	step := strconv.FormatFloat(m.step(), 'f', -1, 64)
	c.PadButton(draw.Area(x, r.Y, wide, 2*tall), moreKey, "+ "+step)
	c.PadButton(draw.Area(x, r.Y+2*tall, wide, 2*tall), lessKey, "− "+step)
	x += wide + 2
	right := draw.Area(x, r.Y, r.X+r.W-x, r.H)
	unit := m.unit()
	if other := otherUnit(unit); other != unit {
		c.PadButton(draw.Area(right.X, right.Y, right.W, tall), unitKey, unit+", or "+other)
	}
	c.Button(draw.Area(right.X, right.Y+2*tall, right.W, 2*tall), "enter", "Done", draw.LookMain)
	if ways := m.ways(); len(ways) > 0 {
		c.Button(draw.Area(right.X, right.Y+tall, right.W, tall), "esc", ways[0], draw.LookButton)
	}
}

// others draws the other ways on below a text to type and returns what is left.
func (m *model) others(c *draw.Canvas, r draw.Rect) draw.Rect {
	const tall = 3
	y := r.Y + r.H - 5
	c.Button(draw.Area(r.X+r.W/2, y, r.W-r.W/2, 5), "enter", "Done", draw.LookMain)
	for i, label := range m.ways() {
		if top := r.Y + r.H - tall*(i+1); i < 3 && top > r.Y+2 {
			k := otherKey + string(rune('1'+i))
			if i == 0 {
				k = "esc"
			}
			c.Button(draw.Area(r.X, top, r.W/2-2, tall), k, label, draw.LookButton)
		}
	}
	return draw.Area(r.X, r.Y, r.W, max(r.H-tall*max(len(m.ways()), 2), 0))
}
