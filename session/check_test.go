package session

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func allChecks() []Check {
	all, err := ChecksOf(CheckTable())
	if err != nil {
		panic(err)
	}
	return all
}

// requireShown holds a text to its length and to the words of this project: the
// open texts use "grip" for a sock on the cable end and "guide" for a shoe at the
// reel (duct and pipe trade texts), and a check is answered by what is seen, never
// by "OK" (from memory: NASA CR-177549, 1990).
func requireShown(t *testing.T, text string, most int) {
	t.Helper()
	require.NotEmpty(t, strings.TrimSpace(text))
	require.Equal(t, strings.TrimSpace(text), text)
	require.LessOrEqual(t, utf8.RuneCountInString(text), most, text)
	require.False(t, forbidden(text), text)
}

var badWords = regexp.MustCompile(`(?i)\b(grips?|ok|okay|checked|jetting|guide insert|guide|air chamber|drum|spool|mandrel|conduit|manhole|clamping pressure|crash test)\b`)

func forbidden(text string) bool {
	return badWords.MatchString(strings.ReplaceAll(strings.ToLower(text), "grip pressure", ""))
}

func TestForbiddenWords(t *testing.T) {
	for text, want := range map[string]bool{
		"set the grip":                     true,
		"Grip pressure rises":              false,
		"Grip pressure, then the grip":     true,
		"valve OK":                         true,
		"air chamber vented":               true,
		"duct-mouth chamber vented":        false,
		"a short check is due; look at it": false,
	} {
		require.Equal(t, want, forbidden(text), text)
	}
}

func TestChecksAreCompleteAndShort(t *testing.T) {
	for _, c := range allChecks() {
		t.Run(c.ID, func(t *testing.T) {
			require.Regexp(t, `^[a-z]+(-[a-z]+)*$`, c.ID)
			require.NotEmpty(t, c.Block.String())
			requireShown(t, c.Ask, 44)
			require.True(t, strings.HasSuffix(c.Ask, "?"), c.Ask)
			for _, line := range []string{c.Why, c.How, c.Wrong} {
				requireShown(t, line, 76)
			}
			requireShown(t, c.Teach, 140)
			for _, s := range c.States {
				requireShown(t, s, 24)
			}
			if len(c.States) == 0 {
				require.NotZero(t, c.Asks)
				require.Zero(t, c.RightStates)
				return
			}
			require.Greater(t, c.RightStates, 0)
			require.Less(t, c.RightStates, len(c.States), "a check nobody can fail is none")
			require.Len(t, slices.Compact(slices.Sorted(slices.Values(c.States))), len(c.States))
		})
	}
}

// Source: from memory, NASA CR-177549 (1990): critical items first, short blocks.
func TestChecksAreInOrder(t *testing.T) {
	seen, size := map[string]bool{}, map[Block]int{}
	for _, table := range checkTables {
		block := Block(0)
		for _, c := range table {
			require.False(t, seen[c.ID], c.ID)
			require.GreaterOrEqual(t, c.Block, block, c.ID)
			seen[c.ID], block = true, c.Block
			size[c.Block]++
			require.LessOrEqual(t, size[c.Block], 7, c.Block.String())
		}
	}
	for _, c := range Checks() {
		require.Equal(t, c.Killer, c.Block == SafeToPush, c.ID)
	}
	for _, c := range allChecks() {
		require.False(t, c.PerSetup && (c.Killer || c.Perishable), "%s: spoils by itself, yet holds all day", c.ID)
	}
	last := setupChecks[len(setupChecks)-1]
	require.Equal(t, "settling-push", last.ID, "a push comes after every other check")
	require.Len(t, size, int(AirNext)+int(OnLeaving-AtArrival), "every block has checks, but for those of a run")
}

func TestKillers(t *testing.T) {
	var killers []string
	for _, c := range allChecks() {
		if c.Killer {
			killers = append(killers, c.ID)
			require.NotEmpty(t, c.States, c.ID)
		}
	}
	require.Equal(t, []string{
		"chamber-vented", "guards-on", "stop-tested", "supply-isolates", "stub-holed", "plug-held", "line-of-fire",
		"trial-isolated", "stub-and-plug-out", "far-end-clear",
		"fold-isolated", "fold-clear", "fold-withdrawn", "slip-isolated",
		"made-safe-drive", "made-safe-air", "made-safe-stub",
	}, killers)
}

func TestTablesAreHandedOutAsCopies(t *testing.T) {
	Checks()[0].States[0] = "painted over"
	DueChecks(CheckLog{}, time.Time{})[0].After[0] = SupplyFell
	c, ok := CheckByID("chamber-vented")
	require.True(t, ok)
	require.Equal(t, "hose off, bleed open", c.States[0])
	require.Equal(t, []Event{StubChanged}, c.After)
	c, ok = CheckByID("far-end-clear")
	require.True(t, ok)
	require.Equal(t, AirNext, c.Block)
	_, ok = CheckByID("")
	require.False(t, ok)
}

