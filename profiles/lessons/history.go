package lessons

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"brinkmark/profiles"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// Result is one lesson taken, as the history of practice keeps it. It is no record of
// a trial, and nothing offers it as a profile.
type Result struct {
	At        time.Time `toml:"at"`
	Trainee   string    `toml:"trainee"`
	Lesson    string    `toml:"lesson"`
	Title     string    `toml:"title"`
	Seed      string    `toml:"seed"`
	Passed    bool      `toml:"passed"`
	Score     int       `toml:"score"`
	Attempts  int       `toml:"attempts"`
	Right     int       `toml:"readings_right"`
	Wrong     int       `toml:"readings_wrong"`
	Unsafe    int       `toml:"unsafe_acts"`
	CableUsed string    `toml:"cable_used"`
	RuleUsed  string    `toml:"cable_used_by_rule"`
}

// NewResult is the result of a review.
func NewResult(r practice.Review, trainee string, at time.Time) Result {
	return Result{At: at, Trainee: trainee, Lesson: r.Lesson, Title: r.Title, Seed: fmt.Sprint(r.Seed), Passed: r.Passed, Score: r.Score,
		Attempts: r.Attempts, Right: r.Right, Wrong: len(r.Wrong), Unsafe: len(r.Unsafe),
		CableUsed: q.Text(r.CableUsed, "m"), RuleUsed: q.Text(r.Engine.CableUsed, "m")}
}

const historyHead = "# brinkmark practice 1: simulated rigs only. Nothing here qualifies anybody to run a machine.\n"

const resultMark = "[[result]]\n"

// mostResults are more than one device's trainees can have in years.
const mostResults = 10_000

// mostTold are the problems of one file that anybody reads.
const mostTold = 20

// Keep adds a result to the history under a name, and returns when it is on disk. It only grows.
func Keep(in store.Store, name string, r Result) error {
	text, err := r.text()
	if err != nil {
		return err
	}
	return in.Alone(func() error {
		old, version, err := in.Read(name)
		switch {
		case errors.Is(err, fs.ErrNotExist) || err == nil && len(old) == 0:
			err = in.Write(name, version, []byte(historyHead+text))
		case err == nil:
			err = in.Extend(name, version, []byte(text))
		}
		return store.Plain(err)
	})
}

// text is a result as it is written, after a line that a lost battery may have cut.
func (r Result) text() (string, error) {
	b := bytes.NewBufferString("\n" + resultMark)
	err := toml.NewEncoder(b).Encode(r)
	return b.String(), err
}

// History reads the results under a name, oldest first. What cannot be read is left out,
// and is among the errors; where nothing is there are none.
func History(in store.Store, name string) ([]Result, []error) {
	text, _, err := in.Read(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, []error{store.Plain(err)}
	}
	return parseHistory(in.Where(name), text)
}

func parseHistory(path string, text []byte) ([]Result, []error) {
	var results []Result
	var wrong []error
	line := 0
	// A result ends where a line begins with a bracket, be it a mark that was cut.
	parts := strings.Split("\n"+string(text), "\n[")
	if len(parts) > mostResults+1 {
		return nil, []error{&problem.FileError{Path: path, Problem: fmt.Sprintf("more than %d results are not read", mostResults), Hint: "move the file away: a new one is begun"}}
	}
	for i, part := range parts {
		from := line
		line += strings.Count(part, "\n") + 1
		if i == 0 {
			continue // the head
		}
		var r Result
		rest, whole := strings.CutPrefix("["+part+"\n", resultMark)
		err := profiles.Source{Path: path, Text: []byte(rest)}.Decode(&r)
		if err != nil || !whole || r.Lesson == "" {
			wrong = append(wrong, &problem.FileError{Path: path, Line: from, Key: fmt.Sprintf("result[%d]", i-1), Problem: "it is cut, or was changed", Hint: "the other results are read"})
			continue
		}
		results = append(results, r)
	}
	if more := len(wrong) - mostTold; more > 0 {
		wrong = append(wrong[:mostTold], &problem.FileError{Path: path, Problem: fmt.Sprintf("%d more results are cut, or were changed", more), Hint: "the other results are read"})
	}
	return results, wrong
}

// Progress says how a trainee comes on, a line a lesson, in the order first taken.
func Progress(results []Result, trainee string) []string {
	lines := []string{practice.Notice}
	var taken []string
	for _, r := range results {
		if r.Trainee == trainee && !slices.Contains(taken, r.Lesson) {
			taken = append(taken, r.Lesson)
		}
	}
	for _, lesson := range taken {
		lines = append(lines, lessonProgress(results, trainee, lesson))
	}
	if len(taken) == 0 {
		lines = append(lines, "No lesson taken yet.")
	}
	return lines
}

func lessonProgress(results []Result, trainee, lesson string) string {
	title, passed, wrong, unsafe := lesson, 0, 0, 0
	var scores []string
	for _, r := range results {
		if r.Trainee != trainee || r.Lesson != lesson {
			continue
		}
		title, wrong, unsafe = r.Title, r.Wrong, r.Unsafe
		scores = append(scores, fmt.Sprint(r.Score))
		if r.Passed {
			passed++
		}
	}
	const shown = 6
	last := scores[max(len(scores)-shown, 0):]
	return fmt.Sprintf("%s: taken %d, passed %d. Scores, last at the right: %s. Last time wrong readings: %d, unsafe acts: %d.",
		title, len(scores), passed, strings.Join(last, " "), wrong, unsafe)
}
