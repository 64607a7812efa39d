package ui

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/show"
)

// newPractice is the practice command on screens, with a lesson or at their list.
func newPractice(t testing.TB, choice ask.PracticeChoice, options profiles.Options) *driver {
	t.Helper()
	dir := t.TempDir()
	d := &driver{dir: dir, clock: rehearsal.Morning}
	d.t, _ = t.(*testing.T)
	now := func() time.Time { return d.clock }
	library, err := rehearsal.OpenLibrary(dir, now, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	k, home, err := ask.Practise(ask.NewKeeper(library, nil), library, choice)
	require.NoError(t, err)
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	options.Theme = "plain"
	d.m = newModel(Screens{Keeper: k, Now: now, Renderer: r, Options: options}, home)
	return d
}

// choose presses the choice that begins with a label, by its key.
func (d *driver) choose(label string) {
	d.t.Helper()
	for i, at := range d.m.question.Shown() {
		if !strings.HasPrefix(d.m.question.Choices[at].Label, label) {
			continue
		}
		for d.m.keys()[i] == "" { // a page of the list further
			d.key("n")
		}
		d.key(d.m.keys()[i])
		return
	}
	d.t.Fatalf("%s has no choice %q: %v", d.m.question.ID, label, d.m.question.Choices)
}

// watchOut lets a push be watched to its end.
func (d *driver) watchOut() {
	for n := 0; !d.m.watch.over; n++ {
		require.Less(d.t, n, 1000)
		d.clock = d.clock.Add(frameTime)
		_, _ = d.m.Update(frameMsg{d.m.pushes})
	}
}

// learn answers the question on the screen as one who reads well, and reports whether
// the lesson goes on.
func (d *driver) learn() bool {
	trial, _ := d.m.trial.(*ask.PracticeTrial)
	yes := func(v bool) { d.choose(map[bool]string{true: "Yes", false: "No"}[v]) }
	switch id := d.m.question.ID; id {
	case "review":
		return false
	case "push":
		d.watchOut()
		d.choose("Read it")
	case "read":
		if trial.Bench.Last().Truth.Outcome == session.Void {
			d.choose("VOID")
		} else {
			d.choose("Answer")
		}
	case "belts":
		yes(trial.Bench.Last().Truth.BeltsTurning)
	case "line":
		yes(trial.Bench.Last().Truth.LineMoved)
	case "witness":
		yes(trial.Bench.Last().Truth.WitnessHeld)
	case "first-act":
		d.choose("Press stop")
	case "odd":
		d.choose("Yes, ")
	default:
		if d.seesCheck(trial) {
			return true
		}
		if d.m.asksValue() {
			next, effect, err := d.m.question.Enter.Take(d.m.flow, d.m.question.Enter.Example)
			require.NoError(d.t, err)
			d.run(d.m.do(next, effect))
			return true
		}
		for d.m.draw().Unread {
			d.key("n")
		}
		d.key(d.goesOn())
	}
	return true
}

// Every lesson of a trial comes to its end and its review, whatever the trial comes to.
func TestEveryLessonEnds(t *testing.T) {
	rehearsal.Long(t)
	all, problems := lessons.BuiltIn()
	require.Empty(t, problems)
	for _, lesson := range all {
		if lesson.Run != nil {
			continue // TestPracticeRun has it
		}
		t.Run(lesson.ID, func(t *testing.T) {
			d := newPractice(t, ask.PracticeChoice{Lesson: lesson.ID, Seed: "1"}, profiles.Options{Still: true})
			for n := 0; d.learn(); n++ {
				require.Less(t, n, 400)
			}
			require.Equal(t, "review", d.m.question.ID)
		})
	}
}

// A stall, a slip and a fold as they are watched, read, and told.
func TestPracticeScreens(t *testing.T) {
	rehearsal.Long(t)
	for _, size := range sizes {
		name := func(of string) string { return fmt.Sprintf("practice_%s/%dx%d", of, size[0], size[1]) }
		d := newPractice(t, ask.PracticeChoice{}, profiles.Options{})
		d.m.w, d.m.h = size[0], size[1]
		sameScreen(t, name("lessons"), d.m)
		d = newPractice(t, ask.PracticeChoice{Lesson: "2", Seed: "1"}, profiles.Options{})
		d.m.w, d.m.h = size[0], size[1]
		sameScreen(t, name("lesson"), d.m)
		seen := map[session.Outcome]bool{}
		for n := 0; ; n++ {
			require.Less(t, n, 400)
			if trial := d.m.trial.(*ask.PracticeTrial); d.m.question.ID == "push" && !seen[trial.Bench.Last().Truth.Outcome] {
				o := trial.Bench.Last().Truth.Outcome
				seen[o] = true
				d.m.watch.from = d.clock // the driver let a real push pass
				d.clock = d.clock.Add(time.Duration(0.5 * trial.Bench.Last().Lasts() * float64(time.Second)))
				_, _ = d.m.Update(frameMsg{d.m.pushes})
				require.True(t, d.m.handsOff())
				sameScreen(t, name(o.String()+"_midway"), d.m)
				d.watchOut()
				sameScreen(t, name(o.String()+"_end"), d.m)
				d.choose("Read it")
				for d.m.question.ID != "belts" {
					require.True(t, d.learn())
				}
				sameScreen(t, name(o.String()+"_belts"), d.m)
				for d.m.question.ID != "truth" {
					require.True(t, d.learn())
				}
				sameScreen(t, name(o.String()+"_told"), d.m)
			}
			if !d.learn() {
				break
			}
		}
		require.Len(t, seen, 3, "%v", seen)
		sameScreen(t, name("review"), d.m)
	}
}

// However slow the run-up, a push is watched for a few seconds, and to its end.
func TestPracticeWatchIsShort(t *testing.T) {
	d := newPractice(t, ask.PracticeChoice{Lesson: "2", Seed: "1"}, profiles.Options{})
	for d.m.question.ID != "push" {
		require.True(t, d.learn())
	}
	push := d.m.question.Scene.Push
	require.Greater(t, push.Lasts(), 10.0)
	require.Negative(t, push.At(d.m.watch.at).Line, "the head is still on its way")
	began := d.clock
	d.watchOut()
	require.LessOrEqual(t, d.clock.Sub(began), 5100*time.Millisecond)
	require.GreaterOrEqual(t, d.m.watch.at, push.Lasts())
}

// A whole lesson on screens, with moving pictures and with still ones, then the list
// that shows it, and the progress; nothing of it is among the records of trials.
func TestPracticeOnScreens(t *testing.T) {
	for _, still := range []bool{false, true} {
		d := newPractice(t, ask.PracticeChoice{Lesson: "1", Seed: "7"}, profiles.Options{Still: still})
		for n := 0; d.learn(); n++ {
			require.Less(t, n, 400)
			if d.m.question.ID == "push" {
				require.Equal(t, still, !d.m.handsOff())
			}
		}
		require.Contains(t, strings.Join(d.m.question.Body, "\n"), ": passed.")
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("u")})
		require.Empty(t, d.m.failure, "there is nothing to take back")
		require.Equal(t, "review", d.m.question.ID)
		d.choose("To the lessons")
		require.Equal(t, "lessons", d.m.question.ID)
		require.Contains(t, d.m.question.Choices[0].Label, "(passed)")
		require.Contains(t, d.m.question.Body[1], "Next: lesson 2")
		require.Equal(t, []string{"practice/history.toml"}, files(t, d.dir))
		require.Nil(t, d.m.trial)
		require.NoError(t, os.Remove(filepath.Join(d.dir, "practice", "history.toml")))
		d.choose("Progress so far") // the history was read once, and is known since
		require.Contains(t, strings.Join(d.m.question.Body, " "), "A first clean trial: taken 1, passed 1.")
	}
}

