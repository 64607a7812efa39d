package ui

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

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
	d.enter("NM-1")
	require.Equal(t, profiles.People{Operator: "../Abel", Watcher: "Bo"}, d.m.flow.Record.People)
	require.Equal(t, "job", d.m.question.ID)
}

// Esc on a value that is needed leads to the start page, where a trial with an answer waits.
func TestEscFromANeededValue(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.pick("New trial, other job")
	d.key("N")
	d.key("esc")
	require.Equal(t, "start", d.m.question.ID)
	d.pick("New trial, other job") // nothing was answered, so nothing is to be gone on with
	d.enter("Northmoor")
	require.Equal(t, "cable.type", d.m.question.ID)
	d.key("esc")
	d.pick("Go on: Northmoor, 07:42, just begun")
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
			for _, target := range d.m.draw().Targets {
				tall[target.Key] = max(tall[target.Key], target.H)
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

	library, err := rehearsal.OpenLibrary(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	k, _, err := ask.NewKeeper(library, nil).Begin(ask.Begin{Job: profiles.Record{Format: profiles.Format}})
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
	d.pick("New trial: Northmoor, LT-96, 40/33")
	require.Equal(t, "conditions.cable_temperature", d.m.question.ID, "read anew, every time")

	jobs := []profiles.Record{{Cable: profiles.Cable{Make: "North\x1b[31mmoor"}}, {Cable: profiles.Cable{Make: "Southfen"}}, {}, {}, {}}
	for text, want := range map[string]int{"5\n": 0, "6\n": 1, "9\n6\n": 1, "8\n7\n": 2, " 5 \n": 0} {
		var out strings.Builder
		start, err := AskStart(strings.NewReader(text), &out, jobs...)
		require.NoError(t, err)
		i, ok := start.Last()
		require.True(t, ok)
		require.Equal(t, want, i, text)
		require.Contains(t, out.String(), "  6  New trial: Southfen\n")
		require.NotContains(t, out.String(), "\x1b")
	}
	for text, want := range map[string]Start{"1\n": StartExample, "2\n": StartNew, "3\n": StartResume, "4\n": StartLeave, "q\n": StartLeave, "": StartLeave, "-1\n5\nx\n2\n": StartNew, "0\n": StartPractice} {
		start, err := AskStart(strings.NewReader(text), &strings.Builder{})
		require.NoError(t, err)
		require.Equal(t, want, start, text)
		_, ok := start.Last()
		require.False(t, ok)
	}
	var whole strings.Builder
	_, err := AskStart(strings.NewReader("1\n"), &whole)
	require.NoError(t, err)
	for room := range whole.Len() {
		start, err := AskStart(strings.NewReader("1\n"), &full{room})
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.Equal(t, StartLeave, start)
	}
}
