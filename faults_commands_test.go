package main

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// order is a command that writes in one go.
type order struct {
	name string
	args []string // with {stick}, {profile} and {cards} for what is meant
	done func(t *testing.T, library, stick string)
}

var orders = []order{
	{"exchange", []string{"exchange", "{stick}"}, func(t *testing.T, library, stick string) {
		there := slices.Collect(maps.Values(recordsIn(t, stick)))
		for path, text := range recordsIn(t, library) {
			inside, err := filepath.Rel(library, path)
			require.NoError(t, err)
			if slices.Contains([]string{"profiles", "trials"}, strings.Split(inside, string(filepath.Separator))[0]) {
				require.Contains(t, there, text, inside)
			}
		}
	}},
	{"review", []string{"review", "accept", "{profile}", "--by", "QS"}, func(t *testing.T, library, _ string) {
		require.NotEmpty(t, globbed(t, filepath.Join(library, "reviews", "*.toml")))
	}},
	{"cards", []string{"cards", "{cards}"}, func(t *testing.T, library, _ string) {
		require.NotEmpty(t, globbed(t, filepath.Join(library, "ducts", "40-33*.toml")))
		require.Len(t, globbed(t, filepath.Join(library, "people", "*.toml")), 3)
	}},
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
func (b bench) start(line []string) (end func() error, cmd *exec.Cmd) {
	b.t.Helper()
	here, there := recordsIn(b.t, b.library), recordsIn(b.t, b.stick)
	args := make([]string, len(line))
	for i := range line {
		args[i] = b.words.Replace(line[i])
	}
	cmd = exec.Command(args[0], args[1:]...)
	cmd.Env = environment(b.library)
	require.NoError(b.t, cmd.Start())
	return func() error {
		err := cmd.Wait()
		requireKept(b.t, here, b.library)
		requireKept(b.t, there, b.stick)
		return err
	}, cmd
}

// whole lets the command end, and looks for what it was to do.
func (b bench) whole(binary string, o order) {
	b.t.Helper()
	end, _ := b.start(append([]string{binary}, o.args...))
	require.NoError(b.t, end())
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
		for j, signal := range []syscall.Signal{syscall.SIGKILL, syscall.SIGTERM, syscall.SIGHUP} {
			t.Run(o.name+" "+signal.String(), func(t *testing.T) {
				t.Parallel()
				random := rand.New(rand.NewPCG(uint64(i), uint64(10+j)))
				ended := 0
				for tries := 0; ended < least && tries < 10*least; tries++ {
					b := newBench(t, prepared)
					for range 4 { // over what the one before left
						end, cmd := b.start(append([]string{binary}, o.args...))
						time.AfterFunc(time.Duration(random.IntN(25000))*time.Microsecond, func() { _ = cmd.Process.Signal(signal) })
						if end() != nil {
							ended++
						}
					}
					b.whole(binary, o)
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
				end, _ := b.start(append([]string{strace, "-f", "-qq", "-o", os.DevNull, "-e", "trace=" + changing, "-e", "inject=" + changing + ":signal=SIGKILL:when=" + strconv.Itoa(n), binary}, o.args...))
				killed := end() != nil
				b.whole(binary, o)
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
