package ui

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// pick presses the digit of the choice whose label begins so.
func (d *driver) pick(labels ...string) {
	d.t.Helper()
next:
	for _, label := range labels {
		for place, at := range d.m.question.shown() {
			if strings.HasPrefix(d.m.question.Choices[at].Label, label) {
				d.key(fmt.Sprint(place + 1))
				continue next
			}
		}
		d.t.Fatalf("no %q at %q: %v", label, d.m.question.Title, labels)
	}
}

// enter types a value, a key for each character, and done.
func (d *driver) enter(texts ...string) {
	for _, text := range texts {
		for _, r := range text {
			d.key(string(r))
		}
		d.key("enter")
	}
}

// wholeJob answers every question of a job on nothing known, up to its summary.
func (d *driver) wholeJob() {
	d.pick("New trial, other job")
	d.enter("Northmoor", "LT-96", "40/33", "5 C", "Rig 7")
	d.pick("belt speed", "m/min", "The higher one")
	d.enter("60", "2", "4 bar", "0.2 bar")
	require.Equal(d.t, "job", d.m.question.ID)
}

// TestSecondTrialNeedsNoTyping makes cards on the spot by a job typed in, and then
// counts what a trial of another day with them takes: only the temperature is typed.
func TestSecondTrialNeedsNoTyping(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	d.wholeJob()
	t.Logf("job typed in: %d presses", d.presses)
	d.pick("Yes, start the trial")
	require.FileExists(t, filepath.Join(dir, "cables", "northmoor-lt-96.toml"))
	require.FileExists(t, filepath.Join(dir, "ducts", "40-33.toml"))
	require.FileExists(t, filepath.Join(dir, "rigs", "rig-7.toml"))
	first := d.m.flow.Record

	d = newDriver(t, dir)
	d.pick("New trial, other job", "LT-96, Northmoor", "40/33")
	require.True(t, d.m.asksValue())
	require.Equal(t, "conditions.cable_temperature", d.m.question.ID)
	d.enter("41")
	d.pick("Rig 7, belt speed")
	require.Equal(t, "job", d.m.question.ID)
	d.pick("Yes, start the trial")
	t.Logf("job from cards: %d presses", d.presses)
	require.LessOrEqual(t, d.presses, 8)
	require.Equal(t, first.Cable, d.m.flow.Record.Cable)
	require.Equal(t, first.Duct, d.m.flow.Record.Duct)
	require.Equal(t, first.Rig, d.m.flow.Record.Rig)
	require.Equal(t, "41 F", d.m.flow.Record.Conditions.CableTemperature.String())
}

// A reel, a lot and a print legend of the job stay with the job; a card has none.
func TestReelIsOfTheJob(t *testing.T) {
	c := newCrew(t)
	cards := profiles.Cards{Cables: []profiles.Cable{c.kept.record.Cable}}
	cards.Cables[0].Reel = ""
	c = newCrew(t, "cable.make", "", "cable.type", "", "cable.reel", "NM-2", "duct.lot", "D9", "duct.size", "")
	cards.Ducts = []profiles.Duct{{Size: "40/33"}}
	c.flow.Cards = cards
	c.choose("LT-96", "40/33")
	require.Equal(t, "NM-2", c.kept.record.Cable.Reel)
	require.Equal(t, "D9", c.kept.record.Duct.Lot)
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
			require.Equal(t, "duct 15.", other.kept.record.Duct.Size)
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
	require.Equal(t, profiles.Ladder{}, c.kept.record.Ladder)
	require.NoError(t, c.flow.Trial.Advisable())
}

func newRigCrew(t *testing.T) *crew {
	c := newCrew(t)
	job := c.kept.record
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
	require.Equal(t, "throttle", c.kept.record.Rig.PushControl)
	require.Equal(t, "9 notch", c.kept.record.Rig.SpeedLimit.String())
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
	require.Empty(t, c.kept.record.Rig.SpeedLimit.String())
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
		require.ErrorContains(t, err, `write it as in "65 m/min"`)
	}
}

