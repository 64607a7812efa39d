//go:build linux

package ui

import (
	"errors"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/creack/pty"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"brinkmark/ui/ask"
)

// faultyOut is a terminal that takes nothing more from some moment on.
type faultyOut struct {
	*os.File
	broken func() bool
}

func (f faultyOut) Write(b []byte) (int, error) {
	if f.broken() {
		return 0, errors.New("the line is dead")
	}
	return f.File.Write(b)
}

// faultyPage is a page of a program that fails in one place from the first answer on.
type faultyPage struct {
	place  string
	broken atomic.Bool
}

// hit reports whether this is the place, and it fails now.
func (f *faultyPage) hit(place string) bool { return f.broken.Load() && place == f.place }

// page asks for that answer.
func (f *faultyPage) page() ask.Question {
	begin := func(flow ask.Flow) (ask.Flow, ask.Effect) {
		f.broken.Store(true)
		if f.hit("update") {
			panic("the update")
		}
		return flow, ask.Turn{To: func(k ask.Keeper) (ask.Keeper, *ask.Home, error) {
			if f.hit("command") {
				panic("the command")
			}
			return k, nil, nil
		}}
	}
	return ask.Question{ID: "page", Title: "Ready", Choices: []ask.Choice{{Label: "Begin", Do: begin}}, Picture: func(int, int) []string {
		if f.hit("view") {
			panic("the view")
		}
		return []string{"a picture"}
	}}
}

// What is wrong in the program itself, and a terminal that takes nothing more, end the
// screens with the terminal as it was before: its line settled as a shell wants it, and as far
// as it takes anything its modes off and its cursor to be seen.
func TestTerminalGivenBackAfterFaults(t *testing.T) {
	for _, row := range []struct {
		name, fault string
	}{
		{"a fault where a key is taken", "update"},
		{"a fault where the screen is drawn", "view"},
		{"a fault beside the screen", "command"},
		{"an output that fails", "output"},
	} {
		t.Run(row.name, func(t *testing.T) {
			f := &faultyPage{place: row.fault}
			master, tty, err := pty.Open()
			require.NoError(t, err)
			require.NoError(t, pty.Setsize(tty, &pty.Winsize{Rows: 24, Cols: 80}))
			before, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
			require.NoError(t, err)
			var out io.Writer = tty
			if row.fault == "output" {
				out = faultyOut{tty, func() bool { return f.hit("output") }}
			}
			ended := make(chan error, 1)
			go func() { ended <- Run(Screens{Now: time.Now, First: &ask.Home{Page: f.page}}, tty, out) }()
			log := &logged{}
			log.read(master)
			log.wait(t, "MAKE SAFE")
			_, err = io.WriteString(master, "1")
			require.NoError(t, err)
			if row.fault == "output" {
				require.NoError(t, leave(t, master, ended))
			} else {
				require.ErrorContains(t, <-ended, "brinkmark itself has failed: the "+row.fault)
				log.wait(t, "\x1b[?1049l")
				for _, off := range []string{"\x1b[?1002l", "\x1b[?1006l", "\x1b[?2004l", "\x1b[?25h"} {
					require.Contains(t, log.text(), off)
				}
				require.Greater(t, strings.LastIndex(log.text(), "\x1b[m\x1b[24H\x1b[2K"), 0, "no colours are left")
				require.Greater(t, strings.LastIndex(log.text(), "\x1b[?25h"), strings.LastIndex(log.text(), "\x1b[?25l"))
			}
			after, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
			require.NoError(t, err)
			require.Equal(t, before, after)
			_ = tty.Close()
			_ = master.Close()
		})
	}
}

// At the end of a serial line of 19 200 bits a second or less the screens begin in plain
// ASCII without colours, which takes half the bytes.
func TestSlowLine(t *testing.T) {
	for _, row := range []struct {
		speed uint32
		plain bool
	}{{unix.B9600, true}, {unix.B19200, true}, {unix.B38400, false}, {unix.B115200, false}} {
		master, tty, err := pty.Open()
		require.NoError(t, err)
		require.NoError(t, pty.Setsize(tty, &pty.Winsize{Rows: 24, Cols: 80}))
		settings, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
		require.NoError(t, err)
		settings.Cflag = settings.Cflag&^unix.CBAUD | row.speed
		require.NoError(t, unix.IoctlSetTermios(int(tty.Fd()), unix.TCSETS, settings))
		ended := make(chan error, 1)
		page := func() ask.Question {
			return ask.Question{ID: "page", Title: "Ready", Choices: []ask.Choice{{Label: "Begin", Do: func(f ask.Flow) (ask.Flow, ask.Effect) { return f, ask.None{} }}}}
		}
		colours := lipgloss.NewRenderer(tty)
		colours.SetColorProfile(termenv.ANSI256)
		go func() {
			ended <- Run(Screens{Now: time.Now, First: &ask.Home{Page: page}, Renderer: colours}, tty, tty)
		}()
		log := &logged{}
		log.read(master)
		log.wait(t, "Begin")
		require.NoError(t, leave(t, master, ended))
		require.Equal(t, row.plain, !strings.Contains(log.text(), "┌"), "%d", row.speed)
		require.Equal(t, row.plain, !strings.Contains(log.text(), "[38;5;"), "%d", row.speed)
		_ = tty.Close()
		_ = master.Close()
	}
}

// leave presses q until the screens have ended: while an answer is carried out it is not heard.
func leave(t *testing.T, master io.Writer, ended <-chan error) error {
	t.Helper()
	for late := time.After(20 * time.Second); ; {
		_, err := io.WriteString(master, "q")
		require.NoError(t, err)
		select {
		case err := <-ended:
			return err
		case <-time.After(500 * time.Millisecond): // past the guard against a glove that hits twice
		case <-late:
			t.Fatal("it does not end")
		}
	}
}

// logged is what a terminal was sent.
type logged struct {
	mu   sync.Mutex
	sent strings.Builder
	more chan struct{}
}

func (l *logged) read(from io.Reader) {
	l.more = make(chan struct{}, 1)
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := from.Read(buf)
			l.mu.Lock()
			l.sent.Write(buf[:n])
			l.mu.Unlock()
			select {
			case l.more <- struct{}{}:
			default:
			}
			if err != nil {
				return
			}
		}
	}()
}

func (l *logged) text() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.sent.String()
}

// wait waits for a text to be sent.
func (l *logged) wait(t *testing.T, text string) {
	t.Helper()
	for late := time.After(20 * time.Second); !strings.Contains(l.text(), text); {
		select {
		case <-l.more:
		case <-late:
			t.Fatalf("never sent %q: %q", text, l.text())
		}
	}
}
