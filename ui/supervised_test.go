package ui

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// supervised are the files of a library as a supervisor finds it: two whole trials, one of
// which somebody has edited, five records written by hand, one of them not readable, and a
// card. They are made once.
func supervised(t *testing.T) map[string][]byte {
	t.Helper()
	madeOnce.Do(func() { madeFiles = makeSupervised(t) })
	require.NotEmpty(t, madeFiles)
	return madeFiles
}

var (
	madeOnce  sync.Once
	madeFiles map[string][]byte
)

func makeSupervised(t *testing.T) map[string][]byte {
	dir := t.TempDir()
	d := newDriver(t, dir)
	for i, changes := range [][]string{
		{"job.number", "J-204"},
		{"job.number", "J-205", "conditions.cable_temperature", "58 °F", "people.operator", "EF", "people.watcher", "AB", "rig.name", "Rig 3"},
	} {
		d.begin(8+2*i, exampleWith(t, changes...))
		d.toEnd(rig{fold: 118, slipPerPSI: 12})
	}
	d.run(d.m.do(d.m.flow, ask.GoHome{}))
	edited, err := filepath.Glob(filepath.Join(dir, "profiles", "*", "*.toml"))
	require.NoError(t, err)
	slices.Sort(edited)
	text, err := os.ReadFile(edited[1])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(edited[1], []byte(strings.Replace(string(text), "J-205", "J-206", 1)), 0o666))
	rehearsal.WriteProfile(t, "../testdata/covers/profile.toml", dir, 1)
	rehearsal.WriteProfile(t, "../testdata/covers/profile.toml", dir, 2, `"Rig 2"`, `"Rig 12"`, `"41 °F"`, `"50 °F"`, "speed = \"95 ft/min\"", "speed = \"85 ft/min\"")
	rehearsal.WriteProfile(t, "../testdata/covers/profile.toml", dir, 3, "\nspeed = \"95 ft/min\"", "\nspeed = \"50 ft/min\"", "\nadvised_speed = \"95 ft/min\"", "\nadvised_speed = \"50 ft/min\"")
	rehearsal.WriteProfile(t, "../testdata/covers/profile.toml", dir, 4, "\nspeed = \"95 ft/min\"", "\nspeed = \"100 ft/min\"", `"AB"`, `"AB\u001b[31m"`)
	rehearsal.WriteProfile(t, "../testdata/covers/profile.toml", dir, 5, "[setting]", "[setting")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "people", "qs.toml"), []byte("format = 1\n[person]\nname = \"QS\"\nroles = [\"supervisor\"]\n"), 0o666))
	found := map[string][]byte{}
	for _, name := range files(t, dir) {
		if found[name], err = os.ReadFile(filepath.Join(dir, name)); filepath.Ext(name) != ".toml" {
			delete(found, name)
		}
		require.NoError(t, err)
	}
	return found
}

// reviewed stands before such a library the day after.
func reviewed(t *testing.T) *driver {
	t.Helper()
	dir := t.TempDir()
	for name, text := range supervised(t) {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o777))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), text, 0o666))
		used := time.Date(2026, 5, 14, 12, 0, int(name[len("people/")]), 0, time.UTC) // cards come by their use
		require.NoError(t, os.Chtimes(filepath.Join(dir, name), used, used))
	}
	d := newDriver(t, dir)
	d.clock = time.Date(2026, 5, 15, 8, 30, 0, 0, time.UTC)
	return d
}

// decided reads from the disk what was decided about a record.
func (d *driver) decided(id string) (string, []profiles.Judged) {
	d.t.Helper()
	library, err := rehearsal.OpenLibrary(d.dir, func() time.Time { return d.clock }, nil)
	require.NoError(d.t, err)
	v, err := library.Review(nil)
	require.NoError(d.t, err)
	p, err := v.Find(id)
	require.NoError(d.t, err)
	return string(p.Stands), p.Actions
}

// stands requires what is on the disk to say so of a record, after so many decisions.
func (d *driver) stands(id, want string, decisions int) []profiles.Judged {
	d.t.Helper()
	state, actions := d.decided(id)
	require.Equal(d.t, want, state)
	require.Len(d.t, actions, decisions)
	return actions
}