// Cards that cannot be saved stop no trial, and that is said.
func TestCardsNotSaved(t *testing.T) {
	c := newCrew(t)
	k := Keeper{Trial: c.kept, SaveCards: func(profiles.Record) error { return fmt.Errorf("the disk is full") }}
	_, err := k.Carry(Append{[]profiles.Entry{c.flow.answer("job", "agreed", "")}})
	require.ErrorContains(t, err, "the trial goes on")
	require.ErrorContains(t, err, "the disk is full")
	require.Len(t, c.kept.trial.Entries, 1)
}

// What the start page cannot read it says, and offers all the rest.
func TestStartPageNamesWhatItCannotRead(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, dir)
	d.wholeJob()
	d.pick("Yes, start the trial")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "rigs", "rig-8.toml"), []byte("format = 1\n[rig]\nname = \"Rig 8\"\ncolour = \"red\"\n"), 0o644))
	d = newDriver(t, dir)
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "rig-8.toml:4")
	d.pick("New trial, other job", "LT-96", "40/33")
	d.enter("41")
	d.pick("Rig 7")
}

// TestSteps presses + and − on a number.
func TestSteps(t *testing.T) {
	for _, row := range []struct{ now, example, step, keys, want string }{
		{"", "41 F", "", "+", "1 F"},
		{"", "41 F", "", "-5", "-5 F"},
		{"", "41 F", "", "41+", "42 F"},
		{"", "41 F", "", "1--", "-1 F"},
		{"41 °F", "41 F", "", "+", "42 °F"},
		{"41 °F", "41 F", "", "-", "40 °F"},
		{"41 °F", "41 F", "", "50-", "49 °F"},
		{"4 psi", "4 psi", "2 psi", "++", "8 psi"},
		{"4 psi", "4 psi", "2 psi", "---", "0 psi"},
		{"0.3 bar", "4 psi", "0.1 bar", "+++", "0.6 bar"},
		{"0.3 bar", "4 psi", "2 psi", "+", "1.3 bar"},
		{"40 ft/min", "40 ft/min", "5 ft/min", "+", "45 ft/min"},
		{"", "1 notch", "", "++", "2 notch"},
		{"", "1 turns open", "", "+5", "15 turns open"},
		{"", "41 F", "", "5 C+", "6 C"},
	} {
		d := newDriver(t, t.TempDir())
		d.pick("New trial, other job")
		d.m.question = Question{ID: "x", Enter: &Entering{Label: "X", Now: row.now, Example: row.example, Step: row.step}}
		for _, k := range row.keys {
			d.key(string(k))
		}
		require.Equal(t, row.want, strings.Replace(d.m.shownValue(), "_", "", 1), "%+v", row)
	}
}

// The unit target changes the unit of what is typed and no figure, before and after
// the figure; what is shown is what will be taken.
func TestUnitTarget(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.pick("New trial, other job")
	d.m.question = Question{ID: "x", Enter: &Entering{Label: "X", Example: "41 F"}}
	for _, row := range []struct{ key, typed, shown string }{
		{"4", "4", "4_ F"},
		{unitKey, "4 C", "4_ C"},
		{"1", "41 C", "41_ C"},
		{unitKey, "41 F", "41_ F"},
		{"backspace", "4 F", "4_ F"},
		{"backspace", " F", "_ F"},
		{unitKey, " C", "_ C"},
		{"7", "7 C", "7_ C"},
		{"backspace", " C", "_ C"},
		{"backspace", "", "_ F"},
	} {
		d.touch(row.key)
		require.Equal(t, row.typed, d.m.typed, row.key)
		require.Equal(t, row.shown, d.m.shownValue(), row.key)
	}
}

// A duct size begins with a figure and is a text all the same.
func TestDuctSizeIsTyped(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.pick("New trial, other job")
	d.enter("Northmoor", "LT-96")
	require.Equal(t, "duct.size", d.m.question.ID)
	require.False(t, d.m.numeric())
	d.enter("40")
	require.Equal(t, "40", d.m.flow.Record.Duct.Size)
}

