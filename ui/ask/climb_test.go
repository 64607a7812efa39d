package ask

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// A void proves nothing: the same setting is asked for again, and only the cable it
// cost counts.
func TestVoid(t *testing.T) {
	for _, reason := range session.VoidReasons() {
		c := newCrew(t).push("STALL")
		before := c.dialled()
		c.choose("ialled, everyone clear", "read it", "VOID", reason)
		require.Equal(t, session.Void, c.last().Outcome)
		require.Equal(t, reason, c.last().VoidReason)
		entries := len(c.flow.Trial.Entries)
		require.Equal(t, before, c.dialled())
		if reason == session.VoidPlugMoved {
			require.Contains(t, c.answeredSince(entries), "plug-held", "a plug that moved is looked at before the next push")
		}
		require.Equal(t, 2, len(c.attempts()))
	}
	c := newCrew(t).reach("dial").choose("ialled", "read it", "VOID")
	require.NoError(t, c.enter("hose came off"))
	require.Equal(t, "hose came off", c.last().VoidReason)

	c = newCrew(t).reach("dial").choose("ialled", "read it", "VOID", "No: read it", "STALL")
	require.Equal(t, session.Stall, c.last().Outcome)
}

func TestNoPushMade(t *testing.T) {
	c := newCrew(t).reach("dial").choose("ialled", "No push was made")
	require.Equal(t, "dial", c.question().ID)
	require.Empty(t, c.attempts())
}

// Source: common practice, no source: belts turning and line held is slip, both
// moving is fold, neither is stall; whatever else is seen proves nothing.
func TestTwoQuestions(t *testing.T) {
	rows := []struct {
		belts, line, lines string
		want               session.Outcome
	}{
		{"No, they stopped", "No, it held", "Yes, both", session.Stall},
		{"Yes, they kept", "No, it held", "Yes, both", session.Slip},
		{"Yes, they kept", "Yes, it moved", "Yes, both", session.Fold},
		{"No, they stopped", "Yes, it moved", "Yes, both", session.Void},
		{"No, they stopped", "No, it held", "No, plug", session.Void},
		{"Yes, they kept", "Yes, it moved", "No, plug", session.Void},
	}
	for _, row := range rows {
		for _, trainee := range []bool{true, false} {
			c := newCrew(t)
			if trainee {
				c = newCrew(t, "people.trainee", "true")
			}
			c.reach("dial").choose("ialled", "read it")
			if trainee {
				require.False(t, c.offers("STALL") || c.offers("SLIP") || c.offers("FOLD"), "a trainee says what was seen, not what it means")
			}
			c.choose("two questions", row.belts, row.line, row.lines)
			if row.want != session.Stall {
				c.choose(c.question().Choices[0].Label)
			}
			require.Equal(t, row.want, c.last().Outcome, "%+v", row)
			require.Equal(t, q.Known(strings.HasPrefix(row.belts, "Yes")), c.last().BeltsTurning)
			require.Equal(t, q.Known(strings.HasPrefix(row.line, "Yes")), c.last().LineMoved)
		}
	}
}

// Reading a push again starts from nothing: what was said and taken back is not
// written beside the new outcome.
func TestReadAgainForgets(t *testing.T) {
	rows := [][]string{
		{"two questions", "Yes, they kept", "No, it held", "Yes, both", "No: read it", "STALL"},
		{"two questions", "No, they stopped", "Yes, it moved", "Yes, both", "No: read it", "STALL"},
		{"two questions", "Yes, they kept", "Yes, it moved", "Yes, both", "No: read it again", "STALL"},
		{"two questions", "Yes, they kept", "Yes, it moved", "Yes, both", "No: read it again", "SLIP"},
	}
	for _, row := range rows {
		c := newCrew(t).reach("dial").choose("ialled", "read it").choose(row...)
		last := c.last()
		require.Empty(t, last.Contradicts(), "%v", row)
		require.False(t, last.JacketDamage, "%v", row)
	}
}