// A result that cannot be written is said on the review, once, and can be written again.
func TestPracticeUnkept(t *testing.T) {
	for _, choice := range []ask.PracticeChoice{{Lesson: "1", Seed: "7"}, {Lesson: "run-slows", Seed: "1"}} {
		d := newPractice(t, choice, profiles.Options{Still: true})
		blocked := filepath.Join(d.dir, "practice")
		require.NoError(t, os.WriteFile(blocked, nil, 0o644)) // where the folder should be
		if d.m.question.ID == "run" {
			d.choose("Stop and look")
		}
		for d.learn() {
		}
		said := func() int { return strings.Count(strings.Join(d.m.question.Body, "\n")+d.m.failure, "practice") }
		require.Contains(t, d.m.question.Body[0], "! The result is not in the history yet: ")
		require.Empty(t, d.m.failure)
		before := said()
		d.choose("Write it again")
		require.Equal(t, before, said())
		require.NoError(t, os.Remove(blocked))
		d.choose("Write it again")
		require.Equal(t, "review", d.m.question.ID)
		require.NotContains(t, strings.Join(d.m.question.Body, " "), "not in the history")
		require.Len(t, d.m.question.Choices, 1)
		results, wrong := rehearsal.Practised(d.dir)
		require.Empty(t, wrong)
		require.Len(t, results, 1)
	}
}

