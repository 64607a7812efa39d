package ui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// waiting is long work that a page is there for. It goes on beside the screen, which
// stays alive, and ends in another page.
type waiting struct {
	do func(told func(done, total int)) Turn
}

// progress is how far it has come; a total of 0 is not known.
type progress struct{ done, total int }

func (p progress) says() string {
	if p.total == 0 {
		return "Looking for what is new …"
	}
	return fmt.Sprintf("%d of %d new or changed files read", p.done, p.total)
}

// Results of the work. wait tells a page from another one later.
type (
	progressMsg struct {
		wait int
		progress
		from <-chan progress
	}
	waitedMsg struct {
		wait int
		turn Turn
	}
)

// startWaiting begins the work of the present page.
func (m *model) startWaiting() tea.Cmd {
	m.waits++
	if m.question.wait == nil {
		return m.laterAgain()
	}
	m.progress = progress{}
	wait, do, told := m.waits, m.question.wait.do, make(chan progress, 1)
	work := func() tea.Msg {
		turn := do(func(done, total int) {
			select {
			case told <- progress{done, total}:
			default: // the one before is not shown yet: the next will do
			}
		})
		close(told)
		return waitedMsg{wait, turn}
	}
	return tea.Batch(work, listen(wait, told))
}

func listen(wait int, from <-chan progress) tea.Cmd {
	return func() tea.Msg {
		if p, ok := <-from; ok {
			return progressMsg{wait, p, from}
		}
		return nil
	}
}

// waited goes on when the work is done, unless another page was turned to meanwhile.
func (m *model) waited(msg waitedMsg) tea.Cmd {
	if msg.wait != m.waits || m.question.wait == nil {
		return nil
	}
	return m.do(m.flow, msg.turn)
}

func (m *model) progressed(msg progressMsg) tea.Cmd {
	if msg.wait != m.waits {
		return nil
	}
	m.progress = msg.progress
	return listen(msg.wait, msg.from)
}

// drawWait draws how far the work has come.
func (m *model) drawWait(c *canvas, r rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.h-5, 0))
	used := c.text(above, append([]string{m.progress.says()}, m.question.Body...))
	if m.progress.total == 0 || above.h <= used {
		return
	}
	wide := above.w - 2
	done := wide * m.progress.done / m.progress.total
	c.write(above.x, above.y+used, above.x+above.w, "["+strings.Repeat("#", done)+strings.Repeat(".", wide-done)+"]", lookStrong)
}

// wait does the work of a page, telling every tenth of it.
func (p *Plain) wait(flow Flow, w *waiting) (Flow, error) {
	tenth := 0
	return p.turnTo(flow, w.do(func(done, total int) {
		if now := 10 * done / max(total, 1); now > tenth {
			tenth = now
			p.say("  " + progress{done, total}.says())
		}
	}))
}