func TestStallConfirmation(t *testing.T) {
	c := newCrew(t).push("STALL")
	first := c.last().Setting
	c.choose("No: read it")
	require.Empty(t, c.attempts(), "what is not true is taken back first")
	c.choose("SLIP")
	require.Equal(t, session.Slip, c.last().Outcome)
	require.Equal(t, first, c.last().Setting)
	require.Len(t, c.attempts(), 1)

	c = newCrew(t).push("STALL")
	require.NoError(t, c.enter("38 ft/min"))
	require.Equal(t, q.Known(q.Reading{Value: 38 * 0.3048 / 60, Unit: "m/s"}).Known(), c.last().StallReading.Known())
	require.Equal(t, "dial", c.question().ID)
	require.Len(t, c.attempts(), 1)

	c.choose("Jacket marked")
	require.True(t, c.last().JacketDamage)
	require.True(t, c.last().StallReading.Known(), "a mark on the jacket takes no reading away")
	require.Len(t, c.attempts(), 1)
}

// Jacket damage ends the climb in grip pressure: no later push squeezes as hard.
func TestJacketDamage(t *testing.T) {
	c := newCrew(t).push("STALL").push("STALL")
	marked := c.last().Setting.Grip
	c.reach("dial").choose("Jacket marked")
	for range 40 {
		if c.reachAny("dial", "setting", "refusal") != "dial" {
			return
		}
		require.Less(t, c.question().Setting.Grip, marked)
		c.push("STALL")
	}
	require.Fail(t, "no end")
}

func TestCableUsed(t *testing.T) {
	c := newCrew(t).reach("dial").choose("ialled", "read it", "FOLD").reach("used")
	before := len(c.flow.Trial.Entries)
	for _, text := range []string{"-3 ft", "five", "3 psi", "1e9 km", "NaN m", "1.5"} {
		require.Error(t, c.enter(text), text)
	}
	require.Len(t, c.flow.Trial.Entries, before)
	require.NoError(t, c.enter("1.5 m"))
	require.InDelta(t, 1.5, float64(c.last().CableUsed), 1e-9)
}

// A warmer cable is a change with its reason, and later pushes carry it.
func TestTemperatureChanged(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("Cable temperature")
	for _, text := range []string{"hot", "-500 F", "''", `""`, "true", "[]"} {
		require.Error(t, c.enter(text), text)
	}
	require.NoError(t, c.enter("52 F"))
	require.Empty(t, c.flow.Trial.Changes(), "nothing is written before it is said which of the two it is")
	require.Contains(t, c.question().Title, "Pushed at 41 °F by the record, and now 52 F?")
	c.choose("changed since")
	require.Len(t, c.flow.Trial.Changes(), 1)
	c.push("STALL")
	require.InDelta(t, (52.0-32)/1.8, q.In(c.last().CableTemperature.Or(0), "°C"), 1e-9) // NIST SP 811, appendix B.9
	require.InDelta(t, (41.0-32)/1.8, q.In(c.attempts()[0].CableTemperature.Or(0), "°C"), 1e-9)
}

// A temperature that was mistyped has no effect: the pushes under it were made at the right one.
func TestMistypedTemperature(t *testing.T) {
	c := newCrew(t).push("STALL").push("STALL").reach("dial").choose("Cable temperature")
	require.NoError(t, c.enter("60 F"))
	c.choose("Type it again")
	require.Equal(t, "temperature", c.question().ID)
	require.NoError(t, c.enter("52 F"))
	c.choose("mistyped")
	require.True(t, c.flow.Record.Changes[0].Corrects)
	require.Equal(t, "41 °F was mistyped: the cable was never so", c.flow.Record.Changes[0].Reason)
	for _, a := range c.attempts() {
		require.InDelta(t, (52.0-32)/1.8, q.In(a.CableTemperature.Or(0), "°C"), 1e-9)
	}
	c.reach("dial").choose("Cable temperature")
	require.NoError(t, c.enter("54 F"))
	require.Len(t, c.flow.Trial.Changes(), 2, "a few degrees are the day's")
	require.InDelta(t, (52.0-32)/1.8, q.In(c.attempts()[0].CableTemperature.Or(0), "°C"), 1e-9)
}

// Whoever asks why at an outcome is told what may look like it, and how to find out.
func TestOutcomeHelpNamesFalseReadings(t *testing.T) {
	help := strings.Join(newCrew(t).reach("read").question().Help, "\n")
	for _, d := range session.Doubts() {
		require.Contains(t, help, "A false "+d.Looks+"? If "+d.Because+": "+d.Check+".")
	}
}
