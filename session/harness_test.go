package session

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	q "brinkmark/session/quantity"
)

// racing is set when the race detector is on.
var racing bool

// player is a rule under trial: from the pushes so far to the next setting, or the end.
type player interface{ next(history []seen) move }

// move is a setting to push at or, when done, to install with. What a rule that ends
// says of its setting is NaN where it says nothing.
type move struct {
	grip, speed         float64
	done, refused       bool
	claim, high, varied float64
	words               []string // warnings that not every trial carries, or why it refused
}

// ourRule is the rule of this package on the scenario's job.
type ourRule struct{ trial Trial }

func ours(p Policy) func(scenario) player {
	return func(s scenario) player { return &ourRule{s.trial(p)} }
}

func (o *ourRule) next(history []seen) move {
	if n := len(history); n > 0 {
		o.record(history[n-1])
	}
	next := Decide(o.trial)
	if refuse, ok := next.(Refuse); ok {
		return move{done: true, refused: true, words: []string{refuse.Reason}}
	}
	s, _ := SettingOf(next)
	m := move{grip: q.In(s.Grip, "psi"), speed: s.Speed.Value}
	if _, ok := next.(Install); ok {
		v := View(o.trial)
		unknown := math.NaN()
		m.done, m.words = true, v.Warnings
		m.claim, m.high, m.varied = v.FoldChance.Or(unknown), v.FoldChanceHigh.Or(unknown), v.FoldChanceVaried.Or(unknown)
		empty := o.trial
		empty.Entries = nil
		standing := View(empty).Warnings
		m.words = slices.DeleteFunc(m.words, func(w string) bool { return slices.Contains(standing, w) })
	}
	return m
}

func (o *ourRule) record(s seen) {
	a := Attempt{
		Mark:    Mark{Seq: o.trial.LastNumber() + 1},
		Setting: Setting{q.From[q.Pressure](s.grip, "psi"), o.trial.Rig.Reading(s.speed)},
		Outcome: s.outcome, CableUsed: q.Length(s.metres()),
		CableTemperature: o.trial.Conditions.CableTemperature,
	}
	if s.reading > 0 {
		a.StallReading = q.Known(q.Reading{Value: s.reading, Unit: "psi"})
	}
	o.trial.Entries = append(o.trial.Entries, a)
}

// result is one trial by one rule. What a refusal has no value for is NaN.
type result struct {
	move
	ended, beyondFold                     bool
	tries, folds, slips, metres           float64
	risk, overTenth, fiveHits, push, slip float64
}

// play makes one trial: the world is the same for every rule, the noise its own.
func play(c contender, s scenario, seed uint64) result {
	w := newWorld(s, rand.New(rand.NewPCG(seed, 0)))
	h := fnv.New64a()
	h.Write([]byte(c.name))
	noise := rand.New(rand.NewPCG(seed, h.Sum64()))
	return playOn(w, c.player(s), noise)
}

// playOn makes one trial in a world.
func playOn(w world, p player, noise *rand.Rand) result {
	const most = 150
	var r result
	lowestFold := math.Inf(1)
	for history := []seen(nil); len(history) < most; {
		if r.move = p.next(history); r.done {
			r.ended = true
			r.judge(w, lowestFold)
			return r
		}
		o := w.push(r.grip, r.speed, noise)
		history = append(history, o)
		r.tries++
		r.metres += o.metres()
		switch o.truly {
		case Fold:
			r.folds++
		case Slip:
			r.slips++
		}
		if o.outcome == Fold {
			lowestFold = min(lowestFold, o.speed)
		}
	}
	return r
}

func (r *result) judge(w world, lowestFold float64) {
	if r.refused {
		r.risk, r.overTenth, r.fiveHits, r.push, r.slip = math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()
		r.claim, r.high, r.varied = math.NaN(), math.NaN(), math.NaN()
		return
	}
	r.grip, r.speed = w.dialled(r.grip, r.speed)
	r.beyondFold = r.speed >= lowestFold
	r.risk, r.slip = w.hit(r.grip, r.speed)
	r.fiveHits = 1 - math.Pow(1-r.risk, 5)
	if r.risk > 0.10 {
		r.overTenth = 1
	}
	r.push = w.delivered(r.grip, r.speed) / w.bestPush()
}

// playAll makes n trials on seeds that follow each other, on as many cores as allowed.
func playAll(c contender, s scenario, n int, seed uint64) []result {
	results := make([]result, n)
	var at atomic.Int64
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			for i := int(at.Add(1)) - 1; i < n; i = int(at.Add(1)) - 1 {
				results[i] = play(c, s, seed+uint64(i))
			}
		})
	}
	wg.Wait()
	return results
}

// column is one figure of a result, scaled for print.
type column struct {
	name  string
	value func(result) float64
}

