package ui

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/ask"
	"brinkmark/ui/golden"
	"brinkmark/ui/rehearsal"
)

// listener takes a lesson in plain mode by what is printed, and by nothing else.
type listener struct {
	push  string // the words of the last push
	typed []string
	wrong bool // reads every push the other way round
	hasty bool // pulls by hand first
}

func (l *listener) answer(asked string) string {
	a := l.say(asked[strings.LastIndex(asked, "\n[")+1:])
	if len(l.typed) > 1000 {
		panic("the lesson never ends: " + asked)
	}
	if a != "" {
		l.typed = append(l.typed, a)
	}
	return a
}

func (l *listener) say(question string) string {
	has := func(text string) bool { return strings.Contains(question, text) }
	yes := func(v bool) string {
		if v != l.wrong {
			return pressFor(question, "Yes")
		}
		return pressFor(question, "No")
	}
	if a := lookedAt(question); a != "" {
		return a
	}
	last := l.push[strings.LastIndex(l.push, " s: ")+1:]
	switch {
	case has("How it went"), has("Which lesson?"):
		return ""
	case has("Push. Eyes on"):
		l.push = question
		return pressFor(question, "Read it")
	case has("Two questions tell"):
		if strings.Contains(last, "stays there") || strings.Contains(last, "stands still") && !strings.Contains(l.push, "supply 100 %") {
			return pressFor(question, "VOID")
		}
		return pressFor(question, "Answer")
	case has("belts keep turning?"):
		return yes(strings.Contains(last, "goes round"))
	case has("line move past the pointer?"):
		return yes(strings.Contains(last, "past the allowance line"))
	case has("lines on plug and stub still true?"):
		if strings.Contains(l.push, "off by") {
			return pressFor(question, "No")
		}
		return pressFor(question, "Yes")
	case has("What first?"):
		if l.hasty {
			return pressFor(question, "Open the belts")
		}
		return pressFor(question, "Press stop")
	case has("Really "):
		return pressFor(question, "Yes")
	case choiceLine.MatchString(question) && toType(question) == "" || has("  Still so") || has("  Go on"), has("  All true"), has("  Dialled"):
		return firstKey(question)
	}
	example := toType(question)
	if example == "" || has("  It reads") {
		return firstKey(question)
	}
	return example
}

// lookedAt answers a check by what is seen there; "" where nothing is.
func lookedAt(question string) string {
	asked := func(id string) bool {
		c, _ := session.CheckByID(id)
		if id == session.CheckSettling { // asked for with its numbers
			return strings.Contains(question, "[practice, checks] Settling push: dial ")
		}
		return strings.Contains(question, "[practice, checks] "+c.Ask+"\n") || strings.Contains(question, "[practice, checks] Not right yet. "+c.Ask+"\n")
	}
	for _, s := range practice.Sights() {
		c, _ := session.CheckByID(s.Check)
		switch {
		case !strings.Contains(question, s.Seen) || s.State == "":
		case asked(s.Check):
			return pressFor(question, s.State)
		case strings.Contains(question, "Not so: "+c.Ask) && !c.Right(s.State, ""):
			return pressFor(question, "Not so: "+c.Ask)
		}
	}
	return ""
}

// practised takes a lesson of the practice command line by line, in a library of its
// own, and returns what was said and the library's folder.
func practised(t *testing.T, l *listener, choice ask.PracticeChoice, dir string) string {
	t.Helper()
	clock := rehearsal.Morning
	now := func() time.Time { clock = clock.Add(time.Second); return clock }
	library, err := rehearsal.OpenLibrary(dir, now, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	k, home, err := ask.Practise(ask.NewKeeper(library, nil), library, choice)
	require.NoError(t, err)
	o := &operator{answer: l.answer}
	require.NoError(t, (&Plain{In: o, Out: o, Now: now, Keeper: k, Home: home}).Run())
	require.Regexp(t, regexp.MustCompile(`^[\n -~°·²³–−×±…éäöüßµ]*$`), o.printed.String())
	return o.printed.String()
}

func files(t *testing.T, dir string) []string {
	var found []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			found = append(found, filepath.ToSlash(rel))
		}
		return err
	}))
	return found
}

// The first lesson is short enough to be taken to its end. Before its set-up was found
// right by others and its ladder began higher, it took 37 answers to the first push and
// 116 in all.
func TestFirstLessonIsShort(t *testing.T) {
	l := &listener{}
	said := practised(t, l, ask.PracticeChoice{Lesson: "1", Seed: "7"}, t.TempDir())
	first, _, _ := strings.Cut(said, "Push. Eyes on")
	require.Equal(t, 12, strings.Count(first, "\n> "), "one of the seven is wrong for this seed, and looked at again")
	require.Len(t, l.typed, 76)
	killers := 0
	for _, c := range session.Checks() {
		if c.Killer {
			killers++
			require.Contains(t, first, "[practice, checks] "+c.Ask)
		}
	}
	require.Equal(t, killers+1, strings.Count(first, "[practice, checks]"))
	require.Contains(t, first, "found 20 things right")
	require.Contains(t, first, fmt.Sprintf("The %d that can kill are yours", killers))
}

// A whole lesson, heard line by line, passed by reading right and failed by reading
// wrong or reaching in; the history is all that it leaves.
func TestPracticePlain(t *testing.T) {
	rehearsal.Long(t)
	for name, row := range map[string]struct {
		who    listener
		choice ask.PracticeChoice
		passed bool
	}{
		"passed":      {listener{}, ask.PracticeChoice{Lesson: "1", Seed: "7"}, true},
		"wrong":       {listener{wrong: true}, ask.PracticeChoice{Lesson: "first-clean-trial", Seed: "7"}, false},
		"hasty":       {listener{hasty: true}, ask.PracticeChoice{Lesson: "3", Seed: "1"}, false},
		"fold":        {listener{}, ask.PracticeChoice{Lesson: "3", Seed: "1"}, true},
		"false_stall": {listener{}, ask.PracticeChoice{Lesson: "4", Seed: "2"}, true},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			said := practised(t, &row.who, row.choice, dir)
			again := practised(t, &listener{wrong: row.who.wrong, hasty: row.who.hasty}, row.choice, t.TempDir())
			require.Equal(t, said, again, "the same seed gives the same rig")
			_, review, ok := strings.Cut(said, "How it went")
			require.True(t, ok)
			require.Contains(t, review, practice.Notice)
			if row.passed {
				require.Contains(t, review, ": passed.")
			} else {
				require.Contains(t, review, ": not passed.")
			}
			require.Equal(t, []string{"practice/history.toml"}, files(t, dir))
			results, wrong := rehearsal.Practised(dir)
			require.Empty(t, wrong)
			require.Len(t, results, 1)
			require.Equal(t, row.passed, results[0].Passed)
			if name == "passed" || name == "wrong" {
				golden.Same(t, "practice_plain_"+name, said)
			}
		})
	}
}
