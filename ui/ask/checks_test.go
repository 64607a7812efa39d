package ask

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func TestReadBackRefusesHarder(t *testing.T) {
	c := proved(t).accept().ask("dialled-grip-pressure", "Grip pressure")
	advised := *c.saved
	psi := q.In(advised.Grip, "psi")
	for _, off := range []float64{-5, -1, -0.6, 0.6, 1, 30} {
		require.Error(t, c.enter(fmt.Sprintf("%g psi", psi+off)), "%g psi off", off)
		require.Equal(t, "dialled-grip-pressure", c.question().ID)
	}
	require.Error(t, c.enter("10"))
	require.NoError(t, c.enter(fmt.Sprintf("%g psi", psi+0.4)))

	c.ask("dialled-push-control", "Push control")
	speed := q.In(q.Speed(advised.Speed.Value), "ft/min")
	for _, text := range []string{fmt.Sprintf("%g ft/min", speed+1), fmt.Sprintf("%g ft/min", speed*1.1), "9 bar", "fast"} {
		require.Error(t, c.enter(text), text)
		require.Equal(t, "dialled-push-control", c.question().ID)
	}
	entries := len(c.flow.Trial.Entries)
	require.NoError(t, c.enter(fmt.Sprintf("%g ft/min", speed-20)))
	require.Equal(t, []string{"dialled-push-control"}, c.answeredSince(entries))
}

// Source: common practice, no source: what can kill is never left out, and a wrong
// state holds everything until it is right.
func TestKillersCannotBeSkipped(t *testing.T) {
	killers := map[string]bool{}
	visit := func(c *crew, stage session.Stage) {
		for c.question().Stage == stage {
			question := c.question()
			if strings.Contains(strings.Join(question.Body, "\n"), "Nothing moves until this is right.") {
				require.False(t, killers[question.ID], "%s is asked again", question.ID)
				killers[question.ID] = true
				require.False(t, c.offers("Leave out"), question.Title)
				require.Nil(t, question.Enter, question.Title)
				for _, wrong := range labels(question)[1:] {
					if wrong == "shut twice, bleed open" || wrong == "Tag for the lid" { // the second right state; no state
						continue
					}
					c.choose(wrong)
					require.Equal(t, question.ID, c.question().ID, "%q must hold everything", wrong)
				}
			}
			c.right()
		}
	}
	c := newCrew(t).reach("chamber-vented")
	visit(c, session.CheckStage)
	require.Len(t, killers, 7)
	require.Equal(t, session.ClimbStage, c.question().Stage)
	for c.reachAny("dial", "setting") == "dial" {
		c.push("STALL")
	}
	c.accept()
	visit(c, session.CarryStage)
	require.Len(t, killers, 10)
	require.Equal(t, session.ClosedStage, c.question().Stage)
}

// A check left out has its reason in the record, and is not asked again.
func TestLeftOut(t *testing.T) {
	c := newCrew(t, "people.trainee", "true").reach("same-reel").choose("Leave out", "Go back to the check")
	require.Equal(t, "same-reel", c.question().ID)
	c.choose("Leave out")
	require.NoError(t, c.enter("legend under tape"))
	answers := c.flow.Trial.Answers()
	require.Equal(t, "legend under tape", answers[len(answers)-1].SkipReason)
	require.Equal(t, "same-reel", answers[len(answers)-1].Item)
	c.reach("dial")
}

func TestPause(t *testing.T) {
	rows := []struct {
		idle  time.Duration
		again bool
	}{
		{9*time.Minute + 50*time.Second, false},
		{session.LongPause, false},
		{session.LongPause + time.Second, true},
		{24 * time.Hour, true},
		{-time.Hour, true}, // a clock set back proves no short pause
	}
	for _, row := range rows {
		c := newCrew(t).push("STALL").reach("dial")
		c.now = c.last().At.Add(row.idle)
		if !row.again {
			require.Equal(t, "dial", c.question().ID, "%v", row.idle)
			continue
		}
		require.Equal(t, session.CheckStage, c.question().Stage, "%v", row.idle)
		entries := len(c.flow.Trial.Entries)
		c.reach("dial")
		asked := c.answeredSince(entries)
		for _, killer := range []string{"chamber-vented", "stop-tested", "guards-on", "supply-isolates", "stub-holed", "plug-held", "line-of-fire"} {
			require.Contains(t, asked, killer, "after %v", row.idle)
		}
		require.NotContains(t, asked, "same-reel", "what a pause does not touch is not asked again")
	}
}

// A pause in the middle of a push: the push question is left for the killers.
func TestPauseAfterDialling(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled")
	require.Equal(t, "push", c.question().ID)
	c.now = c.now.Add(session.LongPause + time.Minute)
	require.Equal(t, session.CheckStage, c.question().Stage)
	require.Equal(t, "dial", c.reach("dial").question().ID)
}

// Only what a fold or a slip has touched is asked again after it.
func TestTouchedOnly(t *testing.T) {
	rows := []struct {
		outcome string
		want    []string
	}{
		{"STALL", nil},
		{"SLIP", []string{"slip-isolated", "belts-clean", "lines-drawn", "guards-on"}},
		{"FOLD", []string{"reel-slack", "cable-sound", "end-capped", "lead-in-fitted", "lines-drawn", "guards-on", "settling-push"}},
	}
	for _, row := range rows {
		c := newCrew(t).push("STALL").push(row.outcome)
		entries := len(c.flow.Trial.Entries)
		c.reach("dial").choose("ialled")
		require.Equal(t, row.want, c.answeredSince(entries), row.outcome)
	}
}
