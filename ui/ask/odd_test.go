package ask

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// typed takes a value at the page of a job's key.
func (c *crew) typed(key, text string) *crew {
	c.t.Helper()
	next, effect := editing(key)(c.flow)
	c.flow = next
	require.NoError(c.t, c.carry(effect))
	require.NoError(c.t, c.enter(text))
	return c
}

// An odd value of the job is asked once more: not taken before, and kept once confirmed.
func TestOddJobValues(t *testing.T) {
	for _, row := range []struct{ key, text, says string }{
		{"conditions.cable_temperature", "460 °F", "Stub and air read 42 and 44 °F."},
		{"cable.outer_diameter", "11 in", "The duct's bore is 1.36 in."},
		{"duct.inner_diameter", "0.48 in", "The cable is 0.488 in thick."},
		{"duct.size", "banana", "No size is known by this name"},
		{"rig.grip_limit", "6000 psi", "Usual is from 5 psi to 200 psi."},
		{"rig.grip_division", "30 psi", "The grip pressure goes up to 60 psi"},
	} {
		c := newCrew(t)
		was := fieldByKey(row.key).read(c.kept.Record())
		c.typed(row.key, row.text)
		question := c.question()
		require.Equal(t, "Really "+row.text+"?", question.Title)
		require.Contains(t, question.Body[0], row.says)
		require.Nil(t, question.Enter)
		require.Equal(t, was, fieldByKey(row.key).read(c.kept.Record()), "not taken yet")

		again := c.copy(t)
		again.choose("No: type it again")
		require.Equal(t, row.key, again.question().ID)
		require.Equal(t, was, fieldByKey(row.key).read(again.kept.Record()))

		c.choose("Yes, " + row.text + " is right")
		require.Equal(t, row.text, fieldByKey(row.key).read(c.kept.Record()))
		require.Equal(t, "job", c.question().ID)
	}
}

// An odd value of a check too; an ordinary one costs no page.
func TestOddCheckValues(t *testing.T) {
	c := newCrew(t, "conditions.stub_temperature", "", "stub.run_up", "", "conditions.cable_temperature", "85 F", "conditions.air_temperature", "")
	c.choose("Yes, start").ask("air-temperature", "Air temperature?")
	require.NoError(t, c.enter("70 F"))
	c.ask("stub-temperature", "Stub temperature?")
	require.NoError(t, c.enter("51 F"))
	require.Equal(t, "Really 51 F?", c.question().Title)
	require.Contains(t, c.question().Body[0], "Cable and air read 85 and 70 °F.")
	c.choose("Yes, 51 F")
	require.Equal(t, "51 F", c.kept.Record().Changes[len(c.kept.Record().Changes)-1].Value)
	c.ask("run-up", "Run-up?")
	require.NoError(t, c.enter("700 ft"))
	c.choose("No: type it again")
	require.Equal(t, "run-up", c.question().ID)
	require.NoError(t, c.enter("2 m"))
	require.NotEqual(t, "odd", c.question().ID)
}

// A zero that nothing can be reckoned from is refused with words.
func TestDivisionOfZero(t *testing.T) {
	c := newCrew(t)
	next, effect := editing("rig.grip_division")(c.flow)
	c.flow = next
	require.NoError(t, c.carry(effect))
	require.ErrorContains(t, c.enter("0 psi"), "0 psi is no step one can set")
	require.Equal(t, "1 psi", c.kept.Record().Rig.GripDivision.String())
}

// Temperatures are asked once: each at its own check, and again only once the cable has
// changed, with the last value to confirm.
func TestTemperaturesAskedOnce(t *testing.T) {
	c := newCrew(t, "conditions.stub_temperature", "", "conditions.air_temperature", "")
	c.choose("Yes, start")
	asked := map[string]int{}
	for range 60 {
		q := c.question()
		if q.ID == "dial" {
			break
		}
		if strings.HasSuffix(q.ID, "-temperature") {
			asked[q.ID]++
		}
		c.right()
	}
	require.Equal(t, "dial", c.question().ID)
	require.Equal(t, map[string]int{"air-temperature": 1, "stub-temperature": 1}, asked)

	c.choose("Cable temperature")
	require.NoError(t, c.enter("46 F"))
	var again []string
	for range 10 {
		q := c.question()
		if q.ID == "dial" {
			break
		}
		again = append(again, q.ID)
		require.Contains(t, labels(q)[0], "Still so: ")
		c.choose("Still so: ")
	}
	require.Equal(t, []string{"air-temperature", "stub-temperature"}, again)
	c.choose("Cable temperature")
	require.NoError(t, c.enter("46 F"))
	require.Equal(t, "dial", c.question().ID, "the same value is no change")
}

// A ladder steeper than usual does not start before somebody says why.
func TestSteepLadderNeedsAReason(t *testing.T) {
	c := newCrew(t, "ladder.grip_step", "60 psi")
	require.Equal(t, "This job cannot start yet", c.question().Title)
	require.Contains(t, strings.Join(c.question().Body, "\n"), "60 psi is more than a tenth of the limit")
	require.False(t, c.offers("Yes, start"))
	c.choose("Say why it is so steep")
	require.NoError(t, c.enter("the belts do not close under 50 psi"))
	require.Contains(t, strings.Join(c.question().Body, "\n"), "! Steeper than usual: the belts do not close under 50 psi")
	require.True(t, c.offers("Yes, start"))
}

// No figure stands beside a number that is asked for, on any page of a trial.
func TestNoExampleFigures(t *testing.T) {
	for _, row := range []struct{ example, says string }{
		{"145 psi", "a pressure with its unit, such as psi"},
		{"41 F", "a temperature with its unit, such as F"},
		{"54 lbf", "a force with its unit, such as lbf"},
		{"220 ft/min", "a speed with its unit, such as ft/min"},
		{"9 notches", "a number with its unit, such as notches"},
		{"40 mm", "a length with its unit, such as mm"},
		{"2200 N/100mm", "a number with its unit, such as N/100mm"},
		{"1.9 N m2", "a number with its unit, such as N m2"},
		{"90 s", "a time with its unit, such as s"},
		{"0.12", "a number"},
		{"1.25 in SDR 11", ""},
		{"Northmoor", ""},
	} {
		require.Equal(t, row.says, Entering{Example: row.example}.Figure())
	}
	require.Equal(t, "allowed: 35 ft/min", Entering{Example: "35 ft/min", Known: "allowed: 35 ft/min"}.Figure())
	for _, c := range session.Checks() {
		if c.Asks != 0 && c.Asks != session.AskText {
			require.NotRegexp(t, `\d `, Entering{Example: exampleOf(c, true)}.Figure())
		}
	}
}
