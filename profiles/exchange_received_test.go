package profiles

import (
	"bufio"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// TestReceivedTrialsAreNotOwn: the trials that an exchange brought are listed and
// counted, but another crew's morning is not this one's, even in an hour, on a reel and a
// rig of the same names.
func TestReceivedTrialsAreNotOwn(t *testing.T) {
	good := goodSample(t)
	at := time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600)) // the samples' day
	l := reviewLibrary(t)
	l.now = func() time.Time { return at }
	other := reviewLibrary(t)
	writeInto(t, other, "trials/"+good.as(2).id+".toml", closedTrial(t, good.as(2), endOfTrial))
	stick := t.TempDir()
	_, err := exchangeWith(other, stick, nil)
	require.NoError(t, err)
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, x.In, 1)

	// One that is not finished can only have been put there by hand.
	writeInto(t, l, "trials/received/"+good.as(3).id+".toml", closedTrial(t, good.as(3), ""))
	open, unreadable, err := l.Unfinished()
	require.NoError(t, err)
	require.Empty(t, open)
	require.Empty(t, unreadable)
	jobs, err := l.LastJobs()
	require.NoError(t, err)
	require.Empty(t, jobs)
	record, _, err := readNamed(filepath.Join(l.Where(), "trials", "received", good.as(2).id+".toml"))
	require.NoError(t, err)
	mine, err := l.NewTrial(record.job())
	require.NoError(t, err)
	require.Nil(t, l.SameSetup(mine))
	require.NoError(t, mine.Append(Answer{Item: session.ItemJob, State: session.JobAgreed})) // written with its first answer
	require.Len(t, reviewOf(t, l).Weeks(), 1)
	require.Equal(t, 3, reviewOf(t, l).Weeks()[0].Trials)

	// The same trial, had this tablet led it.
	require.NoError(t, os.Rename(filepath.Join(l.Where(), "trials", "received", good.as(2).id+".toml"), filepath.Join(l.Where(), "trials", good.as(2).id+".toml")))
	require.NotNil(t, l.SameSetup(mine))
	require.NoError(t, mine.Close())

	// It comes home by another's stick, and is known again.
	again, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, 1, again.Same)
	require.NoFileExists(t, filepath.Join(l.Where(), "trials", "received", good.as(2).id+".toml"))
}

// TestExchangeBetweenLibraries: a shared folder that is somebody's library gets nothing
// into its own trials.
func TestExchangeBetweenLibraries(t *testing.T) {
	l, other := twoSides(t)
	good := goodSample(t)
	_, err := exchangeWith(l, other, nil)
	require.NoError(t, err)
	require.NoFileExists(t, filepath.Join(other, "trials", good.as(1).id+".toml"))
	require.FileExists(t, filepath.Join(other, "trials", "received", good.as(1).id+".toml"))

	// One id in both places of a side: neither is taken for the other.
	writeInto(t, l, "trials/received/"+good.as(1).id+".toml", "format = 1\n")
	x, err := exchangeWith(l, other, nil)
	require.NoError(t, err)
	require.Len(t, x.Refused, 1)
	require.ErrorContains(t, x.Refused[0], "this side has a record of the same id in trials")
}

// TestExchangeFromAWrongClock: a record dated later than now is taken, told and listed,
// whichever clock is wrong; it covers nothing without a check, by the rules of cover.
func TestExchangeFromAWrongClock(t *testing.T) {
	l, stick := twoSides(t)
	l.now = func() time.Time { return time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC) }
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, x.In, x.Ahead)
	require.Len(t, x.In, 2)
	for _, p := range reviewOf(t, l).Profiles {
		require.Contains(t, kinds(p), ImpossibleTime)
		require.Contains(t, p.Exceptions[0].Says(), "later than this tablet's clock")
	}
}

// protected is a disk that can be read.
type protected struct{ disk.Disk }

var errProtected = &fs.PathError{Op: "write", Path: "stick", Err: syscall.EROFS}

func (d protected) OpenFile(name string, flag int, perm fs.FileMode) (disk.File, error) {
	if flag != os.O_RDONLY {
		return nil, errProtected
	}
	return d.Disk.OpenFile(name, flag, perm)
}
func (protected) Mkdir(string, fs.FileMode) error { return errProtected }
func (protected) Link(string, string) error       { return errProtected }
func (protected) Rename(string, string) error     { return errProtected }
func (protected) Remove(string) error             { return errProtected }

// TestExchangeWithAProtectedStick gets everything in, and tells what did not go out.
func TestExchangeWithAProtectedStick(t *testing.T) {
	l, stick := twoSides(t)
	good := goodSample(t)
	writeSample(t, inFolder(stick), good.as(3))
	writeSample(t, l, good.as(3).with("AB", "ZZ"))
	saveRig(t, l, "Rig 9")
	was := tree(t, stick)
	done, err := l.Exchange(folder.On(protected{disk.OS{}}, stick), nil)
	require.NoError(t, err)
	require.Len(t, done.In, 2)
	require.Empty(t, done.Out)
	require.Len(t, done.Differing, 1)
	require.FileExists(t, done.Differing[0].Copy)
	require.ErrorIs(t, done.Unwritable, syscall.EROFS)
	if runtime.GOOS != "windows" {
		require.ErrorContains(t, done.Unwritable, "write-protected: take the protection off")
	}
	require.Len(t, done.NotOut, 4, "a profile, a trial, the copy of the one that differs, a card")
	require.Equal(t, was, tree(t, stick))
}

