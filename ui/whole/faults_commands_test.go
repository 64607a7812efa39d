//go:build !windows

package whole

import (
	"bytes"
	"cmp"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// order is a command that writes in one go.
type order struct {
	name string
	args []string // with {stick}, {profile} and {cards} for what is meant
	in   string   // the part of a script that is its input; may be empty
	done func(t *testing.T, library, stick string)
}

var orders = []order{
	{"exchange", []string{"exchange", "{stick}"}, "", func(t *testing.T, library, stick string) {
		there := slices.Collect(maps.Values(recordsIn(t, stick)))
		for path, text := range recordsIn(t, library) {
			inside, err := filepath.Rel(library, path)
			require.NoError(t, err)
			if slices.Contains([]string{"profiles", "trials"}, strings.Split(inside, string(filepath.Separator))[0]) {
				require.Contains(t, there, text, inside)
			}
		}
	}},
	{"review", []string{"review", "accept", "{profile}", "--by", "QS"}, "", func(t *testing.T, library, _ string) {
		require.NotEmpty(t, globbed(t, filepath.Join(library, "reviews", "*.toml")))
	}},
	{"cards", []string{"cards", "{cards}"}, "", func(t *testing.T, library, _ string) {
		require.NotEmpty(t, globbed(t, filepath.Join(library, "ducts", "40-33*.toml")))
		require.Len(t, globbed(t, filepath.Join(library, "people", "*.toml")), 3)
	}},
	{"practice", []string{"practice", "--lesson", "1", "--seed", "7", "--plain"}, "answers", func(t *testing.T, library, _ string) {
		results, problems := rehearsal.Practised(library)
		require.Empty(t, problems)
		require.NotEmpty(t, results)
	}},
}

// typed is what the part of the practice script says that is its input.
func typed(t *testing.T, part string) io.Reader {
	t.Helper()
	if part == "" {
		return nil
	}
	script, err := os.ReadFile("testdata/script/practice_passed.txtar")
	require.NoError(t, err)
	_, after, found := strings.Cut(string(script), "\n-- "+part+" --\n")
	require.True(t, found)
	text, _, _ := strings.Cut(after, "\n-- ")
	return strings.NewReader(text + "\n")
}

// commandWays are how a command ends that nobody ended on purpose.
var commandWays = []struct {
	name string
	end  func(r *running)
}{
	{"power cut", func(r *running) { _ = r.cmd.Process.Kill() }},
	{"SIGTERM", func(r *running) { _ = r.cmd.Process.Signal(syscall.SIGTERM) }},
	{"SIGHUP", func(r *running) { _ = r.cmd.Process.Signal(syscall.SIGHUP) }},
	{"closed pipe", func(r *running) { _ = r.out.Close() }},
}

// running is a command under way; end waits for its end.
type running struct {
	cmd  *exec.Cmd
	out  io.ReadCloser
	said bytes.Buffer
	errs bytes.Buffer
	end  func() error
}

// bench is a library with one trial and an empty stick.
type bench struct {
	t              *testing.T
	library, stick string
	words          *strings.Replacer
}

func newBench(t *testing.T, from string) bench {
	base := t.TempDir()
	b := bench{t: t, library: filepath.Join(base, "library"), stick: filepath.Join(base, "stick")}
	require.NoError(t, os.CopyFS(b.library, os.DirFS(from)))
	require.NoError(t, os.Mkdir(b.stick, 0o777))
	for _, cards := range []string{"cables", "ducts", "rigs", "people"} { // of a known card the sheet adds what it lacks
		require.NoError(t, os.RemoveAll(filepath.Join(b.library, cards)))
	}
	profile := strings.TrimSuffix(filepath.Base(globbed(t, filepath.Join(b.library, "profiles", "*", "*.toml"))[0]), ".toml")
	b.words = strings.NewReplacer("{stick}", b.stick, "{profile}", profile, "{cards}", "testdata/cards/all.csv")
	return b
}

// start begins a command; what lay on either side must lie there at its end, too.
func (b bench) start(o order, before ...string) *running {
	b.t.Helper()
	here, there := recordsIn(b.t, b.library), recordsIn(b.t, b.stick)
	line := append(slices.Clone(before), program(b.t))
	for _, arg := range o.args {
		line = append(line, b.words.Replace(arg))
	}
	r := &running{cmd: exec.Command(line[0], line[1:]...)}
	r.cmd.Env, r.cmd.Stdin, r.cmd.Stderr = environment(b.library), typed(b.t, o.in), &r.errs
	var err error
	r.out, err = r.cmd.StdoutPipe()
	require.NoError(b.t, err)
	require.NoError(b.t, r.cmd.Start())
	heard := make(chan struct{})
	go func() { defer close(heard); _, _ = io.Copy(&r.said, r.out) }()
	r.end = func() error {
		<-heard
		err := r.cmd.Wait()
		requireNoPanic(b.t, r.errs.String())
		requireKept(b.t, here, b.library)
		requireKept(b.t, there, b.stick)
		return err
	}
	return r
}

// whole lets the command end, and looks for what it was to do.
func (b bench) whole(o order) {
	b.t.Helper()
	r := b.start(o)
	require.NoError(b.t, r.end(), r.errs.String())
	o.done(b.t, b.library, b.stick)
}

// TestCommandsEndedAtRandom ends commands at random moments in every way, and lets each end
// at last: what lay there lies there still, and the whole is done.
func TestCommandsEndedAtRandom(t *testing.T) {
	t.Parallel()
	binary := program(t)
	prepared := t.TempDir()
	aFoldedTrial(t, binary, prepared)
	least, _ := strconv.Atoi(cmp.Or(os.Getenv("BRINKMARK_KILLS"), "3"))
	for i, o := range orders {
		for j, way := range commandWays {
			t.Run(o.name+" "+way.name, func(t *testing.T) {
				t.Parallel()
				if way.name == "SIGHUP" && signal.Ignored(syscall.SIGHUP) {
					t.Skip("whoever began these tests ignores it, and so does what they begin")
				}
				random := rand.New(rand.NewPCG(uint64(i), uint64(10+j)))
				ended := 0
				for tries := 0; ended < least && tries < 10*least; tries++ {
					b := newBench(t, prepared)
					for range 4 { // over what the one before left
						r := b.start(o)
						time.AfterFunc(time.Duration(random.IntN(25000))*time.Microsecond, func() { way.end(r) })
						if r.end() != nil {
							ended++
						}
					}
					b.whole(o)
				}
				t.Logf("%d endings", ended)
			})
		}
	}
}

// TestCommandsKilledAtEverySystemCall kills commands before the nth call that changes what is
// on disk, for every n where there is time for it, else for some.
func TestCommandsKilledAtEverySystemCall(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("needs strace")
	}
	t.Parallel()
	step := func(n int) int { return 2 + n/2 }
	if os.Getenv("BRINKMARK_KILLS") != "" {
		step = func(int) int { return 1 }
	}
	binary := program(t)
	prepared := t.TempDir()
	aFoldedTrial(t, binary, prepared)
	for _, o := range orders {
		t.Run(o.name, func(t *testing.T) {
			t.Parallel()
			kills := 0
			for n := 1; ; n += step(n) {
				b := newBench(t, prepared)
				r := b.start(o, strace, "-f", "-qq", "-o", os.DevNull, "-e", "trace="+changing, "-e", "inject="+changing+":signal=SIGKILL:when="+strconv.Itoa(n))
				killed := r.end() != nil
				b.whole(o)
				if !killed {
					break
				}
				kills++
			}
			t.Logf("killed at %d calls", kills)
			require.Greater(t, kills, 3)
		})
	}
}

