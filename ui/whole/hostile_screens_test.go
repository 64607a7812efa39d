//go:build !windows

package whole

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// drawnBy are the control sequences that the program itself draws with: ECMA-48's cursor
// and erase functions and its colours, and the modes of xterm for the cursor, the mouse, the
// alternate screen and bracketed paste.
var drawnBy = regexp.MustCompile(`\x1b\[([0-9]*[BCX]|[0-9;]*H|2J|K|[0-9;]*m)|\x1b\[\?(25|1002|1006|1049|2004)[hl]|[\r\n]`)

// TestHostileScreens opens every page that shows a record, each of whose texts draws, and
// compares the bytes sent with what the program draws with.
func TestHostileScreens(t *testing.T) {
	t.Parallel()
	good := goodLibrary(t)
	profile := profileIn(t, good)
	for _, walk := range []struct {
		args []string
		keys []string // each after the screen has changed
	}{
		{nil, []string{"1", "1", "\x1b", "n", "1"}},
		{[]string{"review"}, []string{"1", "1", "n", "\x1b", "2", "?", "\x1b", "3"}},
		{[]string{"run", profile}, []string{"1", "1", "m"}},
		{[]string{"trial", filepath.Join(good, "job")}, []string{"?", "1", "1", "1"}},
		{[]string{"practice"}, []string{"n", "1"}},
	} {
		t.Run(strings.Join(append([]string{"brinkmark"}, walk.args[:min(1, len(walk.args))]...), " "), func(t *testing.T) {
			t.Parallel()
			s := newSurroundings(t, good)
			if len(walk.args) < 2 { // lists, and what could not be read
				s.fill(t, s.library)
			}
			tab := newTablet(t, s.library, walk.args...)
			last := ""
			for _, key := range walk.keys {
				last = tab.rested(last)
				tab.send(key)
			}
			tab.rested(last)
			tab.mu.Lock()
			raw := tab.raw.String()
			tab.mu.Unlock()
			require.Regexp(t, `RUN AT|<script>`, raw, "%q", walk.args)
			rest := drawnBy.ReplaceAllString(raw, "")
			require.Empty(t, notPlain.FindAllString(rest, 5), "%q:\n%q", walk.args, rest)
		})
	}
}

// rested waits for a screen that is another than before, if the key did anything, and stays.
func (tab *tablet) rested(before string) string {
	tab.t.Helper()
	screen := before
	busy := func() bool {
		return strings.Contains(screen, "Working …") || strings.Contains(screen, "Reading the records")
	}
	began := time.Now()
	for time.Since(began) < 2*time.Second || busy() && time.Since(began) < 20*time.Second {
		time.Sleep(100 * time.Millisecond)
		now := tab.text()
		if now == screen && !busy() && now != before && strings.TrimSpace(now) != "" {
			break
		}
		screen = now
	}
	return screen
}
