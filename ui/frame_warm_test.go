package ui

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// The header has the cable's temperature as it was read last, and not as the job began with it; one
// that was taken back has no place there.
func TestHeaderHasTheLastTemperature(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.key("2")
	for range 40 { // the example's job, agreed
		if d.m.trial != nil && d.m.question.ID != "job" {
			break
		}
		d.key("1")
	}
	first := d.m.barText()
	require.Contains(t, first, "41 °F")
	trial := &d.m.flow.Trial
	n := trial.LastNumber()
	trial.Entries = append(trial.Entries, session.Change{Mark: session.Mark{Seq: n + 1, At: trial.Started.Add(time.Hour)}, Key: "conditions.cable_temperature", Value: "52 °F"})
	require.Contains(t, d.m.barText(), "52 °F")
	require.NotContains(t, d.m.barText(), "41 °F")
	trial.Entries = append(trial.Entries, session.Undo{Mark: session.Mark{Seq: n + 2, At: trial.Started.Add(time.Hour)}, Drops: n + 1})
	require.Equal(t, first, d.m.barText())
}
