package ui

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// A crew that checks what is covered, and whose cable folds, gets no tag of the profile it has
// just folded under.
func TestFoldedCheckLeavesNoTag(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.begin(8, saidWith(t))
	d.toEnd(rig{fold: 118, slipPerPSI: 12})
	d.begin(9, saidWith(t))
	d.pick("From the 41 °F trial")
	d.climbTo("refusal", rig{fold: 60, slipPerPSI: 12})
	for d.m.question.ID != "closed" {
		d.step(rig{fold: 60, slipPerPSI: 12}, d.key)
	}
	require.NotContains(t, strings.Join(d.m.question.Body, "\n"), "Tag for the lid")
}

// What another window of this tablet folded during a trial counts when its setting is offered.
func TestFoldMeanwhileLowersTheOffer(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	d.begin(8, saidWith(t))
	d.climbTo("dial", rig{fold: 118, slipPerPSI: 12})
	other := newDriver(t, dir)
	other.begin(8, saidWith(t))
	other.climbTo("used", rig{fold: 70, slipPerPSI: 12})
	other.toEnd(rig{fold: 70, slipPerPSI: 12})
	d.climbTo("setting", rig{fold: 118, slipPerPSI: 12})
	require.NotNil(t, d.m.question.Setting)
	require.Less(t, d.m.question.Setting.Speed.Value, 70.0)
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "Less is offered, for what is on record")
}

// While the other records cannot be read no setting is given, and nothing else ends; they are
// read again at a press.
func TestUnreadRecordsGiveNoSetting(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.begin(8, saidWith(t))
	d.climbTo("confirm", rig{fold: 118, slipPerPSI: 12})
	know := d.m.Keeper.Know
	d.m.Keeper.Know = func() *profiles.Candidates { return profiles.NothingKnown(errors.New("the stick was pulled")) }
	d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
	require.Equal(t, "unread", d.m.question.ID)
	require.Equal(t, []string{"Read them again", "Leave; it can be resumed"}, labels(d.m.question))
	require.Contains(t, d.m.question.Body, "The stick was pulled.")
	d.pick("Read them again")
	require.Equal(t, "unread", d.m.question.ID)
	d.m.Keeper.Know = know
	d.pick("Read them again")
	require.Equal(t, "setting", d.m.question.ID)
}
