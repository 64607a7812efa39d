package ask

import (
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"

	q "brinkmark/session/quantity"
)

// tagLines is the tag of the accepted setting, or of the profile that covers the job.
func (f Flow) tagLines() []string {
	s, err := f.Accepted()
	if err != nil {
		if f.Cover != nil && f.Cover.Best != nil && f.Cover.Effect == profiles.Covered {
			return f.Cover.Tag().Lines()
		}
		return nil
	}
	made := f.acceptedAt()
	t := show.Tag{Rig: f.Trial.Rig, Setting: s, UpTo: f.bandTop(), Thermometer: f.Trial.Conditions.Unit, DropTo: f.Trial.DropTo(s),
		Until: f.limits().Until(made, f.rootMade(made)), Now: f.Now, Record: f.Record, Made: made}
	t.Due, _ = f.Trial.CheckDue(t.UpTo, f.Now)
	return t.Lines()
}

func (f Flow) acceptedAt() time.Time {
	at := f.Now
	for _, a := range f.Trial.Answers() {
		if a.Item == session.ItemSetting && a.State == session.SettingAccepted {
			at = a.At
		}
	}
	return at.In(f.Now.Location())
}

// rootMade is when the trial that a setting rests on was made.
func (f Flow) rootMade(made time.Time) time.Time {
	if f.Checked != nil && f.Checked.Setting != nil {
		return f.Checked.Setting.Accepted
	}
	return made
}

// bandTop is the warmest cable or inlet air the trial's setting covers, as tightened by
// a supervisor.
func (f Flow) bandTop() q.Temperature {
	top := f.Trial.CoveredUpTo().Or(0)
	if from, ok := f.Trial.Conditions.CableTemperature.Get(); ok {
		top = min(top, f.limits().Warmest(from))
	}
	return top
}

func (f Flow) limits() profiles.CoverLimits {
	if f.Limits == nil {
		return profiles.UsualCoverLimits()
	}
	return *f.Limits
}
