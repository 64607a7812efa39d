package profiles

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

const runDir = "../testdata/runs"

func runText(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(runDir, name))
	require.NoError(t, err)
	return string(data)
}

func readRun(t testing.TB, name string) (*RunRecord, run.Run) {
	t.Helper()
	r, engine, err := parseRun(name, []byte(runText(t, name)))
	require.NoError(t, err)
	return r, engine
}

func TestRunRecordHasEveryKey(t *testing.T) {
	var table map[string]any
	_, err := toml.DecodeFile(filepath.Join(runDir, "full.toml"), &table)
	require.NoError(t, err)
	keys := keysOf(reflect.TypeFor[RunRecord](), "")
	require.Subset(t, keysIn(table, ""), keys)
	require.Subset(t, keys, keysIn(table, ""))
}

func TestRunTextIsKept(t *testing.T) {
	for _, name := range []string{"full.toml", "scripted.toml"} {
		r, engine := readRun(t, name)
		text, err := encode(r)
		require.NoError(t, err)
		again, engineAgain, err := parseRun("again.toml", []byte(text))
		require.NoError(t, err)
		require.Equal(t, r, again, name)
		require.Equal(t, engine, engineAgain, name)
		for _, line := range assignments(runText(t, name)) {
			if line = plainLine(line); !strings.HasSuffix(line, `= ""`) { // which says nothing
				require.Contains(t, assignments(text), line, "%s: a text changed", name)
			}
		}
	}
}

// plainLine is a line without its remark.
func plainLine(line string) string {
	line, _, _ = strings.Cut(line, " #")
	return strings.TrimSpace(line)
}

// runAfter is what a scripted run must lead to after an entry.
type runAfter struct {
	Seq        int      `toml:"seq"`
	Stage      string   `toml:"stage"`
	In         string   `toml:"in"`
	CableSpeed string   `toml:"cable_speed"`
	Place      string   `toml:"place"`
	Allowed    string   `toml:"allowed"`
	Alerts     []string `toml:"alerts"`
	Overrides  int      `toml:"overrides"`
	Stops      int      `toml:"stops"`
}

func TestScriptedRun(t *testing.T) {
	var want struct {
		After []runAfter `toml:"after"`
	}
	md, err := toml.DecodeFile(filepath.Join(runDir, "scripted_expected.toml"), &want)
	require.NoError(t, err)
	require.Empty(t, md.Undecoded())
	_, whole := readRun(t, "scripted.toml")
	require.Len(t, whole.Entries, want.After[len(want.After)-1].Seq)
	m := run.NewModel(whole.Plan)
	for _, after := range want.After {
		so := whole
		so.Entries = whole.Entries[:after.Seq]
		v := m.View(so, so.Entries[after.Seq-1].When())
		require.Equal(t, after.Stage, v.Stage.String(), "after %d", after.Seq)
		if after.In != "" {
			require.Equal(t, after.In, q.Text(v.Now.In.Or(-1), "m"), "after %d", after.Seq)
		}
		if after.CableSpeed != "" {
			require.Equal(t, after.CableSpeed, q.Text(v.Now.Speed.Or(-1), "m/min"), "after %d", after.Seq)
		}
		if after.Place != "" {
			place, _ := v.Place.Get()
			require.Equal(t, after.Place, place.Says("m"), "after %d", after.Seq)
		}
		if after.Allowed != "" {
			allowed, _ := v.Allowed.Get()
			require.Equal(t, after.Allowed, so.Plan.Rig.Show(allowed))
		}
		var kinds []string
		for _, a := range v.Alerts {
			kinds = append(kinds, a.Kind.String())
		}
		require.Equal(t, after.Alerts, kinds, "after %d", after.Seq)
		require.Len(t, v.Overrides, after.Overrides, "after %d", after.Seq)
		require.Len(t, v.Stops, after.Stops, "after %d", after.Seq)
	}
	require.Empty(t, whole.OpenKillers())
}

// The engine refuses nothing that stands in the scripted run: it could have been written so.
func TestScriptedRunCouldBeWritten(t *testing.T) {
	_, whole := readRun(t, "scripted.toml")
	so := whole
	for i, e := range whole.Entries {
		so.Entries = whole.Entries[:i]
		require.NoError(t, so.Refuses(e), "entry %d", i+1)
	}
}

// Bad records are refused by line and key, with what to do.
func TestBadRuns(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(runDir, "bad", "*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		_, err = ParseRun(filepath.Base(path), data)
		require.Error(t, err, path)
		golden := strings.TrimSuffix(path, ".toml") + ".want"
		if os.Getenv("BRINKMARK_UPDATE") != "" {
			require.NoError(t, os.WriteFile(golden, []byte(err.Error()+"\n"), 0o644))
		}
		want, readErr := os.ReadFile(golden)
		require.NoError(t, readErr)
		require.Equal(t, string(want), err.Error()+"\n")
		require.Contains(t, err.Error(), "\n  ", "%s: a second line says what to do", path)
	}
}

func TestSpan(t *testing.T) {
	for text, want := range map[string]time.Duration{"90 s": 90 * time.Second, "2 min": 2 * time.Minute, "1.5h": 90 * time.Minute, "0 s": 0} {
		s, err := NewSpan(text)
		require.NoError(t, err)
		require.Equal(t, want, s.value)
		require.Equal(t, text, s.String())
	}
	for _, text := range []string{"2", "min", "2 m", "-2 min", "2,5 min", "1e3 s", "200 h", "2 min 3 s", "2.5.1 s", " 2 min"} {
		_, err := NewSpan(text)
		require.ErrorContains(t, err, "is not a length of time: ", text)
	}
}

func FuzzParseRun(f *testing.F) {
	for _, dir := range []string{runDir, filepath.Join(runDir, "bad")} {
		files, err := filepath.Glob(filepath.Join(dir, "*.toml"))
		require.NoError(f, err)
		for _, path := range files {
			data, err := os.ReadFile(path)
			require.NoError(f, err)
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, engine, err := parseRun("run.toml", data)
		if err != nil {
			require.Nil(t, r)
			requirePlainError(t, err)
			return
		}
		text, err := encode(r)
		require.NoError(t, err)
		again, engineAgain, err := parseRun("run.toml", []byte(text))
		require.NoError(t, err, text)
		require.Equal(t, engine.Plan.Setting, engineAgain.Plan.Setting)
		require.Len(t, engineAgain.Entries, len(engine.Entries))
		require.Equal(t, len(partsOf(&r.RunEntries)), len(partsOf(&again.RunEntries)))
		if len(engine.Entries) < 100 {
			run.NewModel(engine.Plan).View(engine, engine.Started)
		}
		r.Lines(engine.Started)
	})
}

// requirePlainError has no control characters but the line feed before what to do.
func requirePlainError(t *testing.T, err error) {
	t.Helper()
	for _, c := range err.Error() {
		require.True(t, c == '\n' || c >= ' ' && c != 0x7f, "%q", err.Error())
	}
}
