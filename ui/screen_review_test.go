package ui

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/ui/rehearsal"
)

// The list begins with the worst. What cannot be read, or was edited, cannot be accepted, and the
// next record is a press away.
func TestReviewRefusesWhatIsNotWhole(t *testing.T) {
	d := reviewed(t)
	d.choose("Review the records")
	d.at("review-list")
	require.Equal(t, "7 records: 7 need a look. Page 1 of 2", d.m.question.Title)
	require.Contains(t, d.m.question.Choices[0].More[1], "! Cannot be read")
	require.Contains(t, d.m.question.Choices[1].More[1], "! Edited after it was sealed")
	require.Contains(t, d.m.question.Choices[2].More[1], "setting harder than was advised", "the worst that can be read")

	d.key("1")
	d.at("review-one")
	require.NotContains(t, strings.Join(labels(d.m.question), "\n"), "Accept it")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), rehearsal.ProfileID(5)+".toml")
	d.choose("Next record")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "! Seal broken: ")
	require.NotContains(t, strings.Join(labels(d.m.question), "\n"), "Accept it")
	d.choose("Next record")
	d.at("review-one")
	require.Contains(t, d.m.question.Body[0], "! Setting harder than was advised: 6 psi, 100 ft/min")
	require.Contains(t, strings.Join(labels(d.m.question), "\n"), "Accept it")
}

// A whole review by labels: every decision is on disk when the screen says so, who reviews
// is asked once, and a wrong decision is mended by another entry.
func TestReviewByLabels(t *testing.T) {
	d := reviewed(t)
	d.choose("Review the records")
	d.key("1")
	d.choose("Next record")
	d.choose("Next record")

	// ask the crew, by what is against it
	id := rehearsal.ProfileID(4)
	d.choose("Ask the crew about it")
	d.choose("Setting harder than was advised")
	d.at("review-who")
	d.choose("QS")
	d.at("review-confirm")
	_, actions := d.decided(id)
	require.Empty(t, actions, "nothing is written before it is confirmed")
	d.choose("Yes, QS asks it")
	require.Equal(t, "! Written and read back: asked, by QS.", d.m.question.Body[0])
	actions = d.stands(id, "queried", 1)
	require.Equal(t, "QS", actions[0].By)
	require.Equal(t, "Explain: setting harder than was advised: 6 psi, 100 ft/min; advised 6 psi, 95 ft/min", actions[0].Note)

	// the crew has answered: accepted, with a note typed; the question stays on record
	d.choose("Accept it")
	d.at("review-confirm")
	require.Contains(t, d.m.question.Body[0], "things are against it")
	d.typeIn("seen with the crew")
	d.choose("Yes, QS accepts it")
	actions = d.stands(id, "accepted", 2)
	require.Equal(t, "seen with the crew", actions[1].Note)

	// an expiry by days
	d.choose("Let it expire")
	for range 3 {
		d.key("+")
	}
	d.key("enter")
	require.Equal(t, "Let it expire on Sunday 2026-06-14?", d.m.question.Title)
	d.choose("Yes, QS sets it")
	actions = d.stands(id, "accepted", 3)
	require.Equal(t, time.Date(2026, 6, 14, 0, 0, 0, 0, time.UTC), actions[2].Expires.UTC())

	// withdrawn for good
	d.choose("Withdraw it")
	d.choose("A gauge or the belts")
	d.choose("Yes, QS withdraws it")
	require.Equal(t, []string{"Next record", "Ask the crew about it"}, labels(d.m.question)[4:], "nothing else is left, and what is keeps its digits")
	d.stands(id, "withdrawn", 4) // nothing is taken out

	// it has left the top of the list, which goes on where it was
	d.choose("Next record")
	d.choose("To the list")
	require.Equal(t, "7 records: 6 need a look. Page 1 of 2", d.m.question.Title)
	sittings, err := filepath.Glob(filepath.Join(d.dir, "reviews", "*.toml"))
	require.NoError(t, err)
	require.Len(t, sittings, 1)
	d.choose("Elsewhere")
	d.choose("To the start page")
	d.at("start")
}

