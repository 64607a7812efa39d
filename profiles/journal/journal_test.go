package journal

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"

	"github.com/stretchr/testify/require"
)

const testHead = "format = 1\n[cable]\nmake = \"Northmoor\"\n"

// testEntry has a note that would be a seal if it began a line.
func testEntry(n int) string {
	return fmt.Sprintf("[[answer]]\nseq = %d\nitem = \"a\"\nvalue = \"# sealed 3 01234567\"\n", n)
}

// writtenJournal returns the file of a journal of three entries, and its text after
// the head and after each entry.
func writtenJournal(t testing.TB) (path string, after []string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "j.toml")
	j, err := create(disk.OS{}, path, testHead)
	require.NoError(t, err)
	after = append(after, j.Text())
	for n := 1; n <= 3; n++ {
		require.NoError(t, j.Append(testEntry(n)))
		require.Equal(t, n, j.Entries())
		after = append(after, j.Text())
	}
	require.NoError(t, j.Close())
	require.Equal(t, after[3], fileText(t, path))
	return path, after
}

// longestOf returns the longest of the texts that text begins with.
func longestOf(after []string, text string) string {
	longest := ""
	for _, a := range after {
		if strings.HasPrefix(text, a) {
			longest = a
		}
	}
	return longest
}

func TestJournalTornAtEveryByte(t *testing.T) {
	long(t)
	_, after := writtenJournal(t)
	full := after[3]
	for cut := len(after[0]); cut <= len(full); cut++ {
		for _, padding := range []string{"", strings.Repeat("\x00", 600)} {
			path := filepath.Join(t.TempDir(), "j.toml")
			putFile(t, path, full[:cut]+padding)
			want := longestOf(after, full[:cut])
			torn := (full[:cut] + padding)[len(want):]

			text, found, err := readText(path)
			require.NoError(t, err, "cut at %d", cut)
			require.Equal(t, want, text, "cut at %d", cut)
			require.Equal(t, torn == "", found.Says == "", "cut at %d", cut)
			require.Equal(t, want+torn, fileText(t, path), "reading writes nothing")

			j, recovery, err := open(disk.OS{}, path)
			require.NoError(t, err, "cut at %d", cut)
			require.Equal(t, want, j.Text(), "cut at %d", cut)
			require.Equal(t, len(torn), recovery.SetAside)
			require.NoError(t, j.Append(testEntry(9)))
			require.NoError(t, j.Close())
			require.True(t, strings.HasPrefix(fileText(t, path), want+testEntry(9)))

			names, err := os.ReadDir(filepath.Dir(path))
			require.NoError(t, err)
			if torn == "" {
				require.Zero(t, recovery)
				require.Len(t, names, 1, "nothing else is written")
				continue
			}
			require.Equal(t, path+".torn-1", recovery.KeptIn)
			require.Equal(t, 1+strings.Count(want, "\n"), recovery.Line)
			require.Equal(t, torn, fileText(t, recovery.KeptIn))
			require.Len(t, names, 2)
		}
	}
}

// A head is put in place whole, so half a head is damage and nothing to recover.
func TestJournalCutInTheHead(t *testing.T) {
	_, after := writtenJournal(t)
	for cut := range len(after[0]) {
		path := filepath.Join(t.TempDir(), "j.toml")
		putFile(t, path, after[0][:cut])
		_, _, err := open(disk.OS{}, path)
		require.Error(t, err, "cut at %d", cut)
		require.Equal(t, after[0][:cut], fileText(t, path))
	}
}

// Whatever bit changes, nothing but a beginning of what was sealed is accepted.
func TestJournalEveryBitFlipped(t *testing.T) {
	_, after := writtenJournal(t)
	path := filepath.Join(t.TempDir(), "j.toml")
	for i := range len(after[3]) {
		for bit := range 8 {
			data := []byte(after[3])
			data[i] ^= 1 << bit
			putFile(t, path, string(data))
			_, found, err := readText(path)
			require.True(t, err != nil || found.Says != "", "byte %d, bit %d is not seen", i, bit)

			is, err := IsJournal(path, data)
			if err != nil {
				continue
			}
			require.True(t, is, "byte %d, bit %d: taken for written by hand", i, bit)
			s, torn, err := Unseal(path, data)
			if err != nil {
				continue
			}
			require.Equal(t, after[2], string(s.text), "byte %d, bit %d", i, bit)
			require.NotEmpty(t, torn)
		}
	}
}

