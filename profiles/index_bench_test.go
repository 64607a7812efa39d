package profiles

import (
	"cmp"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The sizes of library that are measured, as BRINKMARK_BENCH_PROFILES=1000,10000 lists them.
// 100000 take minutes to write, and 400 MB.
func benchSizes(b *testing.B) []int {
	var sizes []int
	for _, text := range strings.Split(cmp.Or(os.Getenv("BRINKMARK_BENCH_PROFILES"), "1000,10000"), ",") {
		n, err := strconv.Atoi(text)
		require.NoError(b, err)
		sizes = append(sizes, n)
	}
	return sizes
}

var benchLibraries = map[int]*Library{}

// benchLibrary writes a library once for all benchmarks, with its index.
func benchLibrary(b *testing.B, n int) *Library {
	b.Helper()
	if benchLibraries[n] != nil {
		return benchLibraries[n]
	}
	dir, err := os.MkdirTemp("", "brinkmark-bench-")
	require.NoError(b, err)
	benchFolders = append(benchFolders, dir)
	l, err := libraryIn(dir, func() time.Time { return reviewNow }, nil)
	require.NoError(b, err)
	samples(b, l, n)
	began := time.Now()
	_, err = l.OpenIndex(nil)
	require.NoError(b, err)
	b.Logf("first index of %d profiles: %v", n, time.Since(began).Round(time.Millisecond))
	benchLibraries[n] = l
	return l
}

var benchFolders []string

func TestMain(m *testing.M) {
	code := m.Run()
	for _, dir := range benchFolders {
		_ = os.RemoveAll(dir)
	}
	os.Exit(code)
}

func eachSize(b *testing.B, run func(b *testing.B, l *Library)) {
	for _, n := range benchSizes(b) {
		b.Run(strconv.Itoa(n), func(b *testing.B) { run(b, benchLibrary(b, n)) })
	}
}

// statWalk looks at every record and keeps nothing: what a checked open is measured by.
func statWalk(b testing.TB, dir string) (files int) {
	require.NoError(b, filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			_, err = d.Info()
			files++
		}
		return err
	}))
	return files
}

// BenchmarkOpenIndex interleaves a checked open with a bare walk on one core, and with
// one on all cores, which is the same walk as the open makes.
func BenchmarkOpenIndex(b *testing.B) {
	eachSize(b, func(b *testing.B, l *Library) {
		folders, err := l.indexedFolders()
		require.NoError(b, err)
		var open, walk, both time.Duration
		for b.Loop() {
			began := time.Now()
			x, err := l.OpenIndex(nil)
			open += time.Since(began)
			require.NoError(b, err)
			require.Zero(b, x.Read)
			began = time.Now()
			require.Equal(b, len(x.entries), statWalk(b, l.Where())-1)
			walk += time.Since(began)
			began = time.Now()
			_, err = stamps(l.store, folders)
			require.NoError(b, err)
			both += time.Since(began)
		}
		b.ReportMetric(float64(open.Milliseconds())/float64(b.N), "ms/open")
		b.ReportMetric(float64(open)/float64(walk), "×walk")
		b.ReportMetric(float64(open)/float64(both), "×walk-all-cores")
		b.ReportMetric(peakMemory(), "MB-peak")
	})
}

// BenchmarkFilter filters an open list by words, the worst case: all have to be looked at.
func BenchmarkFilter(b *testing.B) {
	eachSize(b, func(b *testing.B, l *Library) {
		v, err := l.Review(nil)
		require.NoError(b, err)
		for b.Loop() {
			v.Filter(Filter{Text: "northmoor 36 nm-004", Crew: "ab"})
		}
		b.ReportMetric(peakMemory(), "MB-peak")
	})
}

// BenchmarkMatch finds the profiles near a job in an open index, without reading them.
func BenchmarkMatch(b *testing.B) {
	eachSize(b, func(b *testing.B, l *Library) {
		c, err := l.Candidates()
		require.NoError(b, err)
		job := coverRecord(b, "job.toml", nil)
		side, err := newSide(&job)
		require.NoError(b, err)
		for b.Loop() {
			c.unread.near(side, &c.limits)
		}
	})
}

// BenchmarkReview opens, lists and sorts all.
func BenchmarkReview(b *testing.B) {
	eachSize(b, func(b *testing.B, l *Library) {
		for b.Loop() {
			_, err := l.Review(nil)
			require.NoError(b, err)
		}
		b.ReportMetric(peakMemory(), "MB-peak")
	})
}

// peakMemory is the most memory the process has had, in MB; 0 where it is not told.
func peakMemory() float64 {
	data, _ := os.ReadFile("/proc/self/status")
	for line := range strings.SplitSeq(string(data), "\n") {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, _ := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(rest), " kB"), 64)
			return kb / 1024
		}
	}
	return 0
}
