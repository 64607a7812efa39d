package ui

import (
	"bytes"
	"crypto/rand"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
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
		case strings.Contains(question, "  1  "):
			return "1"
		}
		_, example, _ := strings.Cut(question, "such as: ")
		return strings.TrimSpace(strings.Split(example, "\n")[0])
	}
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

// TestPlainWholeTrials compares whole trials as a screen reader hears them.
// BRINKMARK_UPDATE=1 writes the files.
func TestPlainWholeTrials(t *testing.T) {
	rows := []struct {
		name     string
		outcomes []string
		changes  []string
	}{
		{"whole", []string{"STALL", "STALL", "VOID", "SLIP", "STALL", "STALL", "FOLD"}, nil},
		{"limit", nil, []string{"rig.speed_limit", "60 ft/min", "limits.cable_budget", ""}},
		{"refused", []string{"FOLD", "FOLD", "FOLD"}, nil},
		{"trainee", nil, []string{"people.trainee", "true", "rig.speed_limit", "50 ft/min", "conditions.cable_temperature", "5 C", "conditions.stub_temperature", ""}},
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

func settings(m *rehearsal.Trial) []session.Setting {
	var all []session.Setting
	for _, a := range m.Session().Attempts() {
		all = append(all, a.Setting)
	}
	return all
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
			library, err := profiles.OpenLibrary(t.TempDir(), kept.Now, rand.Reader)
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

			back, warning, err := profiles.ReadFile(filepath.Join(library.Dir(), "trials", trial.ID()+".toml"))
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

// failing is a disk that fails once an attempt is written.
type failing struct{ *rehearsal.Trial }

func (f failing) Append(entries ...profiles.Entry) error {
	for _, e := range entries {
		if _, push := e.(profiles.Attempt); push {
			return io.ErrShortWrite
		}
	}
	return f.Trial.Append(entries...)
}

// What could not be written is said and asked again, and never called written.
func TestPlainDiskFails(t *testing.T) {
	kept := begun(t)
	asks := 0
	o := &operator{}
	o.answer = func(asked string) string {
		if strings.Contains(asked, io.ErrShortWrite.Error()) {
			require.NotContains(t, asked, "written\n\n")
			if asks++; asks == 2 {
				return ""
			}
		}
		return scripted()(asked)
	}
	p := Plain{In: o, Out: o, Now: kept.Now, Keeper: ask.Keeper{Trial: failing{kept}}}
	require.NoError(t, p.Run())
	require.Equal(t, 2, asks)
	require.Empty(t, kept.Session().Attempts())
}

// The question after a failed write is the one before it, so that the reading is
// not lost.
func TestPlainDiskFailsAsksAgain(t *testing.T) {
	kept := begun(t)
	o := &operator{}
	o.answer = func(asked string) string {
		if strings.Contains(asked, io.ErrShortWrite.Error()) {
			require.Contains(t, asked, "What happened?")
			return ""
		}
		return scripted()(asked)
	}
	p := Plain{In: o, Out: o, Now: kept.Now, Keeper: ask.Keeper{Trial: failing{kept}}}
	require.NoError(t, p.Run())
}

// refusing is a trial on a disk that takes nothing.
type refusing struct{ *rehearsal.Trial }

func (refusing) Append(...profiles.Entry) error { return io.ErrShortWrite }

// Who leaves after the disk refused an answer is not told that it is on disk.
func TestPlainLeftUnwritten(t *testing.T) {
	kept := begun(t)
	var out bytes.Buffer
	p := Plain{In: strings.NewReader("1\nq\n"), Out: &out, Now: kept.Now, Keeper: ask.Keeper{Trial: refusing{kept}}}
	require.NoError(t, p.Run())
	require.Contains(t, out.String(), "The last answer is not on disk")
	require.NotContains(t, out.String(), "Everything answered is on disk")
}

// full is an output that takes so many bytes.
type full struct{ room int }

func (f *full) Write(b []byte) (int, error) {
	if f.room -= len(b); f.room < 0 {
		return 0, syscall.ENOSPC
	}
	return len(b), nil
}

// heardOnly answers everything with 1, as long as all that was asked could be shown.
type heardOnly struct {
	out     *full
	tooMuch bool
}

func (h *heardOnly) Read(b []byte) (int, error) {
	h.tooMuch = h.tooMuch || h.out.room < 0
	return copy(b, "1\n"), nil
}

// Where the questions can be shown no more, down to the mark that asks for an answer, no
// answer is taken.
func TestPlainStopsWhenNothingIsShown(t *testing.T) {
	for room := range 1500 {
		kept := begun(t)
		out := &full{room: room}
		in := &heardOnly{out: out}
		p := Plain{In: in, Out: out, Now: kept.Now, Keeper: ask.Keeper{Trial: kept}}
		err := p.Run()
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.ErrorContains(t, err, "is on disk")
		require.False(t, in.tooMuch, "room for %d", room)
	}
}
