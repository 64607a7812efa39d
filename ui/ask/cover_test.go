package ask

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
)

// workAnHour makes pushes that prove nothing, with no pause after which all is asked again.
func (c *crew) workAnHour() {
	for range 8 {
		c.now = c.now.Add(8 * time.Minute)
		c.push("VOID")
	}
	c.reach("dial")
}

// TestReadTheCableAgain: after an hour one line and one tap, wherever the trial stands;
// a press more silences it for the next hour.
func TestReadTheCableAgain(t *testing.T) {
	c := newCrew(t).choose("Yes, start", "Read aloud").reach("dial")
	require.False(t, c.offers("Read the cable's temperature"))
	c.workAnHour()
	require.Contains(t, strings.Join(c.question().Body, "\n"), "The cable was read at 07:42, 41 °F: read it again")
	c.choose("Read the cable's temperature", "Still so: ")
	require.False(t, c.offers("Read the cable's temperature"))
	require.Equal(t, "dial", c.question().ID, "nothing else is asked for it")

	c.workAnHour()
	c.choose("Read the cable's temperature")
	require.NoError(t, c.enter("52 F"))
	c.choose("changed since")
	require.Equal(t, "52 °F", c.flow.Trial.CableTemperatureText())
	changes := c.flow.Record.Changes
	require.Equal(t, "conditions.cable_temperature", changes[len(changes)-1].Key)
	require.False(t, c.offers("Read the cable's temperature"))
}

// TestWarmBetweenTrialAndRun: what was proved stays proved at its temperature; a cable
// warmer than the band gets the drop-to setting, one beyond it nothing.
func TestWarmBetweenTrialAndRun(t *testing.T) {
	c := proved(t).accept()
	accepted, err := c.flow.Accepted()
	require.NoError(t, err)
	c.now = c.now.Add(61 * time.Minute)
	c.reach("trial-isolated")
	for reading, want := range map[string]string{"46 F": "", "55 F": "no more than the drop-to setting", "66 F": "nothing of this trial holds"} {
		d := c.copy(t)
		d.choose("Read the cable's temperature")
		require.NoError(t, d.enter(reading))
		require.Empty(t, d.flow.Record.Changes)
		body := strings.Join(d.question().Body, "\n")
		dial, err := d.flow.toDial()
		if want == "" {
			require.NotContains(t, body, "!")
			require.Equal(t, accepted, dial)
			continue
		}
		require.Contains(t, body, want, reading)
		require.True(t, err != nil || dial.Speed.Value < accepted.Speed.Value)
		check, _ := session.CheckByID("dialled-push-control")
		require.Error(t, d.flow.readBack(check, d.flow.Trial.Rig.ShowSpeed(accepted.Speed.Value)), "the old setting is refused")
	}
}

// TestReadBeforeTheBlock: a block of steps has no room for the prompt, so it comes first,
// once the drive is isolated, and is answered by one press.
func TestReadBeforeTheBlock(t *testing.T) {
	c := proved(t).accept()
	for range 8 {
		c.now = c.now.Add(8 * time.Minute)
		require.NoError(t, c.kept.Append(profiles.Answer{Item: "note", State: "at work"}))
		c.flow = c.flow.See(c.kept)
	}
	c.reach("trial-isolated").choose("stopped, isolated")
	for range 20 {
		if c.question().ID == "temperature" {
			require.Contains(t, c.question().Body[0], "read it again")
			c.choose("Still so: ")
			require.Equal(t, "block", c.question().ID)
			return
		}
		c.right()
	}
	require.Fail(t, "never asked")
}

// TestReadAgainOnTheJobPage: a job left lying is read again before it starts.
func TestReadAgainOnTheJobPage(t *testing.T) {
	c := newCrew(t)
	c.now = c.now.Add(2 * time.Hour)
	c.choose("Read the cable's temperature")
	require.NoError(t, c.enter("48 F"))
	require.Equal(t, "48 F", c.flow.Record.Conditions.CableTemperature.String())
	require.False(t, c.offers("Read the cable's temperature"))
	c.choose("Yes, start", "Read aloud")
	_, stale := c.flow.stale()
	require.False(t, stale)
}
