//go:build !windows

package whole

import (
	"bufio"
	"bytes"
	"cmp"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
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

// eachWork tests each work, in a library as the work finds it.
func eachWork(t *testing.T, test func(t *testing.T, w work, binary, library string)) {
	t.Parallel()
	binary := program(t)
	for _, w := range works {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			library := filepath.Join(t.TempDir(), "library")
			if w.prepare != nil {
				w.prepare(t, binary, library)
			}
			test(t, w, binary, library)
		})
	}
}

// lineTrial is the real program in plain mode, answered as the crew would.
type lineTrial struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	pipe io.ReadCloser
	out  *bufio.Reader
	errs bytes.Buffer
}

// starting is the command line of a life of the program, counted from 1.
type starting func(life int, args []string) []string

func plainly(binary string) starting {
	return func(_ int, args []string) []string { return append([]string{binary}, args...) }
}

// meant is a command line with the library and its profile where they are named.
func meant(t *testing.T, library string, line []string) []string {
	profile := "none"
	for _, path := range globbed(t, filepath.Join(library, "profiles", "*", "*.toml")) {
		profile = strings.TrimSuffix(filepath.Base(path), ".toml")
	}
	names := strings.NewReplacer("{library}", library, "{profile}", profile)
	var full []string
	for _, word := range line {
		full = append(full, names.Replace(word))
	}
	return full
}

func startLine(t *testing.T, library string, line []string) *lineTrial {
	line = meant(t, library, line)
	cmd := exec.Command(line[0], line[1:]...)
	cmd.Env = environment(library)
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	l := &lineTrial{cmd: cmd, in: in, pipe: out, out: bufio.NewReader(out)}
	cmd.Stderr = &l.errs
	require.NoError(t, cmd.Start())
	return l
}

// close ends the program's input and waits for its end.
func (l *lineTrial) close(t *testing.T) {
	_ = l.in.Close()
	_ = l.cmd.Wait()
	requireNoPanic(t, l.errs.String())
}

// wakingUp is what Go says when it cannot wake its own threads: a write that fails by a
// test's doing, and by no disk's.
const wakingUp = "netpollBreak write failed"

func requireNoPanic(t *testing.T, errs string) {
	t.Helper()
	if !strings.Contains(errs, wakingUp) {
		require.NotContains(t, errs, "goroutine ", "a panic")
	}
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

// lead leads a work to its end. Before each answer cut may begin to end the program, and
// says whether it did; the answer is given nevertheless. It is told how many answers this
// life had, and whether something was written since the last. All that was on disk when a
// question was asked must be on disk ever after.
func (w work) lead(t *testing.T, library string, start starting, cut func(l *lineTrial, answers int, wrote bool) bool) (lives int, remarks []string) {
	t.Helper()
	var c crew
	args := w.begin
	kept := map[string]string{}
	for lives = 1; lives < 1000; lives++ {
		l := startLine(t, library, start(lives, args))
		ending := false
		for answers := 0; ; answers++ {
			said, asked := l.next()
			requireKept(t, kept, library)
			if strings.Contains(said, w.over) || strings.Contains(said, w.nothing) {
				l.close(t)
				for pattern, n := range w.found {
					require.Len(t, globbed(t, filepath.Join(library, pattern)), n, pattern)
				}
				return lives, remarks
			}
			if !asked {
				l.close(t)
				status := l.cmd.ProcessState.Sys().(syscall.WaitStatus)
				stopped := w.stops && (status.ExitStatus() == 1 && (twoLines.MatchString(l.errs.String()) || w.mute != nil && w.mute()) || strings.Contains(l.errs.String(), wakingUp))
				require.True(t, ending || stopped || status.Signaled(), "it ended by itself with %v:\n%s%s", l.cmd.ProcessState, said, l.errs.String())
				break
			}
			if answers == 0 && lives > 1 && !strings.HasPrefix(said, "Type what stands") {
				remarks = append(remarks, firstLine(said))
			}
			require.Less(t, answers, 300, "it does not get on:\n%s", said)
			now := recordsIn(t, library)
			if takenAway(library) {
				now = kept
			}
			wrote := !maps.Equal(now, kept)
			kept = now
			ending = ending || cut(l, answers, wrote)
			if _, err := io.WriteString(l.in, w.answer(&c, said)+"\n"); err != nil {
				require.True(t, ending, "%v", err)
				break
			}
		}
		l.close(t)
		requireKept(t, kept, library)
		args = w.resume
		if len(globbed(t, filepath.Join(library, w.journal))) < w.found[w.journal] {
			args = w.begin // cut before its first byte
		}
	}
	t.Fatal("it never ends")
	return lives, remarks
}

// twoLines is an error as the program tells it: what is wrong, and what to do.
var twoLines = regexp.MustCompile(`(?m)^brinkmark: (.+\n)+  .+`)

func firstLine(s string) string { line, _, _ := strings.Cut(s, "\n"); return line }

// recordsIn are the records of a library, by path.
func recordsIn(t *testing.T, library string) map[string]string {
	t.Helper()
	found := map[string]string{}
	for _, pattern := range []string{"*/*.toml", "*/*/*.toml"} {
		for _, path := range globbed(t, filepath.Join(library, pattern)) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			found[path] = string(data)
		}
	}
	return found
}