// What is practised is no record: no profile, no job to begin from, nothing to resume,
// nothing that covers.
func TestPracticeIsNoRecord(t *testing.T) {
	d := newPractice(t, ask.PracticeChoice{Lesson: "1", Seed: "7"}, profiles.Options{Still: true})
	for d.learn() {
	}
	library, err := rehearsal.OpenLibrary(d.dir, func() time.Time { return d.clock }, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	open, unreadable, err := ask.Unfinished(library)
	require.NoError(t, err)
	require.Empty(t, open)
	require.Empty(t, unreadable)
	jobs, err := library.LastJobs()
	require.NoError(t, err)
	require.Empty(t, jobs)
	require.Equal(t, profiles.Cards{}, library.Cards())
	v, err := library.Cover(d.m.flow.Record, d.clock)
	require.NoError(t, err)
	require.Equal(t, profiles.Retest, v.Effect)
	home, err := ask.NewKeeper(library, nil).Home()
	require.NoError(t, err)
	require.Contains(t, home.Question().Choices[0].Label, "New here?")
}

// The run lesson is passed by stopping in time and failed by pushing harder.
func TestPracticeRun(t *testing.T) {
	for act, passed := range map[string]bool{"Stop and look": true, "Push harder": false} {
		d := newPractice(t, ask.PracticeChoice{Lesson: "run-slows", Seed: "1"}, profiles.Options{})
		for n := 0; d.m.question.ID == "run"; n++ {
			require.Less(t, n, 500)
			line := d.m.question.Body[len(d.m.question.Body)-1]
			var in, runs float64
			_, err := fmt.Sscanf(line, "In the duct: %f ft. The cable runs at %f ft/min.", &in, &runs)
			require.NoError(t, err, line)
			if runs < 75 {
				d.choose(act)
			} else {
				d.choose("Let it run")
			}
		}
		require.Equal(t, "review", d.m.question.ID)
		results, wrong := rehearsal.Practised(d.dir)
		require.Empty(t, wrong)
		require.Len(t, results, 1)
		require.Equal(t, passed, results[0].Passed, "%q", d.m.question.Body)
	}
}

// Every lesson begins, and a lesson that is left leaves nothing.
func TestPracticeLeft(t *testing.T) {
	d := newPractice(t, ask.PracticeChoice{}, profiles.Options{})
	n := len(d.m.question.Choices) - 4
	require.GreaterOrEqual(t, n, 12)
	for i := range n {
		d.run(d.m.choose(i))
		require.Contains(t, []string{"lesson", "run"}, d.m.question.ID)
		require.Contains(t, strings.Join(d.m.question.Body, " "), practice.Notice)
		d.run(d.m.choose(len(d.m.question.Choices) - 1))
		require.Equal(t, "lessons", d.m.question.ID)
	}
	require.Empty(t, files(t, d.dir))
}

// Free practice is put together on the job pages: by typing all that is needed, in the
// tablet's units, or from cards; and says where each figure of its rig comes from.
func TestPracticeFree(t *testing.T) {
	d := newPractice(t, ask.PracticeChoice{}, profiles.Options{Metric: true})
	d.choose("Free practice")
	for n := 0; d.m.question.ID != "job"; n++ {
		require.Less(t, n, 40)
		if d.m.question.ID == "which-way" {
			d.choose("The higher one")
			continue
		}
		require.NotNil(t, d.m.question.Enter, "%v", d.m.question)
		example := d.m.question.Enter.Example
		if d.m.question.ID == "rig.push_unit" {
			example = "m/min"
		}
		require.NotRegexp(t, "°F|ft|psi| F$", example)
		next, effect, err := d.m.question.Enter.Take(d.m.flow, example)
		require.NoError(t, err)
		d.run(d.m.do(next, effect))
	}
	d.choose("Yes, make up a rig")
	body := strings.Join(d.m.question.Body, "\n")
	require.Contains(t, body, "From the job: cable diameter 12.4 mm; mass 118 kg/km; bending stiffness 1.9 N·m²; bore 3")
	require.Contains(t, body, "Made up: stiffness measured at 5 °C, as the cable is now;")
	require.Empty(t, files(t, d.dir))
	for d.learn() {
	}
	require.Equal(t, "review", d.m.question.ID)
	require.Equal(t, []string{"practice/history.toml"}, files(t, d.dir))

	job, _, err := rehearsal.ReadFile("../testdata/jobs/example.toml")
	require.NoError(t, err)
	library, err := rehearsal.OpenLibrary(d.dir, func() time.Time { return d.clock }, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	require.NoError(t, library.SaveCards(*job))
	d.choose("To the lessons")
	for _, label := range []string{"Free practice", "LT-96 loose tube, Northmoor, 12.4 mm", "1.25 in SDR 11, smooth"} {
		d.choose(label)
	}
	next, effect, err := d.m.question.Enter.Take(d.m.flow, "41 F")
	require.NoError(t, err)
	d.run(d.m.do(next, effect))
	d.choose("Rig 2")
	require.Equal(t, "Practise on this job?", d.m.question.Title)
	d.choose("Yes, make up a rig")
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "cable diameter 0.488")
	d.choose("Another lesson")
	require.Equal(t, "lessons", d.m.question.ID)
}

// A name is chosen, kept beside the results, and offered again.
func TestPracticeWho(t *testing.T) {
	d := newPractice(t, ask.PracticeChoice{}, profiles.Options{})
	d.run(d.m.choose(len(d.m.question.Choices) - 2))
	require.Equal(t, "who", d.m.question.ID)
	next, effect, err := d.m.question.Enter.Take(d.m.flow, "AB")
	require.NoError(t, err)
	d.run(d.m.do(next, effect))
	d.run(d.m.choose(11))
	d.choose("Stop and look")
	d.choose("To the lessons")
	d.run(d.m.choose(len(d.m.question.Choices) - 3))
	require.Equal(t, "Progress of AB", d.m.question.Title)
	require.Contains(t, strings.Join(d.m.question.Body, " "), "taken 1, passed 0")
}

func TestPracticeUse(t *testing.T) {
	library, err := rehearsal.OpenLibrary(t.TempDir(), func() time.Time { return rehearsal.Morning }, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	for _, c := range []ask.PracticeChoice{{Lesson: "99"}, {Lesson: "0"}, {Lesson: "no-such"}, {Lesson: "1", Seed: "x"}, {Lesson: "1", Seed: "0"}, {Seed: "3"}, {Lesson: "1", Job: &profiles.Record{}}} {
		_, _, err := ask.Practise(ask.NewKeeper(library, nil), library, c)
		require.ErrorAs(t, err, &show.WrongUse{}, "%+v", c)
	}
	_, _, err = ask.Practise(ask.NewKeeper(library, nil), library, ask.PracticeChoice{Job: &profiles.Record{Format: 1}})
	require.Error(t, err)
}
