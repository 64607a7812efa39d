package ui

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/ask"
)

// slowTrial stands still in the middle of a write until it is let go on.
type slowTrial struct {
	ask.Trial
	begun, goOn chan struct{}
	writing     bool
}

func (s *slowTrial) Append(...profiles.Entry) error {
	s.writing = true
	close(s.begun)
	<-s.goOn
	s.writing = false
	return nil
}

// Whoever ends the program in the middle of a write waits for it: the record is closed once
// the write has ended, and nothing is written after that.
func TestClosedAfterTheLastWrite(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.key("2")
	slow := &slowTrial{Trial: d.m.Keeper.Trial, begun: make(chan struct{}), goOn: make(chan struct{})}
	k := d.m.Keeper
	k.Trial = slow
	closed := 0
	d.m.writer.close = func() error {
		closed++
		require.False(t, slow.writing, "closed while it was written")
		return nil
	}
	answer := ask.Append{Entries: []profiles.Entry{profiles.Answer{Item: session.ItemJob, State: session.JobAgreed}}}
	wrote, ended := make(chan ask.Performed), make(chan error)
	go func() { wrote <- d.m.writer.perform(k, d.m.flow, d.m.flow, answer) }()
	<-slow.begun
	go func() { ended <- d.m.writer.end() }()
	require.False(t, d.m.writer.mu.TryLock(), "somebody could end it in the middle of a write")
	close(slow.goOn)
	require.NoError(t, (<-wrote).Err)
	require.NoError(t, <-ended)
	require.Equal(t, 1, closed)
	require.ErrorContains(t, d.m.writer.perform(k, d.m.flow, d.m.flow, answer).Err, "not on disk")
}

// What an effect opened is closed, even if the screens ended before they were told of it.
func TestClosesWhatNobodyWasToldOf(t *testing.T) {
	d := newDriver(t, t.TempDir())
	cmd := d.m.do(d.m.flow, ask.Begin{Example: true})
	opened := cmd().(ask.Performed)
	require.NoError(t, opened.Err)
	require.NoError(t, opened.Keeper.Trial.ReplaceJob(opened.Keeper.Trial.Record()))
	require.NoError(t, d.m.writer.end())
	require.ErrorContains(t, opened.Keeper.Trial.Append(profiles.Answer{Item: session.ItemJob, State: session.JobAgreed}), "closed")
}

// Between a message and the next frame nothing is read from the disk, after an error either.
func TestUpdateReadsNoDisk(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.key("2")
	updating, reads := false, 0
	d.m.Keeper.SameSetup = func() []session.Happened {
		require.False(t, updating, "the disk is read while the screens wait")
		reads++
		return nil
	}
	d.m.Keeper.Trial = brokenTrial{d.m.Keeper.Trial}
	d.clock = d.clock.Add(time.Second)
	updating = true
	_, cmd := d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")})
	updating = false
	require.NotNil(t, cmd)
	msg := cmd()
	updating = true
	d.m.Update(msg)
	require.Contains(t, d.m.View(), "the disk is full")
	require.Positive(t, reads)
}
