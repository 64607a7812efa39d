package ask

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

func said(question Question) string {
	return strings.Join(append([]string{question.Title}, question.Body...), "\n")
}

// Source: common practice, no source; the cautions after a fold: isolate, everyone clear,
// draw it back, cut, then the checks, then the settling push. One decision a page, none of
// them left out, and every caution before the first hand.
func TestAfterFold(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD")
	require.Equal(t, session.Fold, c.last().Outcome, "written at once: a fold is never lost")
	var order []string
	heard := ""
	for range 20 {
		question := c.question()
		order = append(order, question.ID)
		require.False(t, c.offers("Leave out") && question.ID != session.CheckSettling, question.Title)
		switch question.ID {
		case "fold-isolated":
			require.Contains(t, question.Title, "Stop. Isolate")
			require.Equal(t, []string{"stopped, isolated", "supply still on", "No: read it again", leaving.Label}, labels(question))
		case "fold-clear":
			heard += said(question)
		case "fold-withdrawn":
			for _, caution := range session.Cautions(session.AfterFold) {
				require.Contains(t, heard, caution.Say, "before a hand goes in")
			}
			for _, word := range []string{"vented", "open the belts", "by hand, slowly", "only if it comes freely", "no air", "no rod", "Isolate and cut the stub"} {
				require.Contains(t, said(question), word)
			}
		case "used":
			require.Contains(t, question.Title, "Isolated: cut off all that folded")
		}
		if question.ID == "dial" {
			break
		}
		c.right()
	}
	require.Equal(t, []string{"fold-isolated", "fold-clear", "fold-withdrawn", "used", "block", "settling-push", "dial"}, order)
	require.Positive(t, c.last().CableUsed)
}

// What was written is asked for again wherever a crew has left it: nothing is lost with a
// tablet that goes dark.
func TestAfterFoldGoesOnWhereItWasLeft(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD")
	for _, id := range []string{"fold-isolated", "fold-clear", "fold-withdrawn", "used"} {
		c.flow = Flow{}.See(c.kept)
		require.Equal(t, id, c.question().ID)
		c.choose(c.question().Choices[0].Label)
	}
	require.NotEqual(t, "used", c.question().ID)

	c = newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD", "stopped, isolated")
	c.now = c.now.Add(session.LongPause + 1e9)
	require.Equal(t, "fold-isolated", c.question().ID, "who was away does not reach in on an answer of before")
}

// A wrong answer holds, and the third fold of a trial is withdrawn as the first is.
func TestFoldHoldsEverything(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD")
	for _, row := range [][2]string{{"supply still on", "stopped, isolated"}, {"someone is too close", "clear, nobody"}, {"stuck, still in there", "came freely"}} {
		id := c.question().ID
		for range 3 {
			c.choose(row[0])
			require.Equal(t, id, c.question().ID)
			require.Contains(t, said(c.question()), "You said: "+row[0])
		}
		c.choose(row[1])
		require.NotEqual(t, id, c.question().ID)
	}
	c = newCrew(t).push("FOLD").push("FOLD").reach("dial").choose("ialled, everyone clear", "read it", "FOLD")
	require.Equal(t, "fold-isolated", c.question().ID, "the trial is over, the fold is not")
	require.Equal(t, "refusal", c.reachAny("refusal", "dial"))
}

// A fold that did not come out costs the stub: the next one is looked at as the first was.
func TestStubCutIsAnotherStub(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD",
		"stopped, isolated", "clear, nobody", session.StubCutOff, "3 ft")
	entries := len(c.flow.Trial.Entries)
	c.reach("dial")
	for _, id := range []string{"chamber-vented", "stub-holed", "plug-held", "line-of-fire", "stub-same", "stub-clamped", "witness-lines", "settling-push"} {
		require.Contains(t, c.answeredSince(entries), id)
	}
}

// A fold in the gap proves nothing of the duct, and the cable is bent all the same.
func TestFoldInTheGapIsWithdrawnToo(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "VOID")
	require.Contains(t, said(c.question()), "Stop, isolate, before a hand goes in")
	c.choose(session.VoidGapFold)
	for _, id := range []string{"fold-isolated", "fold-clear", "fold-withdrawn", "used"} {
		require.Equal(t, id, c.question().ID)
		c.choose(c.question().Choices[0].Label)
	}
	require.Equal(t, session.Void, c.last().Outcome)
	require.Equal(t, session.VoidGapFold, c.last().VoidReason)
	require.Positive(t, c.last().CableUsed)
}

