//go:build !windows

package whole

import (
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

var (
	sequence    = regexp.MustCompile("\x1b(?:\\[[ -?]*[@-~]|[^\\[])")
	privateMode = regexp.MustCompile("\x1b\\[\\?([0-9]+)([hl])")
)

// requireGivenBack requires that a terminal is left as it was found. All modes that were set
// are off again, and the cursor is to be seen; colours go first, so that nothing is erased in
// them, and the other screen comes back last, when the mouse is silent. The numbers are
// xterm's ("XTerm Control Sequences"; from memory).
func requireGivenBack(t *testing.T, raw string) {
	t.Helper()
	on := map[string]bool{}
	for _, m := range privateMode.FindAllStringSubmatch(raw, -1) {
		on[m[1]] = m[2] == "h"
	}
	for _, mode := range []string{"1002", "1006", "1049", "2004"} {
		require.Contains(t, on, mode, "it is set at some time")
	}
	require.True(t, on["25"], "the cursor is to be seen: %q", raw[max(len(raw)-300, 0):])
	delete(on, "25")
	for mode, still := range on {
		require.False(t, still, "mode %s is left on", mode)
	}
	back := strings.LastIndex(raw, "\x1b[?1049l")
	for _, mode := range []string{"1002", "1006", "2004"} {
		require.Less(t, strings.LastIndex(raw, "\x1b[?"+mode+"l"), back, "mode %s goes off before", mode)
	}
	looks := regexp.MustCompile("\x1b\\[[0-9;]*m").FindAllStringIndex(raw, -1)
	last := looks[len(looks)-1]
	require.Equal(t, "\x1b[m", raw[last[0]:last[1]], "no colours are left")
	require.Less(t, last[1], back)
	require.Less(t, last[1], strings.LastIndex(raw, "\x1b[2K"), "nothing is erased in them")
}

// requireNothingAsked requires that a terminal was sent nothing but what draws, moves and
// erases, and the modes: nothing of it asks for an answer (ECMA-48 for the final letters).
func requireNothingAsked(t *testing.T, raw string) {
	t.Helper()
	require.NotContains(t, raw, "\x05", "ENQ asks who it is")
	for _, s := range sequence.FindAllString(raw, -1) {
		require.Regexp(t, "^\x1b\\[(\\?[0-9]+[hl]|[0-9;]*[mBCHJKX])$", s)
	}
}

// settled are the settings of the terminal's line: echo, lines, signals.
func settled(t *testing.T, tty *os.File) term.State {
	t.Helper()
	settings, err := term.GetState(tty.Fd())
	require.NoError(t, err)
	return *settings
}

// TestScreensGiveTheTerminalBack ends the screens in every way that can be caught, with a
// trial under way: the terminal is as before, and the trial goes on afterwards.
func TestScreensGiveTheTerminalBack(t *testing.T) {
	by := func(sig syscall.Signal) func(*testing.T, *tablet) {
		return func(t *testing.T, tab *tablet) { require.NoError(t, tab.cmd.Process.Signal(sig)) }
	}
	for name, end := range map[string]func(*testing.T, *tablet){
		"q":        func(_ *testing.T, tab *tablet) { tab.send("q") },
		"ctrl-c":   func(_ *testing.T, tab *tablet) { tab.send("\x03") },
		"hang-up":  by(syscall.SIGHUP),
		"ended":    by(syscall.SIGTERM),
		"break":    by(syscall.SIGINT),
		"quit":     by(syscall.SIGQUIT),
		"too soon": nil, // before the first screen is complete
	} {
		t.Run(name, func(t *testing.T) {
			if name == "hang-up" && signal.Ignored(syscall.SIGHUP) {
				t.Skip("whoever began these tests ignores it, and so does what they begin")
			}
			t.Parallel()
			library := t.TempDir()
			tab := newTablet(t, library)
			if end == nil {
				for tab.sent() == 0 {
					time.Sleep(time.Millisecond)
				}
				require.NoError(t, tab.cmd.Process.Signal(syscall.SIGTERM))
			} else {
				tab.shows("What now?")
				tab.send("2")
				tab.shows("Is this the job?")
				tab.send("1")
				tab.shows("Read these aloud")
				tab.changed("")
				end(t, tab)
			}
			<-tab.ended
			_ = tab.cmd.Wait()
			if end == nil {
				require.Contains(t, tab.raw.String(), "\x1b[?1049l")
				return
			}
			requireGivenBack(t, tab.raw.String())
			requireNothingAsked(t, tab.raw.String())
			newTablet(t, library, "resume").shows("Read these aloud")
		})
	}
}

// Whoever leaves a trial, or is cut off from it, reads on the terminal what is still live:
// the screen is gone by then.
func TestScreensSayWhatIsLive(t *testing.T) {
	for name, end := range map[string]func(*tablet){
		"q":     func(tab *tablet) { tab.send("q") },
		"ended": func(tab *tablet) { require.NoError(t, tab.cmd.Process.Signal(syscall.SIGTERM)) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tab := newTablet(t, t.TempDir())
			tab.shows("What now?")
			tab.send("2")
			tab.onwardTo("Guards, hands")
			end(tab)
			<-tab.ended
			_ = tab.cmd.Wait()
			raw := tab.raw.String()
			said := raw[strings.LastIndex(raw, "\x1b[?1049l"):]
			require.Contains(t, said, "! The drive may still have supply: stop, isolate.")
			require.Contains(t, said, "! Stub and plug may be fitted already: no air.")
		})
	}
}

