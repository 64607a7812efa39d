package ui

import (
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
		for _, unfinished := range []string{"", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"} {
			d := newDriver(t, t.TempDir())
			jobs := []profiles.Record{exampleWith(t), exampleWith(t), exampleWith(t), exampleWith(t)}
			d.m.home = &ask.Home{Unfinished: unfinished, About: "LT-96", Jobs: jobs, Run: run, Runs: nowhere, Reach: nowhere, Review: nowhere, Practise: d.m.home.Practise}
			d.m.ask()
			require.LessOrEqual(t, len(d.m.question.Shown()), mostDigits)
			d.reachable()
			d.send(tea.WindowSizeMsg{Width: 60, Height: 20})
			require.Contains(t, d.m.View(), "┌─ 1 ")
		}
	}
}
