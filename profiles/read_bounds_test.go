package profiles

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

// A line break that a record spells could draw a line of its own, and fake one of the
// program's: it is read as a space, however it is spelled. The same letters after a
// backslash of their own, or between single quotes, are no line break.
func TestTextsAreOneLine(t *testing.T) {
	for written, want := range map[string]string{
		`"a\nb"`: "a b", `"a\u000ab"`: "a b", `"a\U0000000Ab"`: "a b", `"a\x0ab"`: "a b", `"a\r\nb"`: "a\r b",
		`"a\\nb"`: `a\nb`, `'a\nb'`: `a\nb`, `"a\\\nb"`: `a\ b`, `"a\"\nb"`: `a" b`, `"a\u00e4b" # "\n"`: "aäb",
	} {
		r, err := Parse("job.toml", []byte("format = 1 # \"\n[cable]\nmake = "+written+"\n[[change]]\nkey = \"cable.reel\"\nvalue = "+written+"\n"))
		require.NoError(t, err, written)
		require.Equal(t, want, r.Cable.Make, written)
		trial, err := r.Trial()
		require.NoError(t, err, written)
		require.Equal(t, want, trial.Cable.Reel, written)
	}
	limits, err := parseCoverLimits("rules.toml", []byte("format = 1\n\"a\\nb\" = 1\n"))
	require.ErrorContains(t, err, ": a b: ", limits)
}

const boundsJob = "format = 1\n[cable]\nmake = \"Northmoor\"\n[rig]\npush_unit = \"ft/min\"\nspeed_limit = \"220 ft/min\"\n"

// Every bound on what is read, one below it, at it and one above.
func TestReadingBounds(t *testing.T) {
	attempts := func(n int) string {
		return "format = 1\n" + strings.Repeat("[[attempt]]\ngrip = \"4 psi\"\nspeed = \"40 ft/min\"\noutcome = \"void\"\n", n)
	}
	changes := func(n int) string {
		return "format = 1\n" + strings.Repeat("[[change]]\nkey = \"rig.belts\"\nvalue = \"B\"\n", n)
	}
	for _, bound := range []struct {
		name string
		most int
		file func(n int) string
		says string
	}{
		{"bytes", store.MaxText, func(n int) string { return boundsJob + "#" + strings.Repeat("x", n-len(boundsJob)-1) }, "bytes is no record: the most is 4194304"},
		{"lines", problem.MaxValues, func(n int) string {
			return boundsJob + strings.Repeat("\n", n-strings.Count(boundsJob, "\n")-strings.Count(boundsJob, "["))
		}, "more than 100000 lines and values are no record"},
		{"letters", problem.MaxLetters, func(n int) string { return "format = 1\n[cable]\nmake = \"" + strings.Repeat("å", n) + "\"\n" }, "the most is 131072"},
		{"letters spelled", problem.MaxLetters, func(n int) string {
			return "format = 1\n[cable]\nmake = \"" + strings.Repeat(`\u00e5`, n-2) + `\"\n` + "\"\n"
		}, "the most is 131072"},
		{"brackets", 8, func(n int) string {
			return boundsJob + "[rig]\ngauge_ids = " + strings.Repeat("[", n) + strings.Repeat("]", n) + "\n"
		}, "brackets within brackets"},
		{"dots", 8, func(n int) string { return "a" + strings.Repeat(".a", n) + " = 1\n" }, "a key with too many dots"},
		{"pushes", maxPushes, attempts, "more than 2000 pushes are no trial"},
		{"changes", maxChanges, changes, "more than 2000 changes are no trial"},
	} {
		for n, refused := range map[int]bool{bound.most - 1: false, bound.most: false, bound.most + 1: true} {
			_, err := Parse("job.toml", []byte(bound.file(n)))
			if refused {
				require.ErrorContains(t, err, bound.says, "%s: %d", bound.name, n)
			} else if err != nil { // for another reason, such as a key that is not known
				require.NotContains(t, err.Error(), bound.says, "%s: %d", bound.name, n)
			}
		}
	}
}

