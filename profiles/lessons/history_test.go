package lessons

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/session/practice"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// historyAt and keepAt are History and Keep of a file.
func historyAt(path string) ([]Result, []error) {
	return History(folder.On(disk.OS{}, filepath.Dir(path)), filepath.Base(path))
}

func keepAt(path string, r Result) error {
	return Keep(folder.On(disk.OS{}, filepath.Dir(path)), filepath.Base(path), r)
}

func TestHistory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "practice", "history.toml")
	none, wrong := historyAt(path)
	require.Empty(t, wrong)
	require.Empty(t, none)
	require.Equal(t, []string{practice.Notice, "No lesson taken yet."}, Progress(none, "AB"))

	l := named(t, "plug-crept")
	first := NewResult(play(t, l, 1, mistakes[l.ID]), "AB", noon)
	second := NewResult(play(t, l, 2, player{}), "AB", noon.Add(time.Hour))
	other := NewResult(practice.Review{Lesson: "x", Title: "A title\n[[result]]\nlesson = \"y\""}, "C\u202eD", noon)
	for _, r := range []Result{first, second, other} {
		require.NoError(t, keepAt(path, r))
	}
	got, wrong := historyAt(path)
	require.Empty(t, wrong)
	other.Title = strings.ReplaceAll(other.Title, "\n", " ") // a line break is read as a space
	require.Equal(t, []Result{first, second, other}, got)
	lines := Progress(got, "AB")
	require.Len(t, lines, 2)
	require.Contains(t, lines[1], "The plug crept: taken 2, passed 1.")
	require.Contains(t, lines[1], "100. Last time wrong readings: 0, unsafe acts: 0.")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), "qualifies anybody")
}

// Each trainee's lessons are told by themselves: how often passed, and the last six scores.
func TestProgress(t *testing.T) {
	var results []Result
	for i := range 8 {
		results = append(results, Result{Trainee: "AB", Lesson: "l", Title: "L", Score: 10 + i, Passed: i > 5, Wrong: i, Unsafe: 2 * i})
	}
	results = append(results, Result{Trainee: "AB", Lesson: "m", Title: "M", Score: 99}, Result{Trainee: "CD", Lesson: "l", Title: "L", Score: 98, Passed: true})
	require.Equal(t, []string{
		practice.Notice,
		"L: taken 8, passed 2. Scores, last at the right: 12 13 14 15 16 17. Last time wrong readings: 7, unsafe acts: 14.",
		"M: taken 1, passed 0. Scores, last at the right: 99. Last time wrong readings: 0, unsafe acts: 0.",
	}, Progress(results, "AB"))
}

// Wherever the power fails, what was kept before stays, and what is kept after too.
func TestHistoryCutAnywhere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "history.toml")
	for i := range 2 {
		require.NoError(t, keepAt(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: i}))
	}
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, keepAt(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: 2}))
	all, err := os.ReadFile(path)
	require.NoError(t, err)
	for cut := len(whole); cut < len(all); cut++ {
		require.NoError(t, os.WriteFile(path, all[:cut], 0o644))
		require.NoError(t, keepAt(path, Result{At: noon, Trainee: "AB", Lesson: "l", Title: "L", Score: 3}))
		got, _ := historyAt(path)
		var scores []int
		for _, r := range got {
			scores = append(scores, r.Score)
		}
		require.Subset(t, scores, []int{0, 1, 3}, "cut at %d", cut)
	}
}

// What cannot be read is told by its line, and nothing else is lost by it.
func TestHistoryTellsWhatIsWrong(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.toml")
	require.NoError(t, keepAt(path, Result{At: noon, Lesson: "l", Score: 1}))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	bad := string(text) + "\n[[result]]\nlesson = \"l\"\nscore = \"many\"\n\n[[resul\n\n[[result]]\nscore = 4\n\n[[result]]\nlesson = \"l\"\nmark = 1\n\n[[result]]\nlesson = \"l\"\nscore = 2\n"
	require.NoError(t, os.WriteFile(path, []byte(bad), 0o644))
	first := strings.Count(string(text), "\n") + 2
	got, wrong := historyAt(path)
	require.Len(t, got, 2)
	require.Equal(t, []int{1, 2}, []int{got[0].Score, got[1].Score})
	var lines []int
	for _, err := range wrong {
		lines = append(lines, lineOf(err))
		require.ErrorContains(t, err, "it is cut, or was changed\n  the other results are read")
		require.ErrorContains(t, err, fmt.Sprintf(": result[%d]: ", len(lines)))
	}
	require.Equal(t, []int{first, first + 4, first + 6, first + 9}, lines)
}

// Of any text each part is either a result or told, and what was read is read again the
// same from what is written of it.
func FuzzHistory(f *testing.F) {
	f.Add([]byte(historyHead + "\n[[result]]\nlesson = \"l\"\nscore = 3\n"))
	f.Add([]byte("[[result]]\nlesson = \"l\"\nat = 2026-03-04T12:00:00Z\n\n[[resul\n[[result]]\nlesson = \"m\"\nx = 1\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		got, wrong := parseHistory("h", text)
		require.Equal(t, strings.Count("\n"+string(text), "\n["), len(got)+len(wrong))
		var again strings.Builder
		for _, r := range got {
			require.NotEmpty(t, r.Lesson)
			require.Contains(t, strings.Join(Progress(got, r.Trainee), "\n"), ": taken ")
			again.WriteString(historyHead + resultText(t, r))
		}
		back, wrong := parseHistory("h", []byte(again.String()))
		require.Empty(t, wrong)
		require.Len(t, back, len(got))
		for i, r := range back {
			require.Equal(t, resultText(t, got[i]), resultText(t, r))
		}
	})
}

func resultText(t *testing.T, r Result) string {
	t.Helper()
	text, err := r.text()
	require.NoError(t, err)
	return text
}
