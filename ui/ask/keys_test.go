package ask

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// lastPush is a crew whose last push is read and leads to the install setting.
func lastPush(t *testing.T, changes ...string) *crew {
	c := newCrew(t, changes...)
	for range 40 {
		c.push("STALL")
		if c.question().Stage == session.SettingStage {
			return c
		}
	}
	require.Fail(t, "no setting after 40 stalls")
	return c
}

// resumed is a crew that left and came back: what was not written is lost.
func (c *crew) resumed() *crew {
	c.flow = Flow{Earlier: c.flow.Earlier}.See(c.kept)
	return c
}

// The last reading is confirmed as every other, and asked again until it is: after a resume,
// a changed temperature and an undo too.
func TestLastReadingIsConfirmed(t *testing.T) {
	c := lastPush(t)
	asked := c.question()
	require.Equal(t, "confirm", asked.ID)
	require.Contains(t, asked.Title, "Written: STALL at ")
	require.Contains(t, strings.Join(asked.Body, " "), "jacket clean?")
	require.False(t, c.offers("Accept"))
	require.Equal(t, "confirm", c.resumed().question().ID)
	require.NoError(t, c.carry(Append{[]profiles.Entry{profiles.Change{Key: "conditions.day_low", Value: "40 F", Reason: "from the weather report"}}}))
	require.Equal(t, "confirm", c.question().ID)

	again := c.copy(t).choose("No: read it again", "SLIP")
	require.Equal(t, session.Slip, again.last().Outcome)
	marked := c.copy(t).choose("Jacket marked")
	require.True(t, marked.last().JacketDamage)
	gauge := c.copy(t)
	require.NoError(t, gauge.enter("55 ft/min"))
	require.Equal(t, "55 ft/min", gauge.flow.Record.Attempts[len(gauge.flow.Record.Attempts)-1].StallReading.String())
	require.Equal(t, "confirm", gauge.question().ID, "what was added to it is confirmed too")

	c.choose("All true")
	require.Equal(t, "setting", c.question().ID)
	require.Equal(t, "setting", c.resumed().question().ID)
	next, effect := c.flow.Undo()
	c.flow = next
	require.NoError(t, c.carry(effect))
	require.Equal(t, "confirm", c.question().ID, "an undo takes the confirmation back")
	require.Nil(t, c.saved)
}

// Nor does a short check or an enough trial end on a push that nobody has confirmed.
func TestLastReadingOfEveryKind(t *testing.T) {
	for _, kind := range []session.Kind{session.ShortCheck, session.Enough} {
		c := newCrew(t)
		job := c.flow.Record
		job.Kind, job.Of = kind, map[session.Kind]string{session.ShortCheck: "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"}[kind]
		job.Plan.Grip = asWritten[q.Pressure]("8 psi")
		job.Plan.Speed, _ = profiles.NewReading("60 ft/min")
		require.NoError(t, c.carry(ReplaceJob{job}))
		for n := 0; c.question().Stage != session.SettingStage; n++ {
			require.Less(t, n, 20)
			c.push("STALL")
		}
		require.Equal(t, "confirm", c.question().ID, kind)
		require.NotEqual(t, "confirm", c.choose("All true").question().ID)
	}
}

// A changed temperature between a push and the next does not pass for a confirmation.
func TestReadingIsConfirmedAfterATemperature(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("Cable temperature")
	require.NoError(t, c.enter("43 F"))
	c.reach("dial")
	require.True(t, c.offers("All true"), labels(c.question()))
	require.Contains(t, c.question().Body[0], "Written: STALL")
}

