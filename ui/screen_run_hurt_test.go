package ui

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// offered are the labels of the choices on the page.
func (d *driver) offered() string { return strings.Join(labels(d.m.question), "\n") }

// A marked jacket ends the run as a fold does. Neither page tells then how the setting stands, or
// asks for it, nor when the run is opened again and the profile promises less by that very hurt.
func TestHurtPageEndsTheRun(t *testing.T) {
	for reason, ends := range map[string][]string{
		"Fold":          {"run-stopped: The run ends here", "run-gave-up: Cable folded", "run-end-mark: Not read"},
		"Jacket marked": {"run-stopped: The run ends here", "run-end: It ends short", "run-gave-up: Jacket marked", "run-end-mark: Not read"},
	} {
		d := runningDriver(t).say("run-running: Another reading", "run-values: Belt speed", "run-value: =105 ft/min", "run-who: AB", "run-why: =late")
		require.Contains(t, d.body(), "above what is allowed")
		d.say("run-running: It stands", "run-reason: "+reason)
		for range 2 {
			require.Equal(t, "run-stopped", d.m.question.ID)
			require.Equal(t, "The run ends here", d.m.question.Choices[0].Label)
			require.NotContains(t, d.offered(), "go on\n")
			require.NotContains(t, d.offered(), "Read setting back")
			for _, never := range []string{"above what is allowed", "Go back", "who decided", "Stay at", "Drop to"} {
				require.NotContains(t, d.body(), never)
			}
			require.Contains(t, d.body(), "A new trial is due before any further push.")
			d.leaveRun()
			d.openRun("")
		}
		d.say("run-stopped: Another reading", "run-values: Belt speed", "run-value: =120 ft/min")
		require.Equal(t, "run-stopped", d.m.question.ID, "nobody has to decide on what is not pushed with")
		d.say(ends...)
		require.NotEqual(t, "run-stopped", d.m.question.ID)
		d.leaveRun()
	}
}
