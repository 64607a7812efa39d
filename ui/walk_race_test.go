//go:build race

package ui

// The race detector makes the walks of every page four times as long, and they have one
// goroutine: with it they walk some trials, without it all.
func init() { stuckTrials = stuckTrials[:2] }
