package ask

import (
	"errors"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// free is a turn to free practice on a job.
func (s *school) free(job profiles.Record, seed uint64) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		job := jobOnly(job)
		trial, err := job.Trial()
		if err != nil {
			return k, nil, err
		}
		l, from, err := freeLesson(trial)
		if err != nil {
			return k, nil, err
		}
		return s.begin(lessons.Lesson{Lesson: l, Record: job}, seed, from).To(k)
	}}
}

// jobOnly is what free practice takes of a record.
func jobOnly(r profiles.Record) profiles.Record {
	return profiles.Record{Format: profiles.Format, Cable: r.Cable, Duct: r.Duct, Conditions: r.Conditions, Rig: r.Rig, Limits: r.Limits, Ladder: r.Ladder, Stub: r.Stub}
}

// freeLesson is free practice on a job, told in its units.
func freeLesson(job session.Trial) (practice.Lesson, []string, error) {
	units := q.Metric
	if job.Conditions.Unit == "°F" {
		units = q.Customary
	}
	return practice.Free(job, units)
}

// freeStart turns to the job of free practice: one of the last, or another.
func (s *school) freeStart(k Keeper) (Keeper, *Home, error) {
	jobs, err := s.library.LastJobs()
	another := s.putTogether(profiles.Record{Format: profiles.Format})
	if err != nil || len(jobs) == 0 {
		return another.To(k)
	}
	return s.page(func() Question {
		question := Question{ID: "free", Title: "Practise on which job?"}
		for _, job := range jobs[:min(len(jobs), LastJobs)] {
			question.Choices = append(question.Choices, Choice{Label: "As last: " + About(job), Do: going(s.putTogether(jobOnly(job)))})
		}
		question.Choices = append(question.Choices, Choice{Label: "Another job", Do: going(another)}, s.toLessons())
		return question
	}).To(k)
}

func (s *school) toLessons() Choice {
	return Choice{Label: "Back to the lessons", Do: going(Turn{s.enter}), Rank: Minor}
}

// putTogether is a turn to the job pages.
func (s *school) putTogether(job profiles.Record) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		j := &freeJob{school: s}
		if err := j.take(job); err != nil {
			return k, nil, err
		}
		next := onPage(k)
		next.Trial, next.Cards = j, s.library.Cards()
		next.Cards.People = nil // nobody is named for practice
		return next, nil, nil
	}}
}

// freeJob is the job of free practice, put together on the job pages of a real trial and
// kept in memory.
type freeJob struct {
	practiceRecord
	school *school
}

// Append writes nothing: there is no trial yet.
func (j *freeJob) Append(...profiles.Entry) error {
	return errors.New("practice has not begun yet\n  begin it first")
}

// Now is the time here.
func (j *freeJob) Now() time.Time { return j.school.library.Now() }

// freeKeys are the values a practice rig cannot be made up without, beside those that no
// trial can.
var freeKeys = []string{"cable.outer_diameter", "cable.mass", "cable.bending_stiffness"}

// ask turns a question of the job pages into the same for practice, and the page that
// agrees the job into the one that begins practice.
func (j *freeJob) ask(f Flow, q Question) Question {
	if q.ID == "job" {
		q = j.summary(f, q)
	}
	if q.ID == "rig.name" {
		q.Body = []string{"In practice nothing is kept on cards."}
	}
	q.mock = true
	q.Choices = append(slices.DeleteFunc(slices.Clone(q.Choices), func(c Choice) bool { return c.Rank == Global }), j.school.toLessons())
	return q
}

// summary asks for what is still missing, then whether this is the job.
func (j *freeJob) summary(f Flow, q Question) Question {
	shape := slices.DeleteFunc(slices.Clone(q.Choices), func(c Choice) bool {
		return !slices.Contains([]string{"Change a value", "Measure a droop", "Do a pull test"}, c.Label)
	})
	for _, key := range freeKeys {
		if fieldByKey(key).read(f.Record) != "" {
			continue
		}
		q = f.fieldQuestion(key, afterField)
		q.Body, q.Choices = []string{"No practice rig can be made up without it."}, shape
		return q
	}
	q.Title, q.Body = "Practise on this job?", slices.Clone(f.jobLines())
	q.Choices = shape
	if _, _, err := freeLesson(f.Trial); err != nil {
		q.Title = "This job cannot be practised on yet"
		q.Body = append(q.Body, strings.Split("! "+err.Error(), "\n")...)
		return q
	}
	q.Choices = slices.Insert(q.Choices, 0, Choice{Label: "Yes, make up a rig", Do: going(j.school.free(f.Record, 0))})
	return q
}

var _ Trial = (*freeJob)(nil)
