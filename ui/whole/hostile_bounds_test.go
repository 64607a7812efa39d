//go:build !windows

package whole

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// run runs the real program in the surroundings. Whatever it reads, it ends by itself and
// soon, with a code of its own and little memory, and says nothing but plain lines.
func (s surroundings) run(t *testing.T, input string, args ...string) (said string, code int) {
	t.Helper()
	return s.runIn(t, []string{"HOME=" + s.root, "TMPDIR=" + s.outside}, input, args...)
}

// Far more than anything should take, on a machine that does much else.
const (
	mostTime   = 10 * time.Second
	mostMemory = 150 << 20
)

var notPlain = regexp.MustCompile(`[^\P{C}\n]`) // but for line ends

func (s surroundings) runIn(t *testing.T, env []string, input string, args ...string) (said string, code int) {
	t.Helper()
	cmd := exec.Command(program(t), args...)
	cmd.Env = append(environment(s.library), env...)
	cmd.Dir = s.stick
	cmd.Stdin = strings.NewReader(input)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	began := time.Now()
	require.NoError(t, cmd.Start(), "%q", args)
	memory := memoryOf(cmd.Process)
	ender := time.AfterFunc(3*mostTime, func() { _ = cmd.Process.Kill() })
	_ = cmd.Wait()
	ender.Stop()
	took, most := time.Since(began), memory()
	if len(args) > 0 && args[0] == "__complete" { // no shell shows what it says beside, nor the tab before what it says of a word
		out, errs = *bytes.NewBufferString(strings.ReplaceAll(out.String(), "\t", " ")), bytes.Buffer{}
	}
	said, code = out.String()+errs.String(), cmd.ProcessState.ExitCode()
	used.note(took, most, args)
	require.Less(t, took, mostTime, "%q", args)
	require.Less(t, most, int64(mostMemory), "%q", args)
	require.Contains(t, []int{0, 1, 2, 10, 11}, code, "%q:\n%s", args, said)
	require.NotRegexp(t, `(?m)^(panic:|goroutine \d|fatal error:|runtime: )`, said, "%q", args)
	require.Empty(t, notPlain.FindAllString(said, 5), "%q:\n%q", args, said)
	require.NotContains(t, "\n"+said, "\n"+forged, "%q", args)
	if strings.Contains(strings.Join(args, " "), "--json") && code != 1 && code != 2 {
		require.True(t, json.Valid(out.Bytes()), "%q:\n%s", args, out.String())
	}
	return said, code
}

// memoryOf follows the most memory that a process has had, until that is asked for: what the
// system tells of an ended one includes the process that began it. Where no /proc says it,
// it is not known, and nothing.
func memoryOf(p *os.Process) (most func() int64) {
	over, last := make(chan struct{}), make(chan int64)
	go func() {
		status, bytes := filepath.Join("/proc", strconv.Itoa(p.Pid), "status"), int64(0)
		for now := time.NewTicker(time.Millisecond); ; {
			if said, err := os.ReadFile(status); err == nil {
				if m := highWater.FindSubmatch(said); m != nil {
					kilobytes, _ := strconv.ParseInt(string(m[1]), 10, 64)
					bytes = kilobytes << 10
				}
			}
			select {
			case <-now.C:
			case <-over:
				now.Stop()
				last <- bytes
				return
			}
		}
	}()
	return func() int64 { close(over); return <-last }
}

var highWater = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// used is what the longest and the largest run took.
var used worst

type worst struct {
	mu             sync.Mutex
	runs           int
	time           time.Duration
	memory         int64
	longest, large string
}

func (w *worst) note(took time.Duration, memory int64, args []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.runs++
	if took > w.time {
		w.time, w.longest = took, fmt.Sprintf("%.60q", args)
	}
	if memory > w.memory {
		w.memory, w.large = memory, fmt.Sprintf("%.60q", args)
	}
}
