package ui

import (
	"fmt"
	"runtime/debug"
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/session/parallel"
)

// Fault is what the crew is told when something is wrong in the program itself, and below it
// what whoever mends it needs. It is called where the fault was caught.
func Fault(caught any) error {
	stack := debug.Stack()
	if aside, ok := caught.(parallel.Fault); ok {
		caught, stack = aside.Caught, aside.Stack
	}
	return fmt.Errorf("brinkmark itself has failed: %v\n  what it called written is on disk: start it again to go on; if it fails again, go on by hand, and pass the lines below to whoever gave you brinkmark\n\n%s", caught, stack)
}

// faults catches what is wrong in the program itself. bubbletea would too, but ends at once
// then, while the terminal is still being read, and says neither what is on disk nor what to
// do.
type faults struct {
	quit func() // may wait until what caught the fault is done

	mu    sync.Mutex
	first error
}

// catch ends the screens after a fault; it is deferred.
func (f *faults) catch() {
	fault := recover()
	if fault == nil {
		return
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.first == nil {
		f.first = Fault(fault)
	}
	go f.quit()
}

// found is the first fault, or nil.
func (f *faults) found() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.first
}

// guard is a command, and all it leads to, whose faults are caught.
func (f *faults) guard(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		defer f.catch()
		msg := cmd()
		if batch, ok := msg.(tea.BatchMsg); ok {
			for i, each := range batch {
				batch[i] = f.guard(each)
			}
		}
		return msg
	}
}