// On the home size every target of the pad is at least three rows high, and each can
// be touched at every size.
func TestPadTargets(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.pick("New trial, other job")
	d.enter("Northmoor", "LT-96", "40/33")
	for _, size := range append(sizes, [2]int{40, 12}) {
		d.m.w, d.m.h = size[0], size[1]
		at := map[string]target{}
		for _, target := range d.m.draw().targets {
			if target.h >= at[target.key].h { // the key line repeats some
				at[target.key] = target
			}
		}
		for _, k := range append(strings.Split("0123456789.+-", ""), "backspace", unitKey, "enter") {
			require.Contains(t, at, k, "%v", size)
			if size[1] >= 20 {
				require.GreaterOrEqual(t, at[k].h, 3, "%q at %v", k, size)
				require.LessOrEqual(t, at[k].x+at[k].w, size[0], "%q at %v", k, size)
			}
		}
	}
}

// cardLibrary fills a library with cards, the first the last used.
func cardLibrary(t *testing.T, cables int) string {
	t.Helper()
	dir := t.TempDir()
	library, err := profiles.OpenLibrary(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	used := time.Date(2026, 5, 13, 7, 0, 0, 0, time.UTC)
	for i := range cables {
		require.NoError(t, library.SaveCards(profiles.Record{Cable: profiles.Cable{Make: "Northmoor", Type: fmt.Sprintf("LT-%d loose tube", 12*(i+1))}}))
		path := filepath.Join(dir, "cables", fmt.Sprintf("northmoor-lt-%d-loose-tube.toml", 12*(i+1)))
		require.NoError(t, os.Chtimes(path, used, used.Add(-time.Duration(i)*time.Hour)))
	}
	return dir
}

// TestJobScreens compares the screens of a job that is typed in with their goldens.
func TestJobScreens(t *testing.T) {
	rig := func(d *driver) {
		d.pick("New trial, other job")
		d.enter("Northmoor", "LT-96", "40/33", "41", "Rig 7")
	}
	for _, row := range []struct {
		name   string
		cables int
		lead   func(*driver)
	}{
		{"which_cable", 3, func(d *driver) { d.pick("New trial, other job") }},
		{"which_cable_many", 12, func(d *driver) { d.pick("New trial, other job") }},
		{"entry_text", 0, func(d *driver) { d.pick("New trial, other job"); d.key("N") }},
		{"entry_number", 0, func(d *driver) {
			d.pick("New trial, other job")
			d.enter("Northmoor", "LT-96", "40/33")
			d.key("4")
		}},
		{"entry_refused", 0, func(d *driver) {
			d.pick("New trial, other job")
			d.enter("Northmoor", "LT-96", "40/33")
			for _, r := range "-900" {
				d.key(string(r))
			}
			d.send(tea.KeyMsg{Type: tea.KeyEnter})
			require.NotEmpty(t, d.m.failure)
		}},
		{"who", 0, func(d *driver) {
			d.wholeJob()
			d.m.flow.Cards = crewCards()
			d.m.ask()
		}},
		{"near", 3, func(d *driver) {
			d.pick("New trial, other job", "Another cable")
			d.enter("Northmor")
		}},
		{"rig_control", 0, rig},
		{"rig_unit", 0, func(d *driver) { rig(d); d.pick("belt speed") }},
		{"rig_which_way", 0, func(d *driver) { rig(d); d.pick("belt speed", "ft/min") }},
		{"rig_falling", 0, func(d *driver) { rig(d); d.pick("belt speed", "ft/min", "The lower one") }},
		{"rig_limit", 0, func(d *driver) { rig(d); d.pick("belt speed", "ft/min", "The higher one") }},
	} {
		for _, size := range sizes {
			d := newDriver(t, cardLibrary(t, row.cables))
			d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			row.lead(d)
			golden(t, fmt.Sprintf("job_%s/%dx%d", row.name, size[0], size[1]), d.m)
		}
	}
}
