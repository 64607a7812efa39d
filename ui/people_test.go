package ui

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

func crewCards() profiles.Cards {
	return profiles.Cards{People: []profiles.Person{
		{Name: "Cy\x1b[31m", Roles: []profiles.Role{profiles.Watcher}},
		{Name: "Abel", Roles: []profiles.Role{profiles.Operator}},
		{Name: "Bo", Roles: []profiles.Role{profiles.Operator, profiles.Trainee}},
	}}
}

// People on cards are asked for by a press each; who has done it before comes first, and
// nobody is offered for both.
func TestPeopleFromCards(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	c.flow.Cards = crewCards()
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
		require.Equal(t, profiles.People{Operator: "Abel", Watcher: "Dora"}, c.kept.record.People)
	}
}

// Nobody must be named, and what was left out is not asked again.
func TestPeopleLeftOut(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	require.Equal(t, "job", c.question().ID, "without cards nobody is asked for")
	c.flow.Cards = crewCards()
	c.choose("Leave it out", "Leave it out")
	require.Equal(t, "job", c.question().ID)
	c.choose("Change a value", "None")
	require.Equal(t, "job", c.question().ID)
}

// A trainee's card turns the explanations on; another operator turns them off again.
func TestTraineeFromCard(t *testing.T) {
	c := newCrew(t, "people.operator", "", "people.watcher", "")
	c.flow.Cards = crewCards()
	c.choose("Bo", "Leave it out")
	require.True(t, c.kept.record.People.Trainee)
	c.choose("Name the people", "Abel", "Leave it out")
	require.False(t, c.kept.record.People.Trainee)
	require.Equal(t, "Abel", c.kept.record.People.Operator)
	c.choose("Change a value", "Watcher", "Cy")
	require.Equal(t, "job", c.question().ID)
	require.Equal(t, "Abel", c.kept.record.People.Operator)
}

// A name typed once is a card from then on, and from a card it takes a press.
func TestTypedNamesBecomeCards(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	d.wholeJob()
	d.pick("Name the people")
	d.enter("../Abel", "Bo")
	d.pick("Yes, start the trial")
	require.FileExists(t, filepath.Join(dir, "people", "abel.toml"))
	require.FileExists(t, filepath.Join(dir, "people", "bo.toml"))
	d = newDriver(t, dir)
	d.pick("New trial, other job", "LT-96", "40/33")
	d.enter("41")
	d.pick("Rig 7", "../Abel", "Bo")
	require.Equal(t, profiles.People{Operator: "../Abel", Watcher: "Bo"}, d.m.flow.Record.People)
	require.Equal(t, "job", d.m.question.ID)
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
				require.Empty(t, c.kept.record.Changes)
				if yes {
					want = row.near
				}
				c.choose(map[bool]string{true: "Yes, " + row.near, false: "No, " + row.typed}[yes])
			}
			require.Equal(t, "job", c.question().ID)
			require.Equal(t, want, fieldByKey(row.key).read(c.kept.record))
		}
	}
}

// A name that is typed instead of picked brings what its card knows, as long as nothing
// else is said of the cable or duct.
func TestTypedNameBringsItsCard(t *testing.T) {
	known := newCrew(t).kept.record
	known.Cable.Reel = ""
	c := newCrew(t)
	job := c.kept.record
	job.Cable, job.Duct = profiles.Cable{Reel: "NM-9"}, profiles.Duct{}
	require.NoError(t, c.kept.ReplaceJob(job))
	c.flow = c.flow.See(c.kept)
	c.flow.Cards = profiles.Cards{Cables: []profiles.Cable{known.Cable}, Ducts: []profiles.Duct{known.Duct}}
	c.choose("Another cable")
	require.NoError(t, c.enter("northmoor"))
	require.Empty(t, c.kept.record.Cable.Mass.String())
	require.NoError(t, c.enter("LT-96 Loose Tube"))
	require.Equal(t, "118 kg/km", c.kept.record.Cable.Mass.String())
	require.Equal(t, "NM-9", c.kept.record.Cable.Reel)
	require.Equal(t, "northmoor", c.kept.record.Cable.Make)
	c.choose("Another duct")
	require.NoError(t, c.enter("31.75 mm sdr 11"))
	require.Equal(t, known.Duct.InnerDiameter, c.kept.record.Duct.InnerDiameter)

	c = newCrew(t, "cable.mass", "99 kg/km")
	c.flow.Cards = profiles.Cards{Cables: []profiles.Cable{known.Cable}}
	c.choose("Change a value", "Cable make")
	require.NoError(t, c.enter("NORTHMOOR"))
	require.Equal(t, "99 kg/km", c.kept.record.Cable.Mass.String())
}

