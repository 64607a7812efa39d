package profiles

import (
	"fmt"
	"maps"
	"math"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"brinkmark/profiles/journal"

	"github.com/stretchr/testify/require"
)

// plainRows are an index's rows to compare with another's.
func plainRows(x *Index) []string {
	var list []string
	for i, r := range x.rowsOf(x.entries) {
		plain := *r
		wrong := ""
		if plain.problem != nil {
			wrong, plain.problem = plain.problem.Error(), nil
		}
		list = append(list, fmt.Sprintf("%+v %+v %s", x.entries[i].stamp, plain, wrong))
	}
	return list
}

// requireTrue compares the index as it opens with one made from the files alone.
func requireTrue(t *testing.T, l *Library, when string) {
	t.Helper()
	kept, err := l.OpenIndex(nil)
	require.NoError(t, err, when)
	bare := &Library{l.store, l.now, l.entropy}
	path := filepath.Join(l.Where(), indexFile)
	index, err := os.ReadFile(path)
	if err == nil {
		require.NoError(t, os.Remove(path))
	}
	anew, err := bare.OpenIndex(nil)
	require.NoError(t, err, when)
	want, have := plainRows(anew), plainRows(kept)
	require.Len(t, have, len(want), when)
	for i := range want {
		require.Equal(t, want[i], have[i], when)
	}
	if index != nil {
		require.NoError(t, os.WriteFile(path, index, filePerm))
	}
	require.Equal(t, len(anew.entries), anew.Read)
}

// TestIndexAgainstTheFiles changes a library a thousand times, and the index file too:
// opened again it always says what the files say.
func TestIndexAgainstTheFiles(t *testing.T) {
	long(t)
	l := reviewLibrary(t)
	rng := mathrand.New(mathrand.NewPCG(7, 11))
	list := samples(t, l, 30)
	next := len(list)
	index := filepath.Join(l.Where(), indexFile)
	read := 0
	steps := 1000
	if racing { // the race detector makes each many times slower
		steps = 100
	}
	for step := range steps {
		s := &list[rng.IntN(len(list))]
		path := filepath.Join(l.Where(), s.name)
		switch kind := rng.IntN(8); kind {
		case 0, 1: // a hand edit
			s.text = strings.Replace(s.text, "watcher = ", fmt.Sprintf("trainee = true # %d\nwatcher = ", step), 1)
			s.text = strings.Replace(s.text, "trainee = true # ", "# trainee ", 1)
			writeSealed(t, l, *s)
			age(t, path, 1000+step)
		case 2: // one byte of damage
			if data, err := os.ReadFile(path); err == nil && len(data) > 0 {
				data[rng.IntN(len(data))] ^= 1 << rng.IntN(8)
				require.NoError(t, os.WriteFile(path, data, filePerm))
				age(t, path, 1000+step)
			}
		case 3:
			_ = os.Remove(path)
		case 4:
			writeSealed(t, l, *s) // back, and written just now
		case 5:
			list = append(list, newSample(rng, next))
			next++
			path = filepath.Join(l.Where(), list[len(list)-1].name)
			require.NoError(t, os.MkdirAll(filepath.Dir(path), folderPerm))
			writeSealed(t, l, list[len(list)-1])
		case 6: // the index is damaged, cut off or lost
			data, err := os.ReadFile(index)
			if err == nil && len(data) > 0 {
				data[rng.IntN(len(data))] ^= 1 << rng.IntN(8)
				require.NoError(t, os.WriteFile(index, data[:len(data)-rng.IntN(2)*rng.IntN(len(data))], filePerm))
			}
			if rng.IntN(4) == 0 {
				_ = os.Remove(index)
			}
		case 7: // written, so that the next look can trust it
			x, err := l.OpenIndex(nil)
			require.NoError(t, err)
			require.NoError(t, x.save(time.Now()))
			read += x.Read
		}
		if step%25 == 0 {
			requireTrue(t, l, fmt.Sprint("step ", step))
		}
	}
	requireTrue(t, l, "end")
	require.Less(t, read, steps*len(list)/16+100, "the index saves reading")
}

// TestIndexIsRead opens a library a second time without reading a file.
func TestIndexIsRead(t *testing.T) {
	l := reviewLibrary(t)
	samples(t, l, worthSaving)
	var told []int
	x, err := l.OpenIndex(func(done, total int) { told = append(told, done); require.Equal(t, worthSaving, total) })
	require.NoError(t, err)
	require.NoError(t, x.Unsaved)
	require.Equal(t, worthSaving, x.Read)
	require.Equal(t, worthSaving, told[len(told)-1])
	require.IsIncreasing(t, told)
	again, err := l.OpenIndex(nil)
	require.NoError(t, err)
	require.Zero(t, again.Read)
	require.Equal(t, plainRows(x), plainRows(again))
}

