package ask

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/ui/rehearsal"
)

// truth is a cable and a drive that repeat perfectly: what they do at a setting.
type truth struct{ fold, slipPerGrip float64 } // ft/min, ft/min per psi

func (u truth) outcome(s session.Setting) string {
	grip, speed := q.In(s.Grip, "psi"), q.In(q.Speed(s.Speed.Value), "ft/min")
	switch {
	case speed > u.slipPerGrip*grip+1e-9:
		return "SLIP"
	case speed >= u.fold:
		return "FOLD"
	}
	return "STALL"
}

// The whole flow on cables from weak to stronger than the drive. Derived here: with
// a cable that repeats perfectly, a setting at nine tenths of the lowest fold or
// less cannot fold, and one that slips cannot have stalled.
func TestWholeTrials(t *testing.T) {
	for _, u := range []truth{{30, 12}, {90, 12}, {118, 12}, {118, 30}, {200, 8}, {1e6, 12}, {1e6, 6}} {
		t.Run(fmt.Sprintf("folds at %g", u.fold), func(t *testing.T) {
			c := newCrew(t)
			require.Equal(t, session.JobStage, c.question().Stage)
			c.choose("Yes, start the trial")
			for range 4 { // the site, its chambers and reels, the trial, the first push
				require.Equal(t, session.CautionStage, c.question().Stage)
				c.choose("Read aloud")
			}
			require.Equal(t, session.CheckStage, c.question().Stage)
			for c.reachAny("dial", "setting", "refusal") == "dial" {
				require.Less(t, len(c.attempts()), 60)
				c.push(u.outcome(*c.question().Setting))
			}
			if c.question().ID != "setting" {
				return
			}
			install := c.flow.Outlook.Next.(session.Install)
			require.Equal(t, "STALL", u.outcome(install.Setting))
			require.LessOrEqual(t, q.In(q.Speed(install.Setting.Speed.Value), "ft/min"), 0.9*u.fold)

			c.accept()
			require.Equal(t, install.Setting.Grip, c.saved.Grip)
			require.InEpsilon(t, install.Setting.Speed.Value, c.saved.Speed.Value, 1e-6)
			require.Equal(t, session.CarryStage, c.question().Stage)
			for c.question().Stage == session.CarryStage {
				c.right()
			}
			require.Equal(t, session.ClosedStage, c.question().Stage)
		})
	}
}

// The example cannot be proved on a cable that folds at the lowest reading there is.
func TestRefusal(t *testing.T) {
	c := newCrew(t)
	for range 3 {
		c.push("FOLD")
	}
	question := c.reach("refusal").question()
	require.Equal(t, session.SettingStage, question.Stage)
	require.False(t, c.offers("Accept"), labels(question))
	c.choose("Close the trial").makeSafe()
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Nil(t, c.saved)
}

func TestCrewRefusesOrStops(t *testing.T) {
	c := proved(t).choose("Refuse it", "Close the trial").makeSafe()
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Nil(t, c.saved)

	c = newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "No, go on")
	require.Equal(t, "dial", c.question().ID)
	c.choose("Stop, no setting", "Yes, stop").makeSafe()
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Len(t, c.attempts(), 1)
}

func TestUndo(t *testing.T) {
	c := newCrew(t)
	undo := func() {
		next, effect := c.flow.Undo()
		c.flow = next
		require.NoError(t, c.carry(effect))
	}
	undo()
	require.Empty(t, c.flow.Trial.Entries, "there is nothing to take back before the first answer")

	c.choose("Yes, start the trial")
	entries := len(c.flow.Trial.Entries)
	undo()
	require.Len(t, c.flow.Trial.Entries, entries, "the job is settled: it is changed, not taken back")

	c.push("STALL").push("STALL")
	before := c.dialled()
	c.push("FOLD")
	undo()
	require.Len(t, c.attempts(), 3)
	require.Equal(t, "fold-isolated", c.question().ID, "the cut is taken back, the fold stands, and its acts are asked for anew")
	undo()
	require.Len(t, c.attempts(), 2)
	require.Equal(t, before, c.dialled())
	for range 4 { // three acts after the fold, and the push before it
		undo()
	}
	require.Len(t, c.attempts(), 1, "each undo takes back one more")
	require.Greater(t, len(c.flow.Trial.Entries), entries+4, "what is taken back stays in the record")

	c = proved(t).accept()
	entries = len(c.flow.Trial.Entries)
	undo()
	require.Len(t, c.flow.Trial.Entries, entries, "a profile is never taken back")
}

func TestLowerNeverHigher(t *testing.T) {
	c := proved(t)
	advised := c.flow.Outlook.Next.(session.Install).Setting
	c.choose("Choose a lower")
	for _, choice := range c.question().Choices[1:] {
		bare := strings.NewReplacer("grip pressure ", "", "belt speed ", "").Replace(choice.Label)
		s, err := c.flow.Trial.Rig.ReadSetting(bare)
		require.NoError(t, err)
		require.Less(t, s.Speed.Value, advised.Speed.Value)
		require.InEpsilon(t, float64(advised.Grip), float64(s.Grip), 1e-9)
	}
	for _, text := range []string{"225 ft/min", "500 ft/min", "1 m/s/s", "0 ft/min", "-5 ft/min", "12 bar", "NaN ft/min", "1e400 ft/min", "fast", "220.1 ft/min"} {
		require.Error(t, c.enter(text), text)
		require.Equal(t, "", c.flow.Trial.StateOf(session.ItemSetting), text)
	}
	require.NoError(t, c.enter("150 ft/min"))
	require.Nil(t, c.saved, "it is read back first")
	c.accept()
	require.Equal(t, advised.Grip, c.saved.Grip)
	require.InEpsilon(t, 150*0.3048/60, c.saved.Speed.Value, 1e-9) // 1 ft is 0.3048 m exactly: NIST SP 811, appendix B.8
}

// FuzzTypedText types any text wherever words are taken; the record stays readable
// and keeps the words or refuses them.
func FuzzTypedText(f *testing.F) {
	for _, text := range rehearsal.Typed {
		f.Add(text)
	}
	var places []*crew // led there once: what is typed goes to a copy
	f.Fuzz(func(t *testing.T, text string) {
		if text = strings.TrimSpace(text); text == "" {
			t.Skip("both front ends take an empty line for no answer")
		}
		if places == nil {
			places = []*crew{
				newCrew(t, "cable.reel", ""),
				newCrew(t).reach("dial").choose("ialled", "read it", "VOID"),
				newCrew(t).push("STALL").reach("dial"),
				newCrew(t).reach("dial").choose("Cable temperature"),
			}
		}
		for _, place := range places {
			c := place.copy(t)
			entries := len(c.flow.Trial.Entries)
			if err := c.enter(text); err != nil {
				require.Len(t, c.flow.Trial.Entries, entries)
				continue
			}
			back, err := c.kept.Record().Text()
			require.NoError(t, err)
			r, err := profiles.Parse("back", []byte(back))
			require.NoError(t, err)
			require.Equal(t, c.kept.Record().Cable.Reel, r.Cable.Reel)
			require.Equal(t, c.kept.Record().Attempts, r.Attempts)
			require.NotEmpty(t, c.question().Title)
		}
	})
}
