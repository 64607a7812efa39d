//go:build !windows

package whole

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

func undisturbed(*lineTrial, int, bool) bool { return false }

// TestResumedTwice resumes a trial that is open in another window: the second is told who
// has it, and the first goes on to its end.
func TestResumedTwice(t *testing.T) {
	eachWork(t, func(t *testing.T, w work, binary, library string) {
		told := 0
		w.lead(t, library, plainly(binary), func(_ *lineTrial, answers int, wrote bool) bool {
			if wrote && answers > 2 && answers%7 == 0 {
				second := startLine(t, library, append([]string{binary}, w.resume...))
				said, asked := second.next()
				second.close(t)
				require.False(t, asked, said)
				require.Contains(t, second.errs.String(), "open in another window (process ")
				require.Contains(t, second.errs.String(), "close it there, or wait")
				require.Equal(t, 1, second.cmd.ProcessState.ExitCode())
				told++
			}
			return false
		})
		require.Positive(t, told)
	})
}

// TestManyAtOnce leads trials on one library at the same time, with exchanges to two sticks
// and the supervisor's list between their answers: each trial ends as if it were alone, and
// at last every side has all.
func TestManyAtOnce(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	binary := program(t)
	base := t.TempDir()
	library := filepath.Join(base, "library")
	sticks := []string{filepath.Join(base, "stick"), filepath.Join(base, "share")}
	run := func(args ...string) {
		cmd := exec.Command(binary, args...)
		cmd.Env = environment(library)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	const trials = 3
	w := wholeTrial
	w.found = map[string]int{}
	var all sync.WaitGroup
	for i := range trials {
		require.NoError(t, os.MkdirAll(sticks[i%2], 0o777))
		all.Add(1)
		go func() {
			defer all.Done()
			w.lead(t, library, plainly(binary), func(_ *lineTrial, answers int, _ bool) bool {
				switch answers % 12 {
				case 4:
					run("exchange", sticks[i%2])
				case 9:
					run("review", "--json")
				}
				return false
			})
		}()
	}
	all.Wait()
	require.Len(t, globbed(t, filepath.Join(library, "trials", "*.toml")), trials)
	profiles := globbed(t, filepath.Join(library, "profiles", "*", "*.toml"))
	require.Len(t, profiles, trials)

	// two exchanges crossing: both at once, over and over
	for range 3 {
		for _, stick := range sticks {
			all.Add(1)
			go func() { defer all.Done(); run("exchange", stick) }()
		}
		all.Wait()
	}
	for _, stick := range sticks {
		require.Len(t, globbed(t, filepath.Join(stick, "profiles", "*", "*.toml")), trials, stick)
		require.Empty(t, globbed(t, filepath.Join(stick, "*", "differing", "*")), stick)
	}
	for path, text := range recordsIn(t, library) {
		if strings.Contains(path, "/profiles/") {
			inside, err := filepath.Rel(library, path)
			require.NoError(t, err)
			data, err := os.ReadFile(filepath.Join(sticks[0], inside))
			require.NoError(t, err)
			require.Equal(t, text, string(data), inside)
		}
	}
}
