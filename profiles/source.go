package profiles

import (
	"errors"

	"brinkmark/profiles/problem"
	"brinkmark/session"
)

// Source is the text of a file of ours that is no record: read as strictly as one, it
// says where in it something is wrong.
type Source struct {
	Path string // used in errors only
	Text []byte
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
