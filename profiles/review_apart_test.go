package profiles

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// judgedOn decides on a library as somebody at a time.
func judgedOn(t *testing.T, l *Library, by string, at time.Time, do func(*Sitting) error) {
	t.Helper()
	l.now = func() time.Time { return at }
	s, err := l.Sit(by)
	require.NoError(t, err)
	require.NoError(t, do(s))
	require.NoError(t, s.Close())
}

// Two supervisors decide on two tablets, neither knowing of the other: after the exchange both
// decisions are shown, and the question stands until somebody accepts who has seen it.
func TestDecisionsMadeApartDoNotMerge(t *testing.T) {
	for _, acceptsLast := range []bool{true, false} {
		here, there, good := reviewLibrary(t), reviewLibrary(t), goodSample(t)
		writeSample(t, here, good.as(0))
		writeSample(t, there, good.as(0))
		id, monday := good.as(0).id, reviewNow
		asked, accepted := monday, monday.Add(time.Hour)
		if !acceptsLast {
			asked, accepted = accepted, asked
		}
		judgedOn(t, here, "P1", asked, func(s *Sitting) error { return s.Query(id, "why 6 psi?") })
		judgedOn(t, there, "P2", accepted, func(s *Sitting) error { return s.Accept(id, "") })
		stick := t.TempDir()
		for _, l := range []*Library{here, there, here} {
			_, err := exchangeWith(l, stick, nil)
			require.NoError(t, err)
		}
		stands := func(l *Library, at time.Time) *Listed {
			l.now = func() time.Time { return at }
			p, err := reviewOf(t, l).Find(id)
			require.NoError(t, err)
			again, err := l.Reread(reviewOf(t, l), id)
			require.NoError(t, err)
			require.Equal(t, p.Stands, again.Stands)
			require.Equal(t, p.Exceptions, again.Exceptions)
			return p
		}
		tuesday := monday.Add(24 * time.Hour)
		for _, l := range []*Library{here, there} {
			p := stands(l, tuesday)
			require.Equal(t, StandsQueried, p.Stands)
			require.Len(t, p.Actions, 2)
			text := p.Exceptions[len(p.Exceptions)-1].Says()
			require.Contains(t, text, "P1, 2026-11-20: why 6 psi?")
			if acceptsLast {
				require.Contains(t, text, "P2 accepted it on 2026-11-20 and had not seen this")
			}
			open, err := l.OpenQuestions(id)
			require.NoError(t, err)
			require.Len(t, open, 1)
		}
		// P2 has seen both now.
		judgedOn(t, there, "P2", tuesday, func(s *Sitting) error { return s.AcceptShown(stands(there, tuesday), "seen with the crew") })
		for _, l := range []*Library{there, here} {
			_, err := exchangeWith(l, stick, nil)
			require.NoError(t, err)
			p := stands(l, tuesday.Add(time.Hour))
			require.Equal(t, StandsAccepted, p.Stands)
			require.NotContains(t, kinds(p), Question)
		}
	}
}

// Whoever was shown a record before a question came in has not seen it.
func TestAcceptanceOfAnOlderPage(t *testing.T) {
	l, good := reviewLibrary(t), goodSample(t)
	writeSample(t, l, good.as(0))
	id := good.as(0).id
	shown, err := reviewOf(t, l).Find(id)
	require.NoError(t, err)
	judgedOn(t, l, "P1", reviewNow, func(s *Sitting) error { return s.Query(id, "why 6 psi?") })
	judgedOn(t, l, "P2", reviewNow.Add(time.Minute), func(s *Sitting) error { return s.AcceptShown(shown, "") })
	p, err := reviewOf(t, l).Find(id)
	require.NoError(t, err)
	require.Equal(t, StandsQueried, p.Stands)
	// Who asked has the answer.
	judgedOn(t, l, "p1", reviewNow.Add(time.Hour), func(s *Sitting) error { return s.AcceptShown(shown, "") })
	p, err = reviewOf(t, l).Find(id)
	require.NoError(t, err)
	require.Equal(t, StandsAccepted, p.Stands)
}

// What tightens is never in a file with what an earlier version cannot read.
func TestSeenIsKeptApart(t *testing.T) {
	l, good := reviewLibrary(t), goodSample(t)
	writeSample(t, l, good.as(0))
	id := good.as(0).id
	other := good.as(1)
	writeSample(t, l, other)
	judgedOn(t, l, "P2", reviewNow, func(s *Sitting) error { return s.Query(id, "why?") })
	s, err := l.Sit("P1")
	require.NoError(t, err)
	require.NoError(t, s.Query(other.id, "why?"))
	first := s.Path()
	require.NoError(t, s.Accept(id, ""))
	second := s.Path()
	require.NoError(t, s.Withdraw(id, "after all"))
	third := s.Path()
	require.NoError(t, s.Close())
	require.NotContains(t, fileText(t, first), "seen")
	require.Contains(t, fileText(t, second), "seen = [")
	require.NotContains(t, fileText(t, third), "seen")
	p, err := reviewOf(t, l).Find(id)
	require.NoError(t, err)
	require.Equal(t, StandsWithdrawn, p.Stands)
	require.Len(t, p.Actions, 3)
}
