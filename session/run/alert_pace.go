package run

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// What is to be done when it slows. It is said so wherever slowing is spoken of.
//
// Source: common practice, no source.
const (
	SlowingDo  = "Read again within 10 m (30 ft); be ready to stop."
	StoppingDo = "Stop now and find out why. Never more grip pressure or push to get it home."
)

// slowing compares the pace with that of the first points, and with what is to be expected here
// with the belts as they are dialled now: where the first points were slow already, or misread,
// they tell nothing. By that it is judged only for having nearly stopped, because a reach is
// reckoned, and a drive goes slower under load than free.
func (f *facts) slowing() []Alert {
	pace, known := f.progress.pace.Get()
	share, known2 := f.progress.share.Get()
	speed, read := f.lastSpeed()
	if f.stage != RunStage || !read || !known && !known2 {
		return nil
	}
	slow := func(part float64, than string) string {
		return fmt.Sprintf("%s, %.0f %% of %s.", f.speed(speed), 100*part, than)
	}
	first := "its pace at first"
	if f.progress.reached {
		first = "the pace it began with"
	}
	switch {
	case known2 && share < stopping:
		than := "what the belts do, " + f.speed(f.progress.expected.Or(0))
		if f.progress.reached {
			than = "what is expected here, " + f.speed(f.progress.expected.Or(0))
		}
		return []Alert{{NearlyStopped, Now, "It has nearly stopped: " + slow(share, than), StoppingDo}}
	case known && pace < stopping:
		return []Alert{{NearlyStopped, Now, "It has nearly stopped: " + slow(pace, first), StoppingDo}}
	case known && pace < slowing:
		return []Alert{{SlowsEarly, Watch, "It is slowing: " + slow(pace, first), SlowingDo + " Look at air pressure, reel and slack, belts, seal."}}
	}
	return nil
}

// lastSpeed is the speed that slowing is judged by.
func (f *facts) lastSpeed() (q.Speed, bool) {
	same := f.paces()
	if len(same) == 0 {
		return 0, false
	}
	return same[len(same)-1].Speed.Get()
}

func (f *facts) speed(v q.Speed) string {
	unit := cmp.Or(f.plan.Units.Speed, "m/min")
	return q.Text(q.From[q.Speed](math.Round(q.In(v, unit)), unit), unit)
}

// A cable is faster than its belts when it is by more than a gauge and the pressing of a mark can
// be wrong: by a tenth, and by so much time between two marks.
//
// Source: choices made here. Where the belts' speed is not known, a belt drive's is "up to 60
// m/min" in the abstract of Griffioen, J. Lightwave Technol. 7(2) (1989) 297.
const (
	fasterThan = 1.1
	pressedOff = 3 * time.Second
)

// racing compares the cable with the belts as they were dialled, or where their gauge reads no
// speed with the drive's top speed, and with the usual one where nobody knows that either.
func (f *facts) racing() []Alert {
	s, some := f.lastMarked()
	v, known := s.Speed.Get()
	if f.stage != RunStage || !some || !known {
		return nil
	}
	least := v
	if !s.Read && s.took > 0 {
		least = v * q.Speed(s.took.Seconds()/(s.took+pressedOff).Seconds())
	}
	top, when, than := q.Speed(reach.UsualTopSpeed), Watch, "belt drives usually do, "
	if belts, dialled := s.belts.Get(); dialled {
		top, when, than = belts, Now, "the belts, dialled to "
	} else if worked, has := f.plan.Reach.Get(); has && worked.Job.Push.TopSpeed > 0 && worked.Job.Push.TopSpeed != reach.UsualTopSpeed {
		top, when, than = worked.Job.Push.TopSpeed, Now, "the drive can, "
	}
	if least <= top*fasterThan {
		return nil
	}
	return []Alert{{TooFast, when, fmt.Sprintf("The cable at %s is faster than %s%s.", f.speed(v), than, f.speed(top)),
		"Read the mark again at once. Was one misread, take it back. Is it true, stop the drive: the cable runs away, or slips through the belts."}}
}

// lastMarked is the last line of the log that has a speed, or a mark to have one from, in this
// stretch of moving.
func (f *facts) lastMarked() (State, bool) {
	for _, s := range slices.Backward(f.states) {
		if s.stretch != f.stretch || !s.Moving {
			break
		}
		if s.marked || s.Read {
			return s, true
		}
	}
	return State{}, false
}

// RestartDo is what holds for a restart.
const RestartDo = "Never above the setting: if it does not move within it, stop again."

// restarted reminds of friction at rest.
func (f *facts) restarted() []Alert {
	if f.stage != RunStage || len(f.stops) == 0 || !f.fresh {
		return nil
	}
	return []Alert{{AfterRestart, Watch, "It stood: friction at rest is higher than in motion.",
		RestartDo}}
}
