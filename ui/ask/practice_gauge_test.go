package ask

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/draw"
)

var driveReads = regexp.MustCompile(`drive ([0-9.]+ \w+)`)

// The drive gauge in the last picture, in the words of the push, in what is told after the
// reading, and in what an honest crew writes down is one number, and so is the example's
// unit. Who does what the goal says meets the relief and passes.
func TestDriveGaugeIsOneNumber(t *testing.T) {
	for _, seed := range []uint64{1, 2, 7} {
		w := newTrainee(t, "relief-limited", seed)
		told, written := 0, 0
		for i := 0; ; i++ {
			require.Less(t, i, 300)
			w.flow.Now = w.trial.Now()
			q := w.flow.Question()
			if q.ID == "truth" {
				told++
				p := w.trial.Bench.Last()
				picture := draw.PracticePicture{Push: p, Rig: w.trial.trial.Rig}
				shown := driveReads.FindStringSubmatch(picture.Gauges(p.After()))
				require.NotNil(t, shown, "seed %d", seed)
				honest, ok := practice.Honest(p).StallReading.Get()
				require.True(t, ok)
				require.Equal(t, shown[1], honest.Text(honest.Unit), "seed %d: what is expected as the reading", seed)
				require.Contains(t, strings.Join(q.Body, "\n"), "The drive gauge stood at "+shown[1]+".", "seed %d", seed)
				require.Contains(t, strings.Join(picture.Words(), "\n"), "drive "+shown[1], "seed %d", seed)
			}
			last, stalled := w.flow.unconfirmed()
			if q.ID == "dial" && stalled && last.Outcome == session.Stall && !last.StallReading.Known() && q.KeyOf("The gauge's reading") != "" {
				w.take(q, "The gauge's reading")
				q = w.flow.Question()
				require.Regexp(t, `psi$`, q.Enter.Example, "the control is a speed, this gauge is none")
				reading, _ := practice.Honest(w.trial.Bench.Last()).StallReading.Get()
				next, effect, err := q.Enter.Take(w.flow, reading.Text(reading.Unit))
				require.NoError(t, err)
				w.carry(next, effect)
				written++
				continue
			}
			if !w.answer() {
				break
			}
		}
		require.Positive(t, told)
		require.GreaterOrEqual(t, written, 2)
		r := w.trial.end.review
		require.True(t, r.Passed, "seed %d: who obeys the goal passes: %q", seed, r.Lines())
		require.Equal(t, 100, r.Score, "%q", r.Lines())
		require.False(t, r.Setting.Known())
	}
}

// A reading that is not what the gauge showed is a misreading, and one without a gauge is
// not asked for.
func TestDriveGaugeMisread(t *testing.T) {
	w := newTrainee(t, "relief-limited", 7)
	for i := 0; ; i++ {
		require.Less(t, i, 200)
		w.flow.Now = w.trial.Now()
		if q := w.flow.Question(); q.ID == "dial" && w.trial.Bench.Made() == 1 {
			w.take(q, "The gauge's reading")
			q = w.flow.Question()
			next, effect, err := q.Enter.Take(w.flow, "120 psi")
			require.NoError(t, err)
			w.carry(next, effect)
			break
		}
		require.True(t, w.answer())
	}
	v, _ := w.trial.Told()
	require.False(t, v.Right)
	require.Contains(t, v.Why, "120 psi was written down")
	require.Contains(t, v.Why, "157 psi")

	w = newTrainee(t, "first-clean-trial", 7)
	for i := 0; w.trial.Bench.Made() == 0 || w.flow.Question().ID != "dial"; i++ {
		require.Less(t, i, 200)
		require.True(t, w.answer())
		w.flow.Now = w.trial.Now()
	}
	require.Empty(t, w.flow.Question().KeyOf("The gauge's reading"), "this rig has no gauge on its drive")
}
