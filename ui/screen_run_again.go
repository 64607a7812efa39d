package ui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/profiles"
)

// lookAgainAfter is how long a page that tells of time stands before it is read anew.
const lookAgainAfter = 20 * time.Second

// Messages of looking anew. wait tells a page from another one later.
type (
	lookAgainMsg struct{ wait int }
	lookedMsg    struct {
		wait int
		home *Home
	}
)

// laterAgain looks at the present page anew after a while, if it tells of time.
func (m *model) laterAgain() tea.Cmd {
	if m.question.again == nil {
		return nil
	}
	wait := m.waits
	return tea.Tick(lookAgainAfter, func(time.Time) tea.Msg { return lookAgainMsg{wait} })
}

// lookAgain reads the page anew beside the screen. Keys go on meanwhile, and win.
func (m *model) lookAgain(msg lookAgainMsg) tea.Cmd {
	if msg.wait != m.waits || m.question.again == nil {
		return nil
	}
	if m.busy || m.overlay != noOverlay {
		return m.laterAgain()
	}
	k, turn := m.Keeper, m.question.again()
	return func() tea.Msg {
		_, home, err := turn.to(k)
		if err != nil {
			home = nil
		}
		return lookedMsg{msg.wait, home}
	}
}

// looked shows the page as it is now, unless it was left.
func (m *model) looked(msg lookedMsg) tea.Cmd {
	if msg.wait != m.waits || m.question.again == nil {
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

// findRun looks for the run to go on with, and whether there is anything to begin one from.
func (h *Home) findRun(library *profiles.Library) {
	id, from, err := unfinishedRun(library)
	if err == nil && id != "" {
		if r, err := from.RunRecord(id); err == nil {
			h.run = either(join(r.Cable.Type, r.Duct.Size, r.Route.Name), "one just begun")
			h.runs = func(Flow) Turn { return (&runDesk{library: from}).resume(id) }
			return
		}
	}
	if len(h.Jobs) > 0 {
		h.runs = func(f Flow) Turn { return (&runDesk{library: library}).begin("", nil, f.Metric) }
	}
}
