package lessons

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session/practice"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

func TestHistory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "practice", "history.toml")
	none, err := History(path)
	require.NoError(t, err)
	require.Empty(t, none)
	require.Equal(t, []string{practice.Notice, "No lesson taken yet."}, Progress(none, "AB"))

	l := named(t, "plug-crept")
	first := NewResult(play(t, l, 1, mistakes[l.ID]), "AB", noon)
	second := NewResult(play(t, l, 2, player{}), "AB", noon.Add(time.Hour))
	other := NewResult(practice.Review{Lesson: "x", Title: "A title\n[[result]]\nlesson = \"y\""}, "C\u202eD", noon)
	for _, r := range []Result{first, second, other} {
		require.NoError(t, Keep(path, r))
	}
	got, err := History(path)
	require.NoError(t, err)
	require.Equal(t, []Result{first, second, other}, got)
	lines := Progress(got, "AB")
	require.Len(t, lines, 2)
	require.Contains(t, lines[1], "The plug crept: taken 2, passed 1.")
	require.Contains(t, lines[1], "100. Last time wrong readings: 0, unsafe acts: 0.")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), "qualifies anybody")
}

// Wherever the power fails, what was kept before stays, and what is kept after too.
func TestHistoryCutAnywhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "history.toml")
	for i := range 2 {
		require.NoError(t, Keep(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: i}))
	}
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, Keep(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: 2}))
	all, err := os.ReadFile(path)
	require.NoError(t, err)
	for cut := len(whole); cut < len(all); cut++ {
		require.NoError(t, os.WriteFile(path, all[:cut], 0o644))
		require.NoError(t, Keep(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: 3}))
		got, _ := History(path)
		var scores []int
		for _, r := range got {
			scores = append(scores, r.Score)
		}
		require.Subset(t, scores, []int{0, 1, 3}, "cut at %d", cut)
	}
}

func FuzzHistory(f *testing.F) {
	f.Add([]byte(historyHead + "\n[[result]]\nlesson = \"l\"\nscore = 3\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		got, _ := parseHistory("h", text)
		for _, r := range got {
			require.NotEmpty(t, Progress(got, r.Trainee))
		}
	})
}
