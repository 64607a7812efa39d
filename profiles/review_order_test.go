package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// judgedLibrary is a library with a good profile, its clock, and a sitting.
func judgedLibrary(t *testing.T) (l *Library, id string, now *time.Time, s *Sitting) {
	t.Helper()
	l = reviewLibrary(t)
	at := reviewNow
	l.now = func() time.Time { return at }
	good := goodSample(t).as(1)
	writeSample(t, l, good)
	s, err := l.Sit("QS")
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return l, good.id, &at, s
}

func standsNow(t *testing.T, l *Library, id string) Standing {
	t.Helper()
	v := reviewOf(t, l)
	p, err := v.Find(id)
	require.NoError(t, err)
	stands := p.Stands
	p, err = l.Reread(v, id)
	require.NoError(t, err)
	require.Equal(t, stands, p.Stands, "read again")
	return stands
}

// What was decided later in a sitting is later, though the clock was put back between.
func TestSittingGoesByItsOwnOrder(t *testing.T) {
	l, id, now, s := judgedLibrary(t)
	require.NoError(t, s.Accept(id, ""))
	*now = now.Add(-3 * time.Hour)
	require.NoError(t, s.Query(id, "why 6 psi?"))
	require.Equal(t, StandsQueried, standsNow(t, l, id))
	require.NoError(t, s.Accept(id, "answered"))
	require.Equal(t, StandsAccepted, standsNow(t, l, id))
}

// A sitting that was broken off while it wrote keeps what it had acknowledged.
func TestTornReviewKeepsItsActions(t *testing.T) {
	l, id, _, s := judgedLibrary(t)
	require.NoError(t, s.Accept(id, ""))
	path := s.Path()
	require.NoError(t, s.Close())
	putFile(t, path, fileText(t, path)+"[[action]]\nseq = 2\nat = 2026-11-20T12")
	require.Equal(t, StandsAccepted, standsNow(t, l, id))
	v := reviewOf(t, l)
	require.Len(t, v.Unreadable, 1, "and it is told")
	require.ErrorContains(t, v.Unreadable[0], "the last entry was not fully written")
}

// What nobody can read can be withdrawn, not accepted.
func TestAcceptNeedsAProfileThatCanBeRead(t *testing.T) {
	l, id, _, s := judgedLibrary(t)
	name, err := l.profileName(id)
	require.NoError(t, err)
	path := l.store.Where(name)
	putFile(t, path, "format = 1\n[setting\n")
	require.ErrorContains(t, s.Accept(id, ""), path)
	require.Empty(t, s.Path(), "nothing is written")
	require.NoError(t, s.Withdraw(id, "cannot be read"))
	require.Equal(t, StandsWithdrawn, standsNow(t, l, id))
}

// An acceptance is of the file that was reviewed: another one in its place is new.
func TestAcceptanceIsOfTheFileReviewed(t *testing.T) {
	l, id, _, s := judgedLibrary(t)
	require.NoError(t, s.Accept(id, ""))
	require.Equal(t, StandsAccepted, standsNow(t, l, id))
	writeSample(t, l, goodSample(t).as(1).with(`speed = "95 ft/min"`, `speed = "90 ft/min"`))
	require.Equal(t, StandsNew, standsNow(t, l, id))
	require.NoError(t, s.Query(id, "why another?"))
	require.Equal(t, StandsQueried, standsNow(t, l, id), "what tightens counts of any")
}

// Who accepts what is shown accepts that text: a file changed meanwhile is not what was seen.
func TestAcceptShownIsOfTheTextShown(t *testing.T) {
	l, id, _, s := judgedLibrary(t)
	shown, err := reviewOf(t, l).Find(id)
	require.NoError(t, err)
	writeSample(t, l, goodSample(t).as(1).with(`speed = "95 ft/min"`, `speed = "90 ft/min"`))
	require.ErrorContains(t, s.AcceptShown(shown, ""), "has changed since it was shown")
	require.Empty(t, s.Path(), "nothing is written")
	shown, err = reviewOf(t, l).Find(id)
	require.NoError(t, err)
	require.NoError(t, s.AcceptShown(shown, ""))
	require.Equal(t, StandsAccepted, standsNow(t, l, id))
}

// Two files that say they are one profile: what is decided goes to the one of that name, and
// the other is named by its file.
func TestDecisionGoesToTheFileOfItsName(t *testing.T) {
	l, id, _, s := judgedLibrary(t)
	other := goodSample(t).as(2).with(`speed = "95 ft/min"`, `speed = "90 ft/min"`)
	stray := sample{other.id, other.name, strings.Replace(other.text, other.id, id, 1)}
	writeSample(t, l, stray)
	require.NoError(t, s.Accept(id, ""))
	stands := map[string]Standing{}
	for _, p := range reviewOf(t, l).Profiles {
		stands[filepath.Base(p.Path)] = p.Stands
	}
	require.Equal(t, map[string]Standing{id + ".toml": StandsAccepted, other.id + ".toml": StandsNew}, stands)
	v := reviewOf(t, l)
	p, err := v.Find(id)
	require.NoError(t, err)
	require.Equal(t, id+".toml", filepath.Base(p.Path), "the id finds the file of its name")
}

// A fold in a run is told of every file that says it is the profile.
func TestRunFindingOfBothFiles(t *testing.T) {
	l, _ := runLibrary(t)
	writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5E.toml", fileText(t, "../testdata/covers/profile.toml"))
	r := newRun(t, l)
	beginRun(t, r)
	endRun(t, r, Closing{Folds: 1})
	v := reviewOf(t, l)
	require.Len(t, v.Profiles, 2)
	for _, p := range v.Profiles {
		require.Contains(t, kinds(p), FoldInRun, p.Path)
	}
}

// A run without a start is told of without a date.
func TestRunFindingWithoutADate(t *testing.T) {
	l, _ := runLibrary(t)
	text := strings.Replace(runText(t, "scripted.toml"), "started = 2026-05-14T09:00:00-05:00\n", "", 1)
	text = strings.Replace(text, "of = \"01M8938VPMQK1QTD27230G35TA\"", fmt.Sprintf("of = %q", runProfile), 1)
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "runs"), folderPerm))
	writeInto(t, l, "runs/01M8938VPMQK1QTD27230G35TB.toml", text)
	p, err := reviewOf(t, l).Find(runProfile)
	require.NoError(t, err)
	for _, e := range p.Exceptions {
		if e.Kind == OverrideInRun {
			require.Equal(t, "run 01M8938VPMQK1QTD27230G35TB: 1 time", e.Detail)
		}
	}
	require.Contains(t, kinds(p), OverrideInRun)
}

// Two trials 7 °F apart are within the band at every temperature: 7 °F is a number of
// degrees Celsius that no computer has exactly.
func TestDisagreementsAtTheEdgeOfTheBand(t *testing.T) {
	how := howDisagreeing()
	for f := -20.0; f <= 110; f++ {
		at := func(fahrenheit, speed float64) *Listed {
			return &Listed{row: &row{celsius: float64(q.From[q.Temperature](fahrenheit, "°F")), value: speed, known: true}}
		}
		group := []*Listed{at(f, 0.5), at(f+7, 0.25), at(f+15, 0.9)}
		how.name(group)
		for i, want := range []int{1, 1, 0} {
			require.Len(t, group[i].Exceptions, want, "%v °F, number %d", f, i)
		}
	}
}
