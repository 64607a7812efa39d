package ask

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// A value that is picked must be the very same; words are parts.
func TestReviewFind(t *testing.T) {
	dir := t.TempDir()
	for n, changes := range [][]string{
		{},
		{`"Rig 2"`, `"Rig 12"`, "speed = \"95 ft/min\"", "speed = \"85 ft/min\""},
		{"\nspeed = \"95 ft/min\"", "\nspeed = \"50 ft/min\"", "\nadvised_speed = \"95 ft/min\"", "\nadvised_speed = \"50 ft/min\""},
		{"\nspeed = \"95 ft/min\"", "\nspeed = \"100 ft/min\"", `"AB"`, `"CD"`},
		{"[setting]", "[setting"},
		{"[people]", "[job]\nnumber = \"J-204\"\nsite = \"a made-up road\"\n[people]"},
		{`"Rig 2"`, `"Rig 3"`, `operator = "AB"`, "operator = \"AB\"\nwatcher = \"EF\"", "[people]", "[job]\nsite = \"a made-up road\"\n[people]"},
	} {
		rehearsal.WriteProfile(t, "../../testdata/covers/profile.toml", dir, n+1, changes...)
	}
	library, err := rehearsal.OpenLibrary(dir, func() time.Time { return rehearsal.Morning }, rand.NewChaCha8([32]byte{1}))
	require.NoError(t, err)
	v, err := library.Review(nil)
	require.NoError(t, err)
	found := func(f reviewFind) int {
		f.order = profiles.ByTime
		return len(newListing(&v, f).records)
	}
	picked := func(part findPart, text string) reviewFind {
		f := reviewFind{}
		f.is[part] = text
		return f
	}
	require.Equal(t, 7, found(reviewFind{}))
	const always = 1 // what cannot be read may be the one looked for
	require.Equal(t, 4, found(picked(findRig, "rig 2")), "Rig 2 and not Rig 12")
	require.Equal(t, 1, found(picked(findRig, "Rig 12")))
	require.Equal(t, 1+always, found(reviewFind{words: "RIG 12"}), "a part of it, whatever its case")
	require.Equal(t, 0+always, found(reviewFind{words: "rig 12 j-204"}), "all of the words")
	require.Equal(t, 1, found(picked(findCrew, "CD")))
	require.Equal(t, 1, found(picked(findCrew, "EF")))
	require.Equal(t, 6, found(picked(findDuct, "1.25 IN SDR 11")))
	require.Equal(t, 1, found(picked(findJob, "J-204")))
	require.Equal(t, 2, found(picked(findJob, "a made-up road")))
	require.Equal(t, 7, found(reviewFind{state: findState{stands: profiles.StandsNew}}))
	require.Equal(t, 0, found(reviewFind{state: findState{stands: profiles.StandsAccepted}}))
	for order, want := range map[profiles.Order]string{profiles.BySpeed: rehearsal.ProfileID(4), profiles.ByWorst: rehearsal.ProfileID(5)} {
		require.Equal(t, want, newListing(&v, reviewFind{order: order}).records[0].ID)
	}
	require.Equal(t, []countedValue{{"Rig 2", 4}, {"Rig 12", 1}, {"Rig 3", 1}}, valuesOf(v.Profiles, findFields[findRig].of))
}

// The last page is full like every other, so that what else can be done keeps its digits.
func TestListingPages(t *testing.T) {
	for n := range 14 {
		l := &listing{}
		for i := range n {
			l.records = append(l.records, &profiles.Listed{ID: fmt.Sprint(i)})
		}
		seen := map[string]bool{}
		for page := range l.pages() {
			records := l.onPage(page)
			require.Len(t, records, min(n, RecordsShown))
			for _, r := range records {
				seen[r.ID] = true
			}
		}
		require.Len(t, seen, n)
	}
}

// Dates by the calendar: 2028 is a leap year, and 2026-05-15 a Friday.
func TestExpiryDay(t *testing.T) {
	zone := time.FixedZone("", -5*3600)
	now := time.Date(2026, 5, 15, 22, 30, 0, 0, zone)
	for text, want := range map[string]string{
		"0 days": "2026-05-15", "1 day": "2026-05-16", "30": "2026-06-14", "30 days": "2026-06-14", "3650 days": "2036-05-12",
		"2027/1/31": "2027-01-31", "2027-01-31": "2027-01-31", "2027.01.31": "2027-01-31", "2027.01.31 days": "2027-01-31", "2028-2-29": "2028-02-29", "2026-05-15": "2026-05-15",
	} {
		on, err := expiryDay(now, text)
		require.NoError(t, err, text)
		require.Equal(t, want+"T00:00:00-05:00", on.Format(time.RFC3339), text)
	}
	for _, text := range []string{"", "-1", "3651", "soon", "2026-05-14", "2027-02-29", "1.5 days", "2050-01-01"} {
		_, err := expiryDay(now, text)
		require.Error(t, err, text)
	}
}

func FuzzExpiryDay(f *testing.F) {
	for _, text := range []string{"30 days", "2027/1/31", "0", "9999-99-99"} {
		f.Add(text)
	}
	now := time.Date(2026, 5, 15, 8, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		on, err := expiryDay(now, text)
		if err == nil {
			require.False(t, on.Before(now.Truncate(24*time.Hour)))
			require.False(t, on.After(now.AddDate(0, 0, longestExpiry)))
		}
	})
}

// BenchmarkReviewLists searches, sorts and draws in the library that
// BRINKMARK_BENCH_LIBRARY names.
func BenchmarkReviewLists(b *testing.B) {
	dir := os.Getenv("BRINKMARK_BENCH_LIBRARY")
	if dir == "" {
		b.Skip("no library is named")
	}
	library, err := rehearsal.OpenLibrary(dir, time.Now, rand.NewChaCha8([32]byte{}))
	require.NoError(b, err)
	began := time.Now()
	v, err := library.Review(nil)
	require.NoError(b, err)
	b.Logf("%d records read in %v", len(v.Profiles), time.Since(began))
	picked := reviewFind{order: profiles.ByWorst}
	picked.is[findRig] = "Rig 2"
	for name, find := range map[string]reviewFind{"all": {order: profiles.ByWorst}, "words": {order: profiles.ByWorst, words: "northmoor 36 nm-004"}, "rig": picked, "newest": {order: profiles.ByTime}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				newListing(&v, find)
			}
		})
	}
	b.Run("rigs", func(b *testing.B) {
		for b.Loop() {
			valuesOf(v.Profiles, findFields[findRig].of)
		}
	})
}
