package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// unsynced is a disk that keeps no promise: what an append costs apart from it.
type unsynced struct{ disk.OS }

type unsyncedFile struct{ disk.File }

func (unsyncedFile) Sync() error { return nil }

func (d unsynced) OpenFile(name string, flag int, perm os.FileMode) (disk.File, error) {
	f, err := d.OS.OpenFile(name, flag, perm)
	return unsyncedFile{f}, err
}

// longRun is a run under way with so many points of its log, each with a reading of the push
// gauge. mu is what the readings are made from.
func longRun(b testing.TB, points int) (*Run, []RunPoint) {
	b.Helper()
	r, err := runOn(b, unsynced{}, filepath.Join(b.TempDir(), "run.toml"))
	require.NoError(b, err)
	b.Cleanup(func() { _ = r.Close() })
	head := r.Record()
	head.Gauge = RunGauge{Unit: "N", Division: controlReading(b, "5 N")}
	require.NoError(b, r.ReplaceHead(head))
	for _, e := range runSteps(b)[:10] {
		require.NoError(b, r.Append(e))
	}
	at := r.now()
	r.now = func() time.Time { at = at.Add(4 * time.Second); return at }
	log := make([]RunPoint, points+200)
	for i := range log {
		in := 2 * float64(i+1)
		log[i] = RunPoint{
			Mark: quantity[q.Length](b, fmt.Sprintf("%.0f m", 1417+in)), CableSpeed: quantity[q.Speed](b, "28 m/min"),
			PushReading: controlReading(b, fmt.Sprintf("%.0f N", 92+in/40)),
		}
	}
	for _, p := range log[:points] {
		require.NoError(b, r.Append(p))
		r.View()
	}
	return r, log[points:]
}

// BenchmarkRunPoint appends a point to a log of some hundreds and derives all that is shown,
// but for what the disk needs to be sure.
func BenchmarkRunPoint(b *testing.B) {
	for _, points := range []int{100, 500} {
		b.Run(fmt.Sprint(points), func(b *testing.B) {
			r, more := longRun(b, points)
			start := *r
			text := r.journal.Text()
			worst, n := time.Duration(0), 0
			for b.Loop() {
				if n == len(more) {
					b.StopTimer()
					n = 0
					path := r.journal.Where()
					require.NoError(b, r.Close())
					require.NoError(b, os.WriteFile(path, []byte(text), filePerm))
					*r = start
					kept, _, err := journal.Open(folder.On(unsynced{}, filepath.Dir(path)), filepath.Base(path))
					require.NoError(b, err)
					r.journal = kept
					b.StartTimer()
				}
				began := time.Now()
				if err := r.Append(more[n]); err != nil {
					b.Fatal(err)
				}
				r.View()
				worst = max(worst, time.Since(began))
				n++
			}
			b.ReportMetric(float64(worst.Microseconds())/1000, "ms-worst")
		})
	}
}

// BenchmarkRunOpen reads and derives a run of five hundred points from nothing.
func BenchmarkRunOpen(b *testing.B) {
	r, _ := longRun(b, 500)
	text := []byte(r.journal.Text())
	for b.Loop() {
		_, engine, err := parseRun("run.toml", text)
		if err != nil {
			b.Fatal(err)
		}
		run.NewModel(engine.Plan).View(engine, engine.Started)
	}
	b.ReportMetric(float64(len(text))/1024, "KB")
}

// BenchmarkRunForecast is a new reach with its range.
func BenchmarkRunForecast(b *testing.B) {
	r, _ := longRun(b, 300)
	require.Equal(b, run.Fitted, r.View().Friction.Kind)
	for b.Loop() {
		r.Next()
	}
}

// The record does not slow down as it grows: see BenchmarkRunPoint for the figure.
func TestRunPointIsQuick(t *testing.T) {
	if racing {
		t.Skip("the race detector makes all of it many times slower")
	}
	r, more := longRun(t, 500)
	var took []time.Duration
	for _, p := range more[:40] {
		began := time.Now()
		require.NoError(t, r.Append(p))
		r.View()
		took = append(took, time.Since(began))
	}
	best := took[0]
	for _, d := range took {
		best = min(best, d)
	}
	require.Less(t, best, 25*time.Millisecond, "five times what is wanted: other work may run beside it")
}
