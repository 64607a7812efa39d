package main

import (
	"bufio"
	"io"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// lineTrial is the real program in plain mode, answered as the crew would.
type lineTrial struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out *bufio.Reader
}

func startLine(t *testing.T, binary, library string, args ...string) *lineTrial {
	cmd := exec.Command(binary, args...)
	cmd.Env = environment(library)
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return &lineTrial{cmd: cmd, in: in, out: bufio.NewReader(out)}
}

// next returns what is said up to the next prompt, or up to the end.
func (l *lineTrial) next() (said string, asked bool) {
	var b strings.Builder
	for {
		r, _, err := l.out.ReadRune()
		if err != nil {
			return b.String(), false
		}
		b.WriteRune(r)
		if strings.HasSuffix(b.String(), "\n> ") {
			return b.String(), true
		}
	}
}

var dialled = regexp.MustCompile(`\[climb\] Push \d+: dial \d+ psi, (\d+) ft/min`)

// answer is what the crew says to a question; the cable folds from 100 ft/min on.
func (l *lineTrial) answer(question string, speed *string) string {
	if m := dialled.FindStringSubmatch(question); m != nil {
		*speed = m[1]
	}
	if strings.Contains(question, "What happened?") && len(*speed) > 2 {
		return "3"
	}
	return "1"
}

// TestKilledAfterEveryWrite kills the program right after each thing it says was
// written, and goes on with "resume": nothing acknowledged is lost, and the trial
// ends in a saved profile all the same.
func TestKilledAfterEveryWrite(t *testing.T) {
	t.Parallel()
	binary, library := program(t), t.TempDir()
	l := startLine(t, binary, library, "trial", "testdata/jobs/example.toml", "--plain")
	kills, speed, before := 0, "", ""
	for range 200 {
		said, asked := l.next()
		if before != "" {
			require.True(t, strings.HasPrefix(journalIn(t, library), before), "an acknowledged entry is lost")
			before = ""
		}
		if strings.Contains(said, "written") {
			before = journalIn(t, library)
			require.NoError(t, l.cmd.Process.Kill())
			_ = l.cmd.Wait()
			kills++
			if strings.Contains(said, "This trial is closed") {
				break
			}
			l = startLine(t, binary, library, "resume", "--plain")
			continue
		}
		require.True(t, asked, "it ended by itself:\n%s", said)
		_, err := io.WriteString(l.in, l.answer(said, &speed)+"\n")
		require.NoError(t, err)
	}
	require.Greater(t, kills, 25)
	require.Len(t, globbed(t, filepath.Join(library, "profiles", "*", "*.toml")), 1)
	require.Contains(t, journalIn(t, library), `item = "closed"`)
}
