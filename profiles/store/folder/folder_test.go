package folder

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/profiles/store/storetest"
)

// quickDir is a folder in memory where the system has one: ten thousand texts are made safe there
// in no time.
func quickDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "brinkmark-store-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

func TestStore(t *testing.T) {
	storetest.Suite(t, func(t *testing.T) store.Store {
		f, err := Open(filepath.Join(quickDir(t), "library"))
		require.NoError(t, err)
		return f
	})
}

// A folder that is not trusted does the same below itself.
func TestStoreBelow(t *testing.T) {
	storetest.Suite(t, func(t *testing.T) store.Store {
		f, err := OpenBelow(quickDir(t))
		require.NoError(t, err)
		t.Cleanup(func() { require.NoError(t, f.Close()) })
		return f
	})
}

func TestOutcomes(t *testing.T) {
	dir := t.TempDir()
	storetest.Outcomes(t, func(_ *testing.T, fault storetest.Fault, at int) (store.Store, func() int) {
		d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: fault, At: at}
		return On(d, dir), func() int { return d.Calls }
	})
}
