// Bare is the smallest bubbletea program: what brinkmark's first frame is compared
// with. It is built by a benchmark only.
package main

import (
	_ "brinkmark/ui/background"

	tea "github.com/charmbracelet/bubbletea"
)

type model struct{}

func (model) Init() tea.Cmd                       { return nil }
func (model) Update(tea.Msg) (tea.Model, tea.Cmd) { return model{}, nil }
func (model) View() string                        { return "What now?" }

func main() { _, _ = tea.NewProgram(model{}, tea.WithAltScreen()).Run() }
