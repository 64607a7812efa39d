//go:build !windows

package whole

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// smallDisk mounts a disk of some kilobytes on a folder, where this user may.
func smallDisk(t *testing.T, dir string, kilobytes int) {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o777))
	out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+strconv.Itoa(kilobytes)+"k", "brinkmark-test", dir).CombinedOutput()
	if err != nil {
		t.Skipf("no disk of a size can be made here: %s", out)
	}
	t.Cleanup(func() { _ = exec.Command("umount", "-l", dir).Run() })
}

// refusedOnce is a work whose crew hears of a refusal, sees to it by mend, and answers what is
// asked then.
func (w work) refusedOnce(t *testing.T, words string, mend func()) (refused *int, mended work) {
	refused = new(int)
	answer := w.answer
	w.answer = func(c *crew, said string) string {
		if strings.Contains(said, "! ") && strings.Contains(said, words) {
			*refused++
			require.Regexp(t, `(?m)^ *! .+\n +.+`, said, "what is wrong, and what to do")
			require.NotContains(t, said, "  written\n")
			mend()
		}
		return answer(c, said)
	}
	return refused, w
}

// TestDiskFull fills the disk at some answer of each work. The crew is told, makes room, and
// goes on; what was there stays.
func TestDiskFull(t *testing.T) {
	t.Parallel()
	binary := program(t)
	random := rand.New(rand.NewPCG(7, 8))
	for _, w := range works {
		full := random.IntN(8)
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			library := filepath.Join(t.TempDir(), "library")
			smallDisk(t, library, 256)
			if w.prepare != nil {
				w.prepare(t, binary, library)
			}
			ballast := filepath.Join(library, "ballast")
			refused, w := w.refusedOnce(t, "no space left", func() { require.NoError(t, os.Remove(ballast)) })
			w.stops = true
			filled := false
			w.lead(t, library, plainly(binary), func(_ *lineTrial, answers int, _ bool) bool {
				if answers >= full && !filled {
					filled = true
					f, err := os.Create(ballast)
					require.NoError(t, err)
					for err == nil {
						_, err = f.Write(make([]byte, 4096))
					}
					require.NoError(t, f.Close())
				}
				return false
			})
			require.Equal(t, 1, *refused)
		})
	}
}

// TestLibraryTakenAway moves the library away between two answers, as a stick that is pulled
// out, and puts it back when the program says so.
func TestLibraryTakenAway(t *testing.T) {
	eachWork(t, func(t *testing.T, w work, binary, library string) {
		refused, w := w.refusedOnce(t, "put the disk or the folder back", func() {
			_ = os.RemoveAll(library) // what was made anew in its place
			require.NoError(t, os.Rename(library+".away", library))
		})
		gone := false
		w.lead(t, library, plainly(binary), func(_ *lineTrial, answers int, wrote bool) bool {
			if wrote && answers > 3 && !gone {
				gone = true
				require.NoError(t, os.Rename(library, library+".away"))
			}
			return false
		})
		require.Equal(t, 1, *refused)
	})
}

// TestLibraryRemoved takes the library away for good: nothing is called written any more,
// and on leaving the crew is told so.
func TestLibraryRemoved(t *testing.T) {
	t.Parallel()
	library := filepath.Join(t.TempDir(), "library")
	l := startLine(t, library, []string{program(t), "trial", exampleJobFile, "--plain"})
	for answers := range 12 {
		said, asked := l.next()
		require.True(t, asked, said)
		if answers > 6 {
			require.NotContains(t, said, "  written\n")
			require.Contains(t, said, "! not on disk")
		}
		if answers == 6 {
			require.NoError(t, os.RemoveAll(library))
		}
		_, err := l.in.Write([]byte("1\n"))
		require.NoError(t, err)
	}
	_, err := l.in.Write([]byte("q\n"))
	require.NoError(t, err)
	said, _ := l.next()
	said2, _ := l.next()
	require.Contains(t, said+said2, "The last answer is not on disk")
	l.close(t)
	require.NoFileExists(t, library)
}

// failures are how a disk refuses, as system calls tell it, and which calls it may be.
var failures = []struct{ calls, err string }{
	{"write", "ENOSPC"}, {"openat", "EACCES"}, {"fsync", "ENOSPC"}, {"fsync", "EIO"}, {"linkat", "ENOSPC"}, {"renameat", "EROFS"}, {"mkdirat", "EROFS"}, {"unlinkat", "EIO"}, {"ftruncate", "EIO"},
}

// refusalStep is from one call that fails to the next: to each where there is time.
func refusalStep(n int) int {
	if os.Getenv("BRINKMARK_KILLS") != "" {
		return 1
	}
	return 3 + 2*n
}

// injected reports whether a call of a trace was made to fail.
func injected(t *testing.T, trace string) bool {
	t.Helper()
	return strings.Contains(traced(t, trace), "(INJECTED)")
}

func traced(t *testing.T, trace string) string {
	t.Helper()
	said, err := os.ReadFile(trace)
	require.NoError(t, err)
	return string(said)
}

// ofItsWords is a refusal to say what is wrong.
var ofItsWords = regexp.MustCompile(`(?m)write\(2, .*\(INJECTED\)`)