func share(when func(result) bool) func(result) float64 {
	return func(r result) float64 {
		if when(r) {
			return 100
		}
		return 0
	}
}

var columns = []column{
	{"tries", func(r result) float64 { return r.tries }},
	{"folds", func(r result) float64 { return r.folds }},
	{"slips", func(r result) float64 { return r.slips }},
	{"metres", func(r result) float64 { return r.metres }},
	{"risk %", func(r result) float64 { return 100 * r.risk }},
	{"> 10 %", func(r result) float64 { return 100 * r.overTenth }},
	{"5 hits %", func(r result) float64 { return 100 * r.fiveHits }},
	{"push/best", func(r result) float64 { return r.push }},
	{"slip %", func(r result) float64 { return 100 * r.slip }},
	{"claim %", func(r result) float64 { return 100 * r.claim }},
	{"high %", func(r result) float64 { return 100 * r.high }},
	{"varied %", func(r result) float64 { return 100 * r.varied }},
	{"warned %", share(func(r result) bool { return !r.refused && len(r.words) > 0 })},
	{"refused %", share(func(r result) bool { return r.refused })},
}

// values are a column over the trials that have it.
func (c column) values(results []result) []float64 {
	var out []float64
	for _, r := range results {
		if v := c.value(r); !math.IsNaN(v) {
			out = append(out, v)
		}
	}
	return out
}

// middle is the mean, but for push/best the median: a push that is far too high must
// not make up for one that is too low.
func (c column) middle(results []result) float64 {
	v := c.values(results)
	switch {
	case len(v) == 0:
		return math.NaN()
	case c.name == "push/best":
		slices.Sort(v)
		return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
	}
	return stat.Mean(v, nil)
}

// paired is the mean difference of a column over the trials that both rules have it
// for, and half the width of its 95 % interval.
func (c column) paired(a, b []result) (mean, half float64) {
	var d []float64
	for i := range a {
		if v := c.value(a[i]) - c.value(b[i]); !math.IsNaN(v) {
			d = append(d, v)
		}
	}
	if len(d) < 2 {
		return math.NaN(), math.NaN()
	}
	mean, sd := stat.MeanStdDev(d, nil)
	return mean, 1.96 * sd / math.Sqrt(float64(len(d)))
}

// contender is a rule with the name that seeds its noise.
type contender struct {
	name   string
	player func(scenario) player
}

const frozenName, oursName = "reference", "ours"

func contenders() []contender {
	return []contender{
		{"plain ladder, last stall", plainLadder(1)},
		{"plain ladder, 20 % off", plainLadder(0.80)},
		{"lean ladder, 20 % off", leanLadder(0.80)},
		{frozenName, newFrozen},
		{oursName, ours(DefaultPolicy())},
	}
}

func table(rows []contender, results map[string][]result) string {
	var b strings.Builder
	line := func(name string, cell func(column) string) {
		fmt.Fprintf(&b, "\n| %-24s |", name)
		for _, c := range columns {
			fmt.Fprintf(&b, " %*s |", max(len(c.name), 5), cell(c))
		}
	}
	line("rule", func(c column) string { return c.name })
	for _, row := range rows {
		line(row.name, func(c column) string { return figure(c.middle(results[row.name])) })
	}
	line("ours − reference, mean", func(c column) string {
		mean, _ := c.paired(results[oursName], results[frozenName])
		return figure(mean)
	})
	line("± (95 %)", func(c column) string {
		_, half := c.paired(results[oursName], results[frozenName])
		return figure(half)
	})
	return b.String()
}

func figure(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return fmt.Sprintf("%.2f", v)
}

// trials is how many a run makes of each scenario: the usual number, more for a claim by
// BRINKMARK_TRIALS; BRINKMARK_SEED moves to cables never seen before.
func trials(t *testing.T, usual int) (n int, seed uint64) {
	t.Helper()
	n, seed = usual, 20240501
	if testing.Short() || racing {
		n = 4
	}
	if text := os.Getenv("BRINKMARK_TRIALS"); text != "" {
		v, err := strconv.Atoi(text)
		require.NoError(t, err, "BRINKMARK_TRIALS")
		n = v
	}
	if text := os.Getenv("BRINKMARK_SEED"); text != "" {
		v, err := strconv.ParseUint(text, 10, 64)
		require.NoError(t, err, "BRINKMARK_SEED")
		seed = v
	}
	return n, seed
}

