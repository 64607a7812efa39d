package ui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/ui/ask"
)

// While the records are read the page stays alive: it says how far it has come, the
// make-safe card opens and closes, and who leaves is not called back.
func TestReviewReading(t *testing.T) {
	d := newDriver(t, t.TempDir())
	late := ask.Turn{To: func(k ask.Keeper) (ask.Keeper, *ask.Home, error) { return ask.ReviewRecords(k, d.library()) }}
	d.m.home = &ask.Home{Page: func() ask.Question {
		return ask.Question{ID: "review-reading", Title: "Reading the records", Place: "review", Choices: []ask.Choice{{Label: "To the start page", Do: func(f ask.Flow) (ask.Flow, ask.Effect) { return f, ask.GoHome{} }}},
			Wait: &ask.Waiting{Do: func(told func(done, total int)) ask.Turn {
				told(250, 1000)
				return late
			}}}
	}}
	d.m.ask()
	batch := d.m.startWaiting()().(tea.BatchMsg)
	require.Len(t, batch, 2)
	done := batch[0]() // all of the work, though nobody has listened
	_, more := d.m.Update(batch[1]())
	require.Contains(t, d.m.View(), "250 of 1000 new or changed files read")
	require.Contains(t, d.m.View(), "[###")
	d.goldens("review_reading")
	require.Nil(t, more(), "it ends with the work")
	d.key("m")
	heading, _ := session.MakeSafe()
	require.Contains(t, d.m.View(), strings.ToUpper(heading))
	d.key("b")
	require.NotContains(t, d.m.View(), strings.ToUpper(heading))
	d.choose("To the start page")
	d.at("start")
	d.send(done)
	d.at("start")
	require.Empty(t, d.m.failure)
}

// The make-safe card stays when what was under way ends, and can be put away before.
func TestMakeSafeWhileBusy(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.clock = d.clock.Add(time.Second)
	_, writing := d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("5")})
	require.True(t, d.m.busy)
	d.key("m")
	d.key("b")
	require.Equal(t, noOverlay, d.m.overlay)
	d.key("m")
	d.run(writing)
	require.False(t, d.m.busy)
	require.Equal(t, makeSafeOverlay, d.m.overlay)
	d.key("b")
	d.at("review-empty")
}
