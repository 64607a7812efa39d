//go:build !windows

package whole

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"brinkmark/ui/rehearsal"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/require"
)

// tablet is the real program on a terminal that shows and is touched, but never
// answers a question of the program's.
type tablet struct {
	t      *testing.T
	cmd    *exec.Cmd
	pty    *os.File
	screen vt10x.Terminal
	mu     sync.Mutex
	raw    strings.Builder
	ended  chan struct{}
}

func newTablet(t *testing.T, library string, args ...string) *tablet {
	t.Helper()
	return newTabletIn(t, append(environment(library), "TERM=xterm-256color"), append([]string{program(t)}, args...)...)
}

// newClockedTablet is the same with the clock of the scripts, on which a push takes its time.
func newClockedTablet(t *testing.T, library, clock string, args ...string) *tablet {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	named := filepath.Join(t.TempDir(), "brinkmark")
	require.NoError(t, os.Symlink(self, named))
	return newTabletIn(t, append(environment(library), ScriptClock+"="+clock), append([]string{named}, args...)...)
}

// newTabletIn is the same for a command and an environment of its own.
func newTabletIn(t *testing.T, env []string, command ...string) *tablet {
	t.Helper()
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Env = env
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	require.NoError(t, err)
	line, err := f.SyscallConn()
	require.NoError(t, err)
	// else closing it would wait for the program to say something more
	require.NoError(t, line.Control(func(fd uintptr) { _ = syscall.SetNonblock(int(fd), true) }))
	tab := &tablet{t: t, cmd: cmd, pty: f, screen: vt10x.New(vt10x.WithSize(80, 24)), ended: make(chan struct{})}
	go func() {
		defer close(tab.ended)
		buf := make([]byte, 8192)
		for {
			n, err := f.Read(buf)
			tab.mu.Lock()
			_, _ = tab.screen.Write(buf[:n])
			tab.raw.Write(buf[:n])
			tab.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait(); _ = f.Close() })
	return tab
}

// sent is how many bytes the program has sent.
func (tab *tablet) sent() int {
	tab.mu.Lock()
	defer tab.mu.Unlock()
	return tab.raw.Len()
}

// logged is what the program has sent.
func (tab *tablet) logged() string {
	tab.mu.Lock()
	defer tab.mu.Unlock()
	return tab.raw.String()
}

// resize makes the terminal another size.
func (tab *tablet) resize(w, h int) {
	tab.mu.Lock()
	defer tab.mu.Unlock()
	tab.screen.Resize(w, h)
	require.NoError(tab.t, pty.Setsize(tab.pty, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}))
}

func (tab *tablet) text() string {
	tab.mu.Lock()
	defer tab.mu.Unlock()
	return tab.screen.String()
}

// shows waits until the screen shows one of the texts and returns it.
func (tab *tablet) shows(texts ...string) string {
	tab.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); {
		screen := tab.text()
		for _, text := range texts {
			if strings.Contains(screen, text) {
				return text
			}
		}
		select {
		case <-tab.ended:
			tab.t.Fatalf("ended while waiting for %q:\n%s", texts, tab.text())
		case <-time.After(10 * time.Millisecond):
		}
	}
	tab.t.Fatalf("never showed %q:\n%s", texts, tab.text())
	return ""
}

func (tab *tablet) send(bytes string) {
	_, err := tab.pty.Write([]byte(bytes))
	require.NoError(tab.t, err)
}

// touch presses where the screen shows a target's key in its frame.
func (tab *tablet) touch(key string) {
	tab.t.Helper()
	for y, line := range strings.Split(tab.text(), "\n") {
		cells := []rune(line)
		for x := range cells {
			if strings.HasPrefix(string(cells[x:]), "┌─ "+key+" ─") {
				tab.send(fmt.Sprintf("\x1b[<0;%d;%dM\x1b[<0;%d;%dm", x+6, y+3, x+6, y+3))
				return
			}
		}
	}
	tab.t.Fatalf("no target %q:\n%s", key, tab.text())
}

// wholeTrial goes through the example with the outcomes given, then stalls, to the
// closed trial. press answers with a key; between is called at every stage once.
func (tab *tablet) wholeTrial(outcomes string, press func(*tablet, string), between func(*tablet, string) *tablet) {
	stages := map[string]bool{}
	last := ""
	for range 120 {
		screen := tab.changed(last)
		last = screen
		stage := strings.Fields(screen)[0]
		switch {
		case strings.Contains(screen, "This trial is closed"):
			return
		case strings.Contains(screen, "Hands off the tablet"):
			tab.shows("What happened?")
			continue
		case !stages[stage] && stage != "JOB":
			stages[stage] = true
			tab, last = between(tab, stage), ""
			continue
		case strings.Contains(screen, "What happened?"):
			key := "1"
			if outcomes != "" {
				key, outcomes = outcomes[:1], outcomes[1:]
			}
			press(tab, key)
		default:
			press(tab, keyOnward(screen))
		}
	}
	tab.t.Fatalf("the trial does not end:\n%s", tab.text())
}