// Every bound on a spreadsheet, one below it, at it and one above.
func TestSheetBounds(t *testing.T) {
	const heads = "cable.make,cable.type\n"
	for _, bound := range []struct {
		name string
		most int
		file func(n int) string
		says string
	}{
		{"bytes", maxSheet, func(n int) string { return heads + "#" + strings.Repeat("x", n-len(heads)-1) }, "the most is 4194304"},
		{"lines", maxLines, func(n int) string { return heads + strings.Repeat("\n", n-1) }, "the most is 20000"},
		{"commas", maxCells, func(n int) string {
			return heads + strings.Repeat(strings.Repeat(",", 999)+"\n", (n-1)/999) + strings.Repeat(",", (n-1)%999)
		}, "the most is 500000"},
		{"columns", maxColumns, func(n int) string { return heads + strings.Repeat(",", n-1) + "\n" }, "the most is 1024"},
		{"letters", maxCell, func(n int) string { return heads + strings.Repeat("å", n) + ",x\n" }, "is longer than 200 characters"},
	} {
		for n, refused := range map[int]bool{bound.most - 1: false, bound.most: false, bound.most + 1: true} {
			_, problems := parseSheet("cards.csv", []byte(bound.file(n)))
			err := errors.Join(problems...)
			if refused {
				require.ErrorContains(t, err, bound.says, "%s: %d", bound.name, n)
			} else if err != nil {
				require.NotContains(t, err.Error(), bound.says, "%s: %d", bound.name, n)
			}
		}
	}
}

// A file whose name could move the cursor is not read; one whose name merely looks odd is.
func TestNamesOfFiles(t *testing.T) {
	for name, refused := range map[string]bool{
		"a\x1b[2J.toml": true, "a\n.toml": true, "a\t.toml": true, "a\x7f.toml": true, "a\u0085.toml": true, "a\u009b.toml": true, "a\x01.toml": true,
		"a b.toml": false, "å.toml": false, "a\u202e.toml": false, "\xff.toml": false, strings.Repeat("x", 255): false,
	} {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(boundsJob), 0o666); err != nil {
			continue // not on this system
		}
		_, _, err := readNamed(path)
		if !refused {
			require.NoError(t, err, "%q", name)
			continue
		}
		require.ErrorContains(t, err, "its name has characters that cannot be shown", "%q", name)
		require.NotContains(t, err.Error(), name)
	}
}

// What is written is shorter than what is read: an earlier version wrote as much as a line
// that was typed, or a word of the command line, could hold.
func TestWritingBounds(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "01M8938VPMQK1QTD27230G35TC.toml")
	note := func(n int) string {
		return "[[attempt]]\ngrip = \"4 psi\"\nspeed = \"40 ft/min\"\noutcome = \"void\"\nnote = \"" + strings.Repeat("w", n) + "\"\n"
	}
	const mostWritten = 4000
	j, err := journal.Create(folder.On(disk.OS{}, filepath.Dir(path)), filepath.Base(path), boundsJob)
	require.NoError(t, err)
	require.NoError(t, j.Append(note(mostWritten-1)))
	require.NoError(t, j.Append(note(mostWritten)))
	require.EqualError(t, j.Append(note(mostWritten+1)), "not written: a text of 4001 letters: the most is 4000\n  shorten it")
	require.NoError(t, j.Close())

	r, _, err := readNamed(path)
	require.NoError(t, err)
	require.Len(t, r.Attempts, 2)
	_, err = Parse(path, []byte(boundsJob+note(64<<10))) // what a line could hold
	require.NoError(t, err)
	profile, err := journal.SealHead(boundsJob + note(64<<10)) // of a trial of that time, and its job
	require.NoError(t, err)
	_, err = Parse(path, []byte(profile.Text()))
	require.NoError(t, err)
}

// A journal takes no entry that would keep it from being read again: its seals count too.
func TestJournalStaysReadable(t *testing.T) {
	long(t)
	path := filepath.Join(t.TempDir(), "01M8938VPMQK1QTD27230G35TC.toml")
	j, err := journal.Create(folder.On(disk.OS{}, filepath.Dir(path)), filepath.Base(path), boundsJob)
	require.NoError(t, err)
	const empty = 5000 // lines in one entry
	for err == nil {
		err = j.Append(strings.Repeat("\n", empty) + "[[undo]]\ndrops = 1\n")
	}
	require.ErrorContains(t, err, "more than 100000 lines and values are no record")
	for err = nil; err == nil; {
		err = j.Append("[[undo]]\ndrops = 1\n")
	}
	require.ErrorContains(t, err, "more than 100000 lines and values are no record")
	_, wrong, _ := problem.Scan([]byte(j.Text()), problem.MaxLetters)
	require.Empty(t, wrong)
	require.NoError(t, j.Close())
}
