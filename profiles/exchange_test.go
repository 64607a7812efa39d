package profiles

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/profiles/store/storetest"

	"github.com/stretchr/testify/require"
)

// closedTrial is the sealed trial of a sample, ended.
func closedTrial(t testing.TB, s sample, end string) string {
	t.Helper()
	head, _, _ := strings.Cut(s.text, "[setting]")
	at := strings.Index(head, "[[answer]]")
	j, err := journal.SealHead(head[:at])
	require.NoError(t, err)
	entries := strings.Split(head[at:], "[[")
	for _, e := range entries[1:] {
		j, err = j.Add("[[" + e)
		require.NoError(t, err)
	}
	if end != "" {
		j, err = j.Add(end)
		require.NoError(t, err)
	}
	return j.Text()
}

const endOfTrial = "[[answer]]\nseq = 99\nat = 2026-05-14T08:50:00-05:00\nitem = \"closed\"\nstate = \"finished\"\n"

// tree is every file below a folder with its text.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !d.Type().IsRegular() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		files[filepath.ToSlash(name)] = fileText(t, path)
		return err
	}))
	return files
}

// twoSides are a library and a stick, each with a profile and a trial of its own.
func twoSides(t testing.TB) (l *Library, stick string) {
	t.Helper()
	l, other := reviewLibrary(t), reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	writeInto(t, l, "trials/"+good.as(1).id+".toml", closedTrial(t, good.as(1), endOfTrial))
	writeSample(t, other, good.as(2))
	writeInto(t, other, "trials/"+good.as(2).id+".toml", closedTrial(t, good.as(2), endOfTrial))
	return l, other.Where()
}

// byRecord tells files by their records, whosever they are.
func byRecord(files map[string]string) map[string]string {
	all := map[string]string{}
	for name, text := range files {
		all[strings.Replace(name, "/"+receivedFolder+"/", "/", 1)] = text
	}
	return all
}

// TestExchange carries records both ways, through two tablets to a third, and a second
// exchange finds nothing to do.
func TestExchange(t *testing.T) {
	l, stick := twoSides(t)
	good := goodSample(t)
	s, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, s.Withdraw(good.as(1).id, "wrong duct"))
	var told []int
	x, err := exchangeWith(l, stick, func(done, total int) { told = append(told, done); require.Equal(t, 5, total) })
	require.NoError(t, err)
	require.Equal(t, []int{1, 2, 3, 4, 5}, told)
	require.FileExists(t, filepath.Join(l.Where(), "trials", "received", good.as(2).id+".toml"))
	require.FileExists(t, filepath.Join(stick, "trials", "received", good.as(1).id+".toml"))
	require.Equal(t, []string{"trials/" + good.as(2).id + ".toml", good.as(2).name}, x.In)
	require.Len(t, x.Out, 3)
	require.Empty(t, x.Refused)
	require.Empty(t, x.Differing)
	again, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, Exchanged{Same: 5}, again)

	// A sitting that goes on is the beginning of a longer one.
	require.NoError(t, s.Query(good.as(2).id, "why?"))
	require.NoError(t, s.Close())
	grown, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, grown.Grown, 1)
	third := reviewLibrary(t)
	_, err = exchangeWith(third, stick, nil)
	require.NoError(t, err)
	mine, its := byRecord(tree(t, l.Where())), byRecord(tree(t, third.Where()))
	require.Equal(t, mine, its)
	p, err := reviewOf(t, third).Find(good.as(1).id)
	require.NoError(t, err)
	require.Equal(t, StandsWithdrawn, p.Stands, "a withdrawal reaches every tablet")
}

// TestExchangeKeepsBoth: one id, two contents. Neither is touched, each side gets the
// other's out of the way, it is told, and it is listed.
func TestExchangeKeepsBoth(t *testing.T) {
	l, stick := twoSides(t)
	good := goodSample(t).as(1)
	edited := good.with(`speed = "110 ft/min"`, `speed = "115 ft/min"`)
	writeSample(t, inFolder(stick), edited)
	mine, its := fileText(t, filepath.Join(l.Where(), good.name)), fileText(t, filepath.Join(stick, good.name))
	require.NotEqual(t, mine, its)
	for range 2 {
		x, err := exchangeWith(l, stick, nil)
		require.NoError(t, err)
		require.Len(t, x.Differing, 1)
		require.Equal(t, good.name, x.Differing[0].Record)
		require.Equal(t, its, fileText(t, x.Differing[0].Copy))
		require.Equal(t, mine, fileText(t, filepath.Join(l.Where(), good.name)))
		require.Equal(t, its, fileText(t, filepath.Join(stick, good.name)))
		kept, err := filepath.Glob(filepath.Join(stick, differingFolder, "*.toml"))
		require.NoError(t, err)
		require.Len(t, kept, 1)
		require.Equal(t, mine, fileText(t, kept[0]))
	}
	v := reviewOf(t, l)
	require.Equal(t, []ExceptionKind{OtherCopy}, kinds(v.Profiles[0]))
}

