package ask

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A page of a lesson has one way out of it, whatever else stands apart on it: beside a
// stall that was just written the gauge's reading does.
func TestOneWayOutOfALesson(t *testing.T) {
	w := newTrainee(t, "first-clean-trial", 7)
	gauge := false
	for range 300 {
		q := w.flow.Question()
		leaves := 0
		for _, c := range q.Choices {
			if strings.HasPrefix(c.Label, "Leave the lesson") {
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
