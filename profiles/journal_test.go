package profiles

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const testHead = "format = 1\n[cable]\nmake = \"Northmoor\"\n"

func testEntry(n int) string {
	return fmt.Sprintf("[[answer]]\nseq = %d\nitem = \"a\"\nvalue = \"# sealed 3 01234567\"\n", n)
}

// testJournal makes a journal of three entries and returns its file and its bytes
// after the head and after each entry.
func testJournal(t *testing.T) (path string, after []string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "j.toml")
	j, err := CreateJournal(path, testHead)
	require.NoError(t, err)
	after = append(after, j.Text())
	for n := 1; n <= 3; n++ {
		require.NoError(t, j.Append(testEntry(n)))
		after = append(after, j.Text())
	}
	require.NoError(t, j.Close())
	onDisk, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, after[3], string(onDisk))
	return path, after
}

func TestJournalCutAtEveryByte(t *testing.T) {
	path, after := testJournal(t)
	whole := after[3]
	for cut := len(after[0]); cut <= len(whole); cut++ {
		for _, tail := range []string{"", "\x00\x00\x00\x00"} {
			dir := t.TempDir()
			p := filepath.Join(dir, filepath.Base(path))
			require.NoError(t, os.WriteFile(p, []byte(whole[:cut]+tail), 0o644))
			want := after[0]
			for _, a := range after {
				if len(a) <= cut {
					want = a
				}
			}
			text, warning, err := readText(p)
			require.NoError(t, err)
			require.Equal(t, want, text, "reading, cut at %d", cut)
			require.Equal(t, cut+len(tail) > len(want), warning != "")

			j, recovery, err := OpenJournal(p)
			require.NoError(t, err, "cut at %d", cut)
			require.Equal(t, want, j.Text())
			require.NoError(t, j.Append(testEntry(9)))
			require.NoError(t, j.Close())
			if lost := whole[len(want):cut] + tail; lost != "" {
				require.Equal(t, len(lost), recovery.SetAside)
				kept, err := os.ReadFile(recovery.KeptIn)
				require.NoError(t, err)
				require.Equal(t, lost, string(kept))
			} else {
				require.Empty(t, recovery.String())
			}
			j, _, err = OpenJournal(p)
			require.NoError(t, err)
			require.True(t, strings.HasPrefix(j.Text(), want+testEntry(9)))
			require.NoError(t, j.Close())
		}
	}
}

// A changed byte is found, or it makes a torn end: what is accepted is never other
// than what was sealed.
func TestJournalEveryFlippedByte(t *testing.T) {
	_, after := testJournal(t)
	whole := after[3]
	for i := range len(whole) {
		for _, flip := range []byte{0x01, 0x20, 0x80} {
			data := []byte(whole)
			data[i] ^= flip
			f, err := readJournal("j", data)
			if err != nil || !f.isJournal {
				continue
			}
			require.Contains(t, after, f.sealed, "byte %d", i)
			require.NotEqual(t, whole, f.sealed, "byte %d", i)
		}
	}
}

func TestJournalRefusesForgedSeals(t *testing.T) {
	path, _ := testJournal(t)
	j, _, err := OpenJournal(path)
	require.NoError(t, err)
	defer j.Close()
	for _, bad := range []string{
		"[[answer]]\n# sealed 4 00000000\n", "[[answer]]\nnote = \"\"\"x\"\"\"\n", "note = '''x'''\n", "no end of line",
	} {
		require.Error(t, j.Append(bad), "%q", bad)
	}
	require.ErrorContains(t, j.ReplaceHead(testHead), "the job is settled")
	_, err = CreateJournal(filepath.Join(t.TempDir(), "x.toml"), "# sealed 0 00000000\n")
	require.Error(t, err)
}

func TestJournalHeadIsReplacedWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "j.toml")
	j, err := CreateJournal(path, testHead)
	require.NoError(t, err)
	require.NoError(t, j.ReplaceHead("format = 1\n"))
	require.NoError(t, j.Append(testEntry(1)))
	require.NoError(t, j.Close())
	text, _, err := readText(path)
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(text, journalHeader+"format = 1\n# sealed 0 "))
	_, err = CreateJournal(path, testHead)
	require.ErrorContains(t, err, "exists already")
}

