package profiles

import (
	"fmt"
	mathrand "math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// allRead are the candidates of a library with every profile read, near or not.
func allRead(t testing.TB, l *Library) *Candidates {
	t.Helper()
	c, err := l.Candidates()
	require.NoError(t, err)
	for _, r := range c.unread.rows {
		s, err := readCandidate(l.store, r.name())
		require.NoError(t, err)
		s.id = r.id
		c.all = append(c.all, s)
	}
	c.unread = nil
	return c
}

// shownVerdict is all that is shown of a verdict.
func shownVerdict(t testing.TB, c *Candidates, job Record, now time.Time) string {
	t.Helper()
	v, err := c.Cover(job, now)
	require.NoError(t, err)
	s, known := v.Setting.Get()
	text := fmt.Sprintf("%v %v %v %v %v %v", v.Effect, s, known, v.Until, v.CoveredUpTo, v.DropTo)
	if v.Best != nil {
		text += v.Best.ID
	}
	for _, m := range v.Near {
		text += fmt.Sprint(" ", m.ID, m.Effect, m.Reasons())
	}
	return fmt.Sprint(text, v.Reasons)
}

// TestCoverByIndex gives each case worked out by hand to a library, and compares with
// the verdict after reading every file.
func TestCoverByIndex(t *testing.T) {
	for _, c := range coverCases(t) {
		l := reviewLibrary(t)
		saved, job := c.records(t)
		for _, r := range saved {
			writeInto(t, l, "profiles/2026-05/"+r.ID+".toml", recordText(t, r))
		}
		fromIndex, err := l.Candidates()
		require.NoError(t, err)
		v, err := fromIndex.Cover(job, c.Now)
		require.NoError(t, err)
		c.require(t, v)
		require.Equal(t, shownVerdict(t, allRead(t, l), job, c.Now), shownVerdict(t, fromIndex, job, c.Now), c.Name)
	}
}

// TestCoverByIndexAtRandom: of a library with chains of short checks, some of which
// failed and some of another cable, few files are read and the verdict is the same.
func TestCoverByIndexAtRandom(t *testing.T) {
	long(t)
	l := reviewLibrary(t)
	rng := mathrand.New(mathrand.NewPCG(5, 5))
	list := samples(t, l, 150)
	for i := range 60 {
		check := newSample(rng, 200+i)
		of := list[rng.IntN(len(list))]
		check.text = strings.Replace(check.text, `kind = "full"`, fmt.Sprintf("kind = \"short check\"\nof = %q", of.id), 1)
		if rng.IntN(3) > 0 { // a short check of the same cable, as it should be
			for _, key := range []string{"make = ", "type = ", "size = "} {
				check.text = withLine(check.text, key, of.text)
			}
		}
		if rng.IntN(4) == 0 { // failed: no profile
			check.text, _, _ = strings.Cut(check.text, "[setting]")
			check.text = strings.Replace(check.text, `outcome = "stall"`, `outcome = "slip"`, 1)
			writeInto(t, l, "trials/"+check.id+".toml", check.text)
			continue
		}
		writeInto(t, l, check.name, check.text)
		list = append(list, check)
	}
	sitting, err := l.Sit("QS")
	require.NoError(t, err)
	for range 10 {
		require.NoError(t, sitting.Withdraw(list[rng.IntN(len(list))].id, "rig was mended"))
		require.NoError(t, sitting.Expire(list[rng.IntN(len(list))].id, reviewNow.Add(-time.Hour), ""))
	}
	require.NoError(t, sitting.Close())
	fromIndex, err := l.Candidates()
	require.NoError(t, err)
	every := allRead(t, l)
	findings := 0
	for i := range 60 {
		r, err := Parse("job", []byte(list[rng.IntN(len(list))].text))
		require.NoError(t, err)
		job := r.job()
		job.Conditions.CableTemperature = r.Conditions.CableTemperature
		job.Kind = session.Full
		want := shownVerdict(t, every, job, reviewNow)
		requireSameVerdict(t, every, fromIndex, job)
		findings += strings.Count(want, "withdrawn") + strings.Count(want, "short check failed")
		if i == 0 {
			require.Less(t, len(fromIndex.all), len(every.all)/2)
		}
	}
	require.Positive(t, findings)
}

// requireSameVerdict holds that what is left unread changes nothing but which of the
// profiles that are a retest anyway is shown first.
func requireSameVerdict(t *testing.T, every, some *Candidates, job Record) {
	t.Helper()
	want, err := every.Cover(job, reviewNow)
	require.NoError(t, err)
	got, err := some.Cover(job, reviewNow)
	require.NoError(t, err)
	require.Equal(t, want.Effect, got.Effect)
	require.Len(t, want.Near, len(got.Near)+got.Further)
	if want.Effect != Retest {
		require.Equal(t, want.Best.ID, got.Best.ID)
		require.Equal(t, want.Reasons, got.Reasons)
		require.Equal(t, want.Setting, got.Setting)
		require.Equal(t, want.DropTo, got.DropTo)
	}
}

// withLine replaces the first line that begins with key by that of another text.
func withLine(text, key, by string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, key) {
			for other := range strings.SplitSeq(by, "\n") {
				if strings.HasPrefix(other, key) {
					lines[i] = other
					return strings.Join(lines, "\n")
				}
			}
		}
	}
	return text
}
