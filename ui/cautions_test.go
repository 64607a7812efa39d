package ui

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/session/run"
	"brinkmark/ui/rehearsal"
)

// saidPage is one page as it was shown: its title, and all that could be read on it.
type saidPage struct{ title, text string }

// aWalk is how a day's pages came one after another, in one way of showing them.
type aWalk struct {
	mode  string
	pages []saidPage
}

// The acts that cautions are about, by what the page of each asks or says.
var (
	setUpActs = asksOf(session.Checks(), func(session.Check) bool { return true })
	driveActs = append(asksOf(session.Checks(), func(c session.Check) bool {
		return slices.Contains([]string{"stop-tested", "supply-isolates", "push-control-proved", "supply-warm", "settling-push"}, c.ID)
	}), "Push. Hands off the tablet")
	foldActs  = append(asksOf(session.Checks(), func(session.Check) bool { return true }), "how much is cut off", "everyone clear")
	stubActs  = asksOf(session.DueCarryOver(session.CheckLog{}, time.Time{}), func(c session.Check) bool { return c.Block == session.StubOff })
	airActs   = asksOf(session.DueCarryOver(session.CheckLog{}, time.Time{}), func(c session.Check) bool { return c.Block == session.AirNext })
	proofActs = asksOf(run.Checks(), func(c session.Check) bool { return c.Block == session.DuctProof })
	openActs  = asksOf(run.Checks(), func(c session.Check) bool { return c.ID == "proof-vented" || c.ID == "run-vented" })
)

func asksOf(checks []session.Check, is func(session.Check) bool) []string {
	var asks []string
	for _, c := range checks {
		if is(c) {
			asks = append(asks, c.Ask)
		}
	}
	return asks
}

// cautionMoments is every moment, and the acts in a trial and in a run that its cautions must
// come before. shown is false where no page says them yet.
//
// Source: common practice, no source.
var cautionMoments = []struct {
	session.Moment
	trial, run []string
	shown      bool
}{
	{session.WorkingOnSite, setUpActs, proofActs, true},
	{session.EnteringChamber, setUpActs, proofActs, true},
	{session.HandlingReels, setUpActs, proofActs, true},
	{session.BeforeTrial, setUpActs, proofActs, true},
	{session.BeforeFirstPush, driveActs, nil, true},
	{session.AfterFold, foldActs, nil, true},
	{session.CarryingOver, stubActs, nil, true},
	{session.TestingDuct, nil, proofActs, true},
	{session.BeforeAir, airActs, proofActs, true},
	{session.DuringRun, nil, []string{"press as the cable moves"}, true},
	{session.BeforeOpening, nil, openActs, true},
}

// Every caution of the table is read before the act it is about, in both ways of showing a
// trial and a run, on the smallest screen too.
func TestEveryCautionComesBeforeItsAct(t *testing.T) {
	rehearsal.Long(t)
	trials := []aWalk{trialInPlain(t)}
	runs := []aWalk{runInPlain(t)}
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		trials = append(trials, trialOnScreens(t, size))
		runs = append(runs, runOnScreens(t, size))
	}
	for i, row := range cautionMoments {
		require.Equal(t, session.Moment(i+1), row.Moment, "every moment has its row")
		require.NotEmpty(t, append(slices.Clone(row.trial), row.run...))
		for _, in := range []struct {
			what  string
			walks []aWalk
			acts  []string
		}{{"trial", trials, row.trial}, {"run", runs, row.run}} {
			for _, w := range in.walks {
				t.Run(fmt.Sprintf("%s/%s/%s", row.Moment, in.what, w.mode), func(t *testing.T) {
					switch {
					case in.acts == nil:
						t.Skip("has no such act")
					case !row.shown:
						t.Skip("no page says it yet")
					}
					said := w.before(t, row.Moment, in.acts)
					var unsaid []string
					for _, c := range session.Cautions(row.Moment) {
						if !strings.Contains(said, c.Say) {
							unsaid = append(unsaid, c.Say)
						}
					}
					require.Empty(t, unsaid)
				})
			}
		}
	}
	require.Len(t, cautionMoments, int(session.BeforeOpening))
	require.Empty(t, session.Cautions(session.BeforeOpening+1), "a moment without a row")
}

// before is all that was shown before the first of some acts; after a fold, from there on, and
// all that the page says which comes next: it is the one that keeps the hands away.
func (w aWalk) before(t *testing.T, m session.Moment, acts []string) string {
	t.Helper()
	pages := w.pages
	if m == session.AfterFold {
		at := slices.IndexFunc(pages, func(p saidPage) bool {
			return strings.Contains(p.text, "What happened?") && strings.HasSuffix(p.text, foldPressed)
		})
		require.GreaterOrEqual(t, at, 0, "nothing folds in this walk")
		pages = pages[at+1:]
	}
	var said []string
	for _, p := range pages {
		if m == session.AfterFold && p.title == pages[0].title {
			said = append(said, p.text)
			continue
		}
		if slices.ContainsFunc(acts, func(act string) bool { return strings.Contains(p.title+" "+p.text, act) }) {
			return strings.Join(said, " ")
		}
		said = append(said, p.text)
	}
	require.Fail(t, "the act never came", "%v", acts)
	return ""
}

