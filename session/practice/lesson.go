package practice

import (
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
	// SetUp is a rig that the crew before has set up and found right: only the killers
	// are still to be asked.
	SetUp bool
	Pause Pause
	Pass  Pass
	Run   *Run
}

// Pause interrupts a trial: the crew is called away.
type Pause struct {
	After int // pushes; 0 for no pause
	Lasts time.Duration
}

var lessonID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Check returns what is wrong with a lesson: every [Problem] there is, joined.
func (l Lesson) Check() error {
	var p problems
	p.need(len(l.ID) <= 40 && lessonID.MatchString(l.ID), "id", "write a short name of its own", fmt.Sprintf("%.60q: small letters, digits and single dashes, 40 at most", l.ID))
	p.need(l.Title != "", "title", "write what it is called", "missing")
	p.need(l.Goal != "", "goal", "write what the trainee is to do", "missing")
	p.need(l.Teaches != "", "teaches", "write what is told afterwards", "missing")
	p.number("pass.most_wrong", float64(l.Pass.MostWrong), 0, 100)
	p.number("pass.most_risk", l.Pass.MostRisk, 0, 1)
	p.number("pause.after", float64(l.Pause.After), 0, 100)
	p.number("pause.minutes", l.Pause.Lasts.Minutes(), 0, 24*60)
	l.Rig.check(&p)
	if l.Run != nil {
		l.Run.check(&p)
		return p.err()
	}
	if err := l.Job.Advisable(); err != nil {
		p.job(err)
	} else if limit, _ := l.Job.Rig.SpeedLimit.Get(); limit.Unit != "m/s" {
		p.add("rig.speed_limit", "write a speed, such as \"220 ft/min\"", "the push control of a practice rig is a belt speed, not %q", limit.Unit)
	}
	p.need(len(l.Job.Entries) == 0, "attempt", "take the entries out", "a lesson begins with an empty record")
	for _, k := range l.Pass.MustFind {
		p.need(slices.ContainsFunc(l.Rig.Troubles, func(t Trouble) bool { return t.Kind == k }), "pass.must_find", "add a [[trouble]] of that kind", fmt.Sprintf("the rig has no trouble %q", k))
	}
	for i, t := range l.Rig.Troubles {
		c, _ := session.CheckByID(t.Kind.Check())
		p.need(!l.SetUp || t.From > 1 || c.Killer, fmt.Sprintf("trouble[%d].from", i), "let it begin later, or take set_up out",
			"from the start, where the crew before has found the set-up right")
	}
	return p.err()
}