// TestDiskRefusesOnce lets the nth call of a kind fail that changes what is on disk, for some
// n, or with BRINKMARK_KILLS for all. The work is done all the same, or the program says
// what to do and is started again.
func TestDiskRefusesOnce(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("needs strace")
	}
	t.Parallel()
	binary := program(t)
	for _, w := range works {
		w.stops = true
		for _, f := range failures {
			t.Run(w.name+" "+f.calls+" "+f.err, func(t *testing.T) {
				t.Parallel()
				prepared := t.TempDir()
				if w.prepare != nil {
					w.prepare(t, binary, prepared)
				}
				trials := 0
				for n := 1; n <= 200; n += refusalStep(n) {
					library := filepath.Join(t.TempDir(), "library")
					require.NoError(t, os.CopyFS(library, os.DirFS(prepared)))
					trace := filepath.Join(t.TempDir(), "trace")
					w.mute = func() bool { return ofItsWords.MatchString(traced(t, trace)) } // a thread's nth call, and another's
					w.lead(t, library, func(life int, args []string) []string {
						line := append([]string{binary}, args...)
						if life == 1 {
							line = append([]string{strace, "-f", "-qq", "-o", trace, "-e", "trace=" + f.calls, "-e", "inject=" + f.calls + ":error=" + f.err + ":when=" + strconv.Itoa(n)}, line...)
						}
						return line
					}, undisturbed)
					if !injected(t, trace) {
						break
					}
					trials++
				}
				t.Logf("%d refusals", trials)
			})
		}
	}
}

// TestDiskProtected makes the disk read-only at some answer of each work, as a worn stick
// does by itself. The crew is told, takes the protection off, and goes on; what was finished
// before stays byte for byte.
func TestDiskProtected(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	eachWork(t, func(t *testing.T, w work, binary, library string) {
		require.NoError(t, os.MkdirAll(library, 0o777))
		finished := recordsIn(t, library)
		disk := filepath.Join(t.TempDir(), "disk")
		smallDisk(t, disk, 256)
		onDisk := filepath.Join(disk, "library")
		require.NoError(t, os.CopyFS(onDisk, os.DirFS(library)))
		mount := func(how string) {
			out, err := exec.Command("mount", "-o", "remount,"+how, disk).CombinedOutput()
			require.NoError(t, err, string(out))
		}
		refused, w := w.refusedOnce(t, "write-protected", func() { mount("rw") })
		from, protected := 2+random.IntN(8), false
		w.lead(t, onDisk, plainly(binary), func(_ *lineTrial, answers int, _ bool) bool {
			if answers >= from && !protected {
				protected = true
				mount("ro")
			}
			return false
		})
		require.Equal(t, 1, *refused)
		for path, text := range finished {
			inside, err := filepath.Rel(library, path)
			require.NoError(t, err)
			if now := recordsIn(t, onDisk); strings.HasPrefix(inside, "profiles") || strings.HasPrefix(inside, "trials") {
				require.Equal(t, text, now[filepath.Join(onDisk, inside)], inside)
			}
		}
	})
}

// TestLibraryNoUse begins what writes where the library is a file, and where it is on a disk
// that nothing can be written to: told in two lines, and nothing is harmed. To begin a run
// writes nothing yet, nor does an exchange that only gives.
func TestLibraryNoUse(t *testing.T) {
	t.Parallel()
	binary := program(t)
	prepared := t.TempDir()
	aFoldedTrial(t, binary, prepared)
	lines := [][]string{{"trial", exampleJobFile, "--plain"}, {"run", "{profile}", "--plain"}, {"exchange", "{stick}"}, {"review", "accept", "{profile}", "--by", "QS"}, {"cards", "{cards}"}}
	check := func(t *testing.T, b bench, args []string) {
		r := b.start(order{args: args})
		require.Error(t, r.end(), r.said.String())
		require.Equal(t, 1, r.cmd.ProcessState.ExitCode())
		require.Regexp(t, twoLines, r.errs.String())
		require.NotRegexp(t, "(?i)written|saved|added:", r.said.String())
	}
	for _, args := range lines {
		t.Run(args[0]+", a file", func(t *testing.T) {
			b := newBench(t, prepared)
			b.library = filepath.Join(t.TempDir(), "library")
			require.NoError(t, os.WriteFile(b.library, []byte("a note of ours\n"), 0o666))
			check(t, b, args)
			text, err := os.ReadFile(b.library)
			require.NoError(t, err)
			require.Equal(t, "a note of ours\n", string(text))
		})
		if args[0] == "run" || args[0] == "exchange" {
			continue
		}
		t.Run(args[0]+", read-only", func(t *testing.T) {
			b := newBench(t, prepared)
			disk := filepath.Join(t.TempDir(), "disk")
			smallDisk(t, disk, 512)
			there := filepath.Join(disk, "library")
			require.NoError(t, os.CopyFS(there, os.DirFS(b.library)))
			b.library = there
			before := recordsIn(t, there)
			out, err := exec.Command("mount", "-o", "remount,ro", disk).CombinedOutput()
			require.NoError(t, err, string(out))
			check(t, b, args)
			require.Equal(t, before, recordsIn(t, there))
		})
	}
}
