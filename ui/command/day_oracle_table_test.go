package command

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// The oracle's own cable: four stalls and a fold at 41 °F on tablet 1, at the setting of
// 10 psi, 80 ft/min.
func oracleLog() *ledger {
	l := newLedger(2)
	key := cableKey{"Northmoor", "LT-96", "1.25 in", "Rig 2"}
	at := time.Date(2026, 5, 14, 8, 0, 0, 0, time.UTC)
	l.proofs["A"] = &proof{id: "A", key: key, kind: "full", reel: "NM-1", saved: true, closed: true, set: dial{10, 80}, accepted: at, most: dial{60, 220}, state: map[int]state{},
		pushes: []pushed{{dial{8, 60}, "stall", false, 41}, {dial{10, 85}, "stall", false, 41}, {dial{10, 85}, "stall", false, 41}, {dial{12, 85}, "stall", false, 41}, {dial{12, 100}, "fold", false, 41}}}
	l.known[0]["A"] = true
	l.proofs["B"] = &proof{id: "B", key: key, kind: "full", pushes: []pushed{{dial{6, 70}, "fold", false, 41}}, closed: true}
	l.hurts["R/fold"] = &hurt{run: "R", of: "other", key: key, folded: true, dial: dial{8, 75}, at: 41}
	l.hurts["S/mark"] = &hurt{run: "S", of: "other", key: key, marked: true, dial: dial{9, 50}, at: 41}
	l.said = []decision{{id: "ruling", profile: "A", action: "withdraw"}, {"ending", "A", "expire", at.Add(time.Hour)}}
	return l
}

func oraclePromise() promise {
	return promise{exit: "covers", id: "A", set: dial{10, 80}, at: 41, top: 47, now: time.Date(2026, 5, 14, 9, 30, 0, 0, time.UTC), until: time.Date(2026, 5, 14, 20, 0, 0, 0, time.UTC), holds: true, reel: "NM-1", asks: true}
}