// Somebody who judges an own trial is told so, and so is who reads the review.
func TestReviewOfOwnTrial(t *testing.T) {
	d := reviewed(t)
	d.choose("Review the records")
	d.choose("Find")
	d.choose("Job or site")
	d.choose("J-204")
	d.key("1")
	d.choose("Accept it")
	d.choose("AB, its operator")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "! AB was the operator of this trial")
	d.choose("Yes, AB accepts it")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "AB, 2026-05-15 08:30: accepted (own trial)")
	// another reviewer begins another sitting
	d.choose("Ask the crew about it")
	d.choose("Times that cannot be")
	d.choose("Somebody else decides")
	d.typeIn("KM")
	d.choose("Yes, KM asks it")
	sittings, err := filepath.Glob(filepath.Join(d.dir, "reviews", "*.toml"))
	require.NoError(t, err)
	require.Len(t, sittings, 2)
}

// toTheWorst finds and accepts the worst record that can be accepted.
func (d *driver) toTheWorst(press func(string)) {
	at := func(label string) string {
		for i, c := range d.m.question.Shown() {
			if strings.HasPrefix(d.m.question.Choices[c].Label, label) {
				return d.m.keys()[i]
			}
		}
		d.t.Fatalf("%s has no %q", d.m.question.ID, label)
		return ""
	}
	show := func(label string) { // what is a page further
		for n := 0; n < 4 && !slices.ContainsFunc(d.m.draw().Targets, func(t draw.Target) bool { return t.Key == at(label) }); n++ {
			press("n")
		}
		press(at(label))
	}
	show("Review the records")
	press("3")
	show("Accept it")
	show("QS")
	show("Yes")
}

func TestReviewByTouch(t *testing.T) {
	for _, size := range sizes {
		for _, left := range []bool{false, true} {
			d := reviewed(t)
			d.m.Options.Left = left
			d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			d.toTheWorst(d.touch)
			state, _ := d.decided(rehearsal.ProfileID(4))
			require.Equal(t, "accepted", state)
			t.Logf("%d × %d: %d presses from the start page", size[0], size[1], d.presses)
			require.LessOrEqual(t, d.presses, 7)
		}
	}
}

func TestReviewScreens(t *testing.T) {
	rehearsal.Long(t)
	for _, row := range []struct {
		name string
		ways []string // labels, or keys after "="
	}{
		{"review_list", nil},
		{"review_find", []string{"Find"}},
		{"review_rigs", []string{"Find", "Rig"}},
		{"review_words", []string{"Find", "Words"}},
		{"review_none", []string{"Find", "State", "- expired"}},
		{"review_unreadable", []string{"=1"}},
		{"review_edited", []string{"=2"}},
		{"review_one", []string{"=3"}},
		{"review_map", []string{"=2", "Pushes on the map"}},
		{"review_pushes", []string{"=2", "Pushes on the map", "Next"}},
		{"review_answers", []string{"=2", "What was answered"}},
		{"review_facts", []string{"=2", "What was answered", "Next"}},
		{"review_files", []string{"=2", "What was answered", "Next", "Next"}},
		{"review_more", []string{"=3", "More of it"}},
		{"review_pick", []string{"=3", "More of it", "Compare"}},
		{"review_compare", []string{"=3", "More of it", "Compare", "! Disagrees"}},
		{"review_trend", []string{"=3", "More of it", "Setting against"}},
		{"review_who", []string{"=3", "Accept it"}},
		{"review_confirm", []string{"=3", "Accept it", "QS"}},
		{"review_query", []string{"=3", "Ask the crew"}},
		{"review_expiry", []string{"=3", "Let it expire"}},
		{"review_withdraw", []string{"=3", "Withdraw it"}},
		{"review_withdraw_sure", []string{"=3", "Withdraw it", "A newer trial", "QS"}},
		{"review_withdrawn", []string{"=3", "Withdraw it", "A newer trial", "QS", "Yes"}},
		{"review_elsewhere", []string{"Elsewhere"}},
		{"review_weeks", []string{"Elsewhere", "Totals by week", "By rig"}},
		{"review_pairs", []string{"Elsewhere", "Setting against"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := reviewed(t)
			d.choose("Review the records")
			for _, way := range row.ways {
				if name, key := strings.CutPrefix(way, "="); key {
					d.key(name)
					continue
				}
				d.choose(way)
			}
			d.goldens(row.name)
			d.m.Options.ASCII = true
			for _, r := range d.m.View() {
				require.True(t, r == '\n' || r >= ' ' && r <= '~', "%q", r)
			}
		})
	}
}

