package profiles

import (
	"errors"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/session"
)

// Source is the text of a file of ours, from the library or named by somebody. Read strictly, it
// says where in it something is wrong.
type Source struct {
	Path string // used in errors only
	Text []byte
	// Beside reads another file of its folder, if it has one.
	Beside func(name string) (Source, error)
}

// Record reads the text as a record, sealed or written by hand. A torn end of a sealed one is left
// out and told as a warning.
func (s Source) Record() (r *Record, warning string, err error) {
	r, found, err := s.flawed()
	return r, found.Says, err
}

// Edited reports whether a record was changed after it was sealed: nothing is handed out by it.
func (s Source) Edited() bool {
	_, found, err := journal.TextOf(s.Path, s.Text)
	return err == nil && found.Edited
}

func (s Source) flawed() (*Record, journal.Flaw, error) {
	text, found, err := journal.TextOf(s.Path, s.Text)
	if err != nil {
		return nil, journal.Flaw{}, err
	}
	r, err := Parse(s.Path, []byte(text))
	return r, found, err
}

// Run reads the text as a run's record. See [Source.Record].
func (s Source) Run() (r *RunRecord, warning string, err error) {
	text, found, err := journal.TextOf(s.Path, s.Text)
	if err != nil {
		return nil, "", err
	}
	r, err = ParseRun(s.Path, []byte(text))
	return r, found.Says, err
}

// Decode reads the text into a value, of which it must know every key. Its errors are
// of type *[FileError].
func (s Source) Decode(into any) error {
	_, err := decode(s.Path, s.Text, into)
	return err
}

// Fail says what is wrong with the value of a key, and what to do: "format",
// "rig.grip_limit", or for the third trouble "trouble[2].size".
func (s Source) Fail(key, wrong, hint string) *problem.FileError {
	return problem.At(s.Path, s.Text, key, wrong, hint)
}

// Job turns a job that was read from the text into what the engine works on.
func (s Source) Job(r Record) (session.Trial, error) {
	t, err := r.Trial()
	var bad *entryError
	if errors.As(err, &bad) {
		return t, s.Fail(bad.key, bad.problem, bad.hint)
	}
	return t, err
}