// keyOnward is the key of what one comes to a page for: what writes or ends where there is such
// a choice, else mostly the first.
func keyOnward(screen string) string {
	for _, key := range []string{"0", "7", "a"} {
		if strings.Contains(screen, "┌─ "+key+" ─") {
			return key
		}
	}
	return "1"
}

// changed waits for a screen that is another than before and complete.
func (tab *tablet) changed(before string) string {
	tab.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); {
		screen := tab.text()
		if screen != before && strings.Contains(screen, "MAKE SAFE") && !strings.Contains(screen, "Writing") {
			time.Sleep(350 * time.Millisecond) // past the guard against a glove that hits twice
			if tab.text() == screen {
				return screen
			}
		}
		time.Sleep(10 * time.Millisecond)
	}
	tab.t.Fatalf("the screen stays:\n%s", before)
	return ""
}

// onwardTo goes on to the page that shows a text.
func (tab *tablet) onwardTo(text string) {
	tab.t.Helper()
	last := ""
	for range 20 {
		if last = tab.changed(last); strings.Contains(last, text) {
			return
		}
		tab.send(keyOnward(last))
	}
	tab.t.Fatalf("never came to %q:\n%s", text, last)
}

func profilesIn(t *testing.T, library string) int {
	files, err := filepath.Glob(filepath.Join(library, "example", "profiles", "*", "*.toml"))
	require.NoError(t, err)
	return len(files)
}

// TestScreensOnTerminal leads the real program through a whole trial, by keys and
// by touch, to the saved profile; the terminal is given back and was never asked
// anything.
func TestScreensOnTerminal(t *testing.T) {
	for name, press := range map[string]func(*tablet, string){
		"keys":  func(tab *tablet, key string) { tab.send(key) },
		"touch": (*tablet).touch,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			library := t.TempDir()
			tab := newClockedTablet(t, library, filepath.Join(t.TempDir(), "clock"))
			tab.shows("What now?")
			first, presses := tab.sent(), 1
			t.Logf("a whole screen %d bytes", first)
			require.Less(t, first, 1900, "bytes of a whole screen, setting up the terminal included")
			press(tab, "2")
			tab.wholeTrial("113", func(tab *tablet, key string) { presses++; press(tab, key) }, func(tab *tablet, _ string) *tablet { return tab })
			t.Logf("%d bytes a press", (tab.sent()-first)/presses)
			require.Less(t, (tab.sent()-first)/presses, 1150, "bytes a press")
			require.Equal(t, 1, profilesIn(t, library))
			tab.changed("")
			tab.send("q")
			<-tab.ended
			require.NoError(t, tab.cmd.Wait())
			requireGivenBack(t, tab.raw.String())
			requireNothingAsked(t, tab.raw.String())
		})
	}
}

// TestScreensKilledAtEachStage kills the program at every stage of a trial and goes
// on with it: nothing that was written is lost.
func TestScreensKilledAtEachStage(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	library, clock := t.TempDir(), filepath.Join(t.TempDir(), "clock")
	tab := newClockedTablet(t, library, clock)
	tab.shows("What now?")
	tab.send("2")
	killed := 0
	example := filepath.Join(library, "example")
	press := func(tab *tablet, key string) { tab.send(key) }
	tab.wholeTrial("113", press, func(tab *tablet, stage string) *tablet {
		killed++
		before := journalIn(t, example)
		require.NoError(t, tab.cmd.Process.Kill())
		<-tab.ended
		require.Equal(t, before, journalIn(t, example), "at %s", stage)
		return newClockedTablet(t, example, clock, "resume")
	})
	require.GreaterOrEqual(t, killed, 5)
	require.Equal(t, 1, len(globbed(t, filepath.Join(example, "profiles", "*", "*.toml"))))
}

func globbed(t *testing.T, pattern string) []string {
	files, err := filepath.Glob(pattern)
	require.NoError(t, err)
	return files
}

func journalIn(t *testing.T, library string) string {
	files := globbed(t, filepath.Join(library, "trials", "*.toml"))
	require.Len(t, files, 1)
	data, err := os.ReadFile(files[0])
	require.NoError(t, err)
	return string(data)
}
