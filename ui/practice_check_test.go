package ui

import (
	"fmt"
	"slices"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/ui/ask"
)

// seesCheck answers a check of practice by what is seen there.
func (d *driver) seesCheck(trial *ask.PracticeTrial) bool {
	if trial == nil || d.m.question.Stage != session.CheckStage {
		return false
	}
	for i, row := range d.m.question.Rows {
		for _, c := range session.Checks() {
			if _, well := trial.Bench.Sees(c.ID); c.Ask == row[0] && !well {
				d.key(fmt.Sprint(i + 2))
				return true
			}
		}
	}
	c, known := session.CheckByID(d.m.question.ID)
	sight, well := trial.Bench.Sees(c.ID)
	if !known || well && len(c.States) == 0 {
		return false
	}
	at := slices.IndexFunc(d.m.question.Choices, func(c ask.Choice) bool { return c.Label == sight.State })
	require.GreaterOrEqual(d.t, at, 0, "%s: %s", c.ID, sight.State)
	d.run(d.m.choose(at))
	return true
}
