package ui

import (
	"fmt"
	"strings"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"

	tea "github.com/charmbracelet/bubbletea"
)

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
		turn ask.Turn
	}
)

// startWaiting begins the work of the present page.
func (m *model) startWaiting() tea.Cmd {
	m.waits++
	if m.question.Wait == nil {
		return m.laterAgain()
	}
	m.progress = progress{}
	wait, do, told := m.waits, m.question.Wait.Do, make(chan progress, 1)
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
	if msg.wait != m.waits || m.question.Wait == nil {
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
func (m *model) drawWait(c *draw.Canvas, r draw.Rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.H-5, 0))
	used := c.Text(above, append([]string{m.progress.says()}, m.question.Body...))
	if m.progress.total == 0 || above.H <= used {
		return
	}
	wide := above.W - 2
	done := wide * m.progress.done / m.progress.total
	c.Write(above.X, above.Y+used, above.X+above.W, "["+strings.Repeat("#", done)+strings.Repeat(".", wide-done)+"]", draw.LookStrong)
}

// wait does the work of a page, telling every tenth of it.
func (p *Plain) wait(flow ask.Flow, w *ask.Waiting) (ask.Flow, error) {
	tenth := 0
	return p.turnTo(flow, w.Do(func(done, total int) {
		if now := 10 * done / max(total, 1); now > tenth {
			tenth = now
			p.say("  " + progress{done, total}.says())
		}
	}))
}
