package ui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// asksValue reports whether the question is first of all a value to enter.
func (m *model) asksValue() bool {
	if m.question.Enter == nil {
		return false
	}
	for _, c := range m.question.Choices {
		if c.rank == major {
			return false
		}
	}
	return true
}

// Targets of the entry screen that are no characters.
const (
	unitKey  = "unit"
	lessKey  = "less"
	moreKey  = "step up"
	otherKey = "other" // followed by the place of a choice
)

// pressEntry does what a key does while a value is entered. Characters are typed;
// a bare number gets the unit shown.
func (m *model) pressEntry(msg tea.KeyMsg, name string, is func(key.Binding) bool, again bool) tea.Cmd {
	m.failure = ""
	switch {
	case name == "enter" || is(keys.Accept):
		if again {
			return nil
		}
		return m.enter()
	case is(keys.Delete):
		if r := []rune(m.typed); len(r) > 0 {
			m.typed = string(r[:len(r)-1])
		}
	case name == "esc":
		return m.leaveEntry()
	case name == "ctrl+c":
		return tea.Quit
	case name == unitKey:
		m.typed = leadingNumber(m.typed) + " " + otherUnit(m.unit())
	case strings.HasPrefix(name, otherKey):
		return m.choose(m.place(int(name[len(otherKey)] - '1')))
	case msg.Type == tea.KeySpace || name == " ":
		m.typed += " "
	case msg.Type == tea.KeyRunes && len(msg.Runes) == 1 && len(m.typed) < 60:
		m.typed += Clean(string(msg.Runes))
	}
	return nil
}

// leaveEntry gives the entry up: back to the question, or its first other way.
func (m *model) leaveEntry() tea.Cmd {
	if m.overlay == entryOverlay {
		m.overlay, m.typed = noOverlay, ""
		return nil
	}
	if at := m.question.shown(); len(at) > 0 {
		return m.choose(at[0])
	}
	return tea.Quit
}

func (m *model) enter() tea.Cmd {
	text := strings.TrimSpace(m.typed)
	if text == "" {
		return nil
	}
	if m.numeric() && leadingNumber(text) == text {
		text += " " + m.unit()
	}
	flow, effect, err := m.question.Enter.take(m.flow, text)
	if err != nil {
		m.failure = err.Error()
		return nil
	}
	m.overlay = noOverlay
	return m.do(flow, effect)
}

// numeric reports whether a number is wanted, as the example shows.
func (m *model) numeric() bool {
	e := m.question.Enter.Example
	return e != "" && e[0] >= '0' && e[0] <= '9'
}

// unit is the unit a bare number gets: the one typed, else the example's.
func (m *model) unit() string {
	for _, text := range []string{m.typed, m.question.Enter.Example} {
		if _, unit, ok := strings.Cut(strings.TrimSpace(text), " "); ok {
			return unit
		}
	}
	return ""
}

// otherUnits are the pairs a press of the unit target changes between.
var otherUnits = [][2]string{{"psi", "bar"}, {"F", "C"}, {"°F", "°C"}, {"mm", "in"}, {"m", "ft"}, {"ft/min", "m/min"}}

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

// drawEntry draws a value under way and, for a number, a pad to touch.
func (m *model) drawEntry(c *canvas, r rect) {
	rest := m.headline(c, r)
	shown := m.typed
	if m.numeric() && leadingNumber(shown) == shown {
		shown = strings.TrimSpace(shown + "_ " + m.unit())
	} else {
		shown += "_"
	}
	c.box(rect{rest.x, rest.y, min(rest.w, 40), 3}, lookStrong)
	c.write(rest.x+2, rest.y+1, rest.x+min(rest.w, 40)-2, shown, lookStrong)
	c.write(rest.x+min(rest.w, 40)+2, rest.y+1, rest.x+rest.w, "such as "+m.question.Enter.Example, lookText)
	rest.y, rest.h = rest.y+3, rest.h-3
	if !m.numeric() {
		c.text(m.others(c, rest), m.question.Body)
		return
	}
	m.drawPad(c, rest)
}

// drawPad draws ten digits, point, delete, unit and done.
func (m *model) drawPad(c *canvas, r rect) {
	tall := min(max(r.h/4, 1), 5)
	wide := min(max((r.w-14)/5, 6), 14)
	for i, row := range [4]string{"789", "456", "123", ".0<"} {
		for j, d := range row {
			k, label := string(d), ""
			if d == '<' {
				k, label = "backspace", "del"
			}
			at := rect{r.x + j*(wide+1), r.y + i*tall, wide, tall}
			c.button(at, k, label, lookButton)
			if d != '<' && tall >= 3 {
				c.write(at.x+wide/2, at.y+tall/2, at.x+wide, k, lookStrong)
			}
		}
	}
	x := r.x + 3*(wide+1) + 1
	right := rect{x, r.y, r.x + r.w - x, r.h}
	c.button(rect{right.x, right.y, right.w, tall}, unitKey, m.unit()+", or "+otherUnit(m.unit()), lookButton)
	c.button(rect{right.x, right.y + 2*tall, right.w, 2 * tall}, "enter", "Done", lookMain)
	for i, at := range m.question.shown() {
		if i > 0 {
			break // more ways than one are on the question's own page
		}
		c.button(rect{right.x, right.y + tall, right.w, tall}, "esc", m.question.Choices[at].Label, lookButton)
	}
}

// others draws the other ways on below a text to type and returns what is left.
func (m *model) others(c *canvas, r rect) rect {
	const tall = 3
	y := r.y + r.h - 5
	c.button(rect{r.x + r.w/2, y, r.w - r.w/2, 5}, "enter", "Done", lookMain)
	for i, at := range m.question.shown() {
		if top := r.y + r.h - tall*(i+1); i < 3 && top > r.y+2 {
			k := otherKey + string(rune('1'+i))
			if i == 0 {
				k = "esc"
			}
			c.button(rect{r.x, top, r.w/2 - 2, tall}, k, m.question.Choices[at].Label, lookButton)
		}
	}
	return rect{r.x, r.y, r.w, max(r.h-tall*max(len(m.question.shown()), 2), 0)}
}
