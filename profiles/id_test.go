package profiles

import (
	"bytes"
	"crypto/rand"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var (
	testClock = time.Date(2026, 5, 14, 7, 42, 10, 123_456_789, time.UTC)
	noEntropy = bytes.NewReader(make([]byte, 1<<16))
)

// The first ten characters are the milliseconds in base 32, the most significant
// first. Source: ULID specification, "Components" and "Encoding"; the alphabet is
// Crockford's Base 32. The value: derived here.
func TestNewIDLayout(t *testing.T) {
	id, err := NewID(testClock, noEntropy, "")
	require.NoError(t, err)
	ms := int64(0)
	for _, c := range id[:10] {
		ms = ms*32 + int64(strings.IndexRune("0123456789ABCDEFGHJKMNPQRSTVWXYZ", c))
	}
	require.Equal(t, testClock.UnixMilli(), ms)
	require.Equal(t, strings.Repeat("0", 16), id[10:])
}

func TestNewIDOrder(t *testing.T) {
	last := ""
	seen := map[string]bool{}
	for n := range 10_000 {
		now := testClock // most in one millisecond
		switch n % 100 {
		case 1:
			now = testClock.Add(-24 * time.Hour)
		case 2:
			now = testClock.Add(time.Duration(n) * time.Millisecond)
		case 3:
			now = time.Unix(0, 0) // a battery has run out
		}
		id, err := NewID(now, rand.Reader, last)
		require.NoError(t, err)
		require.Greater(t, id, last)
		require.True(t, ValidID(id))
		require.False(t, seen[id])
		seen[id], last = true, id
	}
}

// Two devices that know the same last id still mint different ones.
func TestNewIDOnTwoDevices(t *testing.T) {
	last, err := NewID(testClock, rand.Reader, "")
	require.NoError(t, err)
	seen := map[string]bool{}
	for range 10_000 {
		id, err := NewID(testClock.Add(-time.Hour), rand.Reader, last)
		require.NoError(t, err)
		require.False(t, seen[id])
		seen[id] = true
	}
}

func TestNewIDClock(t *testing.T) {
	floor, err := NewID(earliestClock, noEntropy, "")
	require.NoError(t, err)
	for _, now := range []time.Time{
		{}, time.Unix(0, 0), time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2019, 12, 31, 23, 59, 59, 0, time.UTC),
		time.Date(10890, 1, 1, 0, 0, 0, 0, time.UTC), // past 2⁴⁸ − 1 ms, the year 10889
		time.Unix(1<<62, 0),
	} {
		id, err := NewID(now, noEntropy, "")
		require.NoError(t, err, now)
		require.Equal(t, floor[:10], id[:10], now)
		id, err = NewID(now, noEntropy, "01ARZ3NDEKTSV4RRFFQ69G5FAV")
		require.NoError(t, err)
		require.Greater(t, id, "01ARZ3NDEKTSV4RRFFQ69G5FAV")
	}
}

func TestNewIDErrors(t *testing.T) {
	for _, row := range []struct {
		name, after, want string
		entropy           int
	}{
		{"no id", "../../x", `mint an id after "../../x": it is no record id`, 10},
		{"the last of all", "7ZZZZZZZZZ0000000000000000", "mint an id after 7ZZZZZZZZZ0000000000000000: no later one exists\n  a wrong clock made that record: move it out of the library", 10},
		{"no entropy", "", "mint an id: EOF", 0},
		{"short entropy", "", "mint an id: unexpected EOF", 9},
	} {
		_, err := NewID(testClock, bytes.NewReader(make([]byte, row.entropy)), row.after)
		require.EqualError(t, err, row.want, row.name)
	}
}

// Source of the first two: ULID specification, "Specification" (from memory) and
// "Overflow Errors when Parsing Base32 Strings".
func TestValidID(t *testing.T) {
	const good = "01ARZ3NDEKTSV4RRFFQ69G5FAV"
	for _, id := range []string{good, "7ZZZZZZZZZZZZZZZZZZZZZZZZZ", strings.Repeat("0", 26)} {
		require.True(t, ValidID(id), id)
	}
	for _, bad := range []string{
		"", "8ZZZZZZZZZZZZZZZZZZZZZZZZZ", strings.ToLower(good), good[:25], good + "0", " " + good[1:], good[:25] + "\n",
		good[:25] + "I", good[:25] + "L", good[:25] + "O", good[:25] + "U", good[:25] + "\x00", good[:25] + ".", "../" + good[3:],
		good[:24] + "É", "/" + good[1:], `\` + good[1:], "-" + good[1:],
	} {
		require.False(t, ValidID(bad), "%q", bad)
	}
}

func FuzzValidID(f *testing.F) {
	f.Add("01ARZ3NDEKTSV4RRFFQ69G5FAV")
	f.Add("../../etc/passwd")
	f.Fuzz(func(t *testing.T, s string) {
		if !ValidID(s) {
			return
		}
		require.Len(t, s, 26)
		require.Equal(t, "", strings.Trim(s, crockford))
		next, err := NewID(time.Unix(0, 0), rand.Reader, s)
		if err == nil {
			require.Greater(t, next, s)
		}
	})
}