func TestNothingCutOffIsAskedOnceMore(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "FOLD").reach("used")
	entries := len(c.flow.Trial.Entries)
	require.NoError(t, c.enter("0 ft"))
	require.Len(t, c.flow.Trial.Entries, entries)
	require.Equal(t, "used-none", c.question().ID)
	require.True(t, strings.HasPrefix(labels(c.question())[0], "It is cut off"), "the first choice is the usual one")
	c.choose("say how much")
	require.Equal(t, "used", c.question().ID)
	require.NoError(t, c.enter("0 ft"))
	c.choose("Really 0 ft")
	require.Zero(t, c.last().CableUsed)
	require.NotContains(t, []string{"used", "used-none"}, c.question().ID)
}

// Source: common practice, no source: stop and isolate stand in the sentence that sends the
// hand to wipe; guards come after, on a page of their own with the next setting.
func TestAfterSlip(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "SLIP")
	question := c.question()
	require.Equal(t, "slip", question.ID)
	require.Equal(t, "SLIP. Stop, isolate, then wipe the belts", question.Title)
	for _, word := range []string{"Written: SLIP", "Drive belts?", "belt chalk?", "jacket"} {
		require.Contains(t, said(question), word)
	}
	require.NotContains(t, said(question), "Guards")
	entries := len(c.flow.Trial.Entries)
	c.choose("All true")
	require.Equal(t, []string{"slip-isolated", "belts-clean", "lines-drawn"}, c.answeredSince(entries))
	require.Equal(t, "dial", c.question().ID)
	require.Contains(t, said(c.question()), "! Guards, hands, sleeves, hair? Guards on, all clear.")
	c.choose("Guards on; dialled, everyone clear")
	require.Equal(t, "guards-on", c.answeredSince(entries)[3])
	require.Equal(t, "push", c.question().ID)

	c = newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "SLIP", "No: read it again", "STALL")
	require.Equal(t, "dial", c.question().ID)
	require.Len(t, c.attempts(), 2)

	c = newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "SLIP", "Belts or chalk not so", "Not so: Drive belts?", "glazed or cut")
	require.Contains(t, said(c.question()), "You said: glazed or cut")

	c = newCrew(t).push("STALL").reach("dial").choose("ialled, everyone clear", "read it", "SLIP", "Cable was cut off")
	require.Contains(t, c.question().Title, "Stop, isolate, then cut")
	c.choose("1 ft")
	require.Equal(t, "slip", c.question().ID, "it is still to be wiped")
	c.choose("Jacket marked")
	require.True(t, c.last().JacketDamage)
	require.InDelta(t, 0.3048, float64(c.last().CableUsed), 1e-9) // NIST SP 811, appendix B.8
	c.choose("All true")
	require.Equal(t, "dial", c.question().ID)

	c = newCrew(t, "people.trainee", "true").reach("dial").choose("ialled", "read it", "two questions", "Yes, they kept", "No, it held", "Yes, both")
	require.Equal(t, "slip", c.question().ID)
	c.choose("All true")
	for _, id := range []string{"belts-clean", "lines-drawn", "guards-on", "dial"} {
		require.Equal(t, id, c.question().ID, "a trainee answers each, guards last")
		c.choose(c.question().Choices[0].Label)
	}
}

// The settling push is dialled by its numbers, in the crew's own word and units.
func TestSettlingPushHasItsNumbers(t *testing.T) {
	c := newCrew(t, "rig.push_control", "drive lever").ask("settling-push", "Settling push")
	question := c.question()
	require.NotNil(t, question.Setting)
	start, _ := c.flow.Trial.Start()
	require.Equal(t, start, *question.Setting)
	rig := c.flow.Trial.Rig
	require.Contains(t, question.Title, rig.Named(start))
	for _, word := range []string{"Guards on, everyone clear", "drive lever", rig.ShowSpeed(start.Speed.Value), rig.ShowGrip(start.Grip), "See: the cable line", "isolate"} {
		require.Contains(t, said(question), word)
	}
	c = newCrew(t).push("FOLD").ask("settling-push", "Settling push")
	next := c.flow.Outlook.Next.(session.Try).Setting
	require.LessOrEqual(t, c.question().Setting.Speed.Value, next.Speed.Value, "never harder than the next push")
	require.LessOrEqual(t, c.question().Setting.Grip, next.Grip)
}

// A wrong answer to any check is said back with what may come of it and what to do now.
func TestWrongAnswerIsHeard(t *testing.T) {
	heard := 0
	for _, check := range session.Checks() {
		if len(check.States) == 0 {
			continue
		}
		c := newCrew(t, "people.trainee", "true").reach(check.ID)
		before := c.question()
		wrong := check.States[check.RightStates]
		c.choose(wrong)
		after := c.question()
		require.Equal(t, check.ID, after.ID)
		require.NotEqual(t, said(before), said(after), check.ID)
		for _, word := range []string{wrong, check.Wrong, check.How} {
			require.Contains(t, said(after), word)
		}
		require.Contains(t, labels(after), leaving.Label)
		c.choose(check.States[0])
		require.NotEqual(t, check.ID, c.question().ID)
		heard++
	}
	require.Greater(t, heard, 20)
}

