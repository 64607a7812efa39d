package report

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// TestCoverForm: the keys other programs rely on, with null for what is not known and
// lists that are never null.
func TestCoverForm(t *testing.T) {
	job, _, err := readFile(filepath.FromSlash("../../testdata/covers/job.toml"))
	require.NoError(t, err)
	library, err := libraryIn(t.TempDir(), time.Now, nil)
	require.NoError(t, err)
	v, err := library.Cover(*job, time.Now())
	require.NoError(t, err)
	text, err := JSON(CoverOf(v))
	require.NoError(t, err)
	require.JSONEq(t, `{"verdict": "retest", "profile": null, "setting": null, "drop_to": [], "reasons": [{
		"field": "profile", "profile": "", "job": "Northmoor, LT-96 loose tube, 1.25 in SDR 11", "effect": "retest",
		"why": "The library has no profile of this cable in this duct, nor of one near to it."}], "warnings": [],
		"covered_up_to": null, "until": null, "written_by_hand": false}`, string(text))

	month := filepath.Join(library.Where(), "profiles", "2026-05")
	require.NoError(t, os.MkdirAll(month, 0o777))
	profile, err := os.ReadFile(filepath.FromSlash("../../testdata/covers/profile.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(month, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml"), profile, 0o666))
	warm, err := job.With("conditions.cable_temperature", "61 °F")
	require.NoError(t, err)
	v, err = library.Cover(warm, time.Date(2026, 5, 14, 20, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	c := CoverOf(v)
	require.Equal(t, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D", *c.Profile)
	require.Equal(t, "6 psi", c.Setting.Grip.Text)
	require.InDelta(t, 41.3685, c.Setting.Grip.Value, 1e-4) // NIST SP 811, appendix B.8: 1 psi is 6.894757 kPa
	require.Equal(t, "kPa", c.Setting.Grip.Unit)
	require.InDelta(t, 22.86, c.Setting.Speed.Value, 1e-9) // 75 ft of 0.3048 m
	require.Len(t, c.DropTo, 1)
	require.Equal(t, "61 °F", c.DropTo[0].UpTo.Text)
	require.Equal(t, "°C", c.DropTo[0].UpTo.Unit)
	require.Equal(t, []CoverReason{{"conditions.cable_temperature", "41 °F", "61 °F", "short check", v.Reasons[0].Why},
		{"seal", "", "", "covered", v.Reasons[1].Why}}, c.Reasons)
	require.True(t, c.WrittenByHand)
	require.Equal(t, "47 °F", c.CoveredUpTo.Text)
	require.Equal(t, "2026-05-15T01:40:00Z", *c.Until, "twelve hours after it was accepted, by the clock of who asks")

	v.Effect, v.Reasons = profiles.Covered, nil
	text, err = JSON(CoverOf(v))
	require.NoError(t, err)
	var form map[string]any
	require.NoError(t, json.Unmarshal(text, &form))
	require.Equal(t, []any{}, form["reasons"])
	require.Equal(t, "covered", form["verdict"])
}

// A time that is none is said neither to programs nor on the sheet.
func TestUntilOnlyWhereThereIsOne(t *testing.T) {
	l, _, p := listedIn(t, profileText(t, "whole"))
	r, _, err := p.Record()
	require.NoError(t, err)
	v, err := l.Cover(*r, printed)
	require.NoError(t, err)
	require.NotEqual(t, profiles.Retest, v.Effect)
	require.NotNil(t, CoverOf(v).Until)
	holds, err := l.Holds(p.ID)
	require.NoError(t, err)
	sheet := func() string {
		var b bytes.Buffer
		require.NoError(t, Sheet(&b, SheetOf{Profile: r, Listed: p, Holds: holds, Printed: printed}))
		return b.String()
	}
	require.Contains(t, sheet(), "<p>Without a check until <b>20:40 on 2026-05-14</b>.</p>", "twelve hours after it was accepted, by the clock of who asks")
	for _, none := range []time.Time{{}, time.Time{}.Add(12 * time.Hour), time.Date(1999, 12, 31, 0, 0, 0, 0, time.UTC)} {
		v.Until, holds.Until = none, none
		require.Nil(t, CoverOf(v).Until)
		require.NotContains(t, sheet(), "Without a check until")
	}
}
