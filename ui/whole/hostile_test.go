//go:build !windows

package whole

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// surroundings are a folder with a library in it, and what nobody may touch.
type surroundings struct{ root, library, stick, outside string }

func newSurroundings(t *testing.T, good string) surroundings {
	root := t.TempDir()
	s := surroundings{root, filepath.Join(root, "library"), filepath.Join(root, "stick"), filepath.Join(root, "outside")}
	require.NoError(t, os.CopyFS(s.library, os.DirFS(good)))
	for _, dir := range []string{s.stick, s.outside} {
		require.NoError(t, os.Mkdir(dir, 0o777))
	}
	require.NoError(t, os.WriteFile(filepath.Join(s.outside, "secret.toml"), []byte("secret = 1\n"), 0o666))
	return s
}

// around is what lies about the library and the stick, with sizes and times.
func (s surroundings) around(t *testing.T) map[string]string {
	found := map[string]string{}
	require.NoError(t, filepath.WalkDir(s.root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == s.root {
			return err
		}
		if path == s.library || path == s.stick {
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		}
		info, err := d.Info()
		found[path] = fmt.Sprint(info.Mode(), info.Size(), info.ModTime())
		return err
	}))
	return found
}

// asked are the commands that read a library, with what is typed.
func asked(profile string) [][]string {
	return [][]string{
		{"", "review", "--json"}, {"", "review", "--csv"}, {"", "review", "--weeks"}, {"", "review", "--csv", "--find", "northmoor", "--exceptions"},
		{"1\n1\n?\n2\n3\nu\nq\n", "review", "--plain"}, {"", "doctor"}, {"", "doctor", "--json"},
		{"1\n?\nq\n", "resume", "--plain"}, {"1\n?\nq\n", "run", "--plain"}, {"", "run", profile, "--plain"}, {"", "covers", "../library/job"}, {"", "covers", "../library/job", "--json"},
		{"", "advise", "../library/job", "--earlier", profile}, {"1\n1\n2\n1\nq\n", "practice", "--plain"}, {"q\n", "practice", "--plain", "--lesson", "own"},
		{"r\n1\n1\nq\n"}, {"5\n1\n1\nq\n"}, {"l\n1\nq\n"}, {"s\n1\nq\n"},
		{"1\n1\n1\n1\nq\n", "trial", "--plain"}, {"", "sheet", profile, "-o", "-"}, {"", "__complete", "run", ""}, {"", "__complete", "sheet", "01"},
		{"", "review", "accept", profile, "--by", "QS"},
	}
}

// TestHostileLibrary lets every command read a library, and then a stick, in which every
// place is full of hostile files.
func TestHostileLibrary(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	profile := profileIn(t, s.library)
	spoiledProfiles := s.fill(t, s.library)
	before := s.around(t)
	for _, a := range asked(profile) {
		s.run(t, a[0], a[1:]...)
	}
	for i, id := range spoiledProfiles {
		if i > 0 && !pairs(i, 0) {
			continue
		}
		if page, code := s.run(t, "", "sheet", id, "-o", "-"); code == 0 {
			requirePlainPage(t, page)
		}
		if i < 8 {
			s.run(t, "", "review", "query", id, "--by", "QS", "--note", "x")
		}
	}
	said, _ := s.run(t, "", "doctor", "--json")
	require.Greater(t, strings.Count(said, ".toml"), 300, "each is named")
	require.Equal(t, before, s.around(t))
	t.Logf("%d runs; longest %v: %s; largest %d MB: %s", used.runs, used.time, used.longest, used.memory>>20, used.large)
}

// TestHostileStick exchanges records with a stick in which every place is full of hostile
// files, and lets every command read what came in.
func TestHostileStick(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	good := goodLibrary(t)
	s := newSurroundings(t, good)
	require.NoError(t, os.RemoveAll(s.stick))
	require.NoError(t, os.CopyFS(s.stick, os.DirFS(good)))
	s.fill(t, s.stick)
	require.NoError(t, os.RemoveAll(filepath.Join(s.library, "runs"))) // to be brought
	before := s.around(t)
	for range 2 {
		said, code := s.run(t, "", "exchange", s.stick)
		require.Zero(t, code, said)
		require.Contains(t, said, "Left alone:")
	}
	for _, a := range asked(profileIn(t, s.library)) {
		s.run(t, a[0], a[1:]...)
	}
	require.Equal(t, before, s.around(t))
	require.NoError(t, filepath.WalkDir(s.library, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		require.True(t, d.IsDir() || d.Type().IsRegular(), path)
		require.Empty(t, notPlain.FindString(d.Name()), "%q", path)
		return nil
	}))
}