// Source: common practice, no source: whoever ends a trial was asked to make safe first.
// Nothing is closed before, and each answer is on record.
func TestEveryEndIsMadeSafe(t *testing.T) {
	ends := map[string]func(t *testing.T) *crew{
		"refused": func(t *testing.T) *crew { return proved(t).choose("Refuse it", "Close the trial") },
		"stopped": func(t *testing.T) *crew {
			return newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "Yes, stop")
		},
		"no setting": func(t *testing.T) *crew {
			return newCrew(t).push("FOLD").push("FOLD").push("FOLD").reach("refusal").choose("Close the trial")
		},
		"budget spent": func(t *testing.T) *crew {
			return newCrew(t, "limits.cable_budget", "3 ft").push("FOLD").reach("refusal").choose("Close the trial")
		},
	}
	for name, end := range ends {
		c := end(t)
		entries := len(c.flow.Trial.Entries)
		for _, row := range [][2]string{{"supply still on", "stopped, isolated"}, {"could still get in", "no air on this site"}, {"nobody has looked", "on the ground, in sight"}} {
			require.False(t, c.flow.Trial.Closed(), name)
			c.choose(row[0])
			require.Contains(t, said(c.question()), "You said: "+row[0], name)
			c.choose(row[1])
		}
		require.False(t, c.flow.Trial.Closed(), name)
		require.Equal(t, EndKey, c.question().KeyOf("Close the trial"), name)
		c.choose("Close the trial")
		require.True(t, c.flow.Trial.Closed(), name)
		require.Equal(t, "closed", c.question().ID, name)
		require.Equal(t, []string{"made-safe-drive", "made-safe-drive", "made-safe-air", "made-safe-air", "made-safe-stub", "made-safe-stub"}, c.answeredSince(entries)[:6], name)
		require.Empty(t, c.flow.Live(), name)
		require.Nil(t, c.saved)
	}

	c := newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "Yes, stop").makeSafe()
	require.Contains(t, said(c.question()), "Stub and plug are still fitted: no air.")

	c = newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "Yes, stop", "stopped, isolated", "Go on with the trial")
	require.Equal(t, "dial", c.question().ID)
	c.choose("Stop, no setting", "Yes, stop")
	require.Equal(t, "made-safe-drive", c.question().ID, "a drive that may have run since is asked for again")
}

// With a setting, carrying over asks the same, and whoever leaves it halfway is told.
func TestAcceptedIsMadeSafeByCarryingOver(t *testing.T) {
	c := proved(t).accept()
	require.Equal(t, []string{"The drive may still have supply: stop, isolate.", "Stub and plug are still fitted: no air."}, c.flow.Live())
	c.reach("trial-isolated").choose("stopped, isolated")
	require.Equal(t, []string{"Stub and plug are still fitted: no air."}, c.flow.Live())
	for c.question().Stage == session.CarryStage {
		c.right()
	}
	require.Empty(t, c.flow.Live())
}

// Two folds and a misreading later, the record says what was cut, once.
func TestFoldIsWrittenOnce(t *testing.T) {
	c := newCrew(t).push("FOLD").push("STALL")
	require.Len(t, c.attempts(), 2)
	require.InDelta(t, 3*0.3048, float64(c.flow.Trial.CableUsed()), 1e-9) // NIST SP 811, appendix B.8
	length, err := profiles.NewQuantity[q.Length]("3 ft")
	require.NoError(t, err)
	written := 0
	for _, a := range c.kept.Record().Attempts {
		if a.CableUsed.String() == length.String() {
			written++
		}
	}
	require.Equal(t, 1, written, fmt.Sprint(c.kept.Record().Attempts))
}

// A supervisor reads a fold once, with what it cost; a reading that was taken back stays.
func TestPushesListAFoldOnce(t *testing.T) {
	c := newCrew(t).push("FOLD").reach("dial").choose("ialled, everyone clear", "read it", "FOLD", "No: read it again", "STALL")
	record := c.kept.Record()
	table := (&openRecord{record: &record}).pushes()
	require.Len(t, table.Rows, 3)
	require.Equal(t, "FOLD", table.Rows[0].Cells[3])
	require.Contains(t, table.Rows[0].Cells[4], "used 3 ft")
	require.Contains(t, table.Rows[1].Cells[4], "TAKEN BACK")
	require.Equal(t, "STALL", table.Rows[2].Cells[3])
}
