package ui

import (
	"time"

	"brinkmark/ui/ask"

	tea "github.com/charmbracelet/bubbletea"
)

// lookAgainAfter is how long a page that tells of time stands before it is read anew.
const lookAgainAfter = 20 * time.Second

// Messages of looking anew. wait tells a page from another one later.
type (
	lookAgainMsg struct{ wait int }
	lookedMsg    struct {
		wait int
		home *ask.Home
	}
)

// laterAgain looks at the present page anew after a while, if it tells of time.
func (m *model) laterAgain() tea.Cmd {
	if m.question.Again == nil {
		return nil
	}
	wait := m.waits
	return tea.Tick(lookAgainAfter, func(time.Time) tea.Msg { return lookAgainMsg{wait} })
}

// lookAgain reads the page anew beside the screen. Keys go on meanwhile, and win.
func (m *model) lookAgain(msg lookAgainMsg) tea.Cmd {
	if msg.wait != m.waits || m.question.Again == nil {
		return nil
	}
	if m.busy || m.overlay != noOverlay {
		return m.laterAgain()
	}
	k, turn := m.Keeper, m.question.Again()
	return func() tea.Msg {
		_, home, err := turn.To(k)
		if err != nil {
			home = nil
		}
		return lookedMsg{msg.wait, home}
	}
}

// looked shows the page as it is now, unless it was left.
func (m *model) looked(msg lookedMsg) tea.Cmd {
	if msg.wait != m.waits || m.question.Again == nil {
		return nil
	}
	if msg.home != nil && !m.busy && m.overlay == noOverlay {
		page := m.page
		m.home = msg.home
		m.ask()
		m.page = page
	}
	return m.laterAgain()
}