func TestRight(t *testing.T) {
	for _, row := range []struct {
		id, state, value string
		want             bool
	}{
		{"chamber-vented", "hose off, bleed open", "", true},
		{"chamber-vented", "shut twice, bleed open", "", true},
		{"chamber-vented", "air could get in", "", false},
		{"chamber-vented", "", "0 psi", false},
		{"gap", "", "40 mm", true},
		{"gap", "", "", false},
		{"supply-warm", "as for the run, warm", "", true},
		{"supply-warm", "cold", "100 psi", false},
	} {
		c, ok := CheckByID(row.id)
		require.True(t, ok, row.id)
		require.Equal(t, row.want, c.Right(row.state, row.value), "%+v", row)
	}
}

// 145 lbf: pressure × area, derived here. Euler's column for the gap: the load
// goes with 1/L².
func TestFiguresTaught(t *testing.T) {
	c, _ := CheckByID("chamber-vented")
	var psi, bore, force float64
	_, err := fmt.Sscanf(c.Teach, "At %f psi a %f in plug is pushed with about %f lbf.", &psi, &bore, &force)
	require.NoError(t, err)
	require.InDelta(t, psi*math.Pi/4*bore*bore, force, 0.5)

	gap, _ := CheckByID("gap")
	require.Contains(t, gap.Teach, "Half the gap stands four times the push")
	back, _ := CheckByID("lead-in-back")
	require.Contains(t, back.Teach, "Twice the gap stands a quarter of the push")
}

var checksStart = time.Date(2026, 5, 14, 7, 42, 0, 0, time.UTC)

func minute(m float64) time.Time { return checksStart.Add(time.Duration(m * float64(time.Minute))) }

func reply(id, state string, m float64) Happened {
	return Happened{At: minute(m), Check: id, State: state}
}

// rightly answers every check of a table at the first minute.
func rightly(table []Check) []Happened {
	var past []Happened
	for _, c := range table {
		h := Happened{At: checksStart, Check: c.ID, Value: "1"}
		if len(c.States) > 0 {
			h = reply(c.ID, c.States[c.RightStates-1], 0)
		}
		past = append(past, h)
	}
	return past
}

func ids(checks []Check) []string {
	out := []string{}
	for _, c := range checks {
		out = append(out, c.ID)
	}
	return out
}

func atWork(m float64) Happened { return Happened{At: minute(m)} }

func event(e Event, m float64) Happened { return Happened{At: minute(m), Event: e} }

var wiped = event(BeltsWiped, 1)

// What is asked again after a pause, and what in a second trial on the same set-up.
var (
	afterPause = []string{
		"chamber-vented", "guards-on", "stop-tested", "supply-isolates", "stub-holed", "plug-held", "line-of-fire",
		"cable-clean", "cable-temperature", "belts-clean", "supply-warm",
	}
	secondTrial = []string{
		"chamber-vented", "guards-on", "stop-tested", "supply-isolates", "stub-holed", "plug-held", "line-of-fire",
		"cable-clean", "cable-temperature", "air-temperature", "belts-clean", "supply-warm", "stub-temperature",
	}
)

// checksDue are the checks that are due again by what happened since all were answered.
var checksDue = []struct {
	name string
	add  []Happened // after every check was answered rightly at minute 0
	now  float64
	want []string
}{
	{"all answered", nil, 1, nil},
	{"exactly ten minutes", nil, 10, nil},
	{"a second more", nil, 10 + 1.0/60, afterPause},
	{"at work all the time", []Happened{atWork(9), atWork(18), atWork(27)}, 36, nil},
	{"pause in the record", []Happened{atWork(11), atWork(12)}, 13, afterPause},
	{"killer asked again since", []Happened{atWork(11), reply("chamber-vented", "hose off, bleed open", 12)}, 13, afterPause[1:]},
	{"clock back now", nil, -1, afterPause},
	{"clock back in the record", []Happened{atWork(-60)}, -59, afterPause},
	{"fold", []Happened{event(FoldSeen, 1)}, 2, []string{"lead-in-fitted", "guards-on"}},
	{"fresh end", []Happened{event(FreshEndCut, 1)}, 2, []string{"reel-slack", "cable-sound", "end-capped", "lines-drawn", "settling-push"}},
	{"belt wipe", []Happened{wiped}, 2, []string{"belts-clean", "lines-drawn", "guards-on"}},
	{"belt wipe, one answered since", []Happened{wiped, reply("belts-clean", "the run's, clean, dry", 2)}, 3, []string{"lines-drawn", "guards-on"}},
	{"answered in the same second: the record's order counts", []Happened{wiped, reply("belts-clean", "the run's, clean, dry", 1)}, 1, []string{"lines-drawn", "guards-on"}},
	{"plug moved", []Happened{event(PlugMoved, 1)}, 2, []string{"plug-held", "stub-clamped", "witness-lines", "settling-push"}},
	{"supply fell", []Happened{event(SupplyFell, 1)}, 2, []string{"supply-warm"}},
	{"warmer", []Happened{event(TemperatureChanged, 1)}, 2, []string{"cable-temperature", "air-temperature", "stub-temperature"}},
	{"wrong reply", []Happened{reply("plug-held", "gives under a rod", 1)}, 2, []string{"plug-held"}},
	{"wrong reply put right", []Happened{reply("plug-held", "gives under a rod", 1), reply("plug-held", "solid, full bore, held", 2)}, 3, nil},
	{"unknown reply", []Happened{reply("plug-held", "fine", 1)}, 2, []string{"plug-held"}},
}

