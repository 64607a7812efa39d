//go:build !windows

package whole

import (
	"cmp"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"slices"
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

var (
	dialledOnScreen = regexp.MustCompile(`Push \d+: dial grip pressure \d+ psi, belt speed (\d+)`)
	ofProfile       = regexp.MustCompile(`Profile: .*, (?:grip pressure )?(\d+) psi, (?:belt speed )?(\d+) ft/min`)
	padLast         = regexp.MustCompile(`last: (\S+)`)
)

// pressesTrial presses as a crew whose cable folds from 100 ft/min on.
func (c *crew) pressesTrial(_ *testing.T, screen string) string {
	if m := dialledOnScreen.FindStringSubmatch(screen); m != nil {
		c.speed = m[1]
	}
	if strings.Contains(screen, "What happened?") && len(c.speed) > 2 {
		return "3"
	}
	if strings.Contains(screen, "Write the profile for the") {
		return "9"
	}
	if strings.Contains(screen, "Leave out, say why") && strings.Contains(screen, "enter done") {
		return "\x1b" // nothing is dialled: there is no setting yet
	}
	return keyOnward(screen)
}

// pressesRun presses as a crew that dials what the profile says, logs some points and arrives.
func (c *crew) pressesRun(t *testing.T, screen string) string {
	has := func(text string) bool { return strings.Contains(screen, text) }
	if m := ofProfile.FindStringSubmatch(screen); m != nil {
		c.speed = m[1] + "," + m[2]
	}
	grip, speed, _ := strings.Cut(c.speed, ",")
	last := padLast.FindStringSubmatch(screen)
	switch {
	case has("grip pressure gauge read?"):
		return grip + "\r"
	case has("belt speed gauge read?"), has("belt speed read?"):
		return speed + "\r"
	case has("How warm is the"):
		return "41\r" // as in the trial
	case has("No more loops"):
		return "\x1b"
	case has("Really "):
		return keyOver(t, screen, "Yes")
	case has("enter done") && last != nil:
		return last[1] + "\r"
	case has("How much did it lose"):
		return "1\r"
	case has("enter done"):
		return "28\r" // in whatever unit the page shows
	case has("Which way does it go?"):
		return keyOver(t, screen, "Not known")
	case has("Log a point") && c.points < 4:
		c.points++
		return keyOver(t, screen, "Log a point")
	case has("Arrived, or the end"):
		return keyOver(t, screen, "Arrived, or the end")
	case has("Log a point"):
		return "n" // the rest is on another page
	}
	return keyOnward(screen)
}

// life presses until the work is done, or the program is ended after so many screens and a
// moment.
func (w work) life(tab *tablet, c *crew, screens int, end func()) (over bool) {
	tab.t.Helper()
	last := ""
	for n := 0; ; n++ {
		screen, ended := tab.settled(last)
		if ended {
			return strings.Contains(screen, w.nothing)
		}
		if strings.Contains(screen, w.over) {
			return true
		}
		require.Less(tab.t, n, 200, "it does not get on:\n%s", screen)
		typing := last != "" && strings.Contains(screen, "enter done") && strings.HasPrefix(screen, firstLines(last, 2))
		last = screen
		if strings.Contains(screen, "Hands off the tablet") || typing {
			continue // it gives way by itself
		}
		key := w.press(c, tab.t, screen)
		if n == screens {
			end()
		}
		_, _ = tab.pty.Write([]byte(key))
	}
}

func firstLines(s string, n int) string {
	return strings.Join(strings.SplitAfterN(s, "\n", n+1)[:min(n, strings.Count(s, "\n"))], "")
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

// TestScreensEndedAtRandom ends the screens at random moments of a trial and of a run in
// every way, over and over until the work is done: what was on disk when the program was
// ended is there ever after. BRINKMARK_KILLS is how often at least, for each work and way;
// without it there is time for two ways only, and for no run.
func TestScreensEndedAtRandom(t *testing.T) {
	t.Parallel()
	binary := program(t)
	kills := os.Getenv("BRINKMARK_KILLS")
	least, _ := strconv.Atoi(cmp.Or(kills, "2"))
	for i, w := range works {
		if w.press == nil {
			continue
		}
		for j, way := range tabletWays {
			t.Run(w.name+" "+way.name, func(t *testing.T) {
				t.Parallel()
				if kills == "" && (w.name == "run" || strings.HasPrefix(way.name, "SIG")) {
					t.Skip("needs time: set BRINKMARK_KILLS")
				}
				if way.name == "SIGHUP" && signal.Ignored(syscall.SIGHUP) {
					t.Skip("whoever began these tests ignores it, and so does what they begin")
				}
				random := rand.New(rand.NewPCG(uint64(i), uint64(20+j)))
				ends, whole := 0, 0
				for ; ends < least; whole++ {
					library := filepath.Join(t.TempDir(), "library")
					if w.prepare != nil {
						w.prepare(t, binary, library)
					}
					ends += w.onScreens(t, library, random, way.end)
				}
				t.Logf("%d endings in %d works", ends, whole)
			})
		}
	}
}

// onScreens leads one work to its end over as many lives as it takes. Each may last longer
// than the one before: what is asked in one go must be got through at some time.
func (w work) onScreens(t *testing.T, library string, random *rand.Rand, end func(*tablet)) (ends int) {
	t.Helper()
	var c crew
	args := w.begin
	for lives := range 100 {
		line := slices.DeleteFunc(meant(t, library, args), func(word string) bool { return word == "--plain" })
		tab := newTablet(t, library, line...)
		kept := map[string]string{}
		ended := false
		over := w.life(tab, &c, random.IntN(12+lives), func() {
			kept, ended = recordsIn(t, library), true
			time.AfterFunc(time.Duration(random.IntN(20000))*time.Microsecond, func() { end(tab) })
		})
		if ended {
			<-tab.ended
			_ = tab.cmd.Wait()
			requireKept(t, kept, library)
			ends++
		}
		if over && !ended {
			for pattern, n := range w.found {
				require.Len(t, globbed(t, filepath.Join(library, pattern)), n, pattern)
			}
			return ends
		}
		if args = w.resume; len(globbed(t, filepath.Join(library, w.journal))) < w.found[w.journal] {
			args = w.begin // cut before its first byte
		}
	}
	t.Fatal("it never ends")
	return ends
}
