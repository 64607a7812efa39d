package profiles

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

const (
	historyDir      = "../testdata/histories"
	historyExpected = "expected.toml"
)

// answerTo is what a history must lead to. The values are derived here, by an
// independent program in another language that reads the same files.
type answerTo struct {
	Earlier    []string `toml:"earlier"` // histories this one begins from, the last of them first
	Next       string   `toml:"next"`
	Grip       string   `toml:"grip"`
	Speed      string   `toml:"speed"`
	EndedOn    string   `toml:"ended_on"`
	Row        string   `toml:"row"`
	FoldChance *float64 `toml:"fold_chance"`
	High       *float64 `toml:"fold_chance_high"`
	Varied     *float64 `toml:"fold_chance_varied"`
	SlipChance *float64 `toml:"slip_chance"`
	Tolerance  float64  `toml:"tolerance"`
}

func TestHistories(t *testing.T) {
	expected := map[string]answerTo{}
	md, err := toml.DecodeFile(filepath.Join(historyDir, historyExpected), &expected)
	require.NoError(t, err)
	require.Empty(t, md.Undecoded())

	found := map[string]bool{}
	files, err := os.ReadDir(historyDir)
	require.NoError(t, err)
	for _, file := range files {
		if file.Name() == historyExpected {
			continue
		}
		name := strings.TrimSuffix(file.Name(), ".toml")
		require.Contains(t, expected, name, "%s has no expected answer", file.Name())
		found[name] = true
	}
	for name, want := range expected {
		t.Run(name, func(t *testing.T) {
			require.True(t, found[name], "no file %s.toml", name)
			record := readHistory(t, name)
			trial := begunAfter(t, record, want.Earlier)
			outlook := session.View(trial)
			want.compare(t, outlook, trial.Rig)
			require.Equal(t, outlook, session.View(begunAfter(t, saved(t, record), want.Earlier)), "same record, same advice")
		})
	}
}

func readHistory(t *testing.T, name string) *Record {
	t.Helper()
	path := filepath.Join(historyDir, name+".toml")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	record, err := Parse(path, data)
	require.NoError(t, err)
	return record
}

// saved returns the record as it is after it was written and read back.
func saved(t *testing.T, r *Record) *Record {
	t.Helper()
	text, err := r.Text()
	require.NoError(t, err)
	again, err := Parse("saved.toml", []byte(text))
	require.NoError(t, err)
	return again
}

// begunAfter is the trial of a record with the named histories before it, the last of
// them first.
func begunAfter(t *testing.T, r *Record, earlier []string) session.Trial {
	t.Helper()
	trial := advisable(t, r)
	if len(earlier) == 0 {
		return trial
	}
	last := readHistory(t, earlier[0])
	_, err := r.EarlierTrial(last) // the same cable, duct and rig
	require.NoError(t, err)
	begun, err := trial.After(begunAfter(t, last, earlier[1:]))
	require.NoError(t, err)
	return begun
}

func advisable(t *testing.T, r *Record) session.Trial {
	t.Helper()
	trial, err := r.Trial()
	require.NoError(t, err)
	require.NoError(t, trial.Advisable())
	return trial
}

func (want answerTo) compare(t *testing.T, got session.Outlook, rig session.Rig) {
	t.Helper()
	kind, end := "", session.End(0)
	switch n := got.Next.(type) {
	case session.Try:
		kind = "try"
	case session.Install:
		kind, end = "install", n.EndedOn
	case session.Refuse:
		kind, end = "refuse", n.EndedOn
	}
	setting := ""
	if s, ok := session.SettingOf(got.Next); ok {
		setting = rig.Show(s)
	}
	wantSetting := ""
	if want.Next != "refuse" {
		wantSetting = want.Grip + ", " + want.Speed
	}
	require.Equal(t, want.Next, kind)
	require.Equal(t, wantSetting, setting)
	require.Equal(t, want.EndedOn, end.String())
	require.Equal(t, want.Row, got.Row)
	requireChance(t, "fold", want.FoldChance, got.FoldChance, want.Tolerance)
	if want.Next == "install" {
		requireChance(t, "90 % bound of the fold", want.High, got.FoldChanceHigh, want.Tolerance)
		requireChance(t, "varied fold", want.Varied, got.FoldChanceVaried, want.Tolerance)
	}
	requireChance(t, "slip", want.SlipChance, got.SlipChance, want.Tolerance)
}

func requireChance(t *testing.T, what string, want *float64, got q.Maybe[float64], tolerance float64) {
	t.Helper()
	value, known := got.Get()
	require.Equal(t, want != nil, known, "%s chance known", what)
	if known {
		require.InDelta(t, *want, value, tolerance, "%s chance", what)
	}
}
