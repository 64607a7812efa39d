package ask

import (
	"fmt"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// A reel, a lot and a print legend of the job stay with the job; a card has none.
func TestReelIsOfTheJob(t *testing.T) {
	c := newCrew(t)
	cards := profiles.Cards{Cables: []profiles.Cable{c.kept.Record().Cable}}
	cards.Cables[0].Reel = ""
	c = newCrew(t, "cable.make", "", "cable.type", "", "cable.reel", "NM-2", "duct.lot", "D9", "duct.size", "")
	cards.Ducts = []profiles.Duct{{Size: "40/33"}}
	c.flow.Cards = cards
	c.choose("LT-96", "40/33")
	require.Equal(t, "NM-2", c.kept.Record().Cable.Reel)
	require.Equal(t, "D9", c.kept.Record().Duct.Lot)
}

// Without a card everything is asked field by field, cards or not.
func TestAnotherCable(t *testing.T) {
	c := newCrew(t, "cable.make", "", "cable.type", "")
	c.flow.Cards = profiles.Cards{Cables: []profiles.Cable{{Make: "Northmoor", Type: "LT-96"}}}
	c.choose("Another cable")
	require.Equal(t, "cable.make", c.question().ID)
	require.NoError(t, c.enter("Southfen"))
	require.Equal(t, "cable.type", c.question().ID)
	require.NoError(t, c.enter("MC-12"))
	require.Equal(t, "job", c.question().ID)
}

// Of many cards the seven last used come first, the rest a page further, and round.
func TestManyCards(t *testing.T) {
	c := newCrew(t, "duct.size", "")
	for i := range 16 {
		c.flow.Cards.Ducts = append(c.flow.Cards.Ducts, profiles.Duct{Size: fmt.Sprintf("duct %d.", i)})
	}
	for _, page := range [][2]int{{0, 7}, {7, 14}, {14, 16}, {0, 7}} {
		all := labels(c.question())
		require.Len(t, all, page[1]-page[0]+2)
		for i := page[0]; i < page[1]; i++ {
			require.Equal(t, fmt.Sprintf("duct %d.", i), all[i-page[0]])
		}
		require.Equal(t, []string{"More ducts", "Another duct"}, all[len(all)-2:])
		if page[0] == 14 {
			other := c.copy(t)
			other.choose("duct 15.")
			require.Equal(t, "duct 15.", other.kept.Record().Duct.Size)
		}
		c.choose("More ducts")
	}
}

// Another rig's ladder would be in readings this rig does not have.
func TestAnotherRigForgetsTheLadder(t *testing.T) {
	c := newCrew(t)
	rig, err := profiles.Parse("rig", []byte("format = 1\n[rig]\nname = \"Rig 9\"\npush_unit = \"notch\"\nspeed_limit = \"9 notch\"\ngrip_limit = \"4 bar\"\n"))
	require.NoError(t, err)
	c.flow.Cards.Rigs = []profiles.Rig{rig.Rig}
	c.choose("Change a value", "The whole rig", "Rig 9")
	require.Equal(t, profiles.Ladder{}, c.kept.Record().Ladder)
	require.NoError(t, c.flow.Trial.Advisable())
}

func newRigCrew(t *testing.T) *crew {
	c := newCrew(t)
	job := c.kept.Record()
	job.Rig, job.Ladder = profiles.Rig{}, profiles.Ladder{}
	require.NoError(t, c.kept.ReplaceJob(job))
	c.flow = c.flow.See(c.kept)
	return c
}

// Every question about a new rig is asked once; what is not needed can be left out.
func TestRigQuestions(t *testing.T) {
	c := newRigCrew(t)
	for _, step := range []struct{ id, choose, enter string }{
		{"rig.name", "Leave it out", ""},
		{"rig.push_control", "Another: type it", ""},
		{"rig.push_control", "", "throttle"},
		{"rig.push_unit", "Another: type it", ""},
		{"rig.push_unit", "", "notch"},
		{"which-way", "The higher one", ""},
		{"rig.speed_limit", "", "9 notch"},
		{"rig.speed_division", "Leave it out", ""},
		{"rig.grip_limit", "", "60 psi"},
		{"rig.grip_division", "Leave it out", ""},
	} {
		require.Equal(t, step.id, c.question().ID)
		if step.choose != "" {
			c.choose(step.choose)
		} else {
			require.NoError(t, c.enter(step.enter))
		}
	}
	require.Equal(t, "job", c.question().ID)
	require.Equal(t, "throttle", c.kept.Record().Rig.PushControl)
	require.Equal(t, "9 notch", c.kept.Record().Rig.SpeedLimit.String())
}

// Readings that fall as the rig pushes harder do not go on.
func TestFallingReadings(t *testing.T) {
	c := newRigCrew(t)
	c.choose("Leave it out", "motor current", "A")
	require.Contains(t, c.question().Title, "motor current")
	c.choose("The lower one")
	require.Equal(t, "falling", c.question().ID)
	require.Nil(t, c.question().Enter)
	c.choose("ask again")
	require.Equal(t, "rig.push_control", c.question().ID)
	c.choose("belt speed", "ft/min")
	require.Equal(t, "which-way", c.question().ID)
	require.Empty(t, c.kept.Record().Rig.SpeedLimit.String())
}

// A trial that was left among the rig questions asks again which way is harder: the
// answer is in no record.
func TestRigQuestionsAfterARestart(t *testing.T) {
	c := newRigCrew(t)
	require.NoError(t, c.enter("Rig 9"))
	c.choose("belt speed", "ft/min", "The higher one")
	require.Equal(t, "rig.speed_limit", c.question().ID)
	c.flow = Flow{}.See(c.kept)
	require.Equal(t, "which-way", c.question().ID)
}

// A value in another unit than its gauge's is said with what to write.
func TestBadValueSaysWhatToWrite(t *testing.T) {
	c := newRigCrew(t)
	c.choose("Leave it out", "belt speed", "m/min", "The higher one")
	for _, text := range []string{"5 bar", "sixty", "41 parsecs"} {
		err := c.enter(text)
		require.ErrorContains(t, err, text)
		require.ErrorContains(t, err, `write a speed with its unit, such as m/min`)
	}
}

// Cards that cannot be saved stop no trial, and that is said.
func TestCardsNotSaved(t *testing.T) {
	c := newCrew(t)
	k := Keeper{Trial: c.kept, SaveCards: func(profiles.Record) error { return fmt.Errorf("the disk is full") }}
	_, err := k.Carry(Append{[]profiles.Entry{c.flow.answer("job", "agreed", "")}})
	require.ErrorContains(t, err, "the trial goes on")
	require.ErrorContains(t, err, "the disk is full")
	require.Len(t, c.kept.Session().Entries, 1)
}

// A bare number gets the unit of its example: what a crew measures is in its own system.
func TestExamplesAreInTheCrewsSystem(t *testing.T) {
	metric := regexp.MustCompile(` (m|mm|bar|m/min|C|kg/km)$`)
	for _, f := range jobFields {
		require.NotRegexp(t, metric, f.examples[0], f.key)
		if f.examples[0] != f.examples[1] {
			require.Regexp(t, metric, f.examples[1], f.key)
		}
	}
}