func TestJournalDamage(t *testing.T) {
	_, after := writtenJournal(t)
	entry := func(n int) string { return after[n][len(after[n-1]):] }
	zeros := func(s string) string { return strings.Repeat("\x00", len(s)) }
	edit := func(s string) string { return strings.Replace(s, `"a"`, `"b"`, 1) }
	for _, row := range []struct{ name, text, want string }{
		{"edited head", strings.Replace(after[3], "Northmoor", "Southmoor", 1), ":1: the head is not as it was written: lines 1 to 5 do not fit their seal"},
		{"edited entry", after[1] + edit(entry(2)) + entry(3), ":11: entry 2 is not as it was written: lines 11 to 15 do not fit their seal"},
		{"edited last entry", after[2] + edit(entry(3)), ":16: entry 3 is not as it was written: lines 16 to 20 do not fit their seal"},
		{"entry taken out", after[1] + entry(3), ":11: entry 2 is"},
		{"entry twice", after[2] + entry(2) + entry(3), ":16: entry 3 is"},
		{"entries swapped", after[0] + entry(2) + entry(1) + entry(3), ":6: entry 1 is"},
		{"entry lost to the disk", after[1] + zeros(entry(2)) + entry(3), ":11: entry 2 is"},
		{"torn entry within", after[2] + entry(3)[:20] + "\n" + entry(3), ":16: entry 3 is"},
		{"seal in capitals", after[2] + testEntry(3) + "# sealed 3 ABCDEF01\n", ":16: entry 3 is"},
		{"no entry fits", after[0] + strings.ReplaceAll(after[3][len(after[0]):], "[[", "[ ["), ":6: entry 1 is"},
		{"line ends changed", strings.ReplaceAll(after[3], "\n", "\r\n"), `:1: the first line is not "# brinkmark journal 1" as it was written`},
		{"byte order mark", "\uFEFF" + after[3], ":1: the first line is not"},
		{"later version", strings.Replace(after[3], "journal 1", "journal 2", 1), ":1: the first line is not"},
		{"written by hand", testHead + testEntry(1), "written by hand: it can be read but not gone on with"},
		{"empty", "", "written by hand"},
	} {
		t.Run(row.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "j.toml")
			putFile(t, path, row.text)
			_, _, err := open(disk.OS{}, path)
			require.ErrorContains(t, err, path)
			require.ErrorContains(t, err, row.want)
			require.Equal(t, row.text, fileText(t, path), "it stays as it is")
			names, err := os.ReadDir(filepath.Dir(path))
			require.NoError(t, err)
			require.Len(t, names, 1)
		})
	}
}

func TestReadTextOfDamage(t *testing.T) {
	path, after := writtenJournal(t)
	edited := strings.Replace(after[3], "Northmoor", "Southmoor", 1)
	putFile(t, path, edited)
	text, found, err := readText(path)
	require.NoError(t, err)
	require.Equal(t, edited, text)
	require.Equal(t, "line 1: the head is not as it was written: lines 1 to 5 do not fit their seal", found.Says)

	putFile(t, path, testHead)
	text, found, err = readText(path)
	require.NoError(t, err)
	require.Equal(t, testHead, text)
	require.Empty(t, found)
}

// A recovery that is broken off after setting the bytes aside does not do so twice.
func TestJournalSetsAsideOnce(t *testing.T) {
	path, after := writtenJournal(t)
	putFile(t, path, after[2]+"[[att")
	putFile(t, path+".torn-1", "an older one")
	putFile(t, path+".torn-2", "[[att")
	j, recovery, err := open(disk.OS{}, path)
	require.NoError(t, err)
	require.NoError(t, j.Close())
	require.Equal(t, path+".torn-2", recovery.KeptIn)
	require.Equal(t, "an older one", fileText(t, path+".torn-1"))
	require.NoFileExists(t, path+".torn-3")
	require.Equal(t, "the last entry was not fully written: 5 bytes from line 16 on were set aside in "+path+".torn-2", recovery.String())
}

func TestJournalRefusesText(t *testing.T) {
	path, after := writtenJournal(t)
	j, _, err := open(disk.OS{}, path)
	require.NoError(t, err)
	for bad, want := range map[string]string{
		"":                                  "entry 4: nothing to write",
		" \n":                               "nothing to write",
		"[[answer]]\n# sealed 4 00000000\n": "entry 4: line 2: \"# sealed 4 00000000\" is kept for seals",
		"# sealed\n":                        "kept for seals",
		"[[answer]]\n" + header:             "kept for seals",
		"[[answer]]\nvalue = \"\"\"\nx\n\"\"\"\n":  "entry 4: line 2: a text over several lines",
		"[[answer]]\nvalue = '''\n# sealed 4 \n''": "kept for seals",
		"value = '''x'''\n":                        "a text over several lines",
		"value = \"a\x00b\"\n":                     "line 1: a control character (0x00)",
		"value = \"a\r# sealed 4 00000000\"\n":     "a control character (0x0d)",
		"value = \"\xff\"\n":                       "not text in UTF-8",
		"x" + strings.Repeat("y", store.MaxText):   "are too many for a record",
	} {
		require.ErrorContains(t, j.Append(bad), want)
	}
	require.Equal(t, after[3], j.Text())
	for _, note := range []string{`tag reads '''A'''`, `\"\"\" in it`, `# sealed 4 00000000`, `\n# sealed 4 00000000`} {
		require.NoError(t, j.Append("[[attempt]]\nnote = \""+note+"\""), "any note of the crew's is taken")
	}
	kept := j.Text()
	require.NoError(t, j.Close())
	j, _, err = open(disk.OS{}, path)
	require.NoError(t, err)
	require.Equal(t, kept, j.Text())
	require.NoError(t, j.Close())
	_, err = create(disk.OS{}, path+"x", "# sealed 0 00000000\n")
	require.ErrorContains(t, err, "head: line 1")
	require.NoFileExists(t, path+"x")
}

