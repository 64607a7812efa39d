package ui

import (
	"errors"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"brinkmark/ui/ask"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
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
	m := newModel(s, home)
	to := &terminal{out: out, erases: erases(os.Getenv("TERM"))}
	p := tea.NewProgram(onTerminal{m, to}, tea.WithInput(in), tea.WithOutput(to), tea.WithAltScreen(), tea.WithMouseCellMotion())
	// A dropped link must leave the terminal as it was: bubbletea does not see to it.
	hang := make(chan os.Signal, 1)
	signal.Notify(hang, syscall.SIGHUP, syscall.SIGQUIT)
	defer signal.Stop(hang)
	done := make(chan struct{})
	go func() {
		defer func() { _ = recover() }() // nothing here may leave the terminal raw
		select {
		case <-hang:
			p.Quit()
		case <-done:
		}
	}()
	_, err := p.Run()
	close(done)
	if m.Keeper.Close != nil {
		err = errors.Join(err, m.Keeper.Close())
	}
	return err
}

// erases reports whether a kind of terminal erases in the colour it draws with, and cells in
// the middle of a row: screen does not the first, a VT100 not the second.
func erases(kind string) bool {
	return !strings.HasPrefix(kind, "screen") && !strings.HasPrefix(kind, "vt1")
}
