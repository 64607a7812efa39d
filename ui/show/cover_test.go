package show

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// coverOf is the verdict on the invented job with values replaced, and its text.
func coverOf(t *testing.T, now string, replace ...string) (Cover, string) {
	t.Helper()
	dir := t.TempDir()
	month := filepath.Join(dir, "profiles", "2026-05")
	require.NoError(t, os.MkdirAll(month, 0o777))
	profile, err := os.ReadFile(filepath.FromSlash("../../testdata/covers/profile.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(month, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml"), profile, 0o666))
	other := strings.NewReplacer("4C5D", "4C5E", "Northmoor", "Eastvale").Replace(string(profile))
	require.NoError(t, os.WriteFile(filepath.Join(month, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E.toml"), []byte(other), 0o666))
	job, err := os.ReadFile(filepath.FromSlash("../../testdata/covers/job.toml"))
	require.NoError(t, err)
	from := profiles.Source{Path: filepath.Join(dir, "job.toml"), Text: []byte(strings.NewReplacer(replace...).Replace(string(job)))}
	library, err := rehearsal.OpenLibrary(dir, time.Now, nil)
	require.NoError(t, err)
	at, err := time.Parse(time.RFC3339, now)
	require.NoError(t, err)
	c, err := ReadCover(library, from, at)
	require.NoError(t, err)
	var out bytes.Buffer
	c.Show(&out)
	for _, line := range strings.Split(out.String(), "\n") {
		require.LessOrEqual(t, lipgloss.Width(line), TextWidth, line)
	}
	return c, strings.Join(strings.Fields(out.String()), " ")
}

const sameDay = "2026-05-14T13:00:00-05:00"

func TestCoverText(t *testing.T) {
	for _, c := range []struct {
		name, now string
		replace   []string
		code      int
		says      []string
		never     string
		lines     []string
	}{
		{"covered", sameDay, nil, 0,
			[]string{"COVERED: a profile holds", "Setting: grip pressure 6 psi, belt speed 95 ft/min.", "up to 47 °F.", "Seal: not compared. Written by hand.", "record …3B4C5D, written by hand", "Other near profiles", "Eastvale", "Cable make: retest."}, "RETEST",
			[]string{"Cover: covered, setting: grip pressure 6 psi, belt speed 95 ft/min", "  for cable and inlet air up to 47 °F", "  Near: Eastvale, LT-96 loose tube, 1.25 in SDR 11, 41 °F: retest (cable make)"}},
		{"warm noon", sameDay, []string{"41 °F", "52 °F"}, 10,
			[]string{"SHORT CHECK first", "Meanwhile no more than the drop-to setting, grip pressure 6 psi, belt speed 75 ft/min.", "three pushes", "at 10 % above", "Temperature: short check. Profile 41 °F, today 52 °F.", "up to 61 °F: grip pressure 6 psi, belt speed 75 ft/min"}, "holds for cable and inlet air",
			[]string{"Cover: short check, meanwhile no more than the drop-to setting, grip pressure 6 psi, belt speed 75 ft/min", "  Temperature: short check (profile 41 °F, today 52 °F)", "  Near: Eastvale, LT-96 loose tube, 1.25 in SDR 11, 41 °F: retest (cable make, temperature)"}},
		{"another reel in another unit", sameDay, []string{"NM-20417", "NM-3", "41 °F", "5 °C"}, 10,
			[]string{"Setting: grip pressure 6 psi, belt speed 95 ft/min.", "Reel: short check. Profile NM-20417, today NM-3.", "up to 10 °C: grip pressure 6 psi, belt speed 80 ft/min"}, "drop-to setting",
			[]string{"Cover: short check, setting: grip pressure 6 psi, belt speed 95 ft/min", "  Reel: short check (profile NM-20417, today NM-3)", "  Near: Eastvale, LT-96 loose tube, 1.25 in SDR 11, 41 °F: retest (cable make, reel)"}},
		{"misspelled", sameDay, []string{"Northmoor", "Nortmoor"}, 11,
			[]string{"RETEST: no profile holds", "The nearest profile is", "Make a full trial", "almost alike"}, "Setting: grip pressure 6 psi, belt speed 95 ft/min.",
			[]string{"Cover: retest", "  Cable make: retest (profile Northmoor, today Nortmoor)", "  Another maker's cable, though of the same diameter: rod, jacket and surface differ all the same, and they decide where it folds and when the belts slip. The two are written almost alike: if they are one, write it the same way in the job.", "  Near: Eastvale, LT-96 loose tube, 1.25 in SDR 11, 41 °F: retest (cable make)"}},
		{"a month on", "2026-06-20T08:00:00-05:00", nil, 10,
			[]string{"Age: short check. Proved 2026-05-14 08:40, now 2026-06-20 08:00."}, "RETEST",
			[]string{"Cover: short check, setting: grip pressure 6 psi, belt speed 95 ft/min", "  Age: short check (proved 2026-05-14 08:40, now 2026-06-20 08:00)", "  Near: Eastvale, LT-96 loose tube, 1.25 in SDR 11, 41 °F: retest (cable make, age)"}},
		{"nothing near", sameDay, []string{"Northmoor", "A", "LT-96", "B", "1.25 in", "3 in"}, 11,
			[]string{"Profiles: retest. The job is A, B loose tube, 3 in SDR 11."}, "Profile 01K",
			[]string{"Cover: no profile of this cable yet: a full trial"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, text := coverOf(t, c.now, c.replace...)
			require.Equal(t, c.code, v.Code())
			for _, says := range append(c.says, "Local codes") {
				require.Contains(t, text, says)
			}
			require.NotContains(t, text, c.never)
			require.Equal(t, c.lines, v.Lines())
		})
	}
}

// TestCoverLinesWhileTyping: no verdict before the job has what profiles are kept by, and
// what cannot be read is counted.
func TestCoverLinesWhileTyping(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "profiles", "2026-05"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "profiles", "2026-05", "bad.toml"), []byte("format = 9\n"), 0o666))
	library, err := rehearsal.OpenLibrary(dir, time.Now, nil)
	require.NoError(t, err)
	c, err := library.Candidates()
	require.NoError(t, err)
	job := profiles.Record{Format: profiles.Format}
	require.Nil(t, CoverOf(c, job, time.Now()))
	require.Empty(t, CoverOf(c, job, time.Now()).Lines())
	for _, key := range []string{"cable.make", "cable.type", "duct.size", "conditions.cable_temperature"} {
		require.Nil(t, CoverOf(c, job, time.Now()))
		require.Empty(t, CoverOf(c, job, time.Now()).Lines())
		job, err = job.With(key, "5 °C")
		require.NoError(t, err)
	}
	lines := CoverOf(c, job, time.Now()).Lines()
	require.Equal(t, "Cover: no profile of this cable that can be used: a full trial", lines[0])
	require.Equal(t, "  1 more cannot be read: the covers command names them", lines[len(lines)-1])
}

// TestEveryFieldHasWords: a reason the crew cannot read is none.
func TestEveryFieldHasWords(t *testing.T) {
	for _, field := range profiles.CoverFields() {
		require.NotEmpty(t, fieldWords[field], field)
	}
}