func TestJournalHead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "j.toml")
	j, err := create(disk.OS{}, path, testHead)
	require.NoError(t, err)
	require.NoError(t, j.ReplaceHead("format = 1"))
	require.Equal(t, fileText(t, path), j.Text())
	require.True(t, strings.HasPrefix(j.Text(), header+"format = 1\n# sealed 0 "))
	require.NoError(t, j.Append(testEntry(1)))
	before := j.Text()
	require.ErrorContains(t, j.ReplaceHead(testHead), "the job cannot be written anew: 1 entries rest on it")
	require.Equal(t, before, fileText(t, path))
	require.Equal(t, path, j.Where())
	require.NoError(t, j.Close())
	require.ErrorIs(t, j.Append(testEntry(2)), fs.ErrClosed)
	require.NoError(t, j.Close(), "a second time")
	require.Equal(t, before, fileText(t, path))

	_, err = create(disk.OS{}, path, testHead)
	require.ErrorIs(t, err, fs.ErrExist)
	require.Equal(t, before, fileText(t, path))
	_, _, err = open(disk.OS{}, path+"x")
	require.ErrorIs(t, err, fs.ErrNotExist)
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1, "nothing is left beside the journal")
}

// A file that another program wrote to or put in the journal's place is not
// written to: what it has is not known.
func TestJournalChangedMeanwhile(t *testing.T) {
	for name, change := range map[string]func(path, text string) error{
		"grown":    func(p, s string) error { return os.WriteFile(p, []byte(s+"# a remark\n"), filePerm) },
		"cut":      func(p, s string) error { return os.Truncate(p, int64(len(s)-1)) },
		"edited":   func(p, s string) error { return os.WriteFile(p, []byte(strings.Replace(s, "N", "M", 1)), filePerm) },
		"replaced": func(p, s string) error { return os.WriteFile(p, []byte("format = 1\n"), filePerm) },
	} {
		t.Run(name, func(t *testing.T) {
			path, after := writtenJournal(t)
			j, _, err := open(disk.OS{}, path)
			require.NoError(t, err)
			require.NoError(t, change(path, after[3]))
			changed := fileText(t, path)
			require.ErrorContains(t, j.Append(testEntry(4)), "another program has changed the file")
			require.Equal(t, changed, fileText(t, path))
			require.Equal(t, after[3], j.Text())
			require.NoError(t, j.Close())
		})
	}
}

func TestJournalRefusesWhatIsNoPlainFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no file is a pipe there")
	}
	path, _ := writtenJournal(t)
	dir := filepath.Dir(path)
	link, pipe, place := filepath.Join(dir, "link.toml"), filepath.Join(dir, "pipe.toml"), filepath.Join(dir, "folder.toml")
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, exec.Command("mkfifo", pipe).Run())
	require.NoError(t, os.Mkdir(place, folderPerm))
	for _, bad := range []string{link, pipe, place} {
		_, _, err := open(disk.OS{}, bad)
		require.ErrorContains(t, err, "not a plain file")
		_, err = create(disk.OS{}, bad, testHead)
		require.ErrorIs(t, err, fs.ErrExist)
	}
	for _, bad := range []string{pipe, place} {
		_, _, err := readText(bad)
		require.ErrorContains(t, err, "not a plain file")
	}
	text, _, err := readText(link)
	require.NoError(t, err, "reading through a link harms nothing")
	require.Equal(t, fileText(t, path), text)

	big := filepath.Join(dir, "big.toml")
	putFile(t, big, header)
	require.NoError(t, os.Truncate(big, store.MaxText+1))
	_, _, err = open(disk.OS{}, big)
	require.ErrorContains(t, err, "is no record")
	_, _, err = readText(big)
	require.ErrorContains(t, err, "is no record")
}
