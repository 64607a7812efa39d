package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// exampleWith is the built-in job with pairs of key and text replaced.
func exampleWith(t *testing.T, changes ...string) profiles.Record {
	t.Helper()
	text, err := os.ReadFile("../testdata/jobs/example.toml")
	require.NoError(t, err)
	r, err := profiles.Parse("example", text)
	require.NoError(t, err)
	for i := 0; i < len(changes); i += 2 {
		*r, err = r.With(changes[i], changes[i+1])
		require.NoError(t, err)
	}
	return *r
}

// saidWith is the example with all it leaves unsaid: what nobody knows of asks for a short check.
func saidWith(t *testing.T, changes ...string) profiles.Record {
	t.Helper()
	return exampleWith(t, append([]string{"cable.lot", "L 88", "duct.lot", "D 12", "rig.lead_in", "13 mm", "rig.supply", "own pump, set to 1800 psi"}, changes...)...)
}

// begin starts a trial in the crew's own library at an hour of the day.
func (d *driver) begin(hour int, job profiles.Record) {
	d.clock = time.Date(2026, 5, 14, hour, 0, 0, 0, time.UTC)
	d.presses = 0
	if d.m.trial != nil && d.m.question.ID == "closed" {
		d.run(d.m.do(d.m.flow, ask.GoHome{}))
	}
	d.run(d.m.do(d.m.flow, ask.Begin{Job: job}))
	require.Empty(d.t, d.m.failure)
	require.Equal(d.t, "job", d.m.question.ID)
}

// toEnd answers as the crew would until the trial is closed.
func (d *driver) toEnd(r rig) {
	for range 300 {
		if !d.step(r, d.key) {
			return
		}
	}
	d.t.Fatal("the trial does not end")
}

func (d *driver) goldens(name string) {
	w, h := d.m.w, d.m.h
	for _, size := range sizes {
		d.m.w, d.m.h = size[0], size[1]
		sameScreen(d.t, fmt.Sprintf("%s/%dx%d", name, size[0], size[1]), d.m)
	}
	d.m.w, d.m.h = w, h
}

func (d *driver) saved() (kinds []session.Kind) {
	files, err := filepath.Glob(filepath.Join(d.dir, "profiles", "*", "*.toml"))
	require.NoError(d.t, err)
	for _, f := range files {
		r, _, err := rehearsal.ReadFile(f)
		require.NoError(d.t, err)
		kinds = append(kinds, r.Kind)
	}
	return kinds
}

// climbTo answers as the crew would until a question of this id is asked.
func (d *driver) climbTo(id string, r rig) {
	for d.m.question.ID != id {
		d.step(r, d.key)
	}
}

// failCheck checks the day's setting on another reel, where it folds, and begins the full trial.
func (d *driver) failCheck() {
	d.t.Helper()
	d.begin(16, saidWith(d.t, "cable.reel", "NM-20418"))
	d.pick("Short check first")
	of := d.m.flow.Record.Of
	d.climbTo("refusal", rig{fold: 60, slipPerPSI: 12})
	d.goldens("day_check_failed")
	failed := d.m.flow.Record.ID
	d.pick("Start the full trial now")
	require.Equal(d.t, "job", d.m.question.ID)
	r := d.m.flow.Record
	require.Equal(d.t, session.Full, r.Kind)
	require.Equal(d.t, of, r.Earlier)
	require.Equal(d.t, "NM-20418", r.Cable.Reel)
	require.NotEqual(d.t, failed, r.ID)
	require.Equal(d.t, profiles.Retest, d.m.flow.Cover.Effect, "the check did not pass")
}

// TestDayOnScreens leads a day: morning trial, the same job again, a short check at
// noon, a second trial in the warm afternoon, another reel whose check does not pass,
// another duct. It counts the presses of each verdict.
func TestDayOnScreens(t *testing.T) {
	rehearsal.Long(t)
	d := newDriver(t, t.TempDir())
	cable := rig{fold: 118, slipPerPSI: 12}
	day := []string{"conditions.day_low", "38 °F", "conditions.day_high", "60 °F"}
	d.begin(8, saidWith(t, day...))
	d.climbTo("setting", cable)
	require.Contains(t, strings.Join(d.m.question.Body, " "), "Check due by about 09:30 if today goes from 38 to 60 °F (model:")
	d.toEnd(cable)
	require.Len(t, d.saved(), 1)

	d.begin(9, saidWith(t, day...))
	d.goldens("day_covered")
	d.pick("Cover: all reasons")
	d.goldens("day_cover_page")
	d.pick("Tag for the lid")
	d.goldens("day_tag")
	d.pick("Back", "Back to the job")
	d.presses = 0
	d.pick("No trial: use")
	require.Equal(t, "closed", d.m.question.ID)
	require.Equal(t, "Covered: no trial is needed", d.m.question.Title)
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "Tag for the lid")
	require.Equal(t, 1, d.presses)

	d.begin(12, saidWith(t, "conditions.cable_temperature", "55 °F"))
	d.goldens("day_short_check")
	d.pick("Short check first")
	d.climbTo("setting", rig{fold: 500, slipPerPSI: 100})
	require.Len(t, d.m.flow.Trial.Attempts(), 3)
	require.Contains(t, d.m.question.Body[0], "it holds now up to 61 °F")
	d.goldens("day_check_passed")
	d.toEnd(cable)
	t.Logf("short check: %d presses", d.presses)
	require.LessOrEqual(t, d.presses, 30)
	require.Equal(t, []session.Kind{session.Full, session.ShortCheck}, d.saved())

	d.begin(13, saidWith(t, "conditions.cable_temperature", "50 °F"))
	require.Equal(t, profiles.Covered, d.m.flow.Cover.Effect, "between the two")

	d.begin(15, saidWith(t, "conditions.cable_temperature", "76 °F"))
	require.Equal(t, profiles.Retest, d.m.flow.Cover.Effect)
	d.goldens("day_retest")
	d.toEnd(rig{fold: 90, slipPerPSI: 12})
	t.Logf("retest: %d presses, %d pushes", d.presses, len(d.m.flow.Trial.Attempts()))
	require.LessOrEqual(t, d.presses, 75)

	d.failCheck()

	d.begin(16, saidWith(t, "duct.size", "40/33"))
	require.Equal(t, profiles.Retest, d.m.flow.Cover.Effect)
	require.Contains(t, strings.Join(d.m.question.Body, "\n"), "Duct size: retest")
}

// TestShortCheckOfAFile: a file that names a profile and no plan gets it from the library.
func TestShortCheckOfAFile(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.begin(8, exampleWith(t))
	d.toEnd(rig{fold: 118, slipPerPSI: 12})
	of := d.m.flow.Record.ID
	job := exampleWith(t, "cable.reel", "NM-9")
	job.Kind, job.Of = session.ShortCheck, of
	d.begin(9, job)
	require.NotEmpty(t, d.m.flow.Record.Plan.Speed.String())
	require.Equal(t, "Yes, start the short check", d.m.question.Choices[0].Label)
	job.Of = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
	_, _, err := d.m.Keeper.Follow(job)
	require.ErrorContains(t, err, "is not in this library\n  name one that is")
}
