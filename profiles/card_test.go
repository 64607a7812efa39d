package profiles

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/problem"
	"brinkmark/session"
)

func cardLibrary(t *testing.T, dir string) *Library {
	t.Helper()
	l, err := libraryIn(dir, time.Now, rand.Reader)
	require.NoError(t, err)
	return l
}

func fullJob(t *testing.T) Record {
	t.Helper()
	r, _, err := readNamed("../testdata/jobs/example.toml")
	require.NoError(t, err)
	return *r
}

func TestCardsComeBackAsSaved(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	cards := l.Cards()
	require.Empty(t, cards.Unreadable)
	require.Equal(t, Cards{}, cards, "a library without cards")

	job := fullJob(t)
	job.Cable.Lot, job.Cable.PrintLegend, job.Duct.Lot = "lot 7", "NORTHMOOR 2026", "D1"
	require.NoError(t, l.SaveCards(job))
	cards = l.Cards()
	require.Empty(t, cards.Unreadable)
	cable, duct := job.Cable, job.Duct
	cable.Reel, cable.Lot, cable.PrintLegend, duct.Lot = "", "", "", ""
	people := []Person{{"AB", []Role{Operator}}, {"CD", []Role{Watcher}}}
	require.ElementsMatch(t, people, cards.People)
	cards.People = nil
	require.Equal(t, Cards{Cables: []Cable{cable}, Ducts: []Duct{duct}, Rigs: []Rig{job.Rig}}, cards)
	for _, path := range []string{"cables/northmoor-lt-96-loose-tube.toml", "ducts/1-25-in-sdr-11-smooth.toml", "rigs/rig-2.toml", "people/ab.toml", "people/cd.toml"} {
		require.FileExists(t, filepath.Join(l.Where(), filepath.FromSlash(path)))
	}
}

// A card of the same name is replaced, names compared without case and spacing;
// what the job does not say stays on it.
func TestSameNameSameCard(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	job := fullJob(t)
	require.NoError(t, l.SaveCards(job))
	again := Record{Format: Format, Cable: Cable{Make: "NORTH MOOR", Type: "lt-96 Loose  Tube"}}
	var err error
	again, err = again.With("cable.mass", "120 kg/km")
	require.NoError(t, err)
	require.NoError(t, l.SaveCards(again))
	cards := l.Cards()
	require.Empty(t, cards.Unreadable)
	require.Len(t, cards.Cables, 1)
	require.Equal(t, "120 kg/km", cards.Cables[0].Mass.String())
	require.Equal(t, "12.4 mm", cards.Cables[0].OuterDiameter.String())
	require.Len(t, cards.Rigs, 1, "no rig, no new card")
}

// Readings of another push control say nothing of this one.
func TestRigWithAnotherPushControlIsReplacedWhole(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	require.NoError(t, l.SaveCards(fullJob(t)))
	r, err := Parse("job", []byte("format = 1\n[rig]\nname = \"Rig 2\"\npush_control = \"motor notch\"\npush_unit = \"notch\"\nspeed_limit = \"9 notch\"\ngrip_limit = \"55 psi\"\n"))
	require.NoError(t, err)
	require.NoError(t, l.SaveCards(*r))
	cards := l.Cards()
	require.Equal(t, []Rig{r.Rig}, cards.Rigs)
}

func TestDuctsDifferByLining(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	for _, lining := range []session.Lining{session.Smooth, session.Ribbed} {
		require.NoError(t, l.SaveCards(Record{Duct: Duct{Size: "40/33", Lining: lining}}))
	}
	cards := l.Cards()
	require.Len(t, cards.Ducts, 2)
}

func TestLastUsedCardComesFirst(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	at := time.Date(2026, 5, 14, 7, 0, 0, 0, time.UTC)
	for i, size := range []string{"first", "third", "second"} {
		require.NoError(t, l.SaveCards(Record{Duct: Duct{Size: size}}))
		minutes := []time.Duration{9, 1, 5}[i] * time.Minute
		require.NoError(t, os.Chtimes(filepath.Join(l.Where(), "ducts", size+".toml"), at, at.Add(minutes)))
	}
	cards := l.Cards()
	require.Equal(t, []Duct{{Size: "first"}, {Size: "second"}, {Size: "third"}}, cards.Ducts)
}

