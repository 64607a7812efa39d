package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/profiles/store/storetest"

	"github.com/stretchr/testify/require"
)

// journalScript works on a journal as a trial does, answering once more what was refused.
// It returns the texts the file may hold now: what was acknowledged last, and what
// was refused since.
func journalScript(d disk.Disk, path string) (may []string, done bool) {
	j, err := create(d, path, testHead)
	if err != nil {
		s, _ := SealHead(testHead)
		return []string{"", string(s.text)}, false
	}
	defer func() { _ = j.Close() }()
	may, done = []string{j.Text()}, true
	step := func(next Sealed, do func() error) {
		for range 2 {
			before := j.Text()
			if err = do(); err == nil {
				may = []string{j.Text()}
				return
			}
			if j.Text() != before {
				panic("a refused step shows")
			}
		}
		may, done = append(may, string(next.text)), false
	}
	next, _ := SealHead("format = 1\n")
	step(next, func() error { return j.ReplaceHead("format = 1\n") })
	for n := 1; n <= 3; n++ {
		next, _ = j.sealed.Add(testEntry(n))
		step(next, func() error { return j.Append(testEntry(n)) })
	}
	return may, done
}

func requireOneOf(t *testing.T, may []string, path, when string) {
	t.Helper()
	j, _, err := open(disk.OS{}, path)
	if errors.Is(err, fs.ErrNotExist) && may[0] == "" {
		return
	}
	require.NoError(t, err, when)
	require.Contains(t, may, j.Text(), when)
	require.NoError(t, j.Close())
}

// Each call of the disk fails in turn, in each way, once or for good. All that was
// acknowledged is there, and nothing half; a disk that recovers lets the work go on.
func TestJournalFailsAtEveryCall(t *testing.T) {
	long(t)
	for name, fault := range storetest.AllFaults {
		for _, stays := range []bool{false, true} {
			reached := true
			for at := 1; reached; at++ {
				when := fmt.Sprintf("%s at call %d, stays %v", name, at, stays)
				d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: fault, At: at, Stays: stays}
				path := filepath.Join(t.TempDir(), "j.toml")
				may, done := journalScript(d, path)
				reached = d.Calls >= at
				requireOneOf(t, may, path, when)
				require.True(t, stays || done || may[0] == "", "%s: the next try must do", when)
				require.Less(t, at, 1000)
			}
		}
	}
}

// The power fails after each call in turn, with what was not synced kept in every
// way: names and data reach the disk in no given order (common practice, no source).
func TestJournalPowerCutAtEveryCall(t *testing.T) {
	long(t)
	reached := true
	for at := 1; reached; at++ {
		memory := storetest.NewMemoryDisk()
		d := &storetest.FaultyDisk{Disk: memory, Fault: storetest.Refuses, At: at, Stays: true}
		path := filepath.Join(t.TempDir(), "j.toml")
		may, _ := journalScript(d, path)
		reached = d.Calls >= at
		memory.PowerCuts(t, func(dir, state string) {
			requireOneOf(t, may, filepath.Join(dir, "j.toml"), fmt.Sprintf("power cut after call %d, %s", at, state))
		})
	}
}

// forgetfulFolder fails to sync its names so many times.
type forgetfulFolder struct {
	*storetest.MemoryDisk
	times int
}

func (d *forgetfulFolder) SyncDir(dir string) error {
	if d.times--; d.times >= 0 {
		return storetest.ErrFault
	}
	return d.MemoryDisk.SyncDir(dir)
}

// A head whose new name is not safe yet, nor the old one put back, must not carry
// an acknowledged entry.
func TestJournalHeadInDoubt(t *testing.T) {
	for times := range 5 {
		d := &forgetfulFolder{storetest.NewMemoryDisk(), 0}
		path := filepath.Join(t.TempDir(), "j.toml")
		j, err := create(d, path, testHead)
		require.NoError(t, err)
		d.times = times
		headErr := j.ReplaceHead("format = 1\n")
		require.Equal(t, times > 0, headErr != nil)
		for err = storetest.ErrFault; err != nil; {
			err = j.Append(testEntry(1))
		}
		kept := j.Text()
		require.NoError(t, j.Close())
		require.Equal(t, headErr != nil, strings.Contains(kept, "Northmoor"), "a refused head is not there")
		d.PowerCuts(t, func(dir, state string) {
			requireOneOf(t, []string{kept}, filepath.Join(dir, "j.toml"), fmt.Sprintf("%d failures, %s", times, state))
		})
	}
}

