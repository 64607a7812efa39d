package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
)

// FuzzOnOneLine: a file that can be read is read with the same texts but for their line
// breaks, of which none is left; and one that cannot be read stays so.
func FuzzOnOneLine(f *testing.F) {
	for _, text := range []string{`"a\nb"`, `"\u000a\U0000000A\x0a"`, `"\\n" # "\n`, `'a\nb'`, `"a\"\n"`, `"\N"`, `"\`, "\"\\", `["\n", '\n', {a = "\n"}]`, `"""`, "1 # \\\"\n[t]\nb = \"\\n\""} {
		f.Add("a = " + text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if _, wrong, _ := problem.Scan([]byte(text), problem.MaxLetters); wrong != "" {
			return // which decode refuses before
		}
		var want, got map[string]any
		_, err := toml.Decode(text, &want)
		_, err2 := toml.Decode(problem.OnOneLine([]byte(text)), &got)
		if err != nil {
			if err2 == nil { // but that two keys may have been the same: then one is left
				require.Contains(t, err.Error(), "already", "%q", text)
			}
			return
		}
		if err2 != nil { // two keys that were not the same
			require.Contains(t, err2.Error(), "already", "%q", text)
			return
		}
		// as texts, since no two NaN are equal
		require.Equal(t, fmt.Sprintf("%#v", spaced(want)), fmt.Sprintf("%#v", any(got)), "%q", text)
	})
}

// spaced is a value with a space for every line break in its texts and keys.
func spaced(value any) any {
	switch v := value.(type) {
	case string:
		return strings.ReplaceAll(v, "\n", " ")
	case map[string]any:
		m := map[string]any{}
		for key, value := range v {
			m[spaced(key).(string)] = spaced(value)
		}
		return m
	case []any:
		for i := range v {
			v[i] = spaced(v[i])
		}
	case []map[string]any:
		for i := range v {
			v[i] = spaced(v[i]).(map[string]any)
		}
	}
	return value
}

// FuzzFileName: whatever a card is called, its file lies in its folder under a name that
// every system takes.
func FuzzFileName(f *testing.F) {
	for _, name := range []string{"../../x", `..\x`, "CON", "x\x00y", "光", "", strings.Repeat("long ", 100), "a\nb", "-", "LPT9"} {
		f.Add(name)
	}
	empty := folder.On(disk.OS{}, f.TempDir())
	f.Fuzz(func(t *testing.T, name string) {
		path, err := freeName(empty, "folder", name, fold(name))
		require.NoError(t, err)
		require.Equal(t, "folder", filepath.Dir(path))
		base := strings.TrimSuffix(filepath.Base(path), ".toml")
		require.Regexp(t, `^[a-z0-9][a-z0-9-]{0,63}$`, base)
		require.NotRegexp(t, `^(con|prn|aux|nul|com[0-9]*|lpt[0-9]*)$`, base)
	})
}

// FuzzPacked: what stands in the index for exceptions and judgements is read without harm,
// and what was packed is read as the same.
func FuzzPacked(f *testing.F) {
	f.Add(packExceptions([]Exception{{WrongName, "x"}, {MissingField, "a, b"}}))
	f.Add(packActions([]Judged{{Of: "x", Action: Query, By: "QS", Note: "why?"}}))
	f.Add("\x1e\x1f\x1f\x1e")
	f.Fuzz(func(t *testing.T, text string) {
		exceptions := unpackExceptions(packExceptions(unpackExceptions(text))) // without marks in what is said
		require.Equal(t, exceptions, unpackExceptions(packExceptions(exceptions)))
		judged := unpackActions(&row{actions: text, sealed: true})
		require.Equal(t, judged, unpackActions(&row{actions: packActions(judged), sealed: true}))
		standing(judged, time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC))
	})
}

// FuzzSmallFiles: options, rules and routes of any content are read or refused with their
// file's name, and never with a control character.
func FuzzSmallFiles(f *testing.F) {
	for _, text := range []string{"format = 1\ntheme = \"dark\"\n", "format = 1\nmax_age = \"1\\n2\"\n", "format = 1\n[route]\nname = \"m\\u001b[2J\"\n[[section]]\nlength = \"1 m\"\n", "length,bend\n1 m,\n", "\"a\nb\",c\n"} {
		f.Add(text)
	}
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "options.toml"), []byte(text), 0o666))
		_, err1 := (inFolder(dir)).Options()
		_, err2 := parseCoverLimits("rules.toml", []byte(text))
		_, err3 := parseRouteFile("r.toml", Source{Path: "r.toml", Text: []byte(text)})
		_, err4 := parseRouteFile("r.csv", Source{Path: "r.csv", Text: []byte(text)})
		for _, err := range []error{err1, err2, err3, err4} {
			if err == nil || errors.Is(err, fs.ErrNotExist) {
				continue
			}
			require.Regexp(t, `(options|rules|r)\.(toml|csv)`, err.Error())
			require.False(t, strings.ContainsFunc(err.Error(), func(r rune) bool { return r != '\n' && !unicode.IsPrint(r) }), "%q", err)
			for _, line := range strings.Split(err.Error(), "\n") {
				require.Regexp(t, `^(  |r\.|rules|/|[A-Z]:)`, line)
			}
		}
	})
}
