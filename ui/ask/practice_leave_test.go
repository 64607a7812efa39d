package ask

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A page of a lesson has one way out of it, whatever else stands apart on it: beside a
// stall that was just written the gauge's reading does.
func TestOneWayOutOfALesson(t *testing.T) {
	w := newTrainee(t, "relief-limited", 7)
	gauge := false
	for range 300 {
		q := w.flow.Question()
		leaves := 0
		for i, c := range q.Choices {
			if strings.HasPrefix(c.Label, "Leave the lesson") {
				require.Equal(t, "q", q.Keys()[i], "never one that goes on elsewhere: %s", q.Title)
				leaves++
			}
			gauge = gauge || strings.HasPrefix(c.Label, "The gauge's reading")
		}
		require.LessOrEqual(t, leaves, 1, "%s: %v", q.Title, q.Choices)
		if !w.answer() {
			require.True(t, gauge, "a stall is followed by a page that asks for the gauge")
			return
		}
	}
	t.Fatal("the lesson did not end")
}

// A lesson is judged by what was read, however fast: no supervisor looks at it.
func TestFastLessonEndsWithItsSetting(t *testing.T) {
	w := newTrainee(t, "first-clean-trial", 7)
	w.haste = time.Second / 2
	for range 300 {
		if !w.answer() {
			require.True(t, w.trial.end.review.Passed, "%q", w.trial.end.review.Lines())
			return
		}
	}
	t.Fatal("the lesson did not end")
}
