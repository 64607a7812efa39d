package profiles

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

// state is everything about a folder that a look could change.
func state(t *testing.T, dir string) []string {
	t.Helper()
	var all []string
	require.NoError(t, filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := d.Info()
		require.NoError(t, err)
		all = append(all, name+" "+info.Mode().String()+" "+info.ModTime().String()+" "+strconv.FormatInt(info.Size(), 10))
		return nil
	}))
	return all
}

func TestHealthOfNone(t *testing.T) {
	dir := t.TempDir()
	l := cardLibrary(t, filepath.Join(dir, "not", "yet"))
	h := l.Health(nil)
	require.False(t, h.There)
	require.NoError(t, h.Problem)
	require.Empty(t, h.Counts)
	require.Empty(t, state(t, dir)[1:], "nothing is made")
	require.NoError(t, h.ClockError(time.Now()))
}

func TestHealth(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	open, torn := writtenTrial(t, l), writtenTrial(t, l)
	require.NoError(t, torn.journal.Close())
	writeInto(t, l, "trials/"+torn.ID()+".toml", torn.journal.Text()+"[[answer]]\nseq = 1\n")
	writeInto(t, l, "trials/"+torn.ID()+".toml.torn-1", "half of an entry")
	writeInto(t, l, "trials/"+torn.ID()+".toml.lock", "") // of a killed program
	writeInto(t, l, "profiles/2026-05/01M8938VPMQK1QTD27230G35TA.toml", "no record")
	writeInto(t, l, "cables/bad.toml", "no card")
	writeInto(t, l, "options.toml", "format = 7\n")
	before := state(t, l.Where())

	h := l.Health(nil)
	require.Equal(t, before, state(t, l.Where()), "looking changes nothing")
	require.True(t, h.There)
	require.NoError(t, h.Problem)
	counts := map[string]int{}
	for _, c := range h.Counts {
		counts[c.Kind] = c.N
	}
	require.Equal(t, map[string]int{"profiles": 1, "trials": 2, "runs": 0, "reviews": 0, "cards": 0, "routes": 0}, counts)
	require.Len(t, h.Unreadable, 3)
	require.Len(t, h.Torn, 1)
	require.Equal(t, filepath.Join(l.Where(), "trials", torn.ID()+".toml"), h.Torn[0].Path)
	require.Equal(t, len("[[answer]]\nseq = 1\n"), h.Torn[0].SetAside)
	require.Equal(t, 1, h.SetAside)
	require.Len(t, h.Held, 1)
	require.Equal(t, open.journal.Where(), h.Held[0].Path)
	require.Equal(t, os.Getpid(), h.Held[0].Holder.Process)

	require.NoError(t, open.journal.Close())
	require.Empty(t, l.Health(nil).Held)
	again, _, err := l.OpenTrial(open.ID()) // a look has left no lock behind
	require.NoError(t, err)
	require.NoError(t, again.journal.Close())
}

func TestClockError(t *testing.T) {
	newest := time.Date(2026, 5, 14, 8, 0, 0, 0, time.UTC)
	h := Health{Newest: newest}
	require.NoError(t, h.ClockError(newest))
	require.NoError(t, h.ClockError(newest.Add(-9*time.Minute)), "clocks of two tablets")
	require.ErrorContains(t, h.ClockError(newest.Add(-11*time.Minute)), "2026-05-14 07:49, but a record was begun at 2026-05-14 08:00")
	require.ErrorContains(t, Health{}.ClockError(time.Unix(0, 0)), "before the first record ever made")
}

// Checked against df and test, programs of their own.
func TestSpace(t *testing.T) {
	dir := t.TempDir()
	free, known := disk.FreeSpace(dir).Get()
	require.Equal(t, runtime.GOOS == "linux" || runtime.GOOS == "darwin" || runtime.GOOS == "windows", known)
	if runtime.GOOS == "windows" {
		t.Skip("windows has no df")
	}
	out, err := exec.Command("df", "-Pk", dir).Output()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	kilobytes, err := strconv.ParseFloat(strings.Fields(lines[len(lines)-1])[3], 64)
	require.NoError(t, err)
	require.InDelta(t, kilobytes*1024, float64(free), 2e9, "others write to this disk meanwhile")
	_, known = disk.FreeSpace(filepath.Join(dir, "nothing")).Get()
	require.False(t, known)

	for _, mode := range []os.FileMode{0o755, 0o555} {
		require.NoError(t, os.Chmod(dir, mode))
		may, known := disk.MayWrite(dir).Get()
		require.True(t, known)
		require.Equal(t, exec.Command("test", "-w", dir).Run() == nil, may, mode)
	}
}