// fileCommands are the commands that take a file.
func fileCommands(file string) [][]string {
	return [][]string{
		{"", "advise", file}, {"", "advise", file, "--json"}, {"", "covers", file}, {"", "expect", file}, {"", "expect", file, "--json"}, {"", "reach", file, "--json"}, {"", "reach", file},
		{"1\n?\n1\nq\n", "trial", file, "--plain"}, {"1\n?\nq\n", "practice", file, "--plain"}, {"", "cards", file}, {"", "advise", "../library/job", "--earlier", file}, {"", "exchange", file},
	}
}

// TestHostileFiles hands every hostile file to every command that takes one. What is
// refused is named, and it is said what to do.
func TestHostileFiles(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	job, err := os.ReadFile(exampleJobFile)
	require.NoError(t, err)
	trial, err := os.ReadFile(globbed(t, filepath.Join(s.library, "trials", "*.toml"))[0])
	require.NoError(t, err)
	route, err := os.ReadFile("testdata/jobs/reach_example.toml")
	require.NoError(t, err)
	given := 0
	give := func(what, name string, put func(at string)) {
		given++
		at := filepath.Join(s.stick, name)
		put(at)
		before := s.around(t)
		info, err := os.Stat(at)
		for i, c := range fileCommands(at) {
			if !pairs(given, i) {
				continue
			}
			if c[1] == "exchange" && err == nil && info.IsDir() {
				continue // with a folder that was named
			}
			said, code := s.run(t, c[0], c[1:]...)
			if code == 1 {
				if c[len(c)-1] != at || c[len(c)-2] != "--earlier" || !strings.Contains(said, "../library/job: ") { // the two do not go together
					require.Contains(t, said, printable(name), "%s: %q", what, c)
				}
				require.Contains(t, said, "\n  ", "%s: %q", what, c)
			}
		}
		require.Equal(t, before, s.around(t), what)
		require.NoError(t, os.RemoveAll(at))
	}
	for _, bad := range spoiled {
		for i, base := range [][]byte{job, trial, route} {
			if i == 0 || !slices.Contains(heavy, bad.name) {
				give(bad.name, "x.toml", func(at string) { write(t, at, bad.of(string(base))) })
			}
		}
	}
	for what, spoil := range sealsSpoiled {
		give(what, "x.toml", func(at string) { write(t, at, spoil(string(trial))) })
	}
	for what, stand := range noFiles {
		give(what, "x.toml", func(at string) { stand(t, at, s.outside) })
	}
	for _, name := range badNames {
		give("its name", name, func(at string) { write(t, at, string(job)) })
	}
	give("its folder", "a\n"+forged+"\x1b[2J/x.toml", func(at string) { write(t, at, string(job)) })
}

// printable is a name as it is shown.
func printable(name string) string {
	return notPlain.ReplaceAllString(strings.ReplaceAll(string([]rune(name)), "\n", ""), "")
}

// TestHostilePlaces puts every hostile file where a library has one of its kind only.
func TestHostilePlaces(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	good := goodLibrary(t)
	tried := 0
	try := func(what string, put func(at, base string, s surroundings)) {
		tried++
		s := newSurroundings(t, good)
		for _, place := range onePlaces {
			at := filepath.Join(s.library, place)
			base, err := os.ReadFile(at)
			require.True(t, err == nil || os.IsNotExist(err))
			require.NoError(t, os.RemoveAll(at))
			put(at, string(base), s)
		}
		before := s.around(t)
		for i, c := range [][]string{
			{"", "doctor", "--json"}, {"", "review", "--csv"}, {"1\nq\n", "practice", "--plain"}, {"1\nq\n", "trial", "--plain"}, {"", "covers", "../library/job"},
			{"", "sheet", profileIn(t, good), "-o", "-"}, {"1\n1\nq\n", "resume", "--plain"}, {"", "review", "query", profileIn(t, good), "--by", "QS", "--note", "x"}, {"", "exchange", s.stick},
		} {
			if pairs(tried, i) {
				s.run(t, c[0], c[1:]...)
			}
		}
		require.Equal(t, before, s.around(t), what)
		require.NoError(t, os.RemoveAll(s.root))
	}
	for _, bad := range spoiled {
		try(bad.name, func(at, base string, _ surroundings) { write(t, at, bad.of(base)) })
	}
	for what, stand := range noFiles {
		try(what, func(at, _ string, s surroundings) { stand(t, at, s.outside) })
	}
}

// libraryFolders are those of a library.
var libraryFolders = []string{
	"", "trials", "trials/received", "profiles", "profiles/2026-03", "runs", "runs/received", "reviews", "cables", "ducts", "rigs", "people", "routes", "practice", "practice/lessons", "differing", "example",
}

