package ui

import (
	"bytes"
	"crypto/rand"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/words"
)

// TestPlainWholeTrials compares whole trials as a screen reader hears them.
// BRINKMARK_UPDATE=1 writes the files.
func TestPlainWholeTrials(t *testing.T) {
	rows := []struct {
		name     string
		outcomes []string
		changes  []string
	}{
		{"whole", []string{"STALL", "STALL", "VOID", "SLIP", "STALL", "STALL", "FOLD"}, nil},
		{"limit", nil, []string{"rig.speed_limit", "60 ft/min", "ladder.speed_start", "15 ft/min", "limits.cable_budget", ""}},
		{"refused", []string{"FOLD", "FOLD", "FOLD"}, nil},
		{"trainee", nil, []string{"people.trainee", "true", "rig.speed_limit", "50 ft/min", "ladder.speed_start", "10 ft/min", "conditions.cable_temperature", "5 C", "conditions.stub_temperature", ""}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			answer := scripted(row.outcomes...)
			if row.name == "trainee" {
				answer = byObservation(answer)
			}
			o, kept := plainTrial(t, answer, row.changes...)
			require.Equal(t, session.ClosedStage, ask.Flow{}.See(kept).Question().Stage)
			path := filepath.Join("testdata", "plain_"+row.name+".golden")
			if os.Getenv("BRINKMARK_UPDATE") != "" {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(path, o.printed.Bytes(), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err, "BRINKMARK_UPDATE=1 go test ./ui writes it")
			require.Equal(t, string(want), o.printed.String())
		})
	}
}

// From every question of a whole trial: the make-safe card, the help, an empty
// line and a number that is not there change nothing.
func TestPlainAnswersFromAnywhere(t *testing.T) {
	outcomes := []string{"STALL", "SLIP", "STALL", "VOID", "FOLD"}
	calm, want := plainTrial(t, scripted(outcomes...))
	require.Contains(t, calm.printed.String(), "profile written")

	heading, steps := session.MakeSafe()
	answer := scripted(outcomes...)
	asides := []string{"m", "?", " ", "999", "M"}
	questions, cards := 0, 0
	question, left := "", 0
	o, got := plainTrial(t, func(asked string) string {
		if strings.Contains(asked, strings.ToUpper(heading)) {
			cards++
			for _, step := range steps {
				require.Contains(t, asked, step)
			}
		}
		if left == 0 { // a new question: the asides first
			questions++
			question, left = asked, len(asides)+1
		}
		left--
		if left > 0 {
			return asides[len(asides)-left]
		}
		return answer(question)
	})
	require.Equal(t, 2*questions, cards, "the card answers from every question")
	require.NotContains(t, o.printed.String(), "Left.")
	require.Equal(t, len(want.Session().Entries), len(got.Session().Entries))
	for i, e := range want.Session().Entries {
		require.IsType(t, e, got.Session().Entries[i])
	}
	require.Equal(t, settings(want), settings(got))
}

func TestPlainUndo(t *testing.T) {
	undone := false
	o, kept := plainTrial(t, func(asked string) string {
		question := asked[strings.LastIndex(asked, "\n[")+1:]
		switch {
		case !undone && strings.Contains(question, "Push 3: dial"):
			undone = true
			return "u"
		case undone:
			require.Contains(t, question, "Push 2: dial")
			return "q"
		}
		return scripted()(asked)
	})
	require.True(t, undone)
	require.Len(t, kept.Session().Attempts(), 1)
	require.Contains(t, o.printed.String(), "brinkmark resume")
}

