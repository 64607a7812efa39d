package ui

import (
	"errors"
	"sync"

	"brinkmark/ui/ask"

	tea "github.com/charmbracelet/bubbletea"
)

// writer carries effects out beside the screen, one at a time. It knows which record is open
// even when nobody is left to be told, so that what the last effect wrote to is closed once it
// has ended, and not while it writes.
type writer struct {
	mu    sync.Mutex
	close func() error // of the record that is open; nil for none
	ended bool
}

// errEnded is what becomes of an answer that was given when all was over.
var errEnded = errors.New("brinkmark is leaving: this answer is not on disk\n  start it again to go on")

// perform carries an effect out. After an error its flow is that over what is now on disk,
// part of which may be new.
func (w *writer) perform(k ask.Keeper, before, next ask.Flow, effect ask.Effect) ask.Performed {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.ended {
		return ask.Performed{Flow: before, Trial: k.Trial, Err: errEnded}
	}
	p := k.Perform(next, effect)
	if p.Err != nil {
		p.Flow, p.Trial = k.See(before), k.Trial
		return p
	}
	if p.Keeper != nil {
		w.close = p.Keeper.Close
	}
	return p
}

// saving is a write that is no effect.
func (w *writer) saving(save func() error) tea.Cmd {
	return func() tea.Msg {
		w.mu.Lock()
		defer w.mu.Unlock()
		if w.ended {
			return nil
		}
		return optionsSavedMsg{save()}
	}
}

// end waits for the last write, takes no other, and closes what is open.
func (w *writer) end() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.ended = true
	if w.close == nil {
		return nil
	}
	return w.close()
}
