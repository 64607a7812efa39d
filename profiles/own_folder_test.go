package profiles

import (
	"os"
	"path/filepath"
	"testing"

	"brinkmark/profiles/store"

	"github.com/stretchr/testify/require"
)

// No folder of a library that is a link is written to, be it to go on with what lies there;
// the library itself may be one.
func TestNoFolderLeadsOut(t *testing.T) {
	root := t.TempDir()
	dir, outside := filepath.Join(root, "library"), filepath.Join(root, "outside")
	l := cardLibrary(t, dir)
	trial := writtenTrial(t, l)
	id := trial.ID()
	require.NoError(t, trial.Close())
	require.NoError(t, os.Rename(filepath.Join(dir, "trials"), outside))
	for _, place := range []string{"trials", "runs", "rigs", "routes", "practice", "example"} {
		if err := os.Symlink(outside, filepath.Join(dir, place)); err != nil {
			t.Skip("no links here: ", err)
		}
	}
	before, err := os.ReadDir(outside)
	require.NoError(t, err)
	const says = "a link, where a folder of the library is needed"

	_, _, err = l.OpenTrial(id)
	require.ErrorContains(t, err, says)
	require.ErrorContains(t, l.Discard(id), says)
	_, err = l.NewTrial(fullJob(t))
	require.ErrorContains(t, err, says)
	_, _, err = l.OpenRun(id)
	require.ErrorContains(t, err, says)
	require.ErrorContains(t, l.SaveCards(Record{Rig: Rig{Name: "Rig 2"}}), says)
	_, err = l.SaveRoute("mill", nil)
	require.ErrorContains(t, err, says)
	_, err = l.Apart("example")
	require.ErrorContains(t, err, says)
	require.ErrorContains(t, l.store.Write("practice/history.toml", store.Version{}, []byte("x")), says)
	after, err := os.ReadDir(outside)
	require.NoError(t, err)
	require.Equal(t, len(before), len(after))

	require.NoError(t, os.Symlink(dir, filepath.Join(root, "named")))
	named := cardLibrary(t, filepath.Join(root, "named"))
	require.NoError(t, named.SaveCards(Record{Cable: Cable{Make: "Northmoor", Type: "LT-96"}}))
}

// A link is told by its own name, and not by where it leads.
func TestLinksAreNamed(t *testing.T) {
	dir := t.TempDir()
	at := filepath.Join(dir, "x.toml")
	for to, says := range map[string]string{at: "a link that leads nowhere", filepath.Join(dir, "none"): "a link that leads nowhere", dir: "not a plain file"} {
		if err := os.Symlink(to, at); err != nil {
			t.Skip("no links here: ", err)
		}
		_, _, err := readNamed(at)
		require.ErrorContains(t, err, at+": a link")
		require.ErrorContains(t, err, says)
		require.ErrorContains(t, err, "name the file itself, or take the link away")
		require.NoError(t, os.Remove(at))
	}
	file := filepath.Join(dir, "job.toml")
	require.NoError(t, os.WriteFile(file, []byte(boundsJob), 0o666))
	require.NoError(t, os.Symlink(file, at))
	_, _, err := readNamed(at)
	require.NoError(t, err)
}