// TestIndexDoubtsTheFresh: a file that may have been written twice within the clock of
// its disk is read again.
func TestIndexDoubtsTheFresh(t *testing.T) {
	l := reviewLibrary(t)
	s := samples(t, l, 3)
	path := writeSealed(t, l, s[1]) // just now
	x, err := l.OpenIndex(nil)
	require.NoError(t, err)
	require.NoError(t, x.save(time.Now()))
	info, err := os.Stat(path)
	require.NoError(t, err)
	s[1].text = strings.Replace(s[1].text, "set B", "set C", 1)
	writeSealed(t, l, s[1])
	require.NoError(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
	again, err := l.OpenIndex(nil)
	require.NoError(t, err)
	require.Equal(t, 1, again.Read)
	requireTrue(t, l, "edited within a second")
}

// TestIndexCannotBeKept: a library on a write-protected stick is listed all the same.
func TestIndexCannotBeKept(t *testing.T) {
	l := reviewLibrary(t)
	samples(t, l, worthSaving)
	require.NoError(t, os.Mkdir(filepath.Join(l.Where(), indexFile), folderPerm))
	v, err := l.Review(nil)
	require.NoError(t, err)
	require.Error(t, v.Unsaved)
	require.Len(t, v.Profiles, worthSaving)
}

const indexChild = "BRINKMARK_INDEX_CHILD"

// TestIndexChild is no test: it saves profiles and the index, over and over.
func TestIndexChild(t *testing.T) {
	dir := os.Getenv(indexChild)
	if dir == "" {
		t.Skip("run by TestTwoProcessesSave")
	}
	dir, from, _ := strings.Cut(dir, "|")
	n, err := strconv.Atoi(from)
	require.NoError(t, err)
	l, err := libraryIn(dir, time.Now, nil)
	require.NoError(t, err)
	for i := range 40 {
		s := newSample(mathrand.New(mathrand.NewPCG(3, uint64(n+i))), n+i)
		sealed, err := journal.SealHead(s.text)
		require.NoError(t, err)
		require.NoError(t, l.createProfile(filepath.ToSlash(s.name), sealed.Text()))
		x, err := l.OpenIndex(nil)
		require.NoError(t, err)
		require.NoError(t, x.save(time.Now()))
	}
}

// Two processes save profiles and the index at once: no profile is lost, and the index
// is whole.
func TestTwoProcessesSave(t *testing.T) {
	long(t)
	l := reviewLibrary(t)
	var children []*exec.Cmd
	for _, from := range []string{"0", "1000"} {
		c := exec.Command(os.Args[0], "-test.run=^TestIndexChild$")
		c.Env = append(os.Environ(), indexChild+"="+l.Where()+"|"+from)
		c.Stdout = os.Stderr
		require.NoError(t, c.Start())
		children = append(children, c)
	}
	for _, c := range children {
		require.NoError(t, c.Wait())
	}
	data, err := os.ReadFile(filepath.Join(l.Where(), indexFile))
	require.NoError(t, err)
	require.NotEmpty(t, parseIndex(data))
	v, err := l.Review(nil)
	require.NoError(t, err)
	require.Len(t, v.Profiles, 80)
	requireTrue(t, l, "after two processes")
}

// FuzzIndex: whatever the file holds, reading it ends. A body that somebody has summed
// rightly is read or refused as a whole, and what was read is written and read again as
// the same; so is every row.
func FuzzIndex(f *testing.F) {
	r := row{make: "tab\there \\ and\nline", celsius: 5.25, sum: 7, sealed: true, actions: "x"}
	line := string((&entry{stamp: stamp{"01.toml", 12, 34}, row: &r}).appendLine(nil))
	f.Add(">profiles/2026-05\n" + line + "\n" + strings.Replace(line, "01", "02", 1) + "\n>trials\n")
	f.Add(string(r.appendLine(nil)))
	f.Add(">a\\tb\n1\t2\t\\\\\t\n")
	f.Add("")
	f.Add("a\tb\n")
	f.Fuzz(func(t *testing.T, body string) {
		require.Nil(t, parseIndex([]byte(body)), "no sum")
		whole := indexHeader + "\n" + body
		folders := parseIndex(fmt.Appendf(nil, "%s%s%08x\n", whole, indexEnd, journal.Sum([]byte(whole))))
		var entries []entry
		for _, place := range slices.Sorted(maps.Keys(folders)) {
			entries = append(entries, folders[place]...)
		}
		if !strings.Contains(body, indexEnd) { // else another end may have been found before
			again := parseIndex(indexText(entries, math.MaxInt64))
			require.Equal(t, len(folders), len(again))
			for place, list := range folders {
				require.Equal(t, list, again[place])
			}
		}
		for _, e := range entries {
			requireSameRow(t, string(e.line))
		}
		first, _, _ := strings.Cut(body, "\n")
		requireSameRow(t, first)
	})
}

// A text of several lines is no record's: its file is read anew.
func TestIndexTextsAreOneLine(t *testing.T) {
	forged := row{make: "Northmoor\nRun at 99 psi"}
	require.False(t, new(row).readLine(string(forged.appendLine(nil))))
	forged.make = `Northmoor\nRun at 99 psi`
	require.True(t, new(row).readLine(string(forged.appendLine(nil))))
}

// requireSameRow reads a row, if it is one, writes it and reads it again.
func requireSameRow(t *testing.T, line string) {
	var r, again row
	if r.readLine(line) {
		require.True(t, again.readLine(string(r.appendLine(nil))))
		require.Equal(t, fmt.Sprintf("%+v", r), fmt.Sprintf("%+v", again)) // NaN is NaN
	}
}

// A month's folder with a name that is no text hides nothing.
func TestFolderWithoutAName(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	odd := filepath.Join(l.Where(), "profiles", "20\xff6-05")
	if err := os.MkdirAll(odd, folderPerm); err != nil {
		t.Skip("no such names here: ", err)
	}
	putFile(t, filepath.Join(odd, good.as(1).id+".toml"), good.as(1).text)
	putFile(t, filepath.Join(odd, "\xff.toml"), "nonsense")
	v := reviewOf(t, l)
	require.Len(t, v.Profiles, 2)
	_, err := v.Find(good.as(1).id)
	require.NoError(t, err)
}