// No text of a record becomes a path: whatever the names, all files are plain and in
// the folder, two names are never one file, and each comes back as it was given.
// Device names: Microsoft, "Naming Files, Paths, and Namespaces" (from memory).
func TestHostileNames(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "in", "library")
	l := cardLibrary(t, dir)
	names := []string{
		"../../x", `..\..\x`, "/etc/x", "C:x", "x", "CON", "con.txt", "nul", "COM1", "LPT9", ".", "..", ".hidden", "-", "---",
		"光ケーブル", "кабель", "Ünïcode", "x\x1b[31m", "x\u202ey", "a\nb", "a\tb2", "%00", "$(x)", "x.toml", "X .TOML2", "1.25", "1 25", "1-25",
		strings.Repeat("long ", 799), strings.Repeat("long ", 800), strings.Repeat("光", 300),
	}
	for _, name := range names {
		require.NoError(t, l.SaveCards(Record{Rig: Rig{Name: name}}), "%.40q", name)
	}
	for _, none := range []string{"", " ", "\t\n"} {
		require.NoError(t, l.SaveCards(Record{Rig: Rig{Name: none}}))
	}
	cards := l.Cards()
	require.Empty(t, cards.Unreadable)
	var back []string
	for _, rig := range cards.Rigs {
		back = append(back, rig.Name)
	}
	names[slices.Index(names, "a\nb")] = "a b" // a line break is read as a space
	require.ElementsMatch(t, names, back)

	require.NoError(t, filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if !d.IsDir() {
			require.Equal(t, filepath.Join(dir, "rigs"), filepath.Dir(path))
			base := strings.TrimSuffix(filepath.Base(path), ".toml")
			require.Regexp(t, `^[a-z0-9][a-z0-9-]{0,63}$`, base)
			require.NotRegexp(t, `^(con|prn|aux|nul|com[0-9]?|lpt[0-9]?)$`, base)
		}
		return err
	}))
}

// What cannot be read is named, hides nothing and is never written over.
func TestUnreadableCards(t *testing.T) {
	for name, text := range map[string]string{
		"unknown key":    "format = 1\n[rig]\nname = \"Rig 2\"\ncolour = \"red\"\n",
		"bad value":      "format = 1\n[rig]\nname = \"Rig 2\"\ngrip_limit = \"60 parsecs\"\n",
		"no format":      "[rig]\nname = \"Rig 2\"\n",
		"later format":   "format = 2\n[rig]\nname = \"Rig 2\"\n",
		"no name":        "format = 1\n[rig]\nbelts = \"set B\"\n",
		"another table":  "format = 1\n[rig]\nname = \"Rig 2\"\n[duct]\nsize = \"x\"\n",
		"no table":       "format = 1\n",
		"mixed units":    "format = 1\n[rig]\nname = \"Rig 2\"\npush_unit = \"notch\"\nspeed_limit = \"220 ft/min\"\n",
		"not text":       "format = 1\n\xff\n",
		"empty":          "",
		"cut off":        "format = 1\n[rig]\nname = \"Ri",
		"entries inside": "format = 1\n[rig]\nname = \"Rig 2\"\n[[undo]]\nseq = 1\ndrops = 1\n",
	} {
		t.Run(name, func(t *testing.T) {
			l := cardLibrary(t, t.TempDir())
			require.NoError(t, l.SaveCards(Record{Rig: Rig{Name: "Rig 1"}}))
			path := filepath.Join(l.Where(), "rigs", "rig-2.toml")
			require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
			cards := l.Cards()
			require.Equal(t, []Rig{{Name: "Rig 1"}}, cards.Rigs)
			require.Len(t, cards.Unreadable, 1)
			var bad *problem.FileError
			require.ErrorAs(t, cards.Unreadable[0], &bad)
			require.Equal(t, path, bad.Path)
			require.NotEmpty(t, bad.Hint)

			require.NoError(t, l.SaveCards(Record{Rig: Rig{Name: "Rig 2"}}))
			kept, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, text, string(kept))
			cards = l.Cards()
			require.Len(t, cards.Rigs, 2)
		})
	}
}

// A reel is of one job: on a card it would be taken for the next one's.
func TestCardWithReelIsRefused(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "cables"), folderPerm))
	path := filepath.Join(l.Where(), "cables", "a.toml")
	require.NoError(t, os.WriteFile(path, []byte("format = 1\n[cable]\nmake = \"Northmoor\"\ntype = \"LT\"\nreel = \"NM-1\"\n"), 0o644))
	cards := l.Cards()
	require.Empty(t, cards.Cables)
	require.Len(t, cards.Unreadable, 1)
	require.ErrorContains(t, cards.Unreadable[0], "a.toml:5:")
	require.ErrorContains(t, cards.Unreadable[0], "cable.reel")
}

