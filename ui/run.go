package ui

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"brinkmark/ui/ask"
	"brinkmark/ui/words"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Run shows the screens until the crew leaves. The terminal is given back after
// every ending that can be caught; what was answered is on disk whatever ends it.
func Run(s Screens, in io.Reader, out io.Writer) error {
	if s.Renderer == nil {
		s.Renderer = lipgloss.NewRenderer(out)
	}
	home := s.First
	if home == nil {
		home = &ask.Home{}
	}
	if s.Keeper.Trial == nil && s.First == nil {
		var err error
		if home, err = s.Keeper.Home(); err != nil {
			return err
		}
	}
	to := &terminal{out: out, erases: erases(os.Getenv("TERM"))}
	if slow(int(to.Fd())) {
		s.Renderer.SetColorProfile(termenv.Ascii)
		s.Slow = true
	}
	m := newModel(s, home)
	// Whatever ends or stops the program leaves the terminal as it was: bubbletea listens for
	// some of it only, and not from the beginning.
	sent := make(chan os.Signal, 1)
	signal.Notify(sent, append(stopSignals, syscall.SIGHUP, syscall.SIGINT, syscall.SIGQUIT, syscall.SIGTERM)...)
	defer signal.Stop(sent)
	var p *tea.Program
	rest := func() {
		if canStop() && p.ReleaseTerminal() == nil {
			stop()
			_ = p.RestoreTerminal()
			p.Send(tea.ResumeMsg{})
		}
	}
	caught := &faults{quit: func() { p.Quit() }}
	p = tea.NewProgram(onTerminal{m, to, rest, caught}, tea.WithInput(in), tea.WithOutput(to), tea.WithAltScreen(), tea.WithMouseCellMotion(), tea.WithoutSignalHandler())
	done := make(chan struct{})
	go func() {
		defer caught.catch()
		for {
			select {
			case by := <-sent:
				if slices.Contains(stopSignals, by) {
					rest()
				} else {
					p.Quit()
				}
			case <-done:
				return
			}
		}
	}()
	_, err := p.Run()
	close(done)
	return errors.Join(caught.found(), err, m.left(out))
}

// left says to who leaves, or was cut off, what stays live, and closes what is open behind the
// last write.
func (m *model) left(out io.Writer) error {
	m.saysLive(out)
	if m.Keeper.Live != "" {
		fmt.Fprintln(out, m.Keeper.Live)
	}
	return m.writer.end()
}

// saysLive says on the terminal, the screen being gone, what is live in a trial that is left.
func (m *model) saysLive(out io.Writer) {
	if m.trial == nil {
		return
	}
	for _, line := range warnings(m.flow.Live()) {
		_, _ = fmt.Fprintln(words.Printable(out), line) // a terminal that is gone hears nothing
	}
}

// warnings marks lines as such.
func warnings(lines []string) []string {
	var marked []string
	for _, line := range lines {
		marked = append(marked, "! "+line)
	}
	return marked
}

// erases reports whether a kind of terminal erases in the colour it draws with, and cells in
// the middle of a row: screen does not the first, a VT100 not the second.
func erases(kind string) bool {
	return !strings.HasPrefix(kind, "screen") && !strings.HasPrefix(kind, "vt1")
}
