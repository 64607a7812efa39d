package journal

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

// childJournal names the journal a child process of the tests works on.
const childJournal = "BRINKMARK_TEST_JOURNAL"

// TestChild is no test: it appends until it is killed, telling what was acknowledged.
func TestChild(t *testing.T) {
	path := os.Getenv(childJournal)
	if path == "" {
		t.Skip("runs as a child process of other tests")
	}
	j, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	fmt.Println("open")
	for {
		n := j.Entries() + 1
		require.NoError(t, j.Append(testEntry(n)))
		fmt.Println(n)
	}
}

// startChild starts a child that appends, and waits until it has the journal.
func startChild(t *testing.T, path string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	child := exec.Command(os.Args[0], "-test.run=^TestChild$")
	child.Env = append(os.Environ(), childJournal+"="+path)
	out, err := child.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, child.Start())
	t.Cleanup(func() { _ = child.Process.Kill() })
	lines := bufio.NewScanner(out)
	require.True(t, lines.Scan())
	require.Equal(t, "open", lines.Text())
	return child, lines
}

// A process that appends is killed again and again, after one more entry each time.
func TestJournalKilled(t *testing.T) {
	path := filepath.Join(t.TempDir(), "j.toml")
	j, err := create(disk.OS{}, path, testHead)
	require.NoError(t, err)
	require.NoError(t, j.Close())
	for round := 1; round <= 36; round++ {
		child, lines := startChild(t, path)
		last := ""
		for n := 0; lines.Scan(); n++ {
			last = lines.Text()
			if n == round%12 {
				require.NoError(t, child.Process.Kill())
			}
		}
		require.Error(t, child.Wait())
		j, _, err := open(disk.OS{}, path)
		require.NoError(t, err, "round %d: the lock is free and the file is whole", round)
		require.Contains(t, j.Text(), "seq = "+last+"\n", "round %d", round)
		require.Equal(t, j.Entries(), strings.Count(j.Text(), "[[answer]]"))
		require.NoError(t, j.Close())
	}
}