func TestJournalLock(t *testing.T) {
	path, _ := testJournal(t)
	j, _, err := OpenJournal(path)
	require.NoError(t, err)
	_, _, err = OpenJournal(path)
	var locked *LockedError
	require.ErrorAs(t, err, &locked)
	require.Contains(t, locked.Error(), fmt.Sprintf("process %d", os.Getpid()))
	require.NoError(t, j.Close())
	j, _, err = OpenJournal(path)
	require.NoError(t, err)
	require.NoError(t, j.Close())
}

func TestJournalRefusesWhatIsNoPlainFile(t *testing.T) {
	path, _ := testJournal(t)
	link := filepath.Join(filepath.Dir(path), "link.toml")
	require.NoError(t, os.Symlink(path, link))
	_, _, err := OpenJournal(link)
	require.ErrorContains(t, err, "not a plain file")
	_, _, err = readText(t.TempDir())
	require.ErrorContains(t, err, "not a plain file")
}

// failingDisk fails one call, counted from 1, and then half of what follows it
// too when the disk stays full.
type failingDisk struct {
	osDisk
	at, calls int
	err       error
	stays     bool
}

func (d *failingDisk) fails() bool {
	d.calls++
	return d.calls == d.at || d.stays && d.calls > d.at
}

func (d *failingDisk) create(p string) (file, error) {
	if d.fails() {
		return nil, d.err
	}
	f, err := d.osDisk.create(p)
	return &failingFile{f, d}, err
}

func (d *failingDisk) open(p string) (file, error) {
	if d.fails() {
		return nil, d.err
	}
	f, err := d.osDisk.open(p)
	return &failingFile{f, d}, err
}

func (d *failingDisk) rename(a, b string) error {
	if d.fails() {
		return d.err
	}
	return d.osDisk.rename(a, b)
}

func (d *failingDisk) link(a, b string) error {
	if d.fails() {
		return d.err
	}
	return d.osDisk.link(a, b)
}

func (d *failingDisk) syncDir(p string) error {
	if d.fails() {
		return d.err
	}
	return d.osDisk.syncDir(p)
}

type failingFile struct {
	file
	d *failingDisk
}

// Write writes half before it fails, as a full disk does.
func (f *failingFile) Write(b []byte) (int, error) {
	if f.d.fails() {
		n, _ := f.file.Write(b[:len(b)/2])
		return n, f.d.err
	}
	return f.file.Write(b)
}

func (f *failingFile) Sync() error {
	if f.d.fails() {
		return f.d.err
	}
	return f.file.Sync()
}

// TestJournalFailsAtEveryCall breaks each call of a scripted journal in turn, once
// and for good. What Append said is kept is kept, what it refused can be given
// again, and there is never half an entry.
func TestJournalFailsAtEveryCall(t *testing.T) {
	for _, stays := range []bool{false, true} {
		for at := 1; at < 40; at++ {
			d := &failingDisk{at: at, err: syscall.ENOSPC, stays: stays}
			path := filepath.Join(t.TempDir(), "j.toml")
			j, err := createJournal(d, path, testHead)
			if err != nil {
				require.ErrorContains(t, err, "disk")
				continue
			}
			acknowledged := j.Text()
			for n := 1; n <= 4; n++ {
				err := j.Append(testEntry(n))
				if err != nil {
					require.ErrorContains(t, err, "the disk is full")
					require.ErrorContains(t, err, "what was written before is kept")
					err = j.Append(testEntry(n)) // the crew answers again
				}
				if err == nil {
					acknowledged = j.Text()
				}
				require.Equal(t, acknowledged, j.Text())
			}
			require.NoError(t, j.Close())
			again, _, err := OpenJournal(path)
			require.NoError(t, err, "call %d", at)
			extra, ok := strings.CutPrefix(again.Text(), acknowledged)
			require.True(t, ok, "call %d: an acknowledged entry is lost", at)
			// A disk that takes the bytes and then fails for good may hold one whole
			// entry that was never acknowledged; never half of one, never two.
			require.LessOrEqual(t, strings.Count(extra, "[[answer]]"), 1)
			require.NoError(t, again.Close())
			if !stays {
				require.Contains(t, acknowledged, "seq = 4")
			}
		}
	}
}

