package journal

import (
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

// A record whose first line was taken out still has its seals, so it was sealed once: it is
// edited, and not written by hand.
func TestFirstLineTakenOutCountsAsEdited(t *testing.T) {
	_, after := writtenJournal(t)
	for _, text := range []string{
		strings.TrimPrefix(after[3], header), "\n" + after[3], "# mine\n" + after[3], "\uFEFF" + strings.TrimPrefix(after[3], header),
		strings.ReplaceAll(strings.TrimPrefix(after[3], header), "\n", "\r\n"),
	} {
		path := filepath.Join(t.TempDir(), "j.toml")
		putFile(t, path, text)
		_, found, err := readText(path)
		require.NoError(t, err)
		require.True(t, found.Edited)
		require.Contains(t, found.Says, "it has seals, and its first line is not")
		_, _, err = open(disk.OS{}, path)
		require.ErrorContains(t, err, "it cannot be mended by hand")
	}
	// A comment that only looks a little like a seal is a comment.
	path := filepath.Join(t.TempDir(), "j.toml")
	putFile(t, path, testHead+"# sealed with wax\n")
	_, found, err := readText(path)
	require.NoError(t, err)
	require.Zero(t, found)
}

// No message says how to make an edited record count: its remedies are a copy or a new trial.
func TestNoMessageTellsHowToTakeSealsOff(t *testing.T) {
	_, after := writtenJournal(t)
	for _, text := range []string{
		strings.Replace(after[3], "Northmoor", "Southmoor", 1), strings.Replace(after[3], "journal 1", "journal 2", 1), strings.TrimPrefix(after[3], header),
	} {
		path := filepath.Join(t.TempDir(), "j.toml")
		putFile(t, path, text)
		_, _, err := open(disk.OS{}, path)
		require.ErrorContains(t, err, "another tablet")
		require.ErrorContains(t, err, "make a new trial")
		require.NotContains(t, err.Error(), "take out")
		require.NotContains(t, err.Error(), "counts as written by hand")
	}
}
