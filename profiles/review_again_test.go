package profiles

import (
	"io/fs"
	mathrand "math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestRereadSaysTheSame decides at random, by two supervisors, and edits a file: a profile
// read again is each time what a review of the whole library says of it.
func TestRereadSaysTheSame(t *testing.T) {
	long(t)
	now := reviewNow
	l := reviewLibrary(t)
	l.now = func() time.Time { return now }
	list := samples(t, l, 60)
	writeSample(t, l, goodSample(t).as(1))
	v := reviewOf(t, l)
	rng := mathrand.New(mathrand.NewPCG(1, 2))
	sittings := map[string]*Sitting{}
	for _, by := range []string{"QS", "KM"} {
		var err error
		sittings[by], err = l.Sit(by)
		require.NoError(t, err)
	}
	for n := range 80 {
		now = now.Add(time.Second)
		at := list[rng.IntN(len(list))]
		s := sittings[[]string{"QS", "KM"}[rng.IntN(2)]]
		act := []func() error{
			func() error { _ = s.Accept(at.id, ""); return nil }, // refused once it is withdrawn or expired
			func() error { return s.Query(at.id, "why?") },
			func() error { return s.Expire(at.id, now.Add(time.Duration(rng.IntN(3)-1)*time.Hour), "") },
			func() error { return s.Withdraw(at.id, "") },
		}[rng.IntN(4)]
		if n%20 == 19 { // edited, seal and all, or in spite of it
			name, err := l.profileName(at.id)
			require.NoError(t, err)
			path := l.store.Where(name)
			if text := fileText(t, path); n%40 == 19 {
				putFile(t, path, text+"# edited\n")
			} else {
				writeSealed(t, l, sample{at.id, at.name, at.text + "# edited\n"})
			}
		}
		require.NoError(t, act())
		p, err := l.Reread(v, at.id)
		require.NoError(t, err)
		want, err := reviewOf(t, l).Find(at.id)
		require.NoError(t, err)
		require.Equal(t, want.Exceptions, p.Exceptions)
		require.Equal(t, want.Actions, p.Actions)
		require.Equal(t, want.Stands, p.Stands)
		require.Equal(t, want.search, p.search)
		in, err := v.Find(at.id)
		require.NoError(t, err)
		require.Same(t, p, in, "it is in the list")
	}
	for _, s := range sittings {
		require.NoError(t, s.Close())
	}
	_, err := l.Reread(v, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D")
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, os.Remove(v.Profiles[0].Path))
	p, err := l.Reread(v, v.Profiles[0].ID)
	require.NoError(t, err)
	require.Equal(t, Unreadable, p.Exceptions[0].Kind, "what is gone is told")
}
