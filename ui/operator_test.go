package ui

import (
	"bytes"
	"cmp"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/words"
)

// operator sits before plain mode: it reads what was printed up to the prompt and
// only then answers, so a script says what it answers to.
type operator struct {
	answer  func(asked string) string // asked is what was printed since the last answer
	printed bytes.Buffer
	seen    int
	pending []byte
}

func (o *operator) Write(b []byte) (int, error) { return o.printed.Write(b) }

func (o *operator) Read(b []byte) (int, error) {
	if len(o.pending) == 0 {
		asked := o.printed.String()[o.seen:]
		line := o.answer(asked)
		if line == "" {
			return 0, io.EOF
		}
		o.printed.WriteString(line + "\n") // as a terminal shows it
		o.seen = o.printed.Len()
		o.pending = []byte(line + "\n")
	}
	n := copy(b, o.pending)
	o.pending = o.pending[n:]
	return n, nil
}

// scripted answers every question rightly, and what happened at a push by the list;
// when that is used up, every push stalls.
func scripted(outcomes ...string) func(string) string {
	return func(asked string) string {
		question := asked[strings.LastIndex(asked, "\n[")+1:]
		switch {
		case strings.HasPrefix(question, "[closed]"):
			return ""
		case strings.Contains(question, "What happened?") && len(outcomes) > 0:
			first := outcomes[0]
			outcomes = outcomes[1:]
			return pressFor(question, first)
		case strings.Contains(question, "] Really "):
			return pressFor(question, "Yes")
		case strings.Contains(question, "  1  "):
			return "1"
		}
		return toType(question)
	}
}

// toType is what a value is answered with that is asked for: the text shown, or in the
// unit shown some figure, since none is.
func toType(question string) string {
	for _, before := range []string{"such as: ", "allowed: ", "advised: ", "last: "} {
		if _, text, found := strings.Cut(question, before); found {
			return strings.TrimSpace(strings.Split(text, "\n")[0])
		}
	}
	_, unit, found := strings.Cut(question, "with its unit, such as ")
	if !found {
		return words.YesNo(strings.Contains(question, ": a number\n"), "0.12", "")
	}
	unit = strings.TrimSpace(strings.Split(unit, "\n")[0])
	figures := map[string]string{"mm": "40", "in": "1.5", "m": "2", "ft": "7", "F": "44", "C": "6", "°F": "44", "°C": "6"}
	return cmp.Or(figures[unit], "12") + " " + unit
}

// pressFor is the number before the choice that begins with a text.
func pressFor(question, label string) string {
	for _, line := range strings.Split(question, "\n") {
		number, rest, ok := strings.Cut(strings.TrimSpace(line), "  ")
		if ok && strings.HasPrefix(rest, label) {
			return number
		}
	}
	panic("no choice begins with " + label + " in " + question)
}

// plainTrial runs a trial in plain mode, in memory, with a clock that moves on by
// ten seconds at each question.
func plainTrial(t *testing.T, answer func(string) string, changes ...string) (*operator, *rehearsal.Trial) {
	t.Helper()
	kept, now := begun(t, changes...), rehearsal.Morning
	kept.Now = func() time.Time { return now }
	o := &operator{answer: answer}
	p := Plain{In: o, Out: o, Keeper: ask.Keeper{
		Trial: kept,
		Save:  func(session.Setting) (string, error) { return "profiles/2026-05/example.toml", nil },
	}}
	p.Now = func() time.Time {
		now = now.Add(10 * time.Second)
		return now
	}
	require.NoError(t, p.Run())
	return o, kept
}

// begun is a trial on the example job, changed by pairs of key and text, in the morning.
func begun(t *testing.T, changes ...string) *rehearsal.Trial {
	t.Helper()
	job, err := rehearsal.Job("../testdata/jobs/example.toml", changes...)
	require.NoError(t, err)
	kept := &rehearsal.Trial{Now: func() time.Time { return rehearsal.Morning }}
	require.NoError(t, kept.ReplaceJob(job))
	return kept
}

// byObservation lets a trainee see a stall in two observations.
func byObservation(otherwise func(string) string) func(string) string {
	return func(asked string) string {
		question := asked[strings.LastIndex(asked, "\n[")+1:]
		for title, choice := range map[string]string{
			"Two questions tell what happened": "Not sure", "Did the belts": "No, they stopped",
			"Did the cable line": "No, it held", "Are the lines on plug and stub": "Yes, both",
		} {
			if strings.Contains(question, title) {
				return pressFor(question, choice)
			}
		}
		return otherwise(asked)
	}
}

func settings(m *rehearsal.Trial) []session.Setting {
	var all []session.Setting
	for _, a := range m.Session().Attempts() {
		all = append(all, a.Setting)
	}
	return all
}
