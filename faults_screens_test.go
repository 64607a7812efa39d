package main

import (
	"cmp"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// tabletWays are how the screens end that nobody ended on purpose.
var tabletWays = []struct {
	name string
	end  func(*tablet)
}{
	{"power cut", func(tab *tablet) { _ = tab.cmd.Process.Kill() }},
	{"SIGTERM", func(tab *tablet) { _ = tab.cmd.Process.Signal(syscall.SIGTERM) }},
	{"SIGHUP", func(tab *tablet) { _ = tab.cmd.Process.Signal(syscall.SIGHUP) }},
	{"closed terminal", func(tab *tablet) { _ = tab.pty.Close() }},
}

var dialledOnScreen = regexp.MustCompile(`Push \d+: dial \d+ psi, (\d+) ft/min`)

// life leads the screens as a crew whose cable folds from 100 ft/min on, until the trial is
// closed, or the program is ended after so many answers and a moment.
func (tab *tablet) life(speed string, answers int, end func()) (over bool, dialled string) {
	tab.t.Helper()
	last := ""
	for n := 0; ; n++ {
		screen, ended := tab.settled(last)
		if ended {
			return strings.Contains(screen, "There is no unfinished trial"), speed
		}
		if strings.Contains(screen, "This trial is closed") {
			return true, speed
		}
		require.Less(tab.t, n, 200, "it does not get on:\n%s", screen)
		last = screen
		if m := dialledOnScreen.FindStringSubmatch(screen); m != nil {
			speed = m[1]
		}
		if strings.Contains(screen, "Hands off the tablet") {
			continue // it gives way by itself
		}
		key := "1"
		if strings.Contains(screen, "What happened?") && len(speed) > 2 {
			key = "3"
		}
		if n == answers {
			end()
		}
		_, _ = tab.pty.Write([]byte(key))
	}
}

// settled waits for a complete screen that is another than before, or for the end.
func (tab *tablet) settled(before string) (screen string, ended bool) {
	tab.t.Helper()
	const guard = 350 * time.Millisecond // against a glove that hits twice
	var since time.Time
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); {
		select {
		case <-tab.ended:
			return tab.text(), true
		case <-time.After(20 * time.Millisecond):
		}
		switch now := tab.text(); {
		case now == before || !strings.Contains(now, "MAKE SAFE") || strings.Contains(now, "Writing"):
			since = time.Time{}
		case now != screen || since.IsZero():
			screen, since = now, time.Now()
		case time.Since(since) > guard:
			return screen, false
		}
	}
	tab.t.Fatalf("the screen stays:\n%s", before)
	return "", true
}

// TestScreensEndedAtRandom ends the screens at random moments of a trial in every way, over
// and over until the trial is closed: what was on disk when the program was ended is there
// ever after. BRINKMARK_KILLS is how often at least, for each way.
func TestScreensEndedAtRandom(t *testing.T) {
	t.Parallel()
	least, _ := strconv.Atoi(cmp.Or(os.Getenv("BRINKMARK_KILLS"), "2"))
	for i, way := range tabletWays {
		t.Run(way.name, func(t *testing.T) {
			t.Parallel()
			if os.Getenv("BRINKMARK_KILLS") == "" && strings.HasPrefix(way.name, "SIG") {
				t.Skip("needs time: set BRINKMARK_KILLS")
			}
			if way.name == "SIGHUP" && signal.Ignored(syscall.SIGHUP) {
				t.Skip("whoever began these tests ignores it, and so does what they begin")
			}
			random := rand.New(rand.NewPCG(uint64(i), 20))
			ends, trials := 0, 0
			for ; ends < least; trials++ {
				ends += screenTrial(t, random, way.end)
			}
			t.Logf("%d endings in %d trials", ends, trials)
		})
	}
}

// screenTrial leads one trial to its end over as many lives as it takes.
func screenTrial(t *testing.T, random *rand.Rand, end func(*tablet)) (ends int) {
	t.Helper()
	library := filepath.Join(t.TempDir(), "library")
	args, speed := []string{"trial", exampleJobFile}, ""
	for range 100 {
		tab := newTablet(t, library, args...)
		kept := map[string]string{}
		ended := false
		over, dialled := tab.life(speed, random.IntN(12), func() {
			kept, ended = recordsIn(t, library), true
			time.AfterFunc(time.Duration(random.IntN(20000))*time.Microsecond, func() { end(tab) })
		})
		speed = dialled
		if ended {
			<-tab.ended
			_ = tab.cmd.Wait()
			requireKept(t, kept, library)
			ends++
		}
		if over && !ended {
			tab.send("q")
			require.Len(t, globbed(t, filepath.Join(library, "trials", "*.toml")), 1)
			require.Len(t, globbed(t, filepath.Join(library, "profiles", "*", "*.toml")), 1)
			return ends
		}
		if args = []string{"resume"}; len(globbed(t, filepath.Join(library, "trials", "*.toml"))) == 0 {
			args = []string{"trial", exampleJobFile} // cut before its first byte
		}
	}
	t.Fatal("it never ends")
	return ends
}