// The name of a new rig can be near to a known one too; its questions go on after it.
func TestNearRigName(t *testing.T) {
	c := newRigCrew(t)
	c.flow.Cards.Rigs = []profiles.Rig{{Name: "Long drive"}}
	c.choose("Another rig")
	require.NoError(t, c.enter("Lon drive"))
	c.choose("No, Lon drive is another")
	require.Equal(t, "rig.push_control", c.question().ID)
	require.Equal(t, "Lon drive", c.kept.record.Rig.Name)
}

// Esc on a value that is needed leads to the start page, where the trial waits.
func TestEscFromANeededValue(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.pick("New trial, other job")
	d.key("N")
	d.key("esc")
	require.Equal(t, "start", d.m.question.ID)
	d.pick("Go on: a trial just begun")
	d.enter("Northmoor")
	require.Equal(t, "cable.type", d.m.question.ID)
	d.key("esc")
	d.pick("Go on: Northmoor")
	require.Equal(t, "cable.type", d.m.question.ID)
}

// A message leaves the number pad its targets.
func TestPadTargetsBesideAMessage(t *testing.T) {
	for _, left := range []bool{false, true} {
		d := newDriver(t, t.TempDir())
		d.m.Options.Left = left
		d.pick("New trial, other job")
		d.enter("Northmoor", "LT-96", "40/33")
		for _, r := range "-900" {
			d.key(string(r))
		}
		d.send(tea.KeyMsg{Type: tea.KeyEnter})
		require.NotEmpty(t, d.m.failure)
		for _, size := range sizes {
			d.m.w, d.m.h = size[0], size[1]
			tall := map[string]int{}
			for _, target := range d.m.draw().targets {
				tall[target.key] = max(tall[target.key], target.h)
			}
			for _, k := range append(strings.Split("0123456789.+-", ""), "backspace", unitKey, "enter") {
				require.GreaterOrEqual(t, tall[k], 3, "%q at %v", k, size)
			}
			require.Contains(t, d.m.View(), "-900_ F")
			require.Contains(t, d.m.View(), "is not a temperature")
		}
	}
}

// Cards that cannot be read are told on the pages they would have been on, and in plain
// mode.
func TestUnreadableCardsAreTold(t *testing.T) {
	dir := cardLibrary(t, 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "cables", "bad.toml"), []byte("format = 1\n[cable]\nmake = \"x\"\ncolour = \"\x1b[31mred\"\n"), 0o644))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "ducts"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ducts", "bad.toml"), []byte("format = 1\n"), 0o644))
	d := newDriver(t, dir)
	d.pick("New trial, other job")
	require.Equal(t, "which-cable", d.m.question.ID)
	require.Len(t, d.m.question.Body, 1)
	require.Contains(t, d.m.question.Body[0], "! Passed over: ")
	require.Contains(t, d.m.question.Body[0], "bad.toml:4")
	d.pick("LT-12")
	require.Equal(t, "duct.size", d.m.question.ID)
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), filepath.Join("ducts", "bad.toml"))

	library, err := profiles.OpenLibrary(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	k, _, err := NewKeeper(library, nil).Begin(Begin{Job: profiles.Record{Format: profiles.Format}})
	require.NoError(t, err)
	defer func() { require.NoError(t, k.Close()) }()
	var out strings.Builder
	require.NoError(t, (&Plain{In: strings.NewReader("q\n"), Out: &out, Now: time.Now, Keeper: k}).Run())
	require.Contains(t, out.String(), "! Passed over: "+filepath.Join(dir, "cables", "bad.toml"))
	require.Contains(t, out.String(), "! Passed over: "+filepath.Join(dir, "ducts", "bad.toml"))
	require.NotContains(t, out.String(), "\x1b")
}

