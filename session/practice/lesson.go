package practice

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"time"

	"brinkmark/session"
)

// Lesson is a hidden rig with a goal. Either the trainee makes a trial on it, or, when
// Run is set, watches a run.
type Lesson struct {
	ID      string // small letters, digits and dashes
	Title   string
	Goal    string // what the trainee is to do
	Teaches string // told afterwards
	Job     session.Trial
	Rig     Rig
	Pause   Pause
	Pass    Pass
	Run     *Run
}

// Pause interrupts a trial: the crew is called away.
type Pause struct {
	After int // pushes; 0 for no pause
	Lasts time.Duration
}

// Pass is what a lesson is passed by. Unsafe acts always fail it.
type Pass struct {
	Ends      Ends // how the trial must end
	MustRead  []session.Outcome
	MustFind  []TroubleKind
	MustMark  bool // a marked jacket must be seen and written down
	MostWrong int  // wrong readings
	// MostRisk is the greatest fold chance of the accepted setting when the head stops
	// dead, or what the rule's own setting on this rig has if that is more; 0 for any.
	MostRisk float64
}

// Ends is how a trial ends.
type Ends int

// The ends; Anyhow is the zero value.
const (
	Anyhow Ends = iota
	WithSetting
	Refused
)

var endsNames = []string{"anyhow", "setting", "refusal"}

func (e Ends) String() string { return endsNames[e] }

// EndsNamed returns the end of that name.
func EndsNamed(name string) (Ends, bool) {
	i := slices.Index(endsNames, name)
	return Ends(i), i >= 0
}

var lessonID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Check returns what is wrong with a lesson, all problems joined.
func (l Lesson) Check() error {
	var errs []error
	need := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	need(len(l.ID) <= 40 && lessonID.MatchString(l.ID), "id: %q: small letters, digits and single dashes, 40 at most", l.ID)
	need(l.Title != "" && l.Goal != "" && l.Teaches != "", "title, goal and teaches must all say something")
	need(l.Pass.MostWrong >= 0 && l.Pass.MostRisk >= 0 && l.Pass.MostRisk <= 1, "most_wrong must not be negative, most_risk from 0 to 1")
	need(l.Pause.After >= 0 && l.Pause.Lasts >= 0, "pause: must not be negative")
	if err := l.Rig.Check(); err != nil {
		errs = append(errs, err)
	}
	if l.Run != nil {
		return errors.Join(append(errs, l.Run.check())...)
	}
	if err := l.Job.Advisable(); err != nil {
		return errors.Join(append(errs, err)...)
	}
	limit, _ := l.Job.Rig.SpeedLimit.Get()
	need(limit.Unit == "m/s", "rig.speed_limit: the push control of a practice rig is a belt speed")
	need(len(l.Job.Entries) == 0, "a lesson begins with an empty record")
	for _, k := range l.Pass.MustFind {
		need(slices.ContainsFunc(l.Rig.Troubles, func(t Trouble) bool { return t.Kind == k }), "must_find: the rig has no trouble %q", k)
	}
	return errors.Join(errs...)
}
