package profiles

import (
	"math/rand/v2"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/memory"
	"brinkmark/session"
)

// A day of trial, profile, cards, run, review and exchange leaves the same names and bytes in any
// store, and the same answers.
func TestAnyStoreKeepsTheSame(t *testing.T) {
	onDisk, err := folder.Open(filepath.Join(t.TempDir(), "library"))
	require.NoError(t, err)
	stick, err := folder.OpenBelow(t.TempDir())
	require.NoError(t, err)
	defer func() { require.NoError(t, stick.Close()) }()
	want, told := storedDay(t, onDisk, stick)
	require.Greater(t, len(want), 12)
	got, toldToo := storedDay(t, memory.New(), memory.New())
	require.Equal(t, want, got)
	require.Equal(t, told, toldToo)
}

// storedDay is a day in a library: all that is kept in its store and in the one it exchanges with,
// and what is answered in the evening.
func storedDay(t *testing.T, in, other store.Store) (texts map[string]string, told []string) {
	clock := &runClock{time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600))}
	l := OpenLibrary(in, clock.now, rand.NewChaCha8([32]byte{7}))
	require.NoError(t, l.put("profiles/2026-05/"+runProfile+".toml", []byte(fileText(t, "../testdata/covers/profile.toml"))))
	r := newRun(t, l)
	beginRun(t, r)
	endRun(t, r, Closing{})
	require.NoError(t, r.Close())
	history, _, err := readNamed("../testdata/histories/budget-spent-when-proved.toml")
	require.NoError(t, err)
	trial, err := l.NewTrial(history.job())
	require.NoError(t, err)
	require.NoError(t, trial.Append(Change{Key: "conditions.cable_temperature", Value: "41 °F", Reason: "read now"}))
	for _, a := range history.Attempts {
		require.NoError(t, trial.Append(a))
	}
	require.NoError(t, trial.Close())
	trial, _, err = l.OpenTrial(trial.ID())
	require.NoError(t, err)
	install, ok := session.View(trial.Session()).Next.(session.Install)
	require.True(t, ok)
	_, err = l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	require.NoError(t, l.SaveCards(trial.Record()))
	require.NoError(t, trial.Close())
	_, err = l.SaveRoute("Mill Lane", []RouteSection{{Length: mustLength(t, "310 m")}})
	require.NoError(t, err)
	require.NoError(t, l.SaveOptions(Options{Theme: "dark"}))
	s, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, s.Query(trial.ID(), "why so near?"))
	require.NoError(t, s.Close())
	x, err := l.Exchange(other, nil)
	require.NoError(t, err)
	require.Empty(t, x.Refused)

	texts = map[string]string{}
	for side, in := range map[string]store.Store{"here/": in, "there/": other} {
		for name, text := range storedTexts(t, in, ".") {
			texts[side+name] = text
		}
	}
	v, err := l.Review(nil)
	require.NoError(t, err)
	for _, p := range v.Profiles {
		told = append(told, p.ID+" "+string(p.Stands))
		for _, e := range p.Exceptions {
			told = append(told, e.Says())
		}
	}
	for _, name := range []string{"job.toml", "profile.toml"} {
		c, err := l.Candidates()
		require.NoError(t, err)
		told = append(told, shownVerdict(t, c, coverRecord(t, name, nil), clock.now()))
	}
	return texts, told
}

func storedTexts(t *testing.T, in store.Store, folder string) map[string]string {
	texts := map[string]string{}
	entries, err := in.List(folder)
	require.NoError(t, err)
	for _, e := range entries {
		name := path.Join(folder, e.Name)
		if e.Folder {
			for deeper, text := range storedTexts(t, in, name) {
				texts[deeper] = text
			}
			continue
		}
		data, _, err := in.Read(name)
		require.NoError(t, err)
		texts[name] = strings.ReplaceAll(string(data), in.Where(""), "STORE")
	}
	return texts
}
