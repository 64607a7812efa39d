package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"brinkmark/profiles/problem"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// push fills in what the drive may give. Without a limit of the drive the safe push is
// taken for that too.
func (f *ReachFile) push(r *Reach, l *Library) error {
	safe, given := f.Push.Safe.value.Get()
	switch {
	case given && f.Push.Profile != "":
		return f.fail("push", "both a safe push and a profile", "keep the one that is meant")
	case !given && f.Push.Profile == "":
		return f.fail("push.safe", "missing", "write the push of the trial's setting as a force, or name the profile under push.profile")
	case !given:
		var err error
		if safe, err = f.profilePush(r, l); err != nil {
			return err
		}
	}
	r.Push.Safe, r.Push.Drive = safe, f.Push.DriveLimit.value.Or(safe)
	if top, given := f.Push.TopSpeed.value.Get(); given {
		r.Push.TopSpeed = top
	}
	if r.Push.TopSpeed == 0 {
		r.Push.TopSpeed = reach.UsualTopSpeed
		r.Notes = append(r.Notes, fmt.Sprintf("the drive's speed taken as %s, so the time is a guess", q.Text(reach.UsualTopSpeed, q.Preferred[q.Speed](q.Metric))))
	}
	return nil
}

// profilePush is the push of a profile's setting by its rig card.
func (f *ReachFile) profilePush(r *Reach, l *Library) (q.Force, error) {
	const key = "push.profile"
	p, err := l.profile(f.Push.Profile)
	if err != nil {
		return 0, f.fail(key, err.Error(), "\"brinkmark covers\" names the profiles there are")
	}
	promised, err := l.Promised(p.ID)
	if err != nil {
		return 0, f.fail(key, err.Error(), "write safe as a force")
	}
	safe, plan, err := l.promisedPush(p, promised)
	if err != nil {
		hint := "write safe as a force"
		if errors.Is(err, errNoPullTest) {
			hint = "make a pull test on the rig, or write safe as a force"
		}
		return 0, f.fail(key, err.Error(), hint)
	}
	if p.Cable.Make != "" && f.Cable.Make != "" && !sameCard(p.Cable, f.Cable) {
		r.Notes = append(r.Notes, "the profile is of another cable: \"brinkmark covers\" says whether it may be used")
	}
	r.Notes = append(r.Notes, fmt.Sprintf("safe push by profile %s, %s, and its rig card", p.ID, promised.Rig.Named(promised.Setting)))
	if promised.ByHand {
		r.Notes = append(r.Notes, ByHandSays)
	}
	r.Plan = q.Known(plan)
	if p.Setting.Speed.IsSpeed() {
		r.Push.TopSpeed = q.Speed(p.Setting.Speed.value.Or(q.Reading{}).Value) // a run goes no faster than its trial
	}
	return safe, nil
}

var errNoPullTest = errors.New("its rig card has no pull test, so nobody knows which force its setting gives")

// SettingPush is the push of a profile's setting by its rig card: the lesser of what the
// drive stalls at and what the belts hold. The error says why it cannot be known.
func (l *Library) SettingPush(p *Record) (q.Force, PlanLine, error) {
	promised, err := l.Promised(p.ID)
	if err != nil {
		return 0, PlanLine{}, err
	}
	return l.promisedPush(p, promised)
}

func (l *Library) promisedPush(p *Record, promised Promise) (q.Force, PlanLine, error) {
	if len(promised.Why) > 0 {
		return 0, PlanLine{}, errors.New("it holds for nothing any more: " + strings.Join(promised.Why, " "))
	}
	rig := l.pulled(p.Rig)
	per, known1 := rig.ThrustPerSpeed.value.Get()
	traction, known2 := rig.TractionPerGrip.value.Get()
	grip, speed := promised.Setting.Grip, promised.Setting.Speed
	if !known1 || !known2 {
		return 0, PlanLine{}, errNoPullTest
	}
	if per.Unit != speed.Unit || !(per.Value > 0) || !(traction > 0) {
		return 0, PlanLine{}, errors.New("its setting and its rig card do not go together")
	}
	safe, _ := rig.session().PushAt(session.Setting{Grip: grip, Speed: speed})
	return safe, PlanLine{rig}, nil
}

// profile returns the record of a profile by its id.
func (l *Library) profile(id string) (*Record, error) {
	name, err := l.profileName(id)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("the library has no profile %s", id)
	case err != nil:
		return nil, fmt.Errorf("%q is no profile's id, which has 26 capital letters and digits", problem.ShownText(id))
	}
	r, warning, err := l.readRecord(name)
	switch {
	case err != nil:
		return nil, err
	case warning != "":
		return nil, fmt.Errorf("profile %s cannot be trusted: %s", id, warning)
	case r.Setting == nil:
		return nil, fmt.Errorf("profile %s has no [setting]", id)
	}
	r.ID = id
	return r, nil
}

// pulled returns a rig with what its card in the library knows beyond the record.
func (l *Library) pulled(rig Rig) Rig {
	all, _ := l.cards(Rig{}) // one that cannot be read has no pull test
	for _, f := range all {
		if sameCard(f.card, rig) {
			return merged(f.card, rig).(Rig)
		}
	}
	return rig
}