// TestHostileFolders puts a link that leads out, or no folder at all, in the place of each
// of a library's folders: whatever is begun, nothing is written outside.
func TestHostileFolders(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	good := goodLibrary(t)
	stands := maps.Clone(noFiles)
	stands["link to a folder"] = func(t *testing.T, at, outside string) { require.NoError(t, os.Symlink(outside, at)) }
	for _, what := range []string{"50 MB", "sparse 5 GB", "folder"} {
		delete(stands, what)
	}
	for i, folder := range libraryFolders {
		for j, what := range slices.Sorted(maps.Keys(stands)) {
			stand := stands[what]
			if what != "link to a folder" && !pairs(i, j) {
				continue
			}
			if folder == "" && strings.HasPrefix(what, "link") {
				continue // the library itself may be one: it was named
			}
			s := newSurroundings(t, good)
			require.NoError(t, os.RemoveAll(filepath.Join(s.stick)))
			require.NoError(t, os.CopyFS(s.stick, os.DirFS(good)))
			at := filepath.Join(s.library, folder)
			require.NoError(t, os.RemoveAll(at))
			require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o777))
			stand(t, at, s.outside)
			before := s.around(t)
			for _, c := range [][]string{
				{"", "doctor", "--json"}, {"", "review", "--csv"}, {"1\n1\nq\n", "trial", "../stick/job", "--plain"}, {"q\n", "run", profileIn(t, good), "--plain"},
				{"", "review", "query", profileIn(t, good), "--by", "QS", "--note", "x"}, {"", "exchange", s.stick}, {"1\n1\nq\n"}, {"q\n", "practice", "--plain"},
			} {
				s.run(t, c[0], c[1:]...)
			}
			require.Equal(t, before, s.around(t), "%s: %s", folder, what)
			require.NoError(t, os.RemoveAll(s.root))
		}
	}
}

// TestHostileWords gives every command words, and the environment values, that draw.
func TestHostileWords(t *testing.T) {
	rehearsal.Long(t)
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	profile, job := profileIn(t, s.library), "../library/job"
	texts := []string{drawing, "a\n" + forged, "a\n" + forged + "\x1b[2J/x.toml", "../../" + forged, "\xff", strings.Repeat("9", 5000), strings.Repeat("x", 100_000), "--" + drawing, "-" + drawing, "", "1e400 m", "NaN m", "-0 m", "%s%n"}
	before := s.around(t)
	for i, text := range texts {
		for j, c := range [][]string{
			{text}, {"help", text}, {"advise", text}, {"advise", job, text}, {"advise", job, "--earlier", text}, {"covers", text}, {"expect", text}, {"reach", text}, {"trial", text, "--plain"}, {"practice", text, "--plain"},
			{"practice", "--lesson", text, "--plain"}, {"practice", "--lesson", "1", "--seed", text, "--plain"}, {"run", text, "--plain"}, {"sheet", text}, {"sheet", profile, "-o", text}, {"cards", text}, {"completion", text},
			{"exchange", text}, {"review", text}, {"review", "accept", text, "--by", "QS"}, {"review", "accept", profile, text}, {"review", "query", profile, "--by", text, "--note", text}, {"review", "expire", profile, "--by", "QS", "--on", text},
			{"review", "--csv", "--find", text, "--crew", text}, {"review", "--json", "--rig", text, "--job", text}, {"review", "--csv", "--state", text}, {"doctor", "--library", text}, {"review", "--csv", "--library", text},
			{"droop", "--overhang", text, "--drop", "250 mm", "--mass", "118 kg/km"}, {"droop", "--overhang", "1 m", "--drop", text, "--drop-turned", text, "--mass", text}, {"droop", "--overhang", "1 m", "--drop", "250 mm", "--mass", "118 kg/km", "--temperature", text},
			{"version", text}, {"doctor", "--json=" + text}, {"__complete", text, ""},
		} {
			if i < 2 || pairs(i, j) {
				s.run(t, "q\n", c...)
			}
		}
		for j, name := range []string{"HOME", "BRINKMARK_LIBRARY", "XDG_DATA_HOME", "TERM", "LANG", "LC_ALL", "NO_COLOR", "COLORTERM", "TMPDIR", "TZ", "TMUX"} {
			for _, value := range []string{text, "/" + text} {
				if len(value) < 1<<16 && pairs(i, j) {
					for _, c := range [][]string{{"doctor"}, {"doctor", "--json"}, {"review", "--csv"}} {
						s.runIn(t, []string{"HOME=" + s.root, "TMPDIR=" + s.outside, name + "=" + value}, "q\n", c...)
					}
				}
			}
		}
		for _, typed := range []string{text + "\n", "1\n" + text + "\nq\n"} {
			for j, c := range [][]string{{"trial", "--plain"}, {"practice", "--plain"}, {}, {"resume", "--plain"}} {
				if pairs(i, j) {
					s.run(t, typed, c...)
				}
			}
		}
	}
	require.Equal(t, before, s.around(t))
}

// requirePlainPage requires that no text of a record is a tag of its page.
func requirePlainPage(t *testing.T, page string) {
	t.Helper()
	require.Contains(t, page, "</html>")
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "<img")
	require.Equal(t, 1, strings.Count(page, "</style>"))
}
