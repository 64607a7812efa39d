package ui

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The marks offered are such as a cable can have printed, wherever the last one was read and
// whether or not anybody knows which way they count.
func TestRunMarksOffered(t *testing.T) {
	for _, row := range []struct {
		mark, counts string
		offered      []string
	}{
		{"0 ft", "not known yet", []string{"20 ft"}},
		{"0 ft", "smaller", nil},
		{"30 ft", "smaller", []string{"0 ft, just now"}},
		{"10 ft", "not known yet", []string{"20 ft", "0 ft"}},
		{"3280790 ft", "larger", nil}, // the most a length can be is 1000 km
		{"3280790 ft", "not known yet", nil},
	} {
		t.Run(row.mark+" "+row.counts, func(t *testing.T) {
			dir := t.TempDir()
			d := newRunDriver(t, dir, pulledProfile(t, dir))
			for _, part := range [][]string{crewAnswers, proveAnswers, airAnswers, dialAnswers} {
				d.say(part...)
			}
			d.say("run-mark: =" + row.mark)
			if d.m.question.ID == "odd" {
				d.say("odd: Yes")
			}
			d.say("run-counts: "+row.counts, "far-end-clear: says clear", "run-moves: The cable moves")
			d.after(45 * time.Second).say("run-running: Log a point")
			var offered []string
			for _, c := range d.m.question.Choices {
				if strings.Contains(c.Label, " ft") {
					offered = append(offered, c.Label)
				}
			}
			require.Equal(t, row.offered, offered)
			d.leaveRun()
		})
	}
}
