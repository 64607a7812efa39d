package session

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// heard is the answer that a page was read.
func heard(seq int, p CautionPage) Answer {
	return Answer{Mark: Mark{Seq: seq, At: time.Unix(int64(seq), 0)}, Item: p.Item, State: CautionsRead}
}

// readAll reads page after page until none is due, and returns their items.
func readAll(t *testing.T, trial Trial, earlier []Happened) (Trial, []string) {
	t.Helper()
	var items []string
	for range 10 {
		page, due := trial.DueCautions(earlier)
		if !due {
			return trial, items
		}
		require.NotEmpty(t, page.Cautions())
		require.NotEmpty(t, page.Before)
		items = append(items, page.Item)
		trial.Entries = append(trial.Entries, heard(len(trial.Entries)+1, page))
	}
	require.Fail(t, "no end of pages")
	return trial, nil
}

// A day as a crew has it. How often a thing is said again is common practice, no source.
func TestPagesOfADay(t *testing.T) {
	all := []string{"cautions, working on site", "cautions, chambers and reels", "cautions", "cautions, before the first push"}
	crew := Trial{People: People{Operator: "AB", Watcher: "CD"}}
	first, items := readAll(t, crew, nil)
	require.Equal(t, all, items)
	saved := Answer{Mark: Mark{Seq: len(first.Entries) + 1}, Item: ItemSaved, State: ProfileWritten}
	first.Entries = append(first.Entries, saved)
	first, items = readAll(t, first, nil)
	require.Equal(t, []string{"cautions, carrying over"}, items, "before the stub comes off")

	second, items := readAll(t, crew, crew.EarlierLog(first))
	require.Equal(t, []string{"cautions, before the first push"}, items, "each trial has a first push")
	saved.Seq = len(second.Entries) + 1
	second.Entries = append(second.Entries, saved)
	_, items = readAll(t, second, crew.EarlierLog(first))
	require.Empty(t, items)

	trainee := Trial{People: People{Operator: "AB", Watcher: "CD", Trainee: true}}
	_, items = readAll(t, trainee, trainee.EarlierLog(first))
	require.Equal(t, all[2:], items, "a trainee hears again what the rig can do")

	check := Trial{Kind: ShortCheck, People: crew.People}
	_, items = readAll(t, check, nil)
	require.Equal(t, all, items, "a short check is pushes too")

	others := Trial{People: People{Operator: "AB", Watcher: "EF"}}
	_, items = readAll(t, others, others.EarlierLog(first))
	require.Equal(t, all, items, "another crew has not heard it")
}

// Older trials go on where they stood: nothing is asked for whose act is done.
func TestPagesOfOlderTrials(t *testing.T) {
	old := Trial{Entries: []Entry{heard(1, trialPages[0])}}
	_, items := readAll(t, old, nil)
	require.Equal(t, []string{"cautions, before the first push"}, items)
	old.Entries = append(old.Entries, Attempt{Mark: Mark{Seq: 2}, Outcome: Stall})
	_, items = readAll(t, old, nil)
	require.Empty(t, items, "the first push is made")
	old.Entries = append(old.Entries, Answer{Mark: Mark{Seq: 3}, Item: ItemSaved, State: ProfileWritten})
	_, items = readAll(t, old, nil)
	require.Equal(t, []string{"cautions, carrying over"}, items)
}

// One wording for one thing, wherever it is said.
func TestCautionsSayOneThingOnce(t *testing.T) {
	for _, c := range cautions {
		if strings.Contains(c.Say, "Radio lost") {
			require.Contains(t, c.Say, "Radio lost: stop the drive, shut the air at its source, vent.", c.ID)
		}
	}
	require.Contains(t, cautionByID(t, "ears").Say, "Protect your ears")
	slow := cautionByID(t, "never-above-trial").Say
	require.Contains(t, slow, "It slows: read again, be ready to stop.")
	require.Contains(t, slow, "Nearly stopped: stop")
	require.Contains(t, cautionByID(t, "warmer-than-trial").Say, "warmer than the setting covers")
}