func TestDueChecks(t *testing.T) {
	for _, row := range checksDue {
		t.Run(row.name, func(t *testing.T) {
			log := CheckLog{Past: append(rightly(setupChecks), row.add...)}
			require.Equal(t, append([]string{}, row.want...), ids(DueChecks(log, minute(row.now))))
		})
	}
	t.Run("nothing answered", func(t *testing.T) {
		require.Equal(t, ids(Checks()), ids(DueChecks(CheckLog{}, checksStart)))
	})
	t.Run("second trial on the same set-up", func(t *testing.T) {
		log := CheckLog{Earlier: rightly(setupChecks)}
		require.Equal(t, secondTrial, ids(DueChecks(log, minute(300))))
		log.Trainee = true
		require.Equal(t, ids(Checks()), ids(DueChecks(log, minute(300))), "a trainee answers all")
	})
	t.Run("second trial after a fold at the end of the first", func(t *testing.T) {
		log := CheckLog{Earlier: append(rightly(setupChecks), event(FoldSeen, 1))}
		require.Contains(t, ids(DueChecks(log, minute(300))), "lead-in-fitted")
		require.NotContains(t, ids(DueChecks(log, minute(300))), "gap")
	})
	t.Run("skipped or wrong in the first trial", func(t *testing.T) {
		skip := Happened{At: minute(1), Check: "stub-cut", State: "square, edge smooth", Skipped: true}
		log := CheckLog{Earlier: append(rightly(setupChecks), skip, reply("stub-same", "another lot", 1))}
		got := ids(DueChecks(log, minute(300)))
		require.Contains(t, got, "stub-cut")
		require.Contains(t, got, "stub-same")
	})
}

func TestFilledByTheJob(t *testing.T) {
	log := CheckLog{Filled: []string{"rig.gap", "conditions.cable_temperature"}, Past: []Happened{{At: checksStart}}}
	got := ids(DueChecks(log, minute(10)))
	require.NotContains(t, got, "gap")
	require.NotContains(t, got, "cable-temperature")
	require.Contains(t, got, "run-up")
	got = ids(DueChecks(log, minute(11)))
	require.NotContains(t, got, "gap")
	require.Contains(t, got, "cable-temperature", "it spoils")
	log.Trainee = true
	require.NotContains(t, ids(DueChecks(log, checksStart)), "gap")
}

// Whatever happens after it, a skipped check stays closed for the trial and a
// killer cannot be skipped.
func TestSkips(t *testing.T) {
	for _, c := range Checks() {
		log := CheckLog{Past: append(rightly(setupChecks), Happened{At: minute(1), Check: c.ID, Skipped: true})}
		for _, e := range append([]Event{0}, c.After...) {
			log.Past = append(log.Past, Happened{At: minute(2), Event: e})
			for _, m := range []float64{3, 500, -3} {
				require.Equal(t, c.Killer, slices.Contains(ids(DueChecks(log, minute(m))), c.ID), c.ID)
			}
		}
	}
}

func killerAmong(open []Check) bool {
	return slices.ContainsFunc(open, func(c Check) bool { return c.Killer })
}

func TestKillerOpen(t *testing.T) {
	require.True(t, killerAmong(Checks()))
	require.False(t, killerAmong(nil))
	log := CheckLog{Past: rightly(setupChecks[:7])}
	require.NotEmpty(t, DueChecks(log, checksStart))
	require.False(t, killerAmong(DueChecks(log, checksStart)))
	require.True(t, killerAmong(DueChecks(log, minute(11))))
}

// Every event must matter to a check, or it would be recorded for nothing.
func TestEveryEventTouchesSomething(t *testing.T) {
	for e := FoldSeen; e <= TemperatureChanged; e++ {
		require.True(t, slices.ContainsFunc(setupChecks, func(c Check) bool { return slices.Contains(c.After, e) }), "event %d", e)
	}
}
