package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// promiseOf is the setting a view ends in, as if it were promised.
func promiseOf(o Outlook) Promise {
	s, _ := SettingOf(o.Next)
	return Promise{Setting: s}
}

// A fold that was seen on a colder cable is told as what it is brought to: a reckoned figure, in
// whole divisions of the dial. One that was seen at this temperature is told as it was read.
func TestReckonedFoldIsToldAsReckoned(t *testing.T) {
	morning := pushedTrial(t)
	seen := View(morning)
	require.Contains(t, seen.Lines(morning, promiseOf(seen))[0], "lowest fold "+morning.Rig.ShowSpeed(seen.LowestFold.Or(morning.Rig.Reading(0)).Value)+", so ")

	begun, err := at(gaugeTrial(), "°F", 75).After(morning)
	require.NoError(t, err)
	for {
		try, ok := Decide(begun).(Try)
		if !ok {
			break
		}
		begun.push(try.Setting, Stall)
	}
	view := View(begun)
	f := newFacts(begun)
	require.NotEqual(t, f.lowestFold, f.speed.down(f.lowestFold), "the figure is between two divisions")
	require.Contains(t, view.Lines(begun, promiseOf(view))[0], "lowest fold about "+begun.Rig.ShowSpeed(f.speed.down(f.lowestFold))+" (reckoned), so ")
}