// TestExchangeLeavesUnfinishedTrials where they can be gone on with.
func TestExchangeLeavesUnfinishedTrials(t *testing.T) {
	l, stick := twoSides(t)
	good := goodSample(t)
	good.text = strings.ReplaceAll(good.text, `"fold"`, `"stall"`) // a fold is news: see TestExchangeTakesAnOpenTrialsFold
	writeInto(t, l, "trials/"+good.as(3).id+".toml", closedTrial(t, good.as(3), ""))
	writeInto(t, inFolder(stick), "trials/"+good.as(4).id+".toml", closedTrial(t, good.as(4), ""))
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, x.Open, 2)
	require.NoFileExists(t, filepath.Join(stick, "trials", good.as(3).id+".toml"))
	require.NoFileExists(t, filepath.Join(l.Where(), "trials", good.as(4).id+".toml"))
}

// hostileStick puts on a stick what nobody may take in: links, a pipe, a folder, a huge file, and
// files that are not what their names say. It returns the folder the links lead to.
func hostileStick(t *testing.T, stick string) (outside string) {
	t.Helper()
	good := goodSample(t)
	outside = t.TempDir()
	putFile(t, filepath.Join(outside, "secret.toml"), good.as(5).text)
	name := func(n int) string { return filepath.Join(stick, filepath.FromSlash(good.as(n).name)) }
	trial := func(n int) string { return filepath.Join(stick, "trials", good.as(n).id+".toml") }
	require.NoError(t, os.Symlink(filepath.Join(outside, "secret.toml"), name(5)))
	require.NoError(t, os.Symlink(outside, filepath.Join(stick, "reviews")))
	require.NoError(t, os.Symlink(outside, filepath.Join(stick, "profiles", "2026-06")))
	require.NoError(t, os.Symlink(outside, filepath.Join(stick, differingFolder)))
	require.NoError(t, exec.Command("mkfifo", name(6)).Run())
	require.NoError(t, os.Mkdir(name(7), folderPerm))
	huge, err := os.Create(name(8))
	require.NoError(t, err)
	require.NoError(t, huge.Truncate(1<<40), "a file with holes")
	require.NoError(t, huge.Close())
	for file, text := range map[string]string{
		filepath.Join(stick, "profiles", "2026-05", "x\\..\\..\\evil.toml"):               good.text,
		filepath.Join(stick, "profiles", "2026-05", "01K7ZQ4C5V8W9X0Y1Z2A3B4\n\x1b.toml"): good.text,
		name(9):   good.as(10).text,                                          // another's id
		name(11):  strings.Replace(good.as(11).text, "[cable]", "[cable", 1), // no TOML
		name(12):  fileText(t, name(2))[:500],                                // cut off by another program
		trial(13): closedTrial(t, good.as(13), endOfTrial)[:700],             // the same of a journal
		trial(14): strings.Replace(closedTrial(t, good.as(14), endOfTrial), "ft/min", "ft/mim", 1),
		trial(15): strings.Replace(closedTrial(t, good.as(15), endOfTrial), "stall", "fold ", 1), // seals that do not fit
		filepath.Join(stick, "trials", "7ZZZZZZZZZZZZZZZZZZZZZZZZZ.toml"): strings.NewReplacer(good.id, "7ZZZZZZZZZZZZZZZZZZZZZZZZZ", `"fold"`, `"stall"`).Replace(good.text),
		filepath.Join(stick, "profiles", "2026-05", ".tmp-XYZ"):           "half",
		filepath.Join(stick, "rules.toml"):                                "format = 1\nshift_hours = 1\n",
		filepath.Join(stick, "options.toml"):                              "format = 1\n",
	} {
		putFile(t, file, text)
	}
	writeInto(t, inFolder(stick), "profiles/2026-04/"+good.as(16).id+".toml", good.as(16).text)
	writeInto(t, inFolder(stick), "profiles/etc/"+good.as(17).id+".toml", good.as(17).text)
	return outside
}

