package ui

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// pick presses the digit of the choice whose label begins so.
func (d *driver) pick(labels ...string) {
	d.t.Helper()
next:
	for _, label := range labels {
		for place, at := range d.m.question.Shown() {
			if strings.HasPrefix(d.m.question.Choices[at].Label, label) {
				d.key(d.m.keys()[place])
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
	d.enter("60", "2", "4 bar", "0.2 bar", "NM-1")
	require.Equal(d.t, "job", d.m.question.ID)
}

// TestSecondTrialNeedsNoTyping makes cards on the spot by a job typed in, and then
// counts what a trial of another day with them takes: only the temperature is typed, and the reel, which is not counted.
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
	typed := d.presses
	d.enter("NM-1") // no card knows the reel
	d.presses = typed
	require.Equal(t, "job", d.m.question.ID)
	d.pick("Yes, start the trial")
	t.Logf("job from cards: %d presses", d.presses)
	require.LessOrEqual(t, d.presses, 8)
	require.Equal(t, first.Cable, d.m.flow.Record.Cable)
	require.Equal(t, first.Duct, d.m.flow.Record.Duct)
	require.Equal(t, first.Rig, d.m.flow.Record.Rig)
	require.Equal(t, "41 F", d.m.flow.Record.Conditions.CableTemperature.String())
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
		d.m.question = ask.Question{ID: "x", Enter: &ask.Entering{Label: "X", Now: row.now, Example: row.example, Step: row.step}}
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
	d.m.question = ask.Question{ID: "x", Enter: &ask.Entering{Label: "X", Example: "41 F"}}
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
	require.Equal(t, "Really 40?", d.m.question.Title, "no table knows it")
	d.choose("Yes, 40")
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
		at := map[string]draw.Target{}
		for _, target := range d.m.draw().Targets {
			if target.H >= at[target.Key].H { // the key line repeats some
				at[target.Key] = target
			}
		}
		for _, k := range append(strings.Split("0123456789.+-", ""), "backspace", unitKey, "enter") {
			require.Contains(t, at, k, "%v", size)
			if size[1] >= 20 {
				require.GreaterOrEqual(t, at[k].H, 3, "%q at %v", k, size)
				require.LessOrEqual(t, at[k].X+at[k].W, size[0], "%q at %v", k, size)
			}
		}
	}
}

// cardLibrary fills a library with cards, the first the last used.
func cardLibrary(t *testing.T, cables int) string {
	t.Helper()
	dir := t.TempDir()
	library, err := rehearsal.OpenLibrary(dir, time.Now, rand.Reader)
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
	rehearsal.Long(t)
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
			d.m.flow.Cards = rehearsal.Cards()
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
			sameScreen(t, fmt.Sprintf("job_%s/%dx%d", row.name, size[0], size[1]), d.m)
		}
	}
}
