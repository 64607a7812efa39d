//go:build !windows

package whole

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// TestPracticeOnTerminal takes a whole lesson on a terminal, reading each push from the
// screen: passed, in the history, and nowhere among the records. The first push is
// watched as it moves, the others as still pictures, which the options page sets.
func TestPracticeOnTerminal(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	library := t.TempDir()
	tab := newTablet(t, library)
	tab.shows("What now?")
	tab.shows("Practise first")
	tab.send("1")
	tab.shows("Which lesson?")
	tab.send("q")
	<-tab.ended
	require.NoError(t, tab.cmd.Wait())

	tab = newTablet(t, library, "practice", "--lesson", "1", "--seed", "7")
	last, moved := "", map[string]bool{}
	for n := 0; ; n++ {
		require.Less(t, n, 300)
		screen := tab.changed(last)
		has := func(text string) bool { return strings.Contains(screen, text) }
		yes := func(v bool) { tab.send(map[bool]string{true: "1", false: "2"}[v]) }
		switch last = screen; {
		case SeenOn(screen) != "":
			label := SeenOn(screen)
			for !strings.Contains(screen, label) { // it is broken over lines on its button
				label = label[:strings.LastIndex(label, " ")]
			}
			tab.send(keyOver(t, screen, label))
		case has("How it went"):
			require.Greater(t, len(moved), 5, "the first push moves")
			leavesPassed(t, tab, library, screen)
			return
		case has("Push 1: dial"):
			tab.send("1")
			for !strings.Contains(tab.text(), "Read it") {
				moved[tab.text()] = true
				time.Sleep(20 * time.Millisecond)
			}
			last = ""
			tab.send("o")
			tab.shows("Practice pushes: moving")
			tab.send(regexp.MustCompile(`(\d)  Practice pushes`).FindStringSubmatch(tab.text())[1])
			tab.shows("Practice pushes: before and after")
			tab.send("b")
			tab.shows("Read it")
			tab.send("1")
		case has("Two questions tell"):
			tab.send("1")
		case has("keep turning?"):
			yes(has("Belt chalk goes round"))
		case has("past the pointer?"):
			yes(has("past the allowance line"))
		case has("What first?"):
			tab.send(keyOver(t, screen, "Press stop"))
		case has("enter done"):
			tab.send("5\r")
		default:
			tab.send(keyOnward(screen))
		}
	}
}

// leavesPassed leaves after a lesson that was passed: the library has its result, and no
// record.
func leavesPassed(t *testing.T, tab *tablet, library, screen string) {
	t.Helper()
	require.Contains(t, screen, "A first clean trial: passed.")
	tab.send("1")
	tab.shows("A first clean trial (passed)")
	tab.send("q")
	<-tab.ended
	require.NoError(t, tab.cmd.Wait())
	require.Len(t, globbed(t, filepath.Join(library, "practice", "history.toml")), 1)
	found, err := os.ReadDir(library)
	require.NoError(t, err)
	require.Len(t, found, 2, "options and practice: %v", found)
	require.Contains(t, tab.raw.String(), "\x1b[?1049l", "the terminal is given back")
}

// keyOver is the key of the button that a label stands on.
func keyOver(t *testing.T, screen, label string) string {
	t.Helper()
	var frames []rune
	for _, line := range strings.Split(screen, "\n") {
		if strings.Contains(line, "┌─ ") && !strings.Contains(line, "┌─ m") {
			frames = []rune(line)
		}
		before, _, found := strings.Cut(line, label)
		if !found {
			continue
		}
		column := len([]rune(before)) + len([]rune(label))/2
		keys := regexp.MustCompile(`─ (\d) ─`).FindAllStringSubmatch(string(frames[:column]), -1)
		require.NotEmpty(t, keys, screen)
		return keys[len(keys)-1][1]
	}
	t.Fatalf("no button %q:\n%s", label, screen)
	return ""
}