// TestCommandsRefused lets the nth call of a kind fail that changes what is on disk, for some
// n, or with BRINKMARK_KILLS for all. What then ends well has done all; what does not says
// what to do, and does it when it is told again.
func TestCommandsRefused(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("needs strace")
	}
	t.Parallel()
	prepared := t.TempDir()
	aFoldedTrial(t, program(t), prepared)
	for _, o := range orders {
		for _, f := range failures {
			t.Run(o.name+" "+f.calls+" "+f.err, func(t *testing.T) {
				t.Parallel()
				refusals := 0
				for n := 1; n <= 200; n += refusalStep(n) {
					b := newBench(t, prepared)
					trace := filepath.Join(t.TempDir(), "trace")
					r := b.start(o, strace, "-f", "-qq", "-o", trace, "-e", "trace="+f.calls, "-e", "inject="+f.calls+":error="+f.err+":when="+strconv.Itoa(n))
					err := r.end()
					switch {
					case strings.Contains(r.errs.String(), wakingUp), ofItsWords.MatchString(traced(t, trace)):
					case err != nil:
						require.Regexp(t, twoLines, r.errs.String(), "call %d: %v", n, err)
					case strings.Contains(r.said.String(), "! The result is not in the history yet: "):
						require.Contains(t, r.said.String(), "unless it says above", "what is told on leaving")
					default:
						o.done(t, b.library, b.stick)
					}
					b.whole(o)
					if !injected(t, trace) {
						break
					}
					refusals++
				}
				t.Logf("%d refusals", refusals)
			})
		}
	}
}
