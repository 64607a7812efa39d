package profiles

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// runFindings are what can be found in a run, and how it is told.
var runFindings = []struct {
	name     string
	closing  Closing
	finding  Finding
	kind     ExceptionKind
	sheet    string
	override bool
}{
	{"nothing found", Closing{Jacket: "clean"}, 0, 0, "Jacket: clean.", false},
	{"a fold", Closing{Folds: 1}, RunFolded, FoldInRun, "THE CABLE FOLDED. This profile needs a new trial.", false},
	{"damage", Closing{Damaged: true}, RunDamaged, DamageInRun, "JACKET DAMAGE. This profile needs a new trial.", false},
	{"an override", Closing{}, 0, OverrideInRun, "OVERRIDE: grip pressure 6 psi, belt speed 110 ft/min where grip pressure 6 psi, belt speed 95 ft/min was allowed (AB: to get it home).", true},
}

// A fold or damage in a run ends what its profile covers, is named to the supervisor, and
// stands on the sheet.
func TestRunFeedsBack(t *testing.T) {
	for _, tt := range runFindings {
		t.Run(tt.name, func(t *testing.T) {
			l, clock := runLibrary(t)
			r := newRun(t, l)
			beginRun(t, r)
			if tt.override {
				require.NoError(t, r.Append(RunPoint{Speed: controlReading(t, "110 ft/min"), By: "AB", Reason: "to get it home"}))
			}
			require.NoError(t, r.Append(RunPoint{Mark: quantity[q.Length](t, "1007 m")}))
			endRun(t, r, tt.closing)

			job := coverRecord(t, "job.toml", nil)
			v, err := l.Cover(job, clock.at)
			require.NoError(t, err)
			if tt.finding == 0 {
				require.NotEqual(t, Retest, v.Effect, "%+v", v.Reasons)
			} else {
				require.Equal(t, Retest, v.Effect)
				require.Equal(t, "findings", v.Reasons[0].Field)
				require.Equal(t, tt.finding.String(), v.Reasons[0].Profile)
			}
			review, err := l.Review(nil)
			require.NoError(t, err)
			p, err := review.Find(runProfile)
			require.NoError(t, err)
			for _, k := range []ExceptionKind{FoldInRun, DamageInRun, OverrideInRun} {
				if k == tt.kind {
					require.Contains(t, kinds(p), k)
				} else {
					require.NotContains(t, kinds(p), k)
				}
			}
			lines, err := l.RunLines(runProfile)
			require.NoError(t, err)
			require.Contains(t, lines, tt.sheet)
			require.Equal(t, "Run of 2026-05-14 09:01, chamber 12 to 13: arrived, 410 m in.", lines[0])

			runs, unreadable, err := l.Runs(runProfile)
			require.NoError(t, err)
			require.Empty(t, unreadable)
			require.Len(t, runs, 1)
			require.Equal(t, q.Length(410), runs[0].In)
			require.True(t, runs[0].Closed && runs[0].Arrived)
			require.Equal(t, tt.finding == RunFolded, runs[0].Folded)
			require.Equal(t, tt.finding == RunDamaged, runs[0].Damaged)
			require.Equal(t, tt.override, runs[0].Overrides == 1)
			require.Equal(t, tt.kind != 0, len(runs[0].Exceptions) == 1, "%+v", runs[0].Exceptions)
		})
	}
}

// What a hand-written run shows by itself.
func TestRunExceptions(t *testing.T) {
	l, _ := runLibrary(t)
	text := runText(t, "scripted.toml")
	text = strings.Replace(text, "reason = \"to get it home\"\n", "", 1)
	text = strings.Replace(text, "item = \"hoses-tied\"\nstate = \"rated, every joint tied\"", "item = \"hoses-tied\"\nstate = \"rating not known\"", 1)
	writeInto(t, l, "runs/01M8938VPMQK1QTD27230G35TB.toml", text)
	runs, unreadable, err := l.Runs("")
	require.NoError(t, err)
	require.Empty(t, unreadable)
	require.Equal(t, []Exception{
		{KillerOpen, "hoses-tied"},
		{OverrideInRun, "grip pressure 6 psi, belt speed 100 ft/min where grip pressure 6 psi, belt speed 85 ft/min was allowed, and nobody says who decided it, or why"},
		{NotSealed, ""},
	}, runs[0].Exceptions)
}

func TestRunLinesOfAScriptedRun(t *testing.T) {
	r, _ := readRun(t, "scripted.toml")
	require.Equal(t, []string{
		"Run of 2026-05-14 09:00, chamber 12 to 13: arrived, 1202 m in.",
		"Moving 49 min, standing 16 min, 1 stop.",
		"Stop: slowed down at 460 m, section 3, 158 m into its 900 m.",
		"OVERRIDE: grip pressure 6 psi, belt speed 100 ft/min where grip pressure 6 psi, belt speed 85 ft/min was allowed (AB: to get it home).",
		"Slack: 4 m.", "Loops: 8 m, 25 ft.", "Left on the reel: 203 m.", "Jacket: clean all along.", "Stub retired: yes.",
	}, r.Lines(coverNow))
	full, _ := readRun(t, "full.toml")
	lines := full.Lines(coverNow)
	require.Contains(t, lines[0], "given up at 762 ft (will not move).")
	require.NotContains(t, strings.Join(lines, "\n"), "white mark", "it was taken back")
}