func saveRig(t testing.TB, l *Library, name string) {
	t.Helper()
	limit, err := NewQuantity[q.Pressure]("60 psi")
	require.NoError(t, err)
	require.NoError(t, l.SaveCards(Record{Format: Format, Rig: Rig{Name: name, GripLimit: limit}}))
}

// TestExchangeCards: a card travels by its name; one that says otherwise stays on both
// sides, and what differs is told.
func TestExchangeCards(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no file can be called aux there")
	}
	l, stick := reviewLibrary(t), t.TempDir()
	saveRig(t, l, "Rig 1")
	saveRig(t, l, "Rig 2")
	require.NoError(t, l.SaveCards(Record{People: People{Operator: "AB", Watcher: "CD"}}))
	_, err := l.SaveRoute("Mill Lane", []RouteSection{{Length: mustLength(t, "310 m")}})
	require.NoError(t, err)
	for file, text := range map[string]string{
		"rigs/RIG-2.toml":     "format = 1\n[rig]\nname = \"rig  2\"\ngrip_limit = \"55 psi\"\nspeed_limit = \"220 ft/min\"\n",
		"rigs/aux.toml":       "format = 1\n# their note\n[rig]\nname = \"Rig 3\"\n",
		"rigs/aux2.toml":      "format = 1\n[rig]\nname = \"RIG 3\"\nbelts = \"another of this name\"\n",
		"rigs/bad.toml":       "format = 1\n[rig]\nname = \"Rig 4\"\nhorns = 2\n",
		"rigs/notes.txt":      "no card",
		"people/ab.toml":      "format = 1\n[person]\nname = \"ab\"\nroles = [\"supervisor\"]\n",
		"routes/mill.toml":    "format = 1\n[route]\nname = \"MILL LANE\"\n[[section]]\nlength = \"300 m\"\n",
		"routes/..evil.csv":   "length\n5 m\n",
		"routes/High St.csv":  "length\n200 m\n",
		"routes/no route.csv": "length\nfive\n",
	} {
		writeInto(t, inFolder(stick), file, text)
	}
	was := tree(t, l.Where())
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, x.Refused, 2, "%v", x.Refused)
	fates := map[string]CardFate{}
	for _, c := range x.Cards {
		fates[c.Kind+" "+c.Name] = c.Fate
	}
	require.Equal(t, map[string]CardFate{
		"rig Rig 1": CardOut, "rig Rig 2": CardDiffers, "rig Rig 3": CardIn, "person AB": CardDiffers, "person CD": CardOut,
		"route Mill Lane": CardDiffers, "route High St": CardIn,
	}, fates)
	for _, c := range x.Cards {
		if c.Name == "Rig 2" {
			require.Equal(t, []string{"rig.grip_limit: 60 psi here, 55 psi there", "rig.speed_limit: not said here, 220 ft/min there"}, c.Details)
		}
	}
	now := tree(t, l.Where())
	for file, text := range was {
		require.Equal(t, text, now[file])
	}
	require.Len(t, now, len(was)+2)
	require.Contains(t, now, "rigs/rig-3.toml", "under a name of ours")
	routes, unreadable := l.Routes()
	require.Empty(t, unreadable)
	require.Len(t, routes, 2)
	again, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Len(t, again.Cards, 3, "those that differ, and nothing is copied twice")
}

func mustLength(t testing.TB, text string) Quantity[q.Length] {
	t.Helper()
	v, err := NewQuantity[q.Length](text)
	require.NoError(t, err)
	return v
}

const exchangeChild = "BRINKMARK_EXCHANGE_CHILD"

// TestExchangeChild is no test: it exchanges, telling each record as it goes on.
func TestExchangeChild(t *testing.T) {
	library, stick, ok := strings.Cut(os.Getenv(exchangeChild), "|")
	if !ok {
		t.Skip("run by TestExchangeKilled")
	}
	l, err := libraryIn(library, func() time.Time { return reviewNow }, nil)
	require.NoError(t, err)
	_, err = exchangeWith(l, stick, func(done, total int) { fmt.Println(done) })
	require.NoError(t, err)
}

// TestExchangeKilled kills the process that exchanges, further on each time: what is
// under a record's name is whole, and in the end both sides have all.
func TestExchangeKilled(t *testing.T) {
	l, stick := reviewLibrary(t), t.TempDir()
	list := samples(t, l, 30)
	samples(t, inFolder(stick), 20)
	want := tree(t, l.Where())
	for name, text := range tree(t, stick) {
		want[name] = text
	}
	for round := 0; ; round++ {
		child := exec.Command(os.Args[0], "-test.run=^TestExchangeChild$")
		child.Env = append(os.Environ(), exchangeChild+"="+l.Where()+"|"+stick)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		killed := false
		for lines, n := bufio.NewScanner(out), 0; lines.Scan(); n++ {
			if n == round*3+1 {
				killed = child.Process.Kill() == nil
			}
		}
		err = child.Wait()
		for _, dir := range []string{l.Where(), stick} {
			for name, text := range tree(t, dir) {
				if strings.HasSuffix(name, ".toml") {
					require.Equal(t, want[name], text, name)
				}
			}
		}
		if err == nil {
			break
		}
		require.True(t, killed)
		require.Less(t, round, len(list))
	}
	for _, dir := range []string{l.Where(), stick} {
		for name, text := range want {
			require.Equal(t, text, fileText(t, filepath.Join(dir, name)))
		}
	}
}
