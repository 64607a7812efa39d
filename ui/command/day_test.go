package command

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// day is one whole day of several tablets, with what really happened in it.
type day struct {
	t       *testing.T
	random  *rand.Rand
	seed    uint64
	now     time.Time
	dir     string
	tablets []*profiles.Library
	stick   string
	log     *ledger
	specs   []spec          // the jobs of the day
	cables  map[string]hose // what the cables really do, by cable, duct and rig
	base    float64         // °F: the morning's
	steps   []string
	found   map[string]finding
	at      map[string]int // step of each finding
	counts  map[string]int
	presses map[string]*marks
	jobs    map[string]profiles.Record // of trials, by id
	rulings int                        // of the office
	shared  *profiles.Candidates
}

func newDay(t *testing.T, seed uint64, dir string) *day {
	d := &day{t: t, seed: seed, random: rand.New(rand.NewPCG(seed, 17)), dir: dir, found: map[string]finding{}, at: map[string]int{}, counts: map[string]int{}, cables: map[string]hose{}, jobs: map[string]profiles.Record{}}
	d.now = time.Date(2026, 5, 14, 6, 30, 0, 0, time.UTC).Add(time.Duration(d.random.IntN(300)) * time.Minute)
	d.base = 25 + 50*d.random.Float64()
	d.stick = filepath.Join(dir, "stick")
	require.NoError(t, os.MkdirAll(d.stick, 0o777))
	n := 2 + d.random.IntN(2)
	for i := range n {
		var chaos [32]byte
		chaos[0], chaos[1], chaos[2] = byte(seed), byte(seed>>8), byte(i+1)
		l, err := rehearsal.OpenLibrary(filepath.Join(dir, "tablet"+strconv.Itoa(i+1)), func() time.Time { return d.now }, rand.NewChaCha8(chaos))
		require.NoError(t, err)
		d.tablets = append(d.tablets, l)
	}
	d.log = newLedger(n)
	d.planJobs()
	return d
}

func (d *day) chance(p float64) bool { return d.random.Float64() < p }

func pick[T any](d *day, from []T) T { return from[d.random.IntN(len(from))] }

func (d *day) pass(most time.Duration) {
	d.now = d.now.Add(time.Second + time.Duration(d.random.Int64N(int64(most))))
}

// step writes down what was done.
func (d *day) step(kind, format string, args ...any) {
	d.counts["step "+kind]++
	d.steps = append(d.steps, d.now.Format("01-02 15:04:05 ")+fmt.Sprintf(format, args...))
}

// report keeps the first of each kind of finding.
func (d *day) report(found ...finding) {
	for _, f := range found {
		if _, had := d.found[f.key]; !had {
			d.found[f.key], d.at[f.key] = f, len(d.steps)
		}
	}
}

// live plays the day: whatever crews and offices do, until there were steps enough.
func (d *day) live() {
	crews := []func(){d.fullTrial, d.fullTrial, d.shortCheck, d.enoughTrial, d.someRun, d.someRun, d.resume}
	office := []func(){d.exchange, d.exchange, d.decide, d.tighten, d.edit}
	d.fullTrial()
	d.askAll()
	for round := 0; (len(d.steps) < 150 || round < 5) && round < 40; round++ {
		d.pass(40 * time.Minute)
		if d.chance(0.04) {
			d.now = d.now.Add(time.Duration(6+d.random.IntN(20)) * time.Hour)
		}
		pick(d, crews)()
		d.askAll()
		if d.chance(0.75) {
			pick(d, office)()
			d.askAll()
		}
	}
}

// number is a whole number from the environment.
func number(name string, usual int) int {
	n, err := strconv.Atoi(cmp.Or(os.Getenv(name), strconv.Itoa(usual)))
	if err != nil {
		return usual
	}
	return n
}

// fastDir is a folder for the day's libraries, in memory where there is such a place: what
// a disk takes for a sync is no part of this.
func fastDir(t *testing.T) string {
	if dir, err := os.MkdirTemp("/dev/shm", "day"); err == nil {
		t.Cleanup(func() { _ = os.RemoveAll(dir) })
		return dir
	}
	return t.TempDir()
}

// TestAnyDay plays whole random days of crews with several tablets, and holds every answer
// of every way out of the program against a log of what really happened. BRINKMARK_DAYS says
// how many, BRINKMARK_SEED which comes first.
func TestAnyDay(t *testing.T) {
	rehearsal.Long(t)
	seen, counts, began := map[string][]uint64{}, map[string]int{}, time.Now()
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // short lives, and much memory
	days, first := number("BRINKMARK_DAYS", 6), number("BRINKMARK_SEED", 1)
	for i := range days {
		seed := uint64(first + i)
		dir := fastDir(t)
		d := newDay(t, seed, dir)
		d.whole(t)
		_ = os.RemoveAll(dir)
		for _, key := range slices.Sorted(maps.Keys(d.found)) {
			if len(seen[key]) == 0 {
				t.Errorf("seed %d: %s\n  %s\n%s", seed, key, d.found[key].says, d.told(d.at[key]))
			}
			seen[key] = append(seen[key], seed)
		}
		for k, n := range d.counts {
			counts[k] += n
		}
		counts["steps"] += len(d.steps)
	}
	t.Logf("%d days, %.2f s each", days, time.Since(began).Seconds()/float64(days))
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("%6d  %s", counts[k], k)
	}
	tellKinds(t, seen)
}

// tellKinds lists the findings, each with the exits it was seen at.
func tellKinds(t *testing.T, seen map[string][]uint64) {
	kinds, exits := map[string][]uint64{}, map[string][]string{}
	for _, key := range slices.Sorted(maps.Keys(seen)) {
		kind, exit, _ := strings.Cut(key, " (")
		kinds[kind] = append(kinds[kind], seen[key]...)
		exits[kind] = append(exits[kind], strings.TrimSuffix(exit, ")"))
	}
	for _, kind := range slices.Sorted(maps.Keys(kinds)) {
		slices.Sort(kinds[kind])
		seeds := slices.Compact(kinds[kind])
		t.Logf("%4d days, seeds %v: %s [%s]", len(seeds), seeds[:min(4, len(seeds))], kind, strings.Join(exits[kind], "; "))
	}
}

// whole plays the day and tells its steps where the program fails.
func (d *day) whole(t *testing.T) {
	defer func() {
		if r := recover(); r != nil {
			t.Errorf("seed %d: %v after\n%s", d.seed, r, d.told(len(d.steps)))
			panic(r)
		}
	}()
	d.live()
}

// told are the steps up to one, the last ones where there are many; all with BRINKMARK_STEPS.
func (d *day) told(upTo int) string {
	from := max(0, upTo-number("BRINKMARK_STEPS", 60))
	return fmt.Sprintf("  (%d steps before)\n  ", from) + strings.Join(d.steps[from:upTo], "\n  ")
}