// No page has more choices than digits, and each can be touched at every size, if not on
// the first page then a page further.
func TestReviewEveryChoice(t *testing.T) {
	rehearsal.Long(t)
	d := reviewed(t)
	d.choose("Review the records")
	seen := map[string]bool{}
	var visit func(ways []int)
	visit = func(ways []int) {
		d.run(d.m.do(d.m.flow, ask.Turn{To: func(k ask.Keeper) (ask.Keeper, *ask.Home, error) { return ask.ReviewRecords(k, d.library()) }}))
		for _, i := range ways {
			d.run(d.m.choose(i))
			require.Empty(t, d.m.failure)
		}
		q := d.m.question
		if seen[q.ID+q.Title] || q.Place != "review" {
			return
		}
		seen[q.ID+q.Title] = true
		require.LessOrEqual(t, len(q.Shown()), mostDigits, q.ID)
		d.reachable()
		for i := range q.Choices {
			if len(ways) < 4 && !strings.HasPrefix(q.Choices[i].Label, "Yes") {
				visit(append(slices.Clone(ways), i))
			}
		}
	}
	visit(nil)
	require.Greater(t, len(seen), 30)
}

func TestReviewEmpty(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.choose("Review the records")
	d.at("review-empty")
	d.goldens("review_empty")
	d.choose("To the start page")
	d.at("start")
	require.Empty(t, filesBut(t, d.dir, ".lock"), "looking writes nothing")
}

// A decision that cannot be written is said, and the question stays.
func TestReviewNotWritten(t *testing.T) {
	d := reviewed(t)
	d.choose("Review the records")
	d.key("3")
	d.choose("Accept it")
	d.choose("QS")
	require.NoError(t, os.WriteFile(filepath.Join(d.dir, "reviews"), []byte("in the way"), 0o666))
	d.clock = d.clock.Add(time.Second)
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(ask.EndKey)})
	require.NotEmpty(t, d.m.failure)
	d.at("review-confirm")
	require.NoError(t, os.Remove(filepath.Join(d.dir, "reviews")))
	d.choose("Yes")
	require.Contains(t, d.m.question.Body[0], "! Written and read back: accepted, by QS. It hands out nothing all the same: Its pushes lead to 6 psi, 95 ft/min")
}

// Line by line the same pages have the same words, and the decision is on disk.
func TestReviewPlain(t *testing.T) {
	d := reviewed(t)
	k, home, err := ask.ReviewRecords(ask.NewKeeper(d.library(), nil), d.library())
	require.NoError(t, err)
	answers := []string{"Find", "Rig: any", "Rig 2 (4)", "* NEW  Northmoor", "Pushes on the map", "Next", "To the record", "More of it", "Setting against", "To the record",
		"Accept it", "QS", "=checked with the crew", "Yes, QS accepts it", "To the list", "Elsewhere", "Totals by week", "Back", "To the start page"}
	o := &operator{answer: func(asked string) string {
		if len(answers) == 0 {
			return ""
		}
		a := answers[0]
		answers = answers[1:]
		if text, typed := strings.CutPrefix(a, "="); typed {
			return text
		}
		return pressFor(asked[strings.LastIndex(asked, "\n[")+1:], a)
	}}
	require.NoError(t, (&Plain{In: o, Out: o, Now: func() time.Time { return d.clock }, Keeper: k, Home: home}).Run())
	text := o.printed.String()
	for _, want := range []string{"[review] Reading the records", "[review] 7 records: 7 need a look", "[review] 4 records: 4 need a look. Rig: Rig 2", "Written and read back: accepted, by QS.", "Left. What was decided is on disk.", "@ this record", "setting harder than was advised"} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, "\x1b")
	state, actions := d.decided(rehearsal.ProfileID(4))
	require.Equal(t, "accepted", state)
	require.Equal(t, "checked with the crew", actions[0].Note)
	require.NoError(t, k.Close())
}

func BenchmarkReviewPages(b *testing.B) {
	dir := os.Getenv("BRINKMARK_BENCH_LIBRARY")
	if dir == "" {
		b.Skip("no library is named")
	}
	library, err := rehearsal.OpenLibrary(dir, time.Now, rand.NewChaCha8([32]byte{}))
	require.NoError(b, err)
	d := newDriver(&testing.T{}, b.TempDir())
	d.run(d.m.do(d.m.flow, ask.Turn{To: func(k ask.Keeper) (ask.Keeper, *ask.Home, error) { return ask.ReviewRecords(k, library) }}))
	d.at("review-list")
	for b.Loop() {
		d.key("n")
		_ = d.m.View()
	}
}