// requireKept requires that records have at most grown. The head of a journal that has no
// entry yet may change.
func requireKept(t *testing.T, before map[string]string, library string) {
	t.Helper()
	if takenAway(library) {
		return
	}
	now := recordsIn(t, library)
	for path, text := range before {
		if !strings.Contains(text, "\n[[") && strings.Contains(now[path], "\nformat = ") {
			continue
		}
		require.True(t, strings.HasPrefix(now[path], text), "what was acknowledged is lost from %s", path)
	}
}

// takenAway reports whether a test has moved the library aside for a moment.
func takenAway(library string) bool {
	_, err := os.Stat(library + ".away")
	return err == nil
}

// ways are how a program ends that nobody ended on purpose.
var ways = []struct {
	name string
	end  func(*lineTrial)
}{
	{"power cut", func(l *lineTrial) { _ = l.cmd.Process.Kill() }},
	{"SIGTERM", func(l *lineTrial) { _ = l.cmd.Process.Signal(syscall.SIGTERM) }},
	{"SIGHUP", func(l *lineTrial) { _ = l.cmd.Process.Signal(syscall.SIGHUP) }},
	{"closed pipes", func(l *lineTrial) { _, _ = l.in.Close(), l.pipe.Close() }},
}

// TestEndedAtRandom ends the program at random moments, in every way, over and over until
// each work is done. BRINKMARK_KILLS is how often at least, for each work and way.
func TestEndedAtRandom(t *testing.T) {
	t.Parallel()
	binary := program(t)
	least, _ := strconv.Atoi(cmp.Or(os.Getenv("BRINKMARK_KILLS"), "2"))
	for i, w := range works {
		for j, way := range ways {
			t.Run(w.name+" "+way.name, func(t *testing.T) {
				t.Parallel()
				if way.name == "SIGHUP" && signal.Ignored(syscall.SIGHUP) {
					t.Skip("whoever began these tests ignores it, and so does what they begin")
				}
				random := rand.New(rand.NewPCG(uint64(i), uint64(j)))
				kills, whole := 0, 0
				remarks := map[string]int{}
				for ; kills < least; whole++ {
					library := filepath.Join(t.TempDir(), "library")
					if w.prepare != nil {
						w.prepare(t, binary, library)
					}
					at := random.IntN(8)
					lives, said := w.lead(t, library, plainly(binary), func(l *lineTrial, answers int, _ bool) bool {
						if answers < at {
							return false
						}
						at = answers + 1 + random.IntN(8)
						time.AfterFunc(time.Duration(random.IntN(4000))*time.Microsecond, func() { way.end(l) })
						return true
					})
					kills += lives - 1
					for _, s := range said {
						remarks[s]++
					}
				}
				t.Logf("%d endings in %d works", kills, whole)
				for _, s := range slices.Sorted(maps.Keys(remarks)) {
					t.Logf("%d × %s", remarks[s], s)
				}
			})
		}
	}
}

// TestKilledAfterEveryWrite kills the program right after each thing it wrote before it
// asked on, and goes on: nothing acknowledged is lost, and the work ends all the same.
func TestKilledAfterEveryWrite(t *testing.T) {
	eachWork(t, func(t *testing.T, w work, binary, library string) {
		lives, _ := w.lead(t, library, plainly(binary), func(l *lineTrial, answers int, wrote bool) bool {
			if answers == 0 || !wrote {
				return false
			}
			_ = l.cmd.Process.Kill()
			return true
		})
		require.Greater(t, lives, 10)
	})
}

// changing are the system calls by which a record changes on disk. Each is stopped before
// it is carried out.
const changing = "openat,write,pwrite64,fsync,fdatasync,ftruncate,rename,renameat,renameat2,link,linkat,unlink,unlinkat,mkdir,mkdirat"

// TestKilledAtEverySystemCall kills the program at the nth of the system calls that change
// a file, for n from 1 to where it ends before. BRINKMARK_KILLS says that there is time for it.
func TestKilledAtEverySystemCall(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil || os.Getenv("BRINKMARK_KILLS") == "" {
		t.Skip("needs strace, and time: set BRINKMARK_KILLS")
	}
	t.Parallel()
	binary := program(t)
	for _, w := range works {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			prepared := t.TempDir()
			if w.prepare != nil {
				w.prepare(t, binary, prepared)
			}
			kills := 0
			for n := 1; ; n++ {
				library := filepath.Join(t.TempDir(), "library")
				require.NoError(t, os.CopyFS(library, os.DirFS(prepared)))
				lives, _ := w.lead(t, library, func(life int, args []string) []string {
					line := append([]string{binary}, args...)
					if life == 1 {
						line = append([]string{strace, "-f", "-qq", "-o", os.DevNull, "-e", "trace=" + changing, "-e", "inject=" + changing + ":signal=SIGKILL:when=" + strconv.Itoa(n)}, line...)
					}
					return line
				}, undisturbed)
				if lives == 1 {
					break
				}
				kills++
			}
			t.Logf("killed at each of %d calls", kills)
			require.Greater(t, kills, 50)
		})
	}
}