// What writes for good or ends has the key that nothing else has, and none of the pages
// before it uses.
func TestEndingsHaveAKeyOfTheirOwn(t *testing.T) {
	c := lastPush(t)
	require.Equal(t, "7", c.question().KeyOf("All true"))
	c.choose("All true")
	require.Equal(t, EndKey, c.question().KeyOf("Accept "))
	require.Equal(t, "9", c.question().KeyOf("Refuse it"))
	require.Equal(t, EndKey, c.copy(t).choose("Refuse it").question().KeyOf("Close the trial"))
	c.accept().reach("far-end-clear")
	require.Equal(t, EndKey, c.question().KeyOf("says clear"))

	c = newCrew(t).push("STALL").reach("dial")
	require.Equal(t, "1", c.question().KeyOf("All true"))
	stop := c.question().KeyOf("Stop, no setting")
	require.Equal(t, stop, newCrew(t).reach("dial").question().KeyOf("Stop, no setting"), "it has not moved")
	c.choose("Stop, no setting")
	require.Equal(t, EndKey, c.question().KeyOf("Yes, stop"))
	require.NotEqual(t, EndKey, stop)
	require.Equal(t, "1", c.question().KeyOf("No, go on"))
}

// A refusal is taken back by undo, after a resume too, until the trial is closed.
func TestRefusalCanBeTakenBack(t *testing.T) {
	c := proved(t).choose("Refuse it")
	require.Equal(t, "declined", c.question().ID)
	require.False(t, c.flow.Trial.Closed())
	require.Equal(t, "declined", c.resumed().question().ID)
	c.choose("Take it back")
	require.Equal(t, "setting", c.question().ID)
	require.True(t, c.offers("Accept"))
	c.choose("Refuse it")
	c.choose("Close the trial").makeSafe()
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Nil(t, c.saved)
	for range 5 { // the end, three acts of making safe and the refusal, as long as it is not left
		next, effect := c.flow.Undo()
		c.flow = next
		require.NoError(t, c.carry(effect))
	}
	require.Equal(t, "setting", c.question().ID)
}

// A record in which an earlier version wrote a refusal is closed, as it was.
func TestRefusalOfAnEarlierVersion(t *testing.T) {
	c := proved(t)
	require.NoError(t, c.carry(Append{[]profiles.Entry{c.flow.answer(session.ItemSetting, session.SettingRefused, "")}}))
	require.Equal(t, session.ClosedStage, c.question().Stage)
}

// A trial that was stopped goes on when that is taken back before it is left.
func TestStopCanBeTakenBack(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "Yes, stop").makeSafe()
	require.Equal(t, "closed", c.question().ID)
	next, effect := c.flow.Undo()
	c.flow = next
	require.NoError(t, c.carry(effect))
	require.Equal(t, "dial", c.question().ID)
	require.Len(t, c.attempts(), 1)
}

// Digits of the job page stay while faults come and go: none that was harmless starts.
func TestJobKeysStay(t *testing.T) {
	whole := newCrew(t).question()
	require.Equal(t, "1", whole.KeyOf("Yes, start"))
	faulty := newCrew(t, "rig.speed_division", "500 ft/min").question()
	require.Equal(t, "This job cannot start yet", faulty.Title)
	require.NotContains(t, faulty.Keys(), "1")
	for _, label := range []string{"Change a value", "Measure a droop", "Do a pull test", "Name the people"} {
		require.Equal(t, whole.KeyOf(label), faulty.KeyOf(label))
		require.NotEmpty(t, faulty.KeyOf(label))
	}
}

// A number that is typed is never a choice: such pages give their choices letters, and none
// that does something else there.
func TestTypedNumbersAreNoChoices(t *testing.T) {
	c := proved(t).choose("lower belt speed")
	asked := c.question()
	require.True(t, asked.Lettered())
	for i, key := range asked.Keys() {
		require.NotContains(t, "0123456789mM?uUgGeEnNoObBqQ", key, asked.Choices[i].Label)
	}
	require.Len(t, slices.Compact(slices.Sorted(slices.Values(asked.Keys()))), len(asked.Choices))
	require.NoError(t, c.enter("55 ft/min"))
	require.Contains(t, c.question().Choices[0].Label, ", belt speed 55 ft/min and write")
	c.accept()
	require.InEpsilon(t, 55*0.3048/60, c.saved.Speed.Value, 1e-9) // NIST SP 811, appendix B.8

	c = newCrew(t).reach("dial").choose("ialled", "read it", "FOLD").reach("used")
	require.True(t, c.question().Lettered(), "a length is typed there")
	require.NotContains(t, c.question().Keys(), "3", "beside 5 ft")
}