// TestExchangeHostile fills a stick with what must not get in or lead out.
func TestExchangeHostile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links and pipes are made otherwise there")
	}
	l, stick := twoSides(t)
	good := goodSample(t)
	before := tree(t, l.Where())
	outside := hostileStick(t, stick)
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"trials/" + good.as(2).id + ".toml", good.as(2).name}, x.In)
	after := tree(t, l.Where())
	for _, in := range x.In {
		require.Contains(t, byRecord(after), in)
		delete(after, in)
		delete(after, received(in))
	}
	require.Equal(t, before, after, "nothing else got in")
	require.Len(t, x.Refused, 16)
	require.Len(t, x.Open, 1, "an id from the end of time harms nobody in \"received\"")
	for _, err := range x.Refused {
		require.NotContains(t, err.Error(), "\x1b")
		require.Contains(t, err.Error(), stick)
	}
	require.Len(t, tree(t, outside), 1, "nothing was written through a link")

	// Two that differ cannot be kept apart through a link: nothing is written through it.
	writeSample(t, inFolder(stick), good.as(1).with("AB", "ZZ"))
	x, err = exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.ErrorContains(t, x.Unwritable, "not a plain folder")
	require.Len(t, x.Differing, 1)
	require.Len(t, tree(t, outside), 1)
}

func TestExchangeWithItself(t *testing.T) {
	l, _ := twoSides(t)
	_, err := exchangeWith(l, l.Where(), nil)
	require.ErrorContains(t, err, "is the library itself, or in it\n  name")
	_, err = exchangeWith(l, filepath.Join(l.Where(), "trials"), nil)
	require.ErrorContains(t, err, "or in it")
	_, err = exchangeWith(l, filepath.Join(l.Where(), "none"), nil)
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// exchangeOn runs an exchange with both sides on disks that fail.
func exchangeOn(l *Library, stick string, d *storetest.FaultyDisk) error {
	d.Disk = disk.OS{}
	failing := *l
	failing.store = folder.On(d, l.Where())
	_, err := failing.Exchange(folder.On(d, stick), nil)
	return err
}

// racing is set when the race detector is on, which makes everything many times slower.
var racing bool

// stride is how far on the next call to fail at is: every early one, then a sixth further.
func stride(at int) int {
	if racing {
		return at
	}
	return 1 + at/5
}

// TestExchangeFailsAtEveryCall breaks an exchange off at each call of either disk, in
// each way: every record on both sides is whole, nothing that was there has changed, and
// the next exchange makes both sides what they would have been.
func TestExchangeFailsAtEveryCall(t *testing.T) {
	long(t)
	prepare := func() (*Library, string) {
		l, stick := twoSides(t)
		good := goodSample(t)
		writeSample(t, inFolder(stick), good.as(3))
		writeSample(t, l, good.as(3).with("AB", "ZZ"))
		long := closedTrial(t, good.as(4), endOfTrial)
		more, err := mustUnseal(t, long).Add("[[answer]]\nseq = 100\nat = 2026-05-14T08:55:00-05:00\nitem = \"rig-tagged\"\nstate = \"none\"\n")
		require.NoError(t, err)
		writeInto(t, l, "trials/"+good.as(4).id+".toml", long)
		writeInto(t, inFolder(stick), "trials/"+good.as(4).id+".toml", more.Text())
		return l, stick
	}
	l, stick := prepare()
	was := [2]map[string]string{tree(t, l.Where()), tree(t, stick)}
	_, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	want := [2]map[string]string{tree(t, l.Where()), tree(t, stick)}
	for name, fault := range storetest.AllFaults {
		for _, stays := range []bool{false, true} {
			if stays && fault != storetest.Refuses { // then the first says it all
				continue
			}
			reached := true
			for at := 1; reached; at += stride(at) {
				when := fmt.Sprintf("%s at call %d, stays %v", name, at, stays)
				l, stick := prepare()
				d := &storetest.FaultyDisk{Fault: fault, At: at, Stays: stays}
				_ = exchangeOn(l, stick, d)
				reached = d.Calls >= at
				for i, dir := range []string{l.Where(), stick} {
					now := tree(t, dir)
					for file, text := range now {
						if strings.Contains(file, ".tmp-") {
							continue
						}
						require.Contains(t, []string{was[i][file], want[i][file]}, text, "%s: %s", when, file)
					}
					for file := range was[i] {
						require.Contains(t, now, file, when)
					}
				}
				_, err := exchangeWith(l, stick, nil)
				require.NoError(t, err, when)
				for i, dir := range []string{l.Where(), stick} {
					now := tree(t, dir)
					for file := range now {
						if strings.Contains(file, ".tmp-") {
							delete(now, file)
						}
					}
					require.Equal(t, want[i], now, when)
				}
			}
		}
	}
}

func mustUnseal(t testing.TB, text string) journal.Sealed {
	t.Helper()
	s, torn, err := journal.Unseal("x", []byte(text))
	require.NoError(t, err)
	require.Empty(t, torn)
	return s
}
