package profiles

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/profiles/store/storetest"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// runOn begins a run on a disk, with the head of the scripted one.
func runOn(t testing.TB, d disk.Disk, path string) (*Run, error) {
	t.Helper()
	head, _, _ := strings.Cut(runText(t, "scripted.toml"), "[[answer]]")
	record, engine, err := parseRun(path, []byte(head))
	require.NoError(t, err)
	j, err := journal.Create(folder.On(d, filepath.Dir(path)), filepath.Base(path), head)
	if err != nil {
		return nil, err
	}
	at := time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC)
	return &Run{j, record, engine, run.NewModel(engine.Plan), func() time.Time { at = at.Add(20 * time.Second); return at }}, nil
}

// runSteps are the entries of a short run, from the duct to a point taken back.
func runSteps(t testing.TB) []RunEntry {
	t.Helper()
	state := func(item, state string) RunEntry { return Answer{Item: item, State: state} }
	return []RunEntry{
		state("right-duct", "same number or colour"), state("shot-far-end", "says clear, catch fitted"), state("proof-vented", "no pressure was held"),
		Proving{Passes: 2}, state(run.ItemProved, run.DuctProved), state("stub-and-plug-out", "on the ground, in sight"), state("hoses-tied", "rated, every joint tied"),
		Dialled{Grip: quantity[q.Pressure](t, "6 psi"), Speed: controlReading(t, "95 ft/min")}, state("far-end-clear", "says clear"),
		RunStart{Mark: quantity[q.Length](t, "1417 m")}, RunPoint{Mark: quantity[q.Length](t, "1427 m")}, RunPoint{Slip: true}, Undo{Drops: 12},
		RunStop{Reason: run.StopPlanned},
	}
}

// Each write of the disk fails in turn, in each way, once or for good. What was acknowledged
// is there when the run is opened again, and nothing half; a refused entry may be written
// again.
func TestRunFailsAtEveryCall(t *testing.T) {
	long(t)
	steps := append(runSteps(t)[:4:4], Undo{Drops: 4})
	for name, fault := range storetest.AllFaults {
		for _, stays := range []bool{false, true} {
			reached := true
			for at := 1; reached; at++ {
				when := fmt.Sprintf("%s at call %d, stays %v", name, at, stays)
				d := &storetest.FaultyDisk{Disk: disk.OS{}, Fault: fault, At: at, Stays: stays}
				path := filepath.Join(t.TempDir(), "run.toml")
				r, err := runOn(t, d, path)
				if err != nil {
					reached = d.Calls >= at
					continue
				}
				acknowledged := r.journal.Text()
				for _, e := range steps {
					before, record := r.journal.Text(), r.Record()
					if err := r.Append(e); err == nil {
						acknowledged = r.journal.Text()
						continue
					}
					require.Equal(t, before, r.journal.Text(), when)
					require.Equal(t, record, r.Record(), when)
					if err := r.Append(e); err == nil {
						acknowledged = r.journal.Text()
						continue
					}
					break // it may be on the disk all the same, which did not tell
				}
				reached = d.Calls >= at
				require.NoError(t, r.Close())
				requireBegins(t, acknowledged, path, when)
				require.Less(t, at, 5000)
			}
		}
	}
}

// requireBegins opens a run and finds all that was acknowledged, and at most one whole entry
// more, of which the disk never told.
func requireBegins(t *testing.T, acknowledged, path, when string) {
	t.Helper()
	j, _, err := journal.Open(folder.On(disk.OS{}, filepath.Dir(path)), filepath.Base(path))
	require.NoError(t, err, when)
	text := j.Text()
	require.NoError(t, j.Close())
	require.True(t, strings.HasPrefix(text, acknowledged), when)
	require.LessOrEqual(t, strings.Count(text[len(acknowledged):], journal.SealMark), 1, when)
	_, err = ParseRun(path, []byte(text))
	require.NoError(t, err, when)
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

// A run cut at every byte reads up to the last whole entry, goes on from there, and the torn
// end is told and kept.
func TestRunTornAtEveryByte(t *testing.T) {
	path := filepath.Join(t.TempDir(), "run.toml")
	r, err := runOn(t, disk.OS{}, path)
	require.NoError(t, err)
	after := []string{r.journal.Text()}
	for _, e := range runSteps(t) {
		require.NoError(t, r.Append(e))
		after = append(after, r.journal.Text())
	}
	require.NoError(t, r.Close())
	full := after[len(after)-1]
	for cut := len(after[9]); cut <= len(full); cut++ {
		torn := filepath.Join(t.TempDir(), "run.toml")
		putFile(t, torn, full[:cut])
		want := longestOf(after, full[:cut])
		record, warning, err := readRunNamed(torn)
		require.NoError(t, err, "cut at %d", cut)
		require.Equal(t, want == full[:cut], warning == "", "cut at %d", cut)
		whole, err := ParseRun("run.toml", []byte(want))
		require.NoError(t, err)
		require.Equal(t, whole, record, "cut at %d", cut)
		if cut%5 > 0 { // opening writes, and the journal's own tests cut at every byte
			continue
		}
		j, recovery, err := journal.Open(folder.On(disk.OS{}, filepath.Dir(torn)), filepath.Base(torn))
		require.NoError(t, err)
		require.Equal(t, want, j.Text(), "cut at %d", cut)
		require.Equal(t, cut-len(want), recovery.SetAside)
		require.NoError(t, j.Close())
	}
}

// After each call in turn the power fails, with what was not synced kept in every way.
func TestRunPowerCut(t *testing.T) {
	long(t)
	reached := true
	steps := append(runSteps(t)[:4:4], Undo{Drops: 4})
	for at := 1; reached; at++ {
		memory := storetest.NewMemoryDisk()
		d := &storetest.FaultyDisk{Disk: memory, Fault: storetest.Refuses, At: at, Stays: true}
		path := filepath.Join(t.TempDir(), "run.toml")
		acknowledged := ""
		r, err := runOn(t, d, path)
		if err == nil {
			acknowledged = r.journal.Text()
			for _, e := range steps {
				if r.Append(e) != nil {
					break
				}
				acknowledged = r.journal.Text()
			}
			require.NoError(t, r.Close())
		}
		reached = d.Calls >= at
		if acknowledged == "" {
			continue
		}
		memory.PowerCuts(t, func(dir, state string) {
			requireBegins(t, acknowledged, filepath.Join(dir, "run.toml"), fmt.Sprintf("power cut after call %d, %s", at, state))
		})
	}
}
