package profiles

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestPicks(t *testing.T) {
	l := reviewLibrary(t)
	require.Empty(t, l.Picks(), "no library yet")
	made := samples(t, l, 200)
	writeInto(t, l, "profiles/2026-05/notes.toml", "not named by an id")
	before := tree(t, l.Where())
	require.NotContains(t, before, indexFile)

	picks := l.Picks()
	require.Len(t, picks, len(made))
	require.True(t, slices.IsSortedFunc(picks, func(a, b Pick) int { return strings.Compare(b.ID, a.ID) }), "newest first")
	for i, p := range picks {
		require.Equal(t, i < mostRead, p.Key() != "", "without an index the newest are read, and no more")
	}
	require.Equal(t, before, tree(t, l.Where()), "nothing is written")

	_, err := l.OpenIndex(nil) // it keeps what it has read
	require.NoError(t, err)
	require.FileExists(t, filepath.Join(l.Where(), indexFile))
	for _, p := range l.Picks() {
		record, err := l.Profile(p.ID)
		require.NoError(t, err)
		now, _, err := record.current()
		require.NoError(t, err)
		require.Equal(t, strings.Join([]string{now.Cable.Make, now.Cable.Type, now.Duct.Size, now.Conditions.CableTemperature.text}, ", "), p.Key())
	}
}

// A profile that cannot be read is picked by its id alone, a damaged index is none, and
// a library that is too large is not read through.
func TestPicksOfABadLibrary(t *testing.T) {
	l := reviewLibrary(t)
	const id = "01M8938VPMQK1QTD27230G35TA"
	writeInto(t, l, "profiles/2026-11/"+id+".toml", "format = ")
	require.Equal(t, []Pick{{ID: id, Began: l.Picks()[0].Began}}, l.Picks())
	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), indexFile), []byte("damaged"), filePerm))
	require.Len(t, l.Picks(), 1)
	require.NoError(t, os.Truncate(filepath.Join(l.Where(), indexFile), mostIndex+1))
	require.Len(t, l.Picks(), 1)
}

// Who presses the tab key waits no longer than 50 ms. The best of several is taken, since
// other programs use this machine too.
func TestPicksAreQuick(t *testing.T) {
	long(t)
	l := cardLibrary(t, t.TempDir()) // with a clock that goes
	samples(t, l, 1000)
	for _, indexed := range []bool{false, true} {
		if indexed {
			_, err := l.OpenIndex(nil)
			require.NoError(t, err)
		}
		best := time.Hour
		for range 7 {
			began := time.Now()
			require.Len(t, l.Picks(), 1000)
			best = min(best, time.Since(began))
		}
		t.Logf("1000 profiles, indexed %v: %v", indexed, best)
		require.Less(t, best, 50*time.Millisecond)
	}
}
