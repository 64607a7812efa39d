package ask

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// People on cards are asked for by a press each; who has done it before comes first, and
// nobody is offered for both.
func TestPeopleFromCards(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	c.flow.Cards = rehearsal.Cards()
	require.Equal(t, "Who is the operator?", c.question().Title)
	require.Equal(t, []string{"Abel", "Bo", "Cy\x1b[31m", "Another: type the name", "Leave it out"}, labels(c.question()))
	c.choose("Abel")
	require.Equal(t, "Who is the watcher?", c.question().Title)
	require.Equal(t, []string{"Cy\x1b[31m", "Bo", "Another: type the name", "Leave it out"}, labels(c.question()))
	other := c.copy(t)
	c.choose("Another")
	require.NoError(t, c.enter("Dora"))
	require.NoError(t, other.enter("Dora"), "typed at once")
	for _, c := range []*crew{c, other} {
		require.Equal(t, "job", c.question().ID)
		require.Equal(t, profiles.People{Operator: "Abel", Watcher: "Dora"}, c.kept.Record().People)
	}
}

// Nobody must be named, and what was left out is not asked again.
func TestPeopleLeftOut(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	require.Equal(t, "job", c.question().ID, "without cards nobody is asked for")
	c.flow.Cards = rehearsal.Cards()
	c.choose("Leave it out", "Leave it out")
	require.Equal(t, "job", c.question().ID)
	c.choose("Change a value", "None")
	require.Equal(t, "job", c.question().ID)
}

// A trainee's card turns the explanations on; another operator turns them off again.
func TestTraineeFromCard(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	c.flow.Cards = rehearsal.Cards()
	c.choose("Bo", "Leave it out")
	require.True(t, c.kept.Record().People.Trainee)
	c.choose("Name the people", "Abel", "Leave it out")
	require.False(t, c.kept.Record().People.Trainee)
	require.Equal(t, "Abel", c.kept.Record().People.Operator)
	c.choose("Change a value", "Watcher", "Cy")
	require.Equal(t, "job", c.question().ID)
	require.Equal(t, "Abel", c.kept.Record().People.Operator)
}

// A name near to a known one is asked about, and both answers are kept as given.
func TestNearNames(t *testing.T) {
	for _, row := range []struct{ key, typed, near string }{
		{"cable.make", "Nortmoor", "Northmoor"},
		{"cable.make", "NORTHMOOR", ""},
		{"cable.make", "Southfen", ""},
		{"cable.type", "LT-96 lose tube", "LT-96 loose tube"},
		{"cable.type", "LT-48 loose tube", ""}, // other digits are another type
		{"duct.size", "1.25 in SDR 13", ""},
		{"duct.size", "31.75mm sdr11", ""}, // the same
		{"people.watcher", "Quentni", "Quentin"},
	} {
		for _, yes := range []bool{true, false} {
			c := newCrew(t)
			c.flow.Cards = profiles.Cards{
				Cables: []profiles.Cable{{Make: "Northmoor", Type: "LT-96 loose tube"}},
				Ducts:  []profiles.Duct{{Size: "1.25 in SDR 11"}},
				People: []profiles.Person{{Name: "Quentin"}},
			}
			if row.key == "people.watcher" {
				c.choose("Change a value", "Watcher", "Another: type the name")
			} else {
				c.choose("Change a value", fieldByKey(row.key).ask)
			}
			require.NoError(t, c.enter(row.typed))
			want := row.typed
			if row.near == "" {
				require.NotEqual(t, "near", c.question().ID, row.typed)
			} else {
				require.Equal(t, "Did you mean "+row.near+"?", c.question().Title)
				require.Empty(t, c.kept.Record().Changes)
				if yes {
					want = row.near
				}
				c.choose(map[bool]string{true: "Yes, " + row.near, false: "No, " + row.typed}[yes])
			}
			if c.question().ID == "odd" { // a size no table knows
				c.choose("Yes, ")
			}
			require.Equal(t, "job", c.question().ID)
			require.Equal(t, want, fieldByKey(row.key).read(c.kept.Record()))
		}
	}
}

// A name that is typed instead of picked brings what its card knows, as long as nothing
// else is said of the cable or duct.
func TestTypedNameBringsItsCard(t *testing.T) {
	known := newCrew(t).kept.Record()
	known.Cable.Reel = ""
	c := newCrew(t)
	job := c.kept.Record()
	job.Cable, job.Duct = profiles.Cable{Reel: "NM-9"}, profiles.Duct{}
	require.NoError(t, c.kept.ReplaceJob(job))
	c.flow = c.flow.See(c.kept)
	c.flow.Cards = profiles.Cards{Cables: []profiles.Cable{known.Cable}, Ducts: []profiles.Duct{known.Duct}}
	c.choose("Another cable")
	require.NoError(t, c.enter("northmoor"))
	require.Empty(t, c.kept.Record().Cable.Mass.String())
	require.NoError(t, c.enter("LT-96 Loose Tube"))
	require.Equal(t, "118 kg/km", c.kept.Record().Cable.Mass.String())
	require.Equal(t, "NM-9", c.kept.Record().Cable.Reel)
	require.Equal(t, "northmoor", c.kept.Record().Cable.Make)
	c.choose("Another duct")
	require.NoError(t, c.enter("31.75 mm sdr 11"))
	require.Equal(t, known.Duct.InnerDiameter, c.kept.Record().Duct.InnerDiameter)

	c = newCrew(t, "cable.mass", "99 kg/km")
	c.flow.Cards = profiles.Cards{Cables: []profiles.Cable{known.Cable}}
	c.choose("Change a value", "Cable make")
	require.NoError(t, c.enter("NORTHMOOR"))
	require.Equal(t, "99 kg/km", c.kept.Record().Cable.Mass.String())
}

// The name of a new rig can be near to a known one too; its questions go on after it.
func TestNearRigName(t *testing.T) {
	c := newRigCrew(t)
	c.flow.Cards.Rigs = []profiles.Rig{{Name: "Long drive"}}
	c.choose("Another rig")
	require.NoError(t, c.enter("Lon drive"))
	c.choose("No, Lon drive is another")
	require.Equal(t, "rig.push_control", c.question().ID)
	require.Equal(t, "Lon drive", c.kept.Record().Rig.Name)
}

// What was changed after the start is on the cards when the trial has ended.
func TestLaterChangesReachTheCards(t *testing.T) {
	c := newCrew(t)
	var saved []profiles.Record
	k := Keeper{Trial: c.kept, SaveCards: func(r profiles.Record) error { saved = append(saved, r); return nil }}
	_, err := k.Carry(Append{[]profiles.Entry{c.flow.answer("job", "agreed", "")}})
	require.NoError(t, err)
	_, err = k.Carry(Append{[]profiles.Entry{profiles.Change{Key: "cable.outer_diameter", Value: "12.6 mm", Reason: "measured"}}})
	require.NoError(t, err)
	require.Len(t, saved, 1)
	_, err = k.Carry(Append{[]profiles.Entry{c.flow.answer("closed", "no setting", "")}})
	require.NoError(t, err)
	require.Len(t, saved, 2)
	require.Len(t, saved[1].Changes, 1)
}
