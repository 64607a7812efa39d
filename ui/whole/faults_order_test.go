//go:build !windows

package whole

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// traceOf runs a program's command line under strace, which writes what it calls into a file.
func traceOf(t *testing.T, into string, line []string) []string {
	t.Helper()
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("needs strace")
	}
	return append([]string{strace, "-f", "-qq", "-y", "-s", "64", "-o", into, "-e", "trace=openat,write,fsync,fdatasync,rename,renameat,renameat2,link,linkat,mkdir,mkdirat"}, line...)
}

// Parts of a line of strace's.
var (
	traceLine = regexp.MustCompile(`^(\d+) +(.*)$`)
	cutShort  = regexp.MustCompile(`^(.*) <unfinished \.\.\.>$`)
	goesOn    = regexp.MustCompile(`^<\.\.\. \w+ resumed>(.*)$`)
	onFile    = regexp.MustCompile(`^(write|fsync|fdatasync)\(\d+<([^>]*)>(.*)\) += \d+$`)
	named     = regexp.MustCompile(`^(?:rename|link)at\w*\(\w+<([^>]*)>, "([^"]*)", \w+<([^>]*)>, "([^"]*)".*\) += 0$`)
	created   = regexp.MustCompile(`^openat\(\w+<[^>]*>, "[^"]*", [^)]*O_CREAT[^)]*\) += \d+<([^>]*)>$`)
	folder    = regexp.MustCompile(`^mkdirat\(\w+<([^>]*)>, "([^"]*)".*\) += 0$`)
)

// diskOrder follows a trace: what was written and named, but might not survive a power cut.
type diskOrder struct {
	t        *testing.T
	library  string
	dirty    map[string]bool // files written to and not yet synced
	nameless map[string]bool // folders that a file or folder was put into since they were synced
	excerpt  []string
	records  int // how many writes to records were seen
}

// ours reports whether a file has to last.
func (o *diskOrder) ours(path string) bool {
	return strings.HasPrefix(path, o.library) && (strings.HasSuffix(path, ".toml") || strings.Contains(path, ".tmp-"))
}

func (o *diskOrder) call(text string) {
	if m := onFile.FindStringSubmatch(text); m != nil {
		switch path := m[2]; {
		case m[1] == "write" && strings.HasPrefix(path, "pipe:") && strings.HasSuffix(m[3], `"> ", 2`):
			o.asked()
			o.note(text)
		case m[1] == "write" && o.ours(path):
			o.dirty[path] = true
			o.records++
			o.note(text)
		case m[1] != "write":
			delete(o.dirty, path)
			delete(o.nameless, path)
			o.note(text)
		}
		return
	}
	if m := named.FindStringSubmatch(text); m != nil && o.ours(inside(m[3], m[4])) {
		require.False(o.t, o.dirty[inside(m[1], m[2])], "named before it is on disk: %s", m[4])
		o.nameless[filepath.Dir(inside(m[3], m[4]))] = true
		o.note(text)
	}
	if m := created.FindStringSubmatch(text); m != nil && o.ours(m[1]) && strings.HasSuffix(m[1], ".toml") {
		o.nameless[filepath.Dir(m[1])] = true
		o.note(text)
	}
	if m := folder.FindStringSubmatch(text); m != nil && strings.HasPrefix(inside(m[1], m[2]), o.library) {
		o.nameless[filepath.Dir(inside(m[1], m[2]))] = true
		o.note(text)
	}
}

// inside is the path that a name means in a folder.
func inside(folder, name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(folder, name)
}

// asked is a prompt, or the end: all that was answered before is on disk by now.
func (o *diskOrder) asked() {
	for path := range o.dirty {
		// a file that was put aside unnamed may be lost
		require.True(o.t, strings.Contains(path, ".tmp-"), "not synced when the next question was asked: %s", path)
	}
	require.Empty(o.t, o.nameless, "a name that may be lost when the next question was asked")
}

func (o *diskOrder) note(text string) {
	if !strings.HasSuffix(text, " = 0") && !strings.Contains(text, o.library) && !strings.Contains(text, `"> "`) {
		return
	}
	o.excerpt = append(o.excerpt, strings.ReplaceAll(text, o.library, "LIBRARY"))
}

// follow reads a trace to its end.
func (o *diskOrder) follow(path string) {
	f, err := os.Open(path)
	require.NoError(o.t, err)
	defer f.Close()
	begun := map[string]string{} // by thread
	for lines := bufio.NewScanner(f); lines.Scan(); {
		m := traceLine.FindStringSubmatch(lines.Text())
		if m == nil {
			continue
		}
		thread, text := m[1], m[2]
		if cut := cutShort.FindStringSubmatch(text); cut != nil {
			begun[thread] = cut[1]
			continue
		}
		if rest := goesOn.FindStringSubmatch(text); rest != nil {
			text = begun[thread] + rest[1]
		}
		o.call(text)
	}
	o.asked()
}

// TestWrittenBeforeAsked watches the system calls of each work, and of commands that write:
// what was answered is written, synced and named, in this order, before the next question.
//
// Source of the order: POSIX.1-2017, fsync and rename, with its rationale; that a new name
// needs its folder synced too is in the manual page fsync(2) of Linux.
func TestWrittenBeforeAsked(t *testing.T) {
	t.Parallel()
	binary := program(t)
	follow := func(t *testing.T, library, trace string, least int) {
		o := &diskOrder{t: t, library: library, dirty: map[string]bool{}, nameless: map[string]bool{}}
		o.follow(trace)
		require.Greater(t, o.records, least, "writes seen")
		t.Logf("%d writes, each synced and named before the next question; it begins:\n%s", o.records, strings.Join(o.excerpt[:min(len(o.excerpt), 24)], "\n"))
	}
	t.Run("works", func(t *testing.T) {
		eachWork(t, func(t *testing.T, w work, binary, library string) {
			trace := filepath.Join(t.TempDir(), "trace")
			w.lead(t, library, func(_ int, args []string) []string { return traceOf(t, trace, append([]string{binary}, args...)) }, undisturbed)
			follow(t, library, trace, 10)
		})
	})
	prepared := t.TempDir()
	aFoldedTrial(t, binary, prepared)
	for _, o := range orders {
		t.Run(o.name, func(t *testing.T) {
			t.Parallel()
			trace := filepath.Join(t.TempDir(), "trace")
			b := newBench(t, prepared)
			r := b.start(o, traceOf(t, trace, nil)...)
			require.NoError(t, r.end(), r.errs.String())
			o.done(t, b.library, b.stick)
			follow(t, filepath.Dir(b.library), trace, 0)
		})
	}
}