// TestOracle feeds the oracle wrong answers: each must be found, and the right one must pass.
func TestOracle(t *testing.T) {
	require.Empty(t, oracleLog().judge(oraclePromise()), "a right answer")
	type table struct {
		name, finds string
		wrong       func(*ledger, *promise)
	}
	for _, row := range []table{
		{"above its own fold", "I1 above 0.90 of a fold in its own trial", func(_ *ledger, p *promise) { p.set.speed = 91 }},
		{"above a fold on a colder cable", "I1", func(_ *ledger, p *promise) { p.set.speed, p.at, p.lower = 80, 75, true }},
		{"above a fold on a warmer cable", "I1", func(l *ledger, p *promise) { l.proofs["B"].pushes[0].at = 47; l.known[0]["B"] = true }},
		{"above a fold in another trial", "I1 above 0.90 of a fold in another trial", func(l *ledger, p *promise) { l.known[0]["B"] = true }},
		{"above a fold in a run", "I1 above 0.90 of a fold in a run", func(l *ledger, p *promise) { l.known[0]["R"] = true }},
		{"of no trial", "I2 nobody has tried it", func(_ *ledger, p *promise) { p.id = "Z" }},
		{"too few stalls", "I2 too few stalls", func(_ *ledger, p *promise) { p.set.speed = 86 }},
		{"a stall taken back", "I2 too few stalls", func(l *ledger, _ *promise) { l.proofs["A"].pushes = l.proofs["A"].pushes[:3] }},
		{"a void push counted", "I2 too few stalls", func(l *ledger, _ *promise) { l.proofs["A"].pushes[3].outcome = "void" }},
		{"grip pressure never tried", "I2 no stall at its grip pressure", func(_ *ledger, p *promise) { p.set.grip = 8 }},
		{"grip pressure that marked", "I2 a push marked", func(l *ledger, _ *promise) { l.proofs["A"].pushes[1].marked = true }},
		{"too warm", "I3 band", func(_ *ledger, p *promise) { p.top = 60 }},
		{"too warm by a corrected value", "I3 band", func(l *ledger, p *promise) { p.top = 52; l.proofs["A"].pushes[4].at = 52 }},
		{"too warm by a tighter rule", "I3 band", func(l *ledger, _ *promise) { l.rules[0].checkF = 2 }},
		{"covered after its shift", "I4 covered though a check is due", func(_ *ledger, p *promise) { p.now = p.now.Add(11 * time.Hour) }},
		{"said to hold until tomorrow", "I4 expiry too late", func(_ *ledger, p *promise) { p.until = p.until.Add(5 * time.Hour) }},
		{"no reel asked of the job", "I5 covered though no reel", func(_ *ledger, p *promise) { p.reel = "" }},
		{"no reel asked in the trial", "I5 covered though no reel", func(l *ledger, _ *promise) { l.proofs["A"].reel = "" }},
		{"a run folded below it", "I6 a run folded", func(l *ledger, _ *promise) { l.known[0]["R"] = true }},
		{"a run folded below it, on a warmer cable", "I6 a run folded", func(l *ledger, _ *promise) { l.known[0]["R"] = true; l.hurts["R/fold"].at = 47 }},
		{"a run marked the jacket", "I6 a run marked", func(l *ledger, _ *promise) { l.known[0]["S"] = true }},
		{"a run with it folded, on a far warmer cable", "I6 a run folded", func(l *ledger, _ *promise) {
			l.known[0]["R"] = true
			l.hurts["R/fold"].at, l.hurts["R/fold"].of = 72, "A"
		}},
		{"a drop-to where a run folded", "I6 a run folded", func(l *ledger, p *promise) {
			l.known[0]["R"] = true
			l.hurts["R/fold"].at, p.at, p.lower, p.set.speed = 60, 60, true, 76
		}},
		{"withdrawn", "I6 offered though a supervisor ended it", func(l *ledger, _ *promise) { l.known[0]["ruling"] = true }},
		{"expired", "I6 offered though a supervisor ended it", func(l *ledger, _ *promise) { l.known[0]["ending"] = true }},
		{"above the crew's limit", "I7 push control", func(l *ledger, _ *promise) { l.proofs["A"].most.speed = 75 }},
		{"above today's limit", "I7 grip", func(_ *ledger, p *promise) { p.most = dial{9, 0} }},
		{"seal broken", "edited: seal broken", func(l *ledger, _ *promise) { l.proofs["A"].state[0] = broken }},
		{"seals taken off", "edited: seals taken off", func(l *ledger, _ *promise) { l.proofs["A"].state[0] = sealsOff }},
		{"by hand, and its pushes do not carry it", "by hand: I2", func(l *ledger, p *promise) { l.proofs["A"].state[0] = byHand; p.set.speed = 86 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			l, p := oracleLog(), oraclePromise()
			row.wrong(l, &p)
			requireFinds(t, l.judge(p), row.finds)
		})
	}
}

func requireFinds(t *testing.T, found []finding, want string) {
	t.Helper()
	var keys []string
	for _, f := range found {
		keys = append(keys, f.key)
		require.NotEmpty(t, f.says)
	}
	require.Condition(t, func() bool {
		for _, key := range keys {
			if strings.HasPrefix(key, want) {
				return true
			}
		}
		return false
	}, "%q is not in %q", want, keys)
}

// TestOracleKnowsItsTablet: what another tablet has seen counts here once it was exchanged.
func TestOracleKnowsItsTablet(t *testing.T) {
	l, p := oracleLog(), oraclePromise()
	l.known[0]["R"], l.hurts["R/fold"].at = true, 72
	require.Equal(t, strictly, len(l.judge(p)) > 0, "folded on a cable warmer than it is promised for")
	l, p = oracleLog(), oraclePromise()
	l.known[1]["B"], l.known[1]["R"] = true, true
	require.Empty(t, l.judge(p))
	p.tablet = 1
	requireFinds(t, l.judge(p), "I6")
	p.set, p.lower = dial{10, 60}, true // its profile's setting is at or above all the same
	requireFinds(t, l.judge(p), "I6")
}