// TestPlainHostileTyping types texts that break terminals and files into a record
// on disk, wherever words are taken. What is refused is said; the file stays whole,
// and nothing but text is ever printed.
func TestPlainHostileTyping(t *testing.T) {
	rehearsal.Long(t)
	places := []struct {
		name string
		at   func(question string) bool
		ways []string // the choices that lead there
	}{
		{"cable make", func(q string) bool { return strings.Contains(q, "[job] Cable make?") }, nil},
		{"reason of a void", func(q string) bool { return strings.Contains(q, "What spoiled it?") }, []string{"VOID"}},
	}
	for _, place := range places {
		for _, text := range rehearsal.Typed {
			kept := begun(t)
			job := kept.Record()
			if place.name == "cable make" {
				job.Cable.Make = ""
			}
			library, err := rehearsal.OpenLibrary(t.TempDir(), kept.Now, rand.Reader)
			require.NoError(t, err)
			trial, err := library.NewTrial(job)
			require.NoError(t, err)
			sent := false
			answer := scripted(place.ways...)
			o := &operator{answer: func(asked string) string {
				switch question := asked[strings.LastIndex(asked, "\n[")+1:]; {
				case sent:
					return ""
				case place.at(question):
					sent = true
					return text
				}
				return answer(asked)
			}}
			var printed bytes.Buffer
			p := Plain{In: o, Out: io.MultiWriter(o, &printed), Now: kept.Now, Keeper: ask.Keeper{Trial: trial}}
			require.NoError(t, p.Run(), "%q", text)
			require.True(t, sent)
			require.NoError(t, trial.Close())
			requireText(t, printed.String())
			if !trial.Begun() {
				continue // it was refused, and nothing else was answered
			}
			back, warning, err := rehearsal.ReadFile(filepath.Join(library.Where(), "trials", trial.ID()+".toml"))
			require.NoError(t, err, "%q at %s", text, place.name)
			require.Empty(t, warning)
			allowed := []string{"", "Northmoor"}
			for _, line := range strings.Split(text, "\n") {
				allowed = append(allowed, strings.TrimSpace(line), strings.TrimSpace(words.Clean(line)))
			}
			for _, kept := range []string{back.Cable.Make, voidReason(back)} {
				require.Contains(t, allowed, kept, "what is kept is what was typed, or its printable part")
			}
		}
	}
}

func voidReason(r *profiles.Record) string {
	if len(r.Attempts) == 0 {
		return ""
	}
	return r.Attempts[0].VoidReason
}

func requireText(t *testing.T, text string) {
	t.Helper()
	for _, r := range text {
		require.True(t, r == '\n' || unicode.IsPrint(r), "%q printed", r)
	}
}

// A line nobody could type, from a stuck key or the wrong file on a pipe, ends the
// session at most: what was answered before it stands.
func TestPlainEndlessLine(t *testing.T) {
	kept := begun(t)
	sent := false
	answer := scripted()
	o := &operator{}
	o.answer = func(asked string) string {
		switch {
		case sent:
			return ""
		case strings.Contains(asked, "Push 2: dial"):
			sent = true
			return strings.Repeat("1", 1<<20)
		}
		return answer(asked)
	}
	p := Plain{In: o, Out: o, Now: kept.Now, Keeper: ask.Keeper{Trial: kept}}
	if err := p.Run(); err != nil {
		require.ErrorContains(t, err, "read the answer")
	}
	require.True(t, sent)
	require.Len(t, kept.Session().Attempts(), 1)
	require.Equal(t, "dial", ask.Flow{Now: kept.Now()}.See(kept).Question().ID)
}

// Source: ECMA-48 (C0 and C1 controls) and Unicode UAX 9 (text that runs backwards).
func TestClean(t *testing.T) {
	rows := []struct{ text, want string }{
		{"plain text\nand a second line", "plain text\nand a second line"},
		{"1.9 N·m², 41 °F", "1.9 N·m², 41 °F"},
		{"\x1b[2Jcleared", "[2Jcleared"},
		{"\u009b31mred", "31mred"},
		{"a\rb\bc\ad\x00e\x7ff", "abcdef"},
		{"tab\there", "tab here"},
		{"\u202ebackwards\u2066\u200b\ufeff", "backwards"},
		{"no\u00a0break", "no break"},
		{"line\u2028separator", "lineseparator"},
	}
	for _, row := range rows {
		require.Equal(t, row.want, words.Clean(row.text))
	}
	requireText(t, words.Clean("bad \xff\xfe bytes"))
}
