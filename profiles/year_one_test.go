package profiles

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// A time nobody knows is not written. TOML's date of nothing is 1 January of year 1, and a
// reader of the file takes it for a date.
func TestNoTimeIsYearOne(t *testing.T) {
	one := RunEntries{
		Answers: []Answer{{}}, Provings: []Proving{{}}, Dialled: []Dialled{{}}, Starts: []RunStart{{}}, Points: []RunPoint{{}},
		Stops: []RunStop{{}}, Restarts: []RunRestart{{}}, Ends: []RunEnd{{}}, Closings: []Closing{{}}, Undos: []Undo{{}},
	}
	for name, record := range map[string]any{
		"a trial":  Record{Format: Format, Kind: session.Full, Entries: Entries{Answers: []Answer{{}}, Undos: []Undo{{}}, Changes: []Change{{}}, Attempts: []Attempt{{Outcome: session.Stall}}}},
		"profile":  Record{Format: Format, Setting: &Setting{}},
		"a run":    RunRecord{Format: Format, Kind: runKind, RunEntries: one},
		"a review": reviewFile{Format: Format, Kind: reviewKind, Actions: []Judged{{Action: Accept}}},
	} {
		text, err := encode(record)
		require.NoError(t, err)
		require.NotContains(t, text, "0001-01-01", name)
	}
}

// Every kind of entry of a trial or a run has a number and a time, and can be what the engine
// sees: see [partsOf] and [entryText].
func TestEveryEntryIsOne(t *testing.T) {
	at := time.Date(2026, 5, 14, 7, 42, 10, 0, time.UTC)
	for _, entries := range []any{Entries{}, RunEntries{}} {
		kinds := reflect.TypeOf(entries)
		for i := range kinds.NumField() {
			e := reflect.Zero(kinds.Field(i).Type.Elem()).Interface()
			text, err := entryText[Entries](e, 7, at)
			_, is := e.(Entry)
			if kinds == reflect.TypeFor[RunEntries]() {
				text, err = entryText[RunEntries](e, 7, at)
				_, is = e.(RunEntry)
			}
			require.True(t, is, "%T", e)
			if kind, _, _ := strings.Cut(kinds.Field(i).Tag.Get("toml"), ","); kind != "attempt" { // which has no outcome
				require.NoError(t, err)
				require.True(t, strings.HasPrefix(text, "[["+kind+"]]\nseq = 7\nat = 2026-05-14T07:42:10Z\n"), text)
			}
		}
	}
}

// A profile saved without a weather report has no day on which a check falls due.
func TestProfileWithoutACheckDue(t *testing.T) {
	l := reviewLibrary(t)
	history, _, err := readNamed("../testdata/histories/budget-spent-when-proved.toml")
	require.NoError(t, err)
	trial, err := l.NewTrial(history.job())
	require.NoError(t, err)
	require.NoError(t, trial.Append(Change{Key: "conditions.cable_temperature", Value: "41 °F", Reason: "read now"}))
	for _, a := range history.Attempts {
		require.NoError(t, trial.Append(a))
	}
	install, _ := session.View(trial.Session()).Next.(session.Install)
	path, err := l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	require.NotContains(t, fileText(t, path), "check_due")
	require.NoError(t, trial.Close())
}

// The head of a run has nothing but what is known; one with empty texts, as older versions
// wrote it, says the same.
func TestRunHeadHasNoEmptyTexts(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	text := fileText(t, r.journal.Where())
	require.NotContains(t, text, `= ""`)
	older := strings.Replace(text, "[air]\n", "[air]\nambient_pressure = \"\"\n", 1)
	older = strings.Replace(older, "[push]\n", "[push]\nprofile = \"\"\n", 1)
	require.NotEqual(t, text, older)
	now, err := ParseRun("run.toml", []byte(text))
	require.NoError(t, err)
	then, err := ParseRun("run.toml", []byte(older))
	require.NoError(t, err)
	require.Equal(t, now, then)
}