// A library that cannot be opened is told before anything is done to the terminal.
func TestTerminalUntouchedByABadStart(t *testing.T) {
	t.Parallel()
	bad := filepath.Join(t.TempDir(), "library")
	require.NoError(t, os.WriteFile(bad, []byte("no folder"), 0o666))
	tab := newTablet(t, bad)
	<-tab.ended
	require.Error(t, tab.cmd.Wait())
	require.NotContains(t, tab.raw.String(), "\x1b")
	require.Contains(t, tab.raw.String(), "brinkmark:")
}

// A shell stops the program, by its key and from outside: the terminal is given back
// meanwhile, and afterwards the same page is there, and can be touched.
func TestScreensStoppedByAShell(t *testing.T) {
	for name, stop := range map[string]func(*tablet, int){
		"ctrl-z":  func(tab *tablet, _ int) { tab.send("\x1a") },
		"SIGTSTP": func(_ *tablet, front int) { _ = syscall.Kill(-front, syscall.SIGTSTP) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			library := t.TempDir()
			tab := newTabletIn(t, append(environment(library), "ENV=", "PS1=$ ", "PROGRAM="+program(t)), "/bin/sh", "-i")
			tab.send("\"$PROGRAM\"\n")
			tab.shows("What now?")
			tab.send("2")
			tab.shows("Is this the job?")
			before := tab.changed("")
			from := tab.sent()
			front, err := unix.IoctlGetInt(int(tab.pty.Fd()), unix.TIOCGPGRP)
			require.NoError(t, err)
			stop(tab, front)
			tab.shows("Stopped") // says the shell
			requireGivenBack(t, tab.logged())
			require.NotZero(t, settled(t, tab.pty).Lflag&unix.ECHO)

			tab.send("fg\n")
			require.Equal(t, before, tab.changed(""))
			require.Contains(t, tab.logged()[from:], "\x1b[?1002h", "it can be touched again")
			require.Zero(t, settled(t, tab.pty).Lflag&unix.ECHO)
			tab.touch("1")
			tab.shows("CAUTIONS")
			tab.changed("")
			tab.send("q")
			tab.shows("$ ")
			tab.send("echo left: $?\n")
			tab.shows("left: 0")
			requireGivenBack(t, tab.logged())
			requireNothingAsked(t, tab.logged())
		})
	}
}

// Without a shell that would let it go on, ctrl-z does nothing.
func TestScreensStopForNobody(t *testing.T) {
	t.Parallel()
	tab := newTablet(t, t.TempDir())
	tab.shows("What now?")
	tab.send("\x1a2")
	tab.shows("Is this the job?")
}

// Every kind of terminal is led through the same, is asked nothing, and is given back; a dumb
// one gets lines.
func TestEveryTerminal(t *testing.T) {
	for _, kind := range []string{"xterm-256color", "xterm", "linux", "vt100", "screen", "tmux-256color", "dumb", ""} {
		for _, more := range []string{"NO_COLOR=", "NO_COLOR=1", "COLORTERM=truecolor"} {
			if more != "NO_COLOR=" && !strings.HasPrefix(kind, "xterm") {
				continue
			}
			t.Run(kind+" "+more, func(t *testing.T) {
				t.Parallel()
				tab := newTabletIn(t, append(environment(t.TempDir()), "TERM="+kind, more), program(t))
				if kind == "dumb" {
					tab.shows("Leave")
					tab.send("4\n")
					<-tab.ended
					require.NotContains(t, tab.raw.String(), "\x1b")
					return
				}
				tab.shows("What now?")
				for _, step := range [][2]string{{"2", "Is this the job?"}, {"1", "Read aloud"}, {"?", "Back to the trial"}, {"b", "Read aloud"}, {"o", "Characters"}, {"m", "1. "}, {"b", "Read aloud"}, {"u", ""}} {
					tab.send(step[0])
					tab.shows(step[1])
				}
				from := tab.sent()
				tab.resize(60, 20)
				for tab.sent() == from {
					time.Sleep(time.Millisecond)
				}
				tab.send("q")
				<-tab.ended
				raw := tab.raw.String()
				requireGivenBack(t, raw)
				requireNothingAsked(t, raw)
				if kind == "vt100" || kind == "screen" {
					require.NotRegexp(t, "\x1b\\[[0-9]*X", raw, "it has no such sequence")
				}
				if strings.HasPrefix(more, "NO_COLOR=1") || kind == "vt100" {
					require.NotRegexp(t, "\x1b\\[([0-9]+;)*[34][0-9][0-9;]*m", raw, "no colours")
				}
			})
		}
	}
}
