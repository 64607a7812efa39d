// Package rehearsal keeps a trial in memory, as strictly as a file, for tests of what
// leads through one.
package rehearsal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
)

// Morning is when every rehearsed trial begins.
var Morning = time.Date(2026, 5, 14, 7, 42, 10, 0, time.UTC)

// Trial is a trial in memory: whatever is written goes through the record's text and its
// reader.
type Trial struct {
	Now    func() time.Time
	record profiles.Record
	trial  session.Trial
}

// Record is what was written so far.
func (m *Trial) Record() profiles.Record { return m.record }

// Session is the same as the engine reads it.
func (m *Trial) Session() session.Trial { return m.trial }

// ReplaceJob writes the job anew.
func (m *Trial) ReplaceJob(r profiles.Record) error {
	text, err := r.Text()
	if err != nil {
		return err
	}
	back, err := profiles.Parse("memory", []byte(text))
	if err != nil {
		return err
	}
	t, err := back.Trial()
	if err != nil {
		return err
	}
	m.record, m.trial = *back, t
	return nil
}

// Append writes entries, each with the next number and the time it is.
func (m *Trial) Append(entries ...profiles.Entry) error {
	at := m.Now() // one for all that a press writes
	for _, e := range entries {
		r, seq := m.record, m.trial.LastNumber()+1
		switch e := e.(type) {
		case profiles.Answer:
			e.Seq, e.At = seq, at
			r.Answers = append(r.Answers[:len(r.Answers):len(r.Answers)], e)
		case profiles.Attempt:
			e.Seq, e.At = seq, at
			r.Attempts = append(r.Attempts[:len(r.Attempts):len(r.Attempts)], e)
		case profiles.Undo:
			e.Seq, e.At = seq, at
			r.Undos = append(r.Undos[:len(r.Undos):len(r.Undos)], e)
		case profiles.Change:
			e.Seq, e.At = seq, at
			r.Changes = append(r.Changes[:len(r.Changes):len(r.Changes)], e)
		}
		if err := m.ReplaceJob(r); err != nil {
			return err
		}
	}
	return nil
}

// Job is a job of testdata changed by pairs of key and text, begun on that morning.
func Job(file string, changes ...string) (profiles.Record, error) {
	r, _, err := ReadFile(file)
	if err != nil {
		return profiles.Record{}, err
	}
	for i := 0; i < len(changes); i += 2 {
		if *r, err = r.With(changes[i], changes[i+1]); err != nil {
			return profiles.Record{}, err
		}
	}
	r.Started = Morning
	return *r, nil
}

// Cards are those of three people who work together; one name would turn a terminal red.
func Cards() profiles.Cards {
	return profiles.Cards{People: []profiles.Person{
		{Name: "Cy\x1b[31m", Roles: []profiles.Role{profiles.Watcher}},
		{Name: "Abel", Roles: []profiles.Role{profiles.Operator}},
		{Name: "Bo", Roles: []profiles.Role{profiles.Operator, profiles.Trainee}},
	}}
}

// Typed are texts a hand, a scanner gun or a stuck key might send.
var Typed = []string{
	"a \"quoted\" word", `back\slash`, "tab\tinside", "it's", "'''", `"""`, "# sealed 1 00000000", "[[attempt]]", "{x}",
	"\x1b[2J\x1b]0;owned\a", "\x00", "\u202egnp\u200b", "\r\nRun at 99 psi", "é ü 電纜 🚧", "\xff\xfe", "= 1", strings.Repeat("x", 3000),
}

// ProfileID is the id of profile n that [WriteProfile] writes.
func ProfileID(n int) string { return fmt.Sprintf("01K7ZQ4C5V8W9X0Y1Z2A3B4%03d", n) }

// WriteProfile puts profile n, written by hand, into a library: that of a file, with pairs of
// texts replaced.
func WriteProfile(t testing.TB, file, library string, n int, changes ...string) {
	t.Helper()
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	text := strings.Replace(string(b), "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D", ProfileID(n), 1)
	for i := 0; i < len(changes); i += 2 {
		require.Contains(t, text, changes[i])
		text = strings.ReplaceAll(text, changes[i], changes[i+1])
	}
	month := filepath.Join(library, "profiles", "2026-05")
	require.NoError(t, os.MkdirAll(month, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(month, ProfileID(n)+".toml"), []byte(text), 0o666))
}