// The last jobs are on the start page and, behind the four usual ways, on the plain one.
func TestLastJobsByDigit(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	d.wholeJob()
	d.key("q")
	d = newDriver(t, dir)
	d.pick("New trial as last: Northmoor, LT-96, 40/33")
	require.Equal(t, "conditions.cable_temperature", d.m.question.ID, "read anew, every time")

	jobs := []profiles.Record{{Cable: profiles.Cable{Make: "North\x1b[31mmoor"}}, {Cable: profiles.Cable{Make: "Southfen"}}, {}, {}, {}}
	for text, want := range map[string]int{"5\n": 0, "6\n": 1, "9\n6\n": 1, "8\n7\n": 2, " 5 \n": 0} {
		var out strings.Builder
		start, err := AskStart(strings.NewReader(text), &out, jobs...)
		require.NoError(t, err)
		i, ok := start.Last()
		require.True(t, ok)
		require.Equal(t, want, i, text)
		require.Contains(t, out.String(), "  6  New trial as last: Southfen\n")
		require.NotContains(t, out.String(), "\x1b")
	}
	for text, want := range map[string]Start{"1\n": StartExample, "2\n": StartNew, "3\n": StartResume, "4\n": StartLeave, "q\n": StartLeave, "": StartLeave, "-1\n5\nx\n2\n": StartNew, "0\n": StartPractice} {
		start, err := AskStart(strings.NewReader(text), &strings.Builder{})
		require.NoError(t, err)
		require.Equal(t, want, start, text)
		_, ok := start.Last()
		require.False(t, ok)
	}
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

// TestImportCards compares what the command prints with what a foreman should read.
func TestImportCards(t *testing.T) {
	dir := t.TempDir()
	library, err := profiles.OpenLibrary(filepath.Join(dir, "library"), time.Now, rand.Reader)
	require.NoError(t, err)
	for _, row := range []struct{ csv, want string }{
		{"duct.size,duct.inner_diameter\n40/33,33 mm\nperson.name\nAB\n",
			"added      duct: 40/33\nadded      person: AB\nCards added: 2, completed: 0, the same: 0, different and left: 0.\n"},
		{"duct.size,duct.inner_diameter\n40/33 mm,34 mm\nperson.name,person.roles\nab,watcher\n50/40,\n",
			"! DIFFERS  duct: 40/33 mm, line 2. Its card is left as it is:\n" +
				"             duct.inner_diameter: the card says \"33 mm\", the file \"34 mm\"\n" +
				"           If the file is right, mend the card: DIR/library/ducts/40-33.toml\n" +
				"completed  person: ab\n             person.roles: watcher\n" +
				"added      person: 50/40\nCards added: 1, completed: 1, the same: 0, different and left: 1.\n"},
		{"person.name\nAB\n", "the same   person: AB\nCards added: 0, completed: 0, the same: 1, different and left: 0.\n"},
	} {
		path := filepath.Join(dir, "cards.csv")
		require.NoError(t, os.WriteFile(path, []byte(row.csv), 0o644))
		var out strings.Builder
		require.NoError(t, ImportCards(library, path, &out))
		require.Equal(t, row.want, strings.ReplaceAll(filepath.ToSlash(out.String()), filepath.ToSlash(dir), "DIR"))
	}
	var out strings.Builder
	err = ImportCards(library, "../testdata/cards/bad.csv", &out)
	require.ErrorContains(t, err, "no card was written:\n")
	require.Empty(t, out.String())
	require.Error(t, ImportCards(library, filepath.Join(dir, "nowhere.csv"), &out))
}
