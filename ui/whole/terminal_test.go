package whole

import (
	"io"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
)

// terminal stands before the program and answers no query, for which bubbletea
// would wait five seconds. It reads only while a test waits for something, because
// a pty that is being read cannot be closed.
type terminal struct {
	t       *testing.T
	cmd     *exec.Cmd
	keys    io.WriteCloser
	screen  io.Reader
	printed strings.Builder
	read    int // how much of it was waited for
}

// patience is how long a test waits for what comes in milliseconds.
const patience = 20 * time.Second

func onTerminal(t *testing.T, cmd *exec.Cmd) *terminal {
	file, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	require.NoError(t, err)
	return newTerminal(t, cmd, file, file)
}

func onPipes(t *testing.T, cmd *exec.Cmd) (*terminal, io.Closer) {
	keys, err := cmd.StdinPipe()
	require.NoError(t, err)
	screen, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return newTerminal(t, cmd, keys, screen), screen
}

func newTerminal(t *testing.T, cmd *exec.Cmd, keys io.WriteCloser, screen io.Reader) *terminal {
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = keys.Close()
	})
	return &terminal{t: t, cmd: cmd, keys: keys, screen: screen}
}

// within runs what may block and fails the test when it does.
func (term *terminal) within(what string, run func()) {
	term.t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		run()
	}()
	select {
	case <-done:
	case <-time.After(patience):
		term.t.Fatalf("not within %v: %s; printed:\n%s", patience, what, term.printed.String())
	}
}

// more reads what the program prints next.
func (term *terminal) more(what string) error {
	term.t.Helper()
	var err error
	term.within(what, func() {
		var n int
		b := make([]byte, 4096)
		n, err = term.screen.Read(b)
		term.printed.Write(b[:n])
	})
	return err
}

// until waits for a text in what is printed after the text waited for before.
func (term *terminal) until(text string) {
	term.t.Helper()
	for {
		if i := strings.Index(term.printed.String()[term.read:], text); i >= 0 {
			term.read += i + len(text)
			return
		}
		if err := term.more(text); err != nil {
			term.t.Fatalf("%v before %q; printed:\n%s", err, text, term.printed.String())
		}
	}
}

// onwardTo answers 1 until a question is asked.
func (term *terminal) onwardTo(question string) {
	term.t.Helper()
	for from := term.read; ; from = term.read {
		term.until("\n> ")
		if strings.Contains(term.printed.String()[from:term.read], question) {
			return
		}
		term.press("1")
	}
}

func (term *terminal) press(line string) {
	term.t.Helper()
	_, err := io.WriteString(term.keys, line+"\n")
	require.NoError(term.t, err)
}

// ended waits for the end of the program. Its status says nothing: it was ended
// from outside.
func (term *terminal) ended() {
	term.t.Helper()
	term.within("the end of the program", func() { _ = term.cmd.Wait() })
}

// Source for the two queries: ECMA-48 (device status report, CSI 6n) and, for the
// background colour, the control sequences of xterm (OSC 11).
var queries = []string{"\x1b]11;?", "\x1b[6n"}

func TestMuteTerminal(t *testing.T) {
	binary := program(t)
	for _, args := range [][]string{{"version"}, {"advise", "--help"}, {"doctor"}, {"trial", "testdata/jobs/example.toml", "--plain"}} {
		t.Run(args[0], func(t *testing.T) {
			cmd := exec.Command(binary, args...)
			cmd.Env = environment(t.TempDir())
			started := time.Now()
			term := onTerminal(t, cmd)
			term.until("\n")
			require.Less(t, time.Since(started), 4*time.Second, "whoever asks a mute terminal waits 5 s (termenv)")
			if args[0] == "trial" {
				term.until("> ")
				term.press("q")
				term.until("Left.")
			}
			for term.more("the end of what is printed") == nil {
			}
			term.ended()
			for _, query := range queries {
				require.NotContains(t, term.printed.String(), query)
			}
		})
	}
}

// TestEndedFromOutside ends the program in the middle of a trial and requires that
// every answer it had acknowledged is there when the trial is resumed.
func TestEndedFromOutside(t *testing.T) {
	binary := program(t)
	sent := func(s os.Signal) func(*terminal, io.Closer) {
		return func(term *terminal, _ io.Closer) { require.NoError(term.t, term.cmd.Process.Signal(s)) }
	}
	ends := []struct {
		name  string
		pipes bool
		end   func(*terminal, io.Closer)
		next  string // the question the resumed trial begins with
	}{
		{"hang-up", false, sent(syscall.SIGHUP), "Stop control, pressed just now?"},
		{"terminated", false, sent(syscall.SIGTERM), "Stop control, pressed just now?"},
		{"interrupt", false, sent(syscall.SIGINT), "Stop control, pressed just now?"},
		{"killed", false, sent(syscall.SIGKILL), "Stop control, pressed just now?"},
		{"terminal gone", false, func(term *terminal, _ io.Closer) { require.NoError(term.t, term.keys.Close()) }, "Stop control, pressed just now?"},
		{"input closed", true, func(term *terminal, _ io.Closer) { require.NoError(term.t, term.keys.Close()) }, "Stop control, pressed just now?"},
		{"output closed", true, func(term *terminal, screen io.Closer) {
			require.NoError(term.t, screen.Close())
			term.press("1") // on disk before the program finds that nobody listens
		}, "Before a hand goes near the belts?"},
	}
	for _, row := range ends {
		t.Run(row.name, func(t *testing.T) {
			if row.name == "hang-up" && signal.Ignored(syscall.SIGHUP) {
				t.Skip("whoever began these tests ignores it, and so does what they begin")
			}
			library := t.TempDir()
			cmd := exec.Command(binary, "trial", "testdata/jobs/example.toml", "--plain")
			cmd.Env = environment(library)
			var term *terminal
			var screen io.Closer
			if row.pipes {
				term, screen = onPipes(t, cmd)
			} else {
				term = onTerminal(t, cmd)
			}
			term.onwardTo("[checks] Stop")
			row.end(term, screen)
			term.ended()

			resume := exec.Command(binary, "resume", "--plain")
			resume.Env = environment(library)
			resume.Stdin = strings.NewReader("q\n")
			out, err := resume.CombinedOutput()
			require.NoError(t, err, string(out))
			require.Contains(t, string(out), "] "+row.next)
		})
	}
}