// What a killed program wrote and did not sync is safe before it is shown.
func TestJournalOpenSyncs(t *testing.T) {
	_, after := writtenJournal(t)
	d := storetest.NewMemoryDisk()
	path := filepath.Join(t.TempDir(), "j.toml")
	d.Names[path] = &storetest.MemoryFile{Data: []byte(after[3]), Synced: []byte(after[2])}
	require.NoError(t, d.SyncDir(""))
	j, _, err := open(d, path)
	require.NoError(t, err)
	require.Equal(t, after[3], j.Text())
	require.NoError(t, j.Close())
	d.PowerCuts(t, func(dir, state string) {
		requireOneOf(t, after[3:], filepath.Join(dir, "j.toml"), state)
	})
}

// What a killed program named and did not sync is safe before anything is built on it.
func TestJournalOpenSyncsTheName(t *testing.T) {
	_, after := writtenJournal(t)
	d := storetest.NewMemoryDisk()
	path := filepath.Join(t.TempDir(), "j.toml")
	d.Names[path] = &storetest.MemoryFile{Data: []byte(after[3]), Synced: []byte(after[3])}
	j, _, err := open(d, path)
	require.NoError(t, err)
	require.NoError(t, j.Append(testEntry(4)))
	kept := j.Text()
	require.NoError(t, j.Close())
	d.PowerCuts(t, func(dir, state string) {
		requireOneOf(t, []string{kept}, filepath.Join(dir, "j.toml"), state)
	})
}

// Setting aside fails at each call: the torn bytes are always in one place or both.
func TestJournalRecoveryFailsAtEveryCall(t *testing.T) {
	const torn = "[[attempt]]\nseq = "
	for name, fault := range storetest.AllFaults {
		reached := true
		for at := 1; reached; at++ {
			when := fmt.Sprintf("%s at call %d", name, at)
			path, after := writtenJournal(t)
			putFile(t, path, after[3]+torn)
			d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: fault, At: at}
			j, _, err := open(d, path)
			if err == nil {
				require.NoError(t, j.Close())
			}
			reached = d.Calls >= at
			inPlace := fileText(t, path) == after[3]+torn
			kept, _ := os.ReadFile(path + ".torn-1")
			require.True(t, inPlace || string(kept) == torn, when)
			requireOneOf(t, after[3:], path, when)
			require.Equal(t, torn, fileText(t, path+".torn-1"), when)
			require.NoFileExists(t, path+".torn-2", when)
		}
	}
}

// fullOnce is a disk that takes half of what is added to a file, once.
type fullOnce struct {
	disk.OS
	full bool
}

func (d *fullOnce) OpenFile(name string, flag int, perm fs.FileMode) (disk.File, error) {
	f, err := d.OS.OpenFile(name, flag, perm)
	if err == nil && d.full && flag&os.O_APPEND != 0 {
		d.full = false
		return halfFile{f}, nil
	}
	return f, err
}

type halfFile struct{ disk.File }

func (f halfFile) Write(b []byte) (int, error) {
	n, _ := f.File.Write(b[:len(b)/2])
	return n, storetest.ErrFault
}

func TestJournalDiskFull(t *testing.T) {
	path, after := writtenJournal(t)
	j, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	d := &fullOnce{full: true}
	j.store = folder.On(d, filepath.Dir(path))
	err = j.Append(testEntry(4))
	require.ErrorIs(t, err, disk.ErrDiskFull)
	require.ErrorContains(t, err, "the disk is full: nothing was lost up to the last answer: ")
	require.ErrorContains(t, err, "\n  free some space and answer again")
	require.False(t, d.full, "an entry was written by half")
	require.Equal(t, after[3], fileText(t, path), "half an entry is cut off at once")
	require.NoError(t, j.Append(testEntry(4)))
	require.NoError(t, j.Close())
}
