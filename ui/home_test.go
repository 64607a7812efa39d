package ui

import (
	"slices"
	"testing"

	"brinkmark/ui/ask"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// However much there is to go on with, the start page is one of buttons, and each can be
// touched at every size.
func TestStartPageHasRoom(t *testing.T) {
	nowhere := func(ask.Flow) ask.Turn { return ask.Turn{} }
	for _, run := range []string{"", "LT-96, Mill Lane"} {
		for n := range 3 {
			d := newDriver(t, t.TempDir())
			open := profiles.Unfinished{ID: "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D", Make: "Northmoor", Type: "LT-96 loose tube", Size: "1.25 in SDR 11", Pushes: 12, Last: d.clock}
			unfinished := slices.Repeat([]ask.Open{{Unfinished: open}}, n)
			others := nowhere
			if n < 2 {
				others = nil
			}
			jobs := []profiles.Record{exampleWith(t), exampleWith(t), exampleWith(t), exampleWith(t)}
			d.m.home = &ask.Home{Unfinished: unfinished, Others: others, Now: d.clock, Jobs: jobs, Run: run, Runs: nowhere, Reach: nowhere, Review: nowhere, Practise: d.m.home.Practise}
			d.m.ask()
			require.LessOrEqual(t, len(d.m.question.Shown()), mostDigits)
			d.reachable()
			d.send(tea.WindowSizeMsg{Width: 60, Height: 20})
			require.Contains(t, d.m.View(), "┌─ 1 ")
		}
	}
}
