package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"time"

	"brinkmark/profiles/problem"
	"brinkmark/session"
)

// Profile reads the profile of an id, with its later changes and without its entries.
// Of one that is not in the library the error is [fs.ErrNotExist].
func (l *Library) Profile(id string) (*Record, error) {
	r, err := l.wholeProfile(id)
	if err != nil {
		return nil, err
	}
	now, _, err := r.current()
	return &now, err
}

// wholeProfile reads the profile of an id as it was written, entries and all.
func (l *Library) wholeProfile(id string) (*Record, error) {
	name, err := l.profileName(id)
	if err != nil {
		return nil, err
	}
	if _, err := readCandidate(l.store, name); err != nil {
		return nil, err
	}
	r, _, err := l.readRecord(name)
	return r, err
}

// profileName finds what a profile is kept under. Of one that is not in the library the error
// is [fs.ErrNotExist].
func (l *Library) profileName(id string) (string, error) {
	if !ValidID(id) {
		return "", fmt.Errorf("%q is no profile id\n  ids are 26 capital letters and digits", problem.ShownText(id))
	}
	months, _ := l.store.List("profiles")
	for _, month := range months {
		name := path.Join("profiles", month.Name, id+".toml")
		if _, err := l.store.Look(name); err == nil {
			return name, nil
		}
	}
	return "", noProfile(id)
}

// Planned fills the plan of a short check from the profile it is of, unless the job
// gives one itself.
func (l *Library) Planned(job Record) (Record, error) {
	if job.Kind != session.ShortCheck || job.Of == "" || job.Plan.Grip.text != "" || job.Plan.Speed.text != "" {
		return job, nil
	}
	with, err := l.itself(job.Of)
	if errors.Is(err, fs.ErrNotExist) {
		return job, fmt.Errorf("of: profile %s is not in this library\n  name one that is, or write its setting under [plan]", job.Of)
	}
	if err != nil {
		return job, err
	}
	if p := with.promise(); len(p.Why) > 0 {
		return job, p.refusal()
	}
	return job.CheckOf(with.profile.record), nil
}

// CheckOf makes a job the short check of a profile.
func (r Record) CheckOf(profile Record) Record {
	r.Kind, r.Of, r.Earlier = session.ShortCheck, profile.ID, ""
	r.Plan = Plan{profile.Setting.Grip, profile.Setting.Speed}
	return r
}

// AfterCheck is the job of the full trial that follows a short check which did not
// pass: the same, as it stands now, with the profile's trial before it.
func (r Record) AfterCheck() (Record, error) {
	job, _, err := r.current()
	job.ID, job.Started, job.Setting = "", time.Time{}, nil
	job.Kind, job.Of, job.Earlier, job.Plan = session.Full, "", r.Of, Plan{}
	return job, err
}

func sameDate(a, b time.Time) bool {
	y1, m1, d1 := a.Date()
	y2, m2, d2 := b.In(a.Location()).Date()
	return y1 == y2 && m1 == m2 && d1 == d2
}

// noProfile is a wrapped [fs.ErrNotExist].
func noProfile(id string) error {
	return fmt.Errorf("profile %s is not in this library: %w\n  \"brinkmark review --csv\" lists the ids", problem.ShownText(id), fs.ErrNotExist)
}
