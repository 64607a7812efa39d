package profiles

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"brinkmark/profiles/journal"

	"github.com/stretchr/testify/require"
)

func TestSitting(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	for n := range 4 {
		writeSample(t, l, good.as(n))
	}
	id := func(n int) string { return good.as(n).id }
	_, err := l.Sit(" ")
	require.ErrorContains(t, err, "who reviews?")
	s, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoDirExists(t, filepath.Join(l.Where(), "reviews"), "nothing is written before the first action")
	require.ErrorContains(t, s.Query(id(1), ""), "write what is asked")
	require.ErrorContains(t, s.Accept(id(9), ""), "is not in this library")
	require.ErrorContains(t, s.Accept("../x", ""), "is no profile id")
	require.NoError(t, s.Accept(id(0), ""))
	require.NoError(t, s.Query(id(1), "why 6 psi?"))
	require.NoError(t, s.Expire(id(2), reviewNow.Add(-time.Minute), "gauge was changed"))
	require.NoError(t, s.Withdraw(id(3), "wrong duct"))
	require.ErrorContains(t, s.Accept(id(3), "by mistake"), "is withdrawn (QS, 2026-11-20: wrong duct)\n  nobody can take that back: make a new trial")
	require.ErrorContains(t, s.Accept(id(2), "by mistake"), "nobody can lift that: make a new trial")
	require.NoError(t, s.Close())

	v := reviewOf(t, l)
	stands := map[string]Standing{}
	for _, p := range v.Profiles {
		stands[p.ID] = p.Stands
	}
	require.Equal(t, map[string]Standing{id(0): StandsAccepted, id(1): StandsQueried, id(2): StandsExpired, id(3): StandsWithdrawn}, stands)
	require.Equal(t, []ExceptionKind{Withdrawal}, kinds(v.Profiles[0]), "the worst first")
	require.Equal(t, "withdrawn: QS, 2026-11-20: wrong duct", v.Profiles[0].Exceptions[0].Says())
	p, err := v.Find(id(3))
	require.NoError(t, err)
	require.Len(t, p.Actions, 1, "nothing is accepted that stays withdrawn")
	require.Len(t, v.Filter(Filter{Stands: StandsQueried}), 1)

	// The profile that was accepted is edited, seal and all: it is another file now.
	writeSample(t, l, good.as(0).with(`speed = "95 ft/min"`, `speed = "90 ft/min"`))
	p, err = reviewOf(t, l).Find(id(0))
	require.NoError(t, err)
	require.Contains(t, kinds(p), EditedSinceReview)

	files, err := filepath.Glob(filepath.Join(l.Where(), "reviews", "*.toml"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	text := fileText(t, files[0])
	require.True(t, journal.Begins(text))

	// An edited review tightens still, and accepts nothing.
	putFile(t, files[0], strings.Replace(text, "why 6 psi?", "why 7 psi?", 1))
	v = reviewOf(t, l)
	require.Len(t, v.Unreadable, 1)
	p, err = v.Find(id(0))
	require.NoError(t, err)
	require.Equal(t, StandsNew, p.Stands)
	p, err = v.Find(id(3))
	require.NoError(t, err)
	require.Equal(t, StandsWithdrawn, p.Stands)
}

// TestStandingTightensOnly: in whatever order two supervisors' actions arrive, a
// withdrawal stands, and so does the earliest expiry.
func TestStandingTightensOnly(t *testing.T) {
	now := reviewNow
	list := []Judged{
		{Action: Accept, Sealed: true}, {Action: Query}, {Action: Expire, Expires: now}, {Action: Expire, Expires: now.Add(time.Hour)}, {Action: Withdraw},
	}
	for i := range 120 {
		mixed := slices.Clone(list)
		for j, k := len(mixed), i; j > 1; j-- {
			mixed[j-1], mixed[k%j] = mixed[k%j], mixed[j-1]
			k /= j
		}
		require.Equal(t, StandsWithdrawn, standing(mixed, now))
		mixed = slices.DeleteFunc(mixed, func(a Judged) bool { return a.Action == Withdraw })
		require.Equal(t, StandsExpired, standing(mixed, now))
	}
	require.Equal(t, StandsAccepted, standing([]Judged{{Action: Expire, Expires: now.Add(1)}, {Action: Accept, Sealed: true}}, now))
	require.Equal(t, StandsNew, standing([]Judged{{Action: Accept}}, now))
}

func TestReviewFileErrors(t *testing.T) {
	head := "format = 1\nkind = \"review\"\nby = \"QS\"\n"
	for text, want := range map[string]string{
		"kind = \"review\"\nby = \"QS\"\n":                                              "format: missing",
		"format = 1\nkind = \"full\"\n":                                                 "x.toml:2:8: kind: this is no review",
		"format = 1\nkind = \"review\"\n":                                               "by: missing",
		head + "[[action]]\nof = \"../../x\"\naction = \"accept\"\n":                    "x.toml:5:6: action[0].of: \"../../x\" is no profile id",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"delete\"\n": `"delete" is no action`,
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\n":                      "action: missing",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"expire\"\n": "expires: missing",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"query\"\n":  "note: missing",
		head + "approved = true\n":                                                      "approved: this key is not known",
	} {
		_, err := parseReview("x.toml", []byte(text))
		require.ErrorContains(t, err, want, text)
		require.Contains(t, err.Error(), "\n  ", "what to do")
	}
}

// FuzzReview: any bytes are a review or an error; what was read keeps its meaning in the
// index.
func FuzzReview(f *testing.F) {
	f.Add("format = 1\nkind = \"review\"\nby = \"QS\"\n[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"withdraw\"\nnote = \"a\\u001fb\"\n")
	f.Add("format = 1\nkind = \"review\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := parseReview("x.toml", []byte(text))
		if err != nil {
			require.Nil(t, r)
			return
		}
		list := unpackActions(&row{actions: packActions(r.Actions), sealed: true})
		require.Len(t, list, len(r.Actions))
		for i, a := range r.Actions {
			require.Equal(t, a.Action, list[i].Action)
			require.Equal(t, a.Of, list[i].Of)
			require.Equal(t, a.Expires.IsZero(), list[i].Expires.IsZero())
		}
	})
}
