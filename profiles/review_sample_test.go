package profiles

import (
	"crypto/rand"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles/journal"
	"brinkmark/session/parallel"
)

// reviewNow is later than every sample.
var reviewNow = time.Date(2026, 11, 20, 12, 0, 0, 0, time.UTC)

func reviewLibrary(t testing.TB) *Library {
	t.Helper()
	l, err := libraryIn(t.TempDir(), func() time.Time { return reviewNow }, rand.Reader)
	require.NoError(t, err)
	return l
}

// sample is a profile of a made-up crew: number n of a library, different by rng.
type sample struct{ id, name, text string }

// newSample makes a profile with a dozen pushes. All names are invented.
func newSample(rng *mathrand.Rand, n int) sample {
	started := time.Date(2025, 11, 3, 7, 0, 0, 0, time.UTC).Add(time.Duration(n%8000) * time.Hour)
	var entropy [10]byte
	for i := range entropy {
		entropy[i] = byte(rng.Uint32())
	}
	var u ulid.ULID
	_ = u.SetTime(ulid.Timestamp(started.Add(time.Duration(n) * time.Millisecond)))
	_ = u.SetEntropy(entropy[:])
	id := u.String()
	makers, types := []string{"Northmoor", "Eastfell", "Harrowgate Wire"}, []string{"LT-96 loose tube", "LT-48 loose tube", "MT-144 micro", "RB-24 ribbon"}
	ducts, crews := []string{"1.25 in SDR 11", "40/33 mm", "2 in SDR 13.5"}, []string{"AB", "CD", "EF", "GH"}
	warm, speed := 30+rng.IntN(60), 60+5*rng.IntN(14)
	var b strings.Builder
	fmt.Fprintf(&b, "format = 1\nid = %q\nkind = \"full\"\npolicy = \"grid-1\"\nstarted = %s\n", id, started.Format(time.RFC3339))
	fmt.Fprintf(&b, "[people]\noperator = %q\nwatcher = %q\n[job]\nnumber = \"J-%d\"\nsite = \"chamber %d\"\n", crews[rng.IntN(4)], crews[rng.IntN(4)], rng.IntN(500), rng.IntN(2000))
	fmt.Fprintf(&b, "[cable]\nmake = %q\ntype = %q\nreel = \"NM-%05d\"\nprint_legend = \"0417 m\"\nouter_diameter = \"%.1f mm\"\n", makers[rng.IntN(3)], types[rng.IntN(4)], rng.IntN(5000), 9+4*rng.Float64())
	fmt.Fprintf(&b, "[duct]\nsize = %q\ninner_diameter = \"34.5 mm\"\nlining = \"smooth\"\n[conditions]\ncable_temperature = \"%d °F\"\nair_temperature = \"%d °F\"\n", ducts[rng.IntN(3)], warm, warm+3)
	fmt.Fprintf(&b, "[rig]\nname = \"Rig %d\"\nbelts = \"set B\"\nlead_in = \"13 mm\"\nsupply = \"own pump\"\ngauge_ids = [\"G7\"]\npush_unit = \"ft/min\"\ngrip_limit = \"60 psi\"\nspeed_limit = \"220 ft/min\"\n", 1+rng.IntN(40))
	at := started.Add(20 * time.Minute)
	for i := range 12 {
		push, outcome := 40+10*i, "stall"
		if push > speed+30 {
			push, outcome = speed+35, "fold"
		}
		at = at.Add(90 * time.Second)
		fmt.Fprintf(&b, "[[attempt]]\nseq = %d\nat = %s\ngrip = \"6 psi\"\nspeed = \"%d ft/min\"\noutcome = %q\ncable_used = \"0.2 m\"\n", i+1, at.Format(time.RFC3339), push, outcome)
	}
	fmt.Fprintf(&b, "[setting]\ngrip = \"6 psi\"\nspeed = \"%d ft/min\"\nadvised_grip = \"6 psi\"\nadvised_speed = \"%d ft/min\"\naccepted = %s\n", speed, speed, at.Add(time.Minute).Format(time.RFC3339))
	return sample{id, "profiles/" + started.Format("2006-01") + "/" + id + ".toml", b.String()}
}

// samples writes so many sealed profiles into a library, each with a time long past.
func samples(t testing.TB, l *Library, n int) []sample {
	t.Helper()
	list := make([]sample, n)
	parallel.Each(n, func(i int) { list[i] = newSample(mathrand.New(mathrand.NewPCG(uint64(n), uint64(i))), i) })
	for i := range list {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(l.Where(), list[i].name)), folderPerm))
	}
	parallel.Each(n, func(i int) { age(t, writeSealed(t, l, list[i]), i) })
	return list
}

func writeSealed(t testing.TB, l *Library, s sample) (path string) {
	sealed, err := journal.SealHead(s.text)
	if err != nil {
		panic(err)
	}
	path = filepath.Join(l.Where(), s.name)
	if err := os.WriteFile(path, []byte(sealed.Text()), filePerm); err != nil {
		panic(err)
	}
	return path
}

// age gives a file a time long past, another one for each n: what the index trusts.
func age(t testing.TB, path string, n int) {
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(n) * time.Millisecond)
	if err := os.Chtimes(path, at, at); err != nil {
		panic(err)
	}
}

func TestSamplesAreProfiles(t *testing.T) {
	l := reviewLibrary(t)
	samples(t, l, 20)
	v, err := l.Review(nil)
	require.NoError(t, err)
	require.Len(t, v.Profiles, 20)
	for _, p := range v.Profiles {
		require.NotEmpty(t, p.Exceptions, "no check is answered")
		for _, e := range p.Exceptions {
			require.Contains(t, []ExceptionKind{KillerOpen, FewStalls, NoBracket, Disagrees}, e.Kind, e.Says())
		}
	}
}

// goodSample is a profile with nothing the matter, sealed: what a crew should hand in.
func goodSample(t testing.TB) sample {
	t.Helper()
	text := fileText(t, "report/testdata/whole.toml")
	text = strings.Replace(text, "supply = ", "gauge_ids = [\"G7\"]\nsupply = ", 1)
	at := strings.Index(text, "[[answer]]\nseq = 8\n")
	end := at + strings.Index(text[at+1:], "[[") + 1
	text = text[:at] + text[end:]
	id := "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
	return sample{id, "profiles/2026-05/" + id + ".toml", text}
}

func (s sample) with(old, new string) sample {
	if !strings.Contains(s.text, old) {
		panic(old)
	}
	s.text = strings.Replace(s.text, old, new, 1)
	return s
}

// as gives a sample another id, number n.
func (s sample) as(n int) sample {
	id := fmt.Sprintf("01K7ZQ4C5V8W9X0Y1Z2A3B4%03d", n)
	return sample{id, strings.Replace(s.name, s.id, id, 1), strings.Replace(s.text, s.id, id, 1)}
}

func writeSample(t testing.TB, l *Library, s sample) string {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(l.Where(), s.name)), folderPerm))
	return writeSealed(t, l, s)
}
