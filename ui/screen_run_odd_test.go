package ui

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A mandrel wider than the bore is told at once, and so is a swab that came out clean
// without having gone through, and a pressure of which nothing is left.
func TestOddProvingSheet(t *testing.T) {
	d := notBegunDriver(t).say(crewAnswers...).say(proveAnswers[:5]...)
	d.say("run-mandrel: =11 in")
	require.Equal(t, "Really 11 in?", d.m.question.Title)
	require.Contains(t, d.body(), "nothing wider goes through")
	d.say("odd: No", "run-mandrel: =28 mm", "run-mandrel-length: =400 mm", "run-passes: Not at all")
	require.Equal(t, "Really not at all?", d.m.question.Title)
	require.Contains(t, d.body(), "clean and dry")
	d.say("odd: No", "run-passes: Twice", "run-held: =30 psi", "run-held-for: 2 min", "run-lost: =30 psi")
	require.Contains(t, d.body(), "that is a leak")
	d.say("odd: Yes", "run-said-clear: EF", "proof-vented: vented")
	require.Equal(t, "The duct leaks: find it before the cable goes in", d.m.question.Title)
	require.Contains(t, d.body(), "the duct leaks. Find the leak.")
	require.Equal(t, "30 psi", d.record().Provings[0].Lost.String(), "what was confirmed is kept")
}

// A temperature is asked once more where it does not go with the trial's, is offered again
// at the next read-back, and the pads say what is allowed instead of a figure to copy.
func TestOddReadBack(t *testing.T) {
	d := notBegunDriver(t).beforeAir()
	d.say("run-cable-warm: =460 F")
	require.Equal(t, "Really 460 F?", d.m.question.Title)
	d.say("odd: No", "run-cable-warm: =42 F", "run-inlet-warm: Not read", "run-dial: Enter")
	require.Equal(t, "allowed: 6 psi", d.m.question.Enter.Figure())
	d.say("run-grip: =6 psi")
	require.Contains(t, d.m.question.Enter.Figure(), "allowed: 95 ft/min")
	d.say("run-speed: =95 ft/min", "cautions: Read aloud").say(goAnswers...)
	d.say("run-running: Another reading", "run-values: Cable's speed")
	d.say("run-value: =333 ft/min")
	require.Contains(t, d.body(), "no cable outruns them")
	d.say("odd: Yes")
	require.Equal(t, "333 ft/min", d.record().Points[0].CableSpeed.String())
}
