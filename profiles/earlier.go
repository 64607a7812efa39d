package profiles

import (
	"errors"
	"fmt"
	"io/fs"

	"brinkmark/profiles/problem"
	"brinkmark/session"
)

// Before returns the trial that a record begins from: that of the profile it names
// as `earlier`, or of the profile a short check is of. It is nil when it names none, and
// where a short check's profile cannot be used, whose setting the check carries itself.
// Otherwise the error is that of [Library.Earlier].
func (l *Library) Before(r *Record) (*session.Trial, error) {
	switch {
	case r.Kind == session.ShortCheck && r.Of != "":
		t, _ := l.Earlier(r.Of, r)
		return t, nil
	case r.Kind == session.ShortCheck || r.Earlier == "":
		return nil, nil
	}
	return l.Earlier(r.Earlier, r)
}

// Earlier returns the trial of a profile for a record to begin from. The error says why
// it cannot be used: it is not in the library, or is of another cable, duct size or rig.
func (l *Library) Earlier(id string, r *Record) (*session.Trial, error) {
	for range mostEarlier { // a short check stands for the trial it checked
		profile, err := l.wholeProfile(id)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("earlier: profile %s is not in this library\n  name one that is, or leave the key out", problem.Clip(id))
		case err != nil:
			return nil, fmt.Errorf("earlier: %w", err)
		case profile.Kind != session.ShortCheck:
			t, err := l.earlierTrial(profile, r)
			if err != nil {
				return nil, fmt.Errorf("earlier: %w", err)
			}
			return t, nil
		}
		id = profile.Of
	}
	return nil, fmt.Errorf("earlier: profile %s: its short checks name each other\n  name the trial itself", problem.Clip(id))
}

// mostEarlier keeps records that name each other from going round for ever.
const mostEarlier = 8

// earlierTrial is a profile's trial, with the one it began from itself.
func (l *Library) earlierTrial(profile, r *Record) (*session.Trial, error) {
	t, err := r.EarlierTrial(profile)
	if err != nil {
		return nil, err
	}
	next, last := t, profile
	for range mostEarlier {
		if last.Earlier == "" {
			break
		}
		before, err := l.wholeProfile(last.Earlier)
		if err != nil { // what came before the earlier trial is only a help
			break
		}
		b, err := r.EarlierTrial(before)
		if err != nil {
			break
		}
		next.Before, next, last = b, b, before
	}
	return t, nil
}

// EarlierTrial returns the trial of a record to begin this one from, or an error that
// says what is another than here.
func (r *Record) EarlierTrial(earlier *Record) (*session.Trial, error) {
	for _, part := range []struct{ key, mine, its string }{
		{"cable.make", r.Cable.Make, earlier.Cable.Make},
		{"cable.type", r.Cable.Type, earlier.Cable.Type},
		{"duct.size", r.Duct.Size, earlier.Duct.Size},
		{"rig.name", r.Rig.Name, earlier.Rig.Name},
	} {
		if part.mine != "" && !newName(part.mine).same(newName(part.its)) {
			return nil, fmt.Errorf("%s: %q here, %q in the earlier trial\n  begin without it: it says nothing about this job", part.key, problem.Clip(part.mine), problem.Clip(part.its))
		}
	}
	t, err := earlier.Trial()
	if err != nil {
		return nil, err
	}
	return &t, nil
}