// published are figures of an independent program in another language, with its own
// random numbers, 2000 trials (gauges only: 600) of each rule. sd is the standard deviation
// from trial to trial, measured here on 2000 trials.
//
// Source: derived here.
var published = []struct {
	scenario, rule, column string
	trials, want, sd       float64
}{
	{"A as assumed", "plain ladder, last stall", "tries", 2000, 18.7, 7.97},
	{"A as assumed", "plain ladder, last stall", "folds", 2000, 1.0, 0.05},
	{"A as assumed", "plain ladder, last stall", "slips", 2000, 5.9, 3.13},
	{"A as assumed", "plain ladder, last stall", "metres", 2000, 3.27, 0.92},
	{"A as assumed", "plain ladder, last stall", "risk %", 2000, 23.3, 19.90},
	{"A as assumed", "plain ladder, last stall", "> 10 %", 2000, 66.2, 47.71},
	{"A as assumed", "lean ladder, 20 % off", "tries", 2000, 11.5, 3.71},
	{"A as assumed", "lean ladder, 20 % off", "folds", 2000, 0.98, 0.13},
	{"A as assumed", "lean ladder, 20 % off", "slips", 2000, 1.51, 0.80},
	{"A as assumed", "lean ladder, 20 % off", "metres", 2000, 1.93, 0.31},
	{"A as assumed", "lean ladder, 20 % off", "risk %", 2000, 1.9, 4.97},
	{"A as assumed", "lean ladder, 20 % off", "> 10 %", 2000, 5.1, 20.74},
	{"A as assumed", "reference", "tries", 2000, 7.6, 2.34},
	{"A as assumed", "reference", "folds", 2000, 0.76, 0.48},
	{"A as assumed", "reference", "slips", 2000, 0.3, 0.65},
	{"A as assumed", "reference", "metres", 2000, 1.23, 0.73},
	{"A as assumed", "reference", "risk %", 2000, 1.3, 4.16},
	{"A as assumed", "reference", "> 10 %", 2000, 3.7, 19.48},
	{"C gauges only", "reference", "tries", 600, 11.7, 2.70},
	{"C gauges only", "reference", "folds", 600, 1.03, 0.19},
	{"C gauges only", "reference", "slips", 600, 0.58, 1.27},
	{"C gauges only", "reference", "metres", 600, 1.72, 0.48},
	{"C gauges only", "reference", "risk %", 600, 1.3, 3.67},
	{"C gauges only", "reference", "> 10 %", 600, 3.2, 18.13},
}

// TestReferenceRules holds the rules that ours is compared with to those figures:
// within four standard errors of the difference of two means, and the last digit
// that was printed.
func TestReferenceRules(t *testing.T) {
	n, seed := trials(t, 200)
	if n < 60 {
		t.Skip("too few trials for a standard error")
	}
	played := map[string][]result{}
	for _, row := range published {
		key := row.scenario + ": " + row.rule
		if played[key] == nil {
			s := scenarios()[slices.IndexFunc(scenarios(), func(s scenario) bool { return s.name == row.scenario })]
			c := contenders()[slices.IndexFunc(contenders(), func(c contender) bool { return c.name == row.rule })]
			played[key] = playAll(c, s, n, seed)
		}
		c := columns[slices.IndexFunc(columns, func(c column) bool { return c.name == row.column })]
		mean := stat.Mean(c.values(played[key]), nil)
		se := row.sd * math.Sqrt(1/float64(n)+1/row.trials)
		t.Logf("%s: %s %.2f, published %.2f, standard error %.2f, %.1f of them off", key, c.name, mean, row.want, se, (mean-row.want)/se)
		require.InDelta(t, row.want, mean, 4*se+0.05, // what was printed is rounded
			"%s: %s", key, c.name)
	}
}

// TestHarness plays every rule on the same cables of every scenario and prints how
// they compare (-v). It holds our rule to what is certain at any number of trials.
func TestHarness(t *testing.T) {
	long(t)
	n, seed := trials(t, 200)
	for _, s := range scenarios() {
		t.Run(s.name, func(t *testing.T) {
			results := map[string][]result{}
			for _, c := range contenders() {
				results[c.name] = playAll(c, s, n, seed)
			}
			t.Logf("%s, N = %d, seed %d%s", s.name, n, seed, table(contenders(), results))
			for name, rs := range results {
				for i, r := range rs {
					require.True(t, r.ended, "%s, seed %d: the trial does not end", name, seed+uint64(i))
				}
			}
			for _, c := range contenders() {
				require.Equal(t, fmt.Sprint(results[c.name][0]), fmt.Sprint(play(c, s, seed)), "%s does not repeat", c.name)
			}
			for i, r := range results[oursName] {
				require.False(t, r.beyondFold, "seed %d: a setting at or above a fold", seed+uint64(i))
				if s.relief > 0 {
					said := strings.Contains(strings.Join(r.words, "\n"), "relief")
					require.True(t, said || r.refused, "seed %d: %v at %.0f psi, %.0f: not a word of the relief", seed+uint64(i), r.words, r.grip, r.speed)
				}
			}
		})
	}
}