// foldPressed marks a page on which a fold was read.
const foldPressed = " [FOLD]"

// flat is a text in one line.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// watched notes each page that a driver comes to, page of the text by page of the text.
func (d *driver) watched(w *aWalk) {
	d.seen = func() {
		rows := strings.Split(d.m.View(), "\n")
		text := flat(strings.Join(rows, "\n"))
		if d.m.question.ID == "cautions" { // a sentence may go on over the page
			text = flat(strings.Join(slices.DeleteFunc(rows[1:len(rows)-1], func(row string) bool { return strings.ContainsAny(row, "│┌└") }), "\n"))
		}
		w.pages = append(w.pages, saidPage{d.m.question.Title, text})
	}
}

// Twelve pushes, a fold among them.
var foldingRig = rig{fold: 150, slipPerPSI: 8}

func trialOnScreens(t *testing.T, size [2]int) aWalk {
	d := newDriver(t, t.TempDir())
	d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
	w := aWalk{mode: fmt.Sprintf("%dx%d", size[0], size[1])}
	d.watched(&w)
	d.wholeTrial("2", foldingRig, func(key string) {
		if d.m.question.ID == "read" && key == "3" {
			w.pages[len(w.pages)-1].text += foldPressed
		}
		d.key(key)
	})
	return w
}

func runOnScreens(t *testing.T, size [2]int) aWalk {
	dir := t.TempDir()
	d := newRunDriver(t, dir, pulledProfile(t, dir))
	d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
	w := aWalk{mode: fmt.Sprintf("%dx%d", size[0], size[1])}
	d.watched(&w)
	for _, a := range wholeRunAnswers() {
		for d.m.question.ID == "cautions" && d.m.draw().Unread {
			d.key("1")
		}
		d.say(a)
	}
	return w
}

// wholeRunAnswers are those of a run without trouble, until the ends are closed.
func wholeRunAnswers() []string {
	return slices.Concat(crewAnswers, proveAnswers, airAnswers, dialAnswers, goAnswers, []string{
		"run-running: Arrived", "run-end: Seen", "run-end-mark: =6270 ft", "cautions: Read aloud", "run-vented: all done"})
}

// byPages splits what plain mode printed into pages.
func byPages(printed string) []saidPage {
	var pages []saidPage
	for i, text := range strings.Split(printed, "\n[") {
		if title, _, _ := strings.Cut(text, "\n"); i > 0 {
			pages = append(pages, saidPage{title, flat(text)})
		}
	}
	return pages
}

func trialInPlain(t *testing.T) aWalk {
	o, _ := plainTrial(t, scripted("STALL", "FOLD"))
	w := aWalk{"plain", byPages(o.printed.String())}
	for i, p := range w.pages {
		if strings.Contains(p.text, "What happened?") && strings.Contains(p.text, "> 3") { // what was typed
			w.pages[i].text += foldPressed
		}
	}
	return w
}

func runInPlain(t *testing.T) aWalk {
	dir := t.TempDir()
	id := pulledProfile(t, dir)
	o := plainRun(t, newDriver(t, dir), id, wholeRunAnswers())
	return aWalk{"plain", byPages(o.printed.String())}
}

// The page before the stub comes off, at every size.
func TestCarryOverCautionsScreen(t *testing.T) {
	rehearsal.Long(t)
	for _, size := range sizes {
		d := newDriver(t, t.TempDir())
		d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		d.key("2")
		for n := 0; d.m.question.Stage != session.CarryStage; n++ {
			require.Less(t, n, 200)
			d.step(foldingRig, d.key)
		}
		require.Equal(t, "cautions", d.m.question.ID)
		sameScreen(t, fmt.Sprintf("end_cautions/%dx%d", size[0], size[1]), d.m)
	}
}

// What is said once more in a run, hours later, is said before that act too.
func TestCautionsComeAgainInARun(t *testing.T) {
	w := runInPlain(t)
	for _, row := range []struct {
		session.Moment
		act   string
		times int
	}{{session.BeforeAir, "Hoses and fittings?", 2}, {session.BeforeOpening, openActs[len(openActs)-1], 2}} {
		said := ""
		for _, p := range w.pages {
			if strings.Contains(p.text, row.act) {
				break
			}
			said += " " + p.text
		}
		for _, c := range session.Cautions(row.Moment) {
			require.Equal(t, row.times, strings.Count(said, c.Say), "%s, before %q", c.ID, row.act)
		}
	}
}
