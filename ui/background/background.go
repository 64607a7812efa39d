// Package background fixes lipgloss's idea of the terminal's background before
// anything asks the terminal for it.
//
// bubbletea asks in its own init, for every command, and waits up to five seconds
// for a terminal that does not answer; keys typed meanwhile are lost or become
// others. Go initialises packages that are ready in the order of their import
// paths, and this path sorts before bubbletea's, so import it from main and let it
// import nothing but lipgloss. A test holds that no query reaches the terminal.
package background

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(false) }