func TestReplaceAndCreateFailAtEveryCall(t *testing.T) {
	for at := 1; at < 12; at++ {
		d := &failingDisk{at: at, err: syscall.EIO}
		path := filepath.Join(t.TempDir(), "p.toml")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
		err := replaceFile(d, path, []byte("new content"))
		got, readErr := os.ReadFile(path)
		require.NoError(t, readErr)
		if err == nil {
			require.Equal(t, "new content", string(got))
		} else {
			require.Contains(t, []string{"old", "new content"}, string(got))
		}
		d = &failingDisk{at: at, err: syscall.EIO}
		fresh := filepath.Join(t.TempDir(), "c.toml")
		err = createFile(d, fresh, []byte("new content"))
		got, readErr = os.ReadFile(fresh)
		if err == nil {
			require.NoError(t, readErr)
		}
		if readErr == nil {
			require.Equal(t, "new content", string(got))
		}
		require.Error(t, createFile(osDisk{}, path, []byte("x")))
	}
}

// TestJournalKilled kills a writing process again and again: every entry it said
// was kept is there when the file is opened again.
func TestJournalKilled(t *testing.T) {
	if path := os.Getenv("BRINKMARK_TEST_WRITER"); path != "" {
		writeUntilKilled(path)
	}
	path := filepath.Join(t.TempDir(), "j.toml")
	j, err := CreateJournal(path, testHead)
	require.NoError(t, err)
	require.NoError(t, j.Close())
	for round := range 20 {
		cmd := exec.Command(os.Args[0], "-test.run=^TestJournalKilled$")
		cmd.Env = append(os.Environ(), "BRINKMARK_TEST_WRITER="+path)
		var told bytes.Buffer
		cmd.Stdout = &told
		require.NoError(t, cmd.Start())
		time.AfterFunc(time.Duration(30+7*round)*time.Millisecond, func() { _ = cmd.Process.Kill() })
		_ = cmd.Wait()
		j, _, err := OpenJournal(path)
		require.NoError(t, err, "the lock is freed and the file is whole")
		for _, line := range strings.Fields(told.String()) {
			require.Contains(t, j.Text(), "value = \""+line+"\"\n")
		}
		require.NoError(t, j.Close())
	}
}

func writeUntilKilled(path string) {
	j, _, err := OpenJournal(path)
	for n := 0; err == nil; n++ {
		id := fmt.Sprintf("%d.%d", os.Getpid(), n)
		if err = j.Append("[[answer]]\nitem = \"a\"\nvalue = \"" + id + "\"\n"); err == nil {
			fmt.Println(id)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

func FuzzReadJournal(f *testing.F) {
	text, _, err := sealedHead(testHead)
	require.NoError(f, err)
	f.Add([]byte(text))
	f.Add([]byte(text + testEntry(1)))
	f.Add([]byte(journalHeader))
	f.Fuzz(func(t *testing.T, data []byte) {
		found, err := readJournal("j", data)
		if err == nil && found.isJournal && found.sealed+found.torn != string(data) {
			t.Fatal("bytes were lost")
		}
		if again, err2 := readJournal("j", []byte(found.sealed)); err == nil && (err2 != nil || again.torn != "") {
			t.Fatal("what was accepted is not accepted again")
		}
	})
}

func TestNewID(t *testing.T) {
	now := time.Date(2026, 5, 14, 7, 42, 0, 0, time.UTC)
	random := func(n int) *bytes.Reader { return bytes.NewReader(bytes.Repeat([]byte{byte(n), byte(n >> 8)}, 5)) }
	last := ""
	for n := range 1000 {
		clock := now.Add(time.Duration(n%3-1) * time.Hour) // it goes back and forth
		id, err := NewID(clock, random(n), last)
		require.NoError(t, err)
		require.True(t, ValidID(id))
		require.Greater(t, id, last)
		last = id
	}
	id, err := NewID(time.Unix(0, 0), random(1), "")
	require.NoError(t, err)
	require.True(t, ValidID(id))
	_, err = NewID(now, random(1), "../../x")
	require.Error(t, err)
	_, err = NewID(now, bytes.NewReader(nil), "")
	require.Error(t, err)
	for _, bad := range []string{"", "../../../etc/passwd", strings.ToLower(id), id + "A", "8" + id[1:], id[:25] + "I", id[:25] + "/"} {
		require.False(t, ValidID(bad), "%q", bad)
	}
	require.True(t, errors.As(error(&LockedError{}), new(*LockedError)))
}
