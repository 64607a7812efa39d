package session

import (
	"slices"

	q "brinkmark/session/quantity"
)

// Next is what the crew does now: [Try] a setting, [Install] with one, or
// [Refuse], when no setting can be given. An install setting cannot exist before
// the trial has ended, nor a setting to try after it.
type Next interface{ next() }

// Try is the next push.
type Try struct {
	Setting Setting
	Reason  string // in the crew's words
}

// Install ends the trial with a setting.
type Install struct {
	Setting Setting
	EndedOn End
	Reason  string
}

// Refuse ends the trial without a setting. Reason says what is known and what to do.
type Refuse struct {
	EndedOn End // zero when nothing the job names ended it
	Reason  string
}

func (Try) next()     {}
func (Install) next() {}
func (Refuse) next()  {}

// End is what ended the climb; zero is not said.
type End int

// The ends of a climb.
const (
	EndFold   End = iota + 1 // a fold
	EndLimit                 // a limit of rig, cable or operator
	EndEnough                // what the run needs
	EndBudget                // the cable budget
	EndEarly                 // the next rung was too likely to fold; it has no name outside
)

var endNames = []string{"", "fold", "limit", "enough", "budget"}

func (e End) String() string {
	if e == EndEarly {
		return ""
	}
	s, _ := enumText(e, endNames)
	return s
}

// Decide returns what to do next. It reads nothing but the trial, which must be
// [Trial.Advisable].
//
// The climb takes the largest rung whose fold chance is small, as dose escalation
// with overdose control does (Babb, Rogatko and Zacks, Statistics in Medicine 17,
// 1998), weighs every push as the continual reassessment method does (O'Quigley,
// Pepe and Fisher, Biometrics 46, 1990), skips no rung and never answers a fold
// with a rise (coherence: Cheung, Biometrika 92, 2005). Sources from memory.
func Decide(t Trial) Next {
	next, _ := decide(newFacts(t))
	return next
}

// decide asks the rows of the rule in turn; the first that answers decides, and
// its name is returned for tests and the why page.
func decide(f *facts) (Next, string) {
	for _, row := range rule {
		if next := row.answer(f); next != nil {
			return next, row.name
		}
	}
	panic("session: the rule has no row for this record")
}

func (f *facts) try(grip, speed float64, reason string) Next {
	return Try{f.setting(grip, speed), reason}
}

func (f *facts) show(speed float64) string { return f.trial.Rig.ShowSpeed(speed) }

// showWorth shows a speed that a push stands for: as it was read, or where it is brought to today's
// cable temperature as what it is, a figure nobody read off a gauge.
func (f *facts) showWorth(speed float64) string {
	if f.wasRead(speed) {
		return f.show(speed)
	}
	return reckoned(f.trial.Rig, f.speed.down(speed))
}

func reckoned(rig Rig, speed float64) string {
	return "about " + rig.ShowSpeed(speed) + " (reckoned)"
}

// wasRead reports whether a push was made at a speed, and stands for it.
func (f *facts) wasRead(speed float64) bool {
	shots := f.shots
	for _, e := range f.before {
		shots = append(slices.Clip(shots), e.shots...)
	}
	return slices.ContainsFunc(shots, func(s shot) bool { return s.speed == speed && s.worth() == speed })
}

func (f *facts) showGrip(grip float64) string { return f.trial.Rig.ShowGrip(q.Pressure(grip)) }