// A link could lead out of the library.
func TestLinkIsNoCard(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	out := filepath.Join(t.TempDir(), "out.toml")
	require.NoError(t, os.WriteFile(out, []byte("format = 1\n[rig]\nname = \"Rig 2\"\n"), 0o644))
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "rigs"), folderPerm))
	if err := os.Symlink(out, filepath.Join(l.Where(), "rigs", "rig-2.toml")); err != nil {
		t.Skip("no links here")
	}
	cards := l.Cards()
	require.Empty(t, cards.Rigs)
	require.Len(t, cards.Unreadable, 1)
	require.NoError(t, l.SaveCards(Record{Rig: Rig{Name: "Rig 2", Belts: "set B"}}))
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	require.NotContains(t, string(text), "set B")
}

// Two windows that save at once leave every card whole, and one of each name.
func TestTwoWindowsSaveAtOnce(t *testing.T) {
	dir := t.TempDir()
	var wait sync.WaitGroup
	errs := make([]error, 2)
	for window := range 2 {
		l := cardLibrary(t, dir)
		job := fullJob(t)
		wait.Go(func() {
			for i := range 10 {
				job.Rig.Name = []string{"Rig 1", "rig  1", "Rig-1", "Rig.1"}[(i+window)%4]
				if err := l.SaveCards(job); err != nil {
					errs[window] = err
				}
			}
		})
	}
	wait.Wait()
	require.NoError(t, errs[0])
	require.NoError(t, errs[1])
	cards := cardLibrary(t, dir).Cards()
	require.Empty(t, cards.Unreadable)
	require.Len(t, cards.Cables, 1)
	require.Len(t, cards.Ducts, 1)
	require.Len(t, cards.Rigs, 3, "rig 1, rig-1 and rig.1")
	files, err := os.ReadDir(filepath.Join(dir, "rigs"))
	require.NoError(t, err)
	require.Len(t, files, 3)
}

// Whatever stands in a card's file, reading it ends, and what is accepted is written
// and read back as it was.
func FuzzCard(f *testing.F) {
	for _, text := range []string{
		"format = 1\n[rig]\nname = \"Rig 2\"\nspeed_limit = \"9 notch\"\n",
		"format = 1\n[cable]\nmake = \"Northmoor\"\ntype = \"LT\"\npolyethylene_share = 0.5\n",
		"format = 1\n[duct]\nsize = \"40/33\"\nlining = \"smooth\"\n",
		"format = 1\n[person]\nname = \"AB\"\nroles = [\"operator\", \"watcher\"]\n", "format = 1\nrig.name = \"Rig 2\"\n", "format = 1\nrig = {name = \"Rig 2\"}\n", "format = 1\n[rig.x]\n", "",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, kind := range cardKinds {
			c, err := parseCard("card.toml", data, kind)
			if err != nil {
				require.Nil(t, c)
				continue
			}
			text, err := cardText("card.toml", c)
			require.NoError(t, err)
			back, err := parseCard("card.toml", []byte(text), kind)
			require.NoError(t, err, text)
			require.Equal(t, c, back)
		}
	})
}

// A value changed during the trial is on the card; one taken back again is not.
func TestLaterChangesAreOnTheCard(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	job := fullJob(t)
	require.NoError(t, l.SaveCards(job))
	job.Changes = []Change{
		{Seq: 1, Key: "cable.outer_diameter", Value: "12.6 mm", Reason: "measured"},
		{Seq: 2, Key: "duct.inner_diameter", Value: "30 mm", Reason: "misread"},
	}
	job.Undos = []Undo{{Seq: 3, Drops: 2}}
	require.NoError(t, l.SaveCards(job))
	cards := l.Cards()
	require.Equal(t, "12.6 mm", cards.Cables[0].OuterDiameter.String())
	require.Equal(t, "34.5 mm", cards.Ducts[0].InnerDiameter.String())
	require.Len(t, cards.Cables, 1)
}

// A size in other units is the same duct, another size another one.
func TestNamesInOtherUnits(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	for _, size := range []string{"1.25 in SDR 11", "1-1/4 in sdr11", "31.75 mm SDR 11", "1.5 in SDR 11", "1.25 in SDR 9", "40/33", "40/33 mm"} {
		require.NoError(t, l.SaveCards(Record{Duct: Duct{Size: size}}))
	}
	require.Len(t, l.Cards().Ducts, 4)
}

// Someone who does both has one card with both roles.
func TestPeopleGatherRoles(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	require.NoError(t, l.SaveCards(Record{People: People{Operator: " Abel ", Watcher: "Bo"}}))
	require.NoError(t, l.SaveCards(Record{People: People{Operator: "bo", Watcher: ""}}))
	require.NoError(t, l.SaveCards(Record{People: People{Operator: "Cy", Watcher: "CY"}}))
	people := l.Cards().People
	require.ElementsMatch(t, []Person{{"Abel", []Role{Operator}}, {"bo", []Role{Operator, Watcher}}, {"Cy", []Role{Operator, Watcher}}}, people)
}