// TestOracleCompares: exits that disagree, and what is said more freely than before.
func TestOracleCompares(t *testing.T) {
	nan, until := math.NaN(), time.Date(2026, 5, 14, 20, 0, 0, 0, time.UTC)
	base := answer{exit: "covers", set: dial{10, 80}, top: 47, until: until}
	require.Empty(t, agree("A", []answer{base, {exit: "review", set: dial{10, 80}, top: nan}, {exit: "tag", set: dial{10, 80}, top: 47, until: until}}))
	for want, other := range map[string]answer{
		"I4 other settings": {exit: "run", set: dial{10, 85}, top: 47}, "I4 other bands": {exit: "sheet", set: dial{10, 80}, top: 45},
		"I4 other expiries": {exit: "tag", set: dial{10, 80}, top: 47, until: until.Add(time.Hour)}, "I4 one hands out": {exit: "reach", none: true},
	} {
		requireFinds(t, agree("A", []answer{base, other}), want)
	}
	before := map[string]verdictOn{"A": {1, dial{10, 80}, true, 47}}
	require.Empty(t, widened("a rule", before, map[string]verdictOn{"A": {2, dial{}, false, nan}, "B": {0, dial{9, 90}, true, 50}}))
	requireFinds(t, widened("a rule", before, map[string]verdictOn{"A": {0, dial{10, 80}, true, 47}}), "I5 freer")
	requireFinds(t, widened("a rule", before, map[string]verdictOn{"A": {1, dial{10, 85}, true, 47}}), "I5 higher")
	requireFinds(t, widened("a rule", before, map[string]verdictOn{"A": {1, dial{10, 80}, true, 50}}), "I5 warmer")
	require.Empty(t, freed("a reel", before, map[string]verdictOn{"A": {1, dial{10, 80}, true, nan}}))
	requireFinds(t, freed("a reel", before, map[string]verdictOn{"A": {0, dial{10, 80}, true, 47}}), "I5 covered once a reel")
}

// TestOracleLog: an undo takes back everything its press did, a corrected temperature has
// no effect on what comes after, and a push told again is one push.
func TestOracleLog(t *testing.T) {
	m := &marks{press: map[int]int{}, kinds: map[int]string{}, undone: map[int]bool{}}
	m.take([]numbered{{1, ""}}, nil, false)
	m.take([]numbered{{1, ""}, {2, "temperature"}, {3, ""}}, nil, false)
	require.Equal(t, m.press[2], m.press[3])
	m.take([]numbered{{1, ""}, {2, "temperature"}, {3, ""}}, undosOf(3), true)
	require.Equal(t, "temperature", m.left, "the reading went, the change of the job stays")
	require.True(t, m.undone[m.press[2]])
	require.False(t, m.undone[m.press[1]])

	require.InDelta(t, 47.66, usualRules().warmest(41), 0.02)   // 8 % of stiffness: ln of 1.473 over 1.360
	require.InDelta(t, 80, worth(80, 70, 41), 1e-9)             // no credit on a colder cable
	require.Less(t, worth(80, 41, 70), 80*math.Exp(-0.65*0.15)) // 32 % softer, less the band's 8
	for text, want := range map[string]dial{"6 psi, 95 ft/min": {6, 95}, "0.5 bar, 12 m/min": {7.252, 39.37}, "10 psi, 4 notch": {10, 4}} {
		d, ok := dialOf(text)
		require.True(t, ok)
		require.InDelta(t, want.grip, d.grip, 1e-2)
		require.InDelta(t, want.speed, d.speed, 1e-2)
	}
	require.InDelta(t, 41, degreesOf("5 °C"), 1e-9)
}

func undosOf(numbers ...int) (all []profiles.Undo) {
	for i, n := range numbers {
		all = append(all, profiles.Undo{Seq: 100 + i, Drops: n})
	}
	return all
}
