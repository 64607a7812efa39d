package ui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
)

// touched does what a finger does: a target answers when it is let go, and only where it was
// pressed, so that a press can be drawn off what was not meant. The make-safe card does not
// wait for that.
func (m *model) touched(msg tea.MouseMsg) tea.Cmd {
	switch {
	case msg.Action == tea.MouseActionPress && msg.Button == tea.MouseButtonLeft:
		m.held = m.targetAt(msg.X, msg.Y)
		if slices.Contains(ask.Keys.MakeSafe.Keys(), m.held.Key) {
			return m.pressTarget(m.held)
		}
	case msg.Action == tea.MouseActionRelease && (msg.Button == tea.MouseButtonLeft || msg.Button == tea.MouseButtonNone):
		if held := m.held; held.Key != "" && held == m.targetAt(msg.X, msg.Y) {
			return m.pressTarget(held)
		}
		m.held = draw.Target{}
	}
	return nil
}

// targetAt is the target a cell lies in; without a key where there is none.
func (m *model) targetAt(x, y int) draw.Target {
	for _, t := range m.draw().Targets {
		if t.Holds(x, y) {
			return t
		}
	}
	return draw.Target{}
}

// pressTarget presses the key that a target shows.
func (m *model) pressTarget(t draw.Target) tea.Cmd {
	return m.press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(t.Key)}, t.Key)
}
