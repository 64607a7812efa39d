package ask

import (
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"

	q "brinkmark/session/quantity"
)

// tagLines is the tag of the accepted setting, or of the profile that covers the job. Once a
// trial begins none but its own is left: what it finds may be against that profile.
func (f Flow) tagLines() []string {
	s, err := f.Accepted()
	if err != nil {
		if f.Trial.StateOf(session.ItemJob) != session.JobAgreed && f.Cover != nil && f.Cover.Best != nil && f.Cover.Effect == profiles.Covered {
			return f.Cover.Tag().Lines()
		}
		return nil
	}
	p := f.promised(s)
	if len(p.Why) > 0 {
		return append([]string{"Nothing to install with:"}, p.Why...)
	}
	t := show.Tag{Rig: f.Trial.Rig, Setting: p.Setting, UpTo: p.UpTo, Thermometer: f.Trial.Conditions.Unit, DropTo: p.DropTo,
		Until: p.Until, Now: f.Now, Record: f.Record, Made: f.acceptedAt()}
	t.Due, _ = f.Trial.CheckDue(t.UpTo, f.Now)
	return t.Lines()
}

// acceptedAt is when the setting was accepted; else now, or where a record was just opened and
// nobody has said when now is, the time of its last entry.
func (f Flow) acceptedAt() time.Time {
	at := f.Now
	if n := len(f.Trial.Entries); n > 0 && f.Trial.Entries[n-1].When().After(at) {
		at = f.Trial.Entries[n-1].When()
	}
	for _, a := range f.Trial.Answers() {
		if a.Item == session.ItemSetting && a.State == session.SettingAccepted {
			at = a.At
		}
	}
	return at.In(f.Now.Location())
}

// promised is what may be installed with of a setting this trial ended in: the answer that
// its page, tag and profile take their numbers from.
func (f Flow) promised(s session.Setting) profiles.Promise {
	if p, known := f.promises[s]; known {
		return p
	}
	return f.library().PromiseOf(f.Record, f.Trial, s, f.acceptedAt())
}

// library is what is known beside this trial; of practice nothing is.
func (f Flow) library() *profiles.Candidates {
	if f.site != nil {
		return profiles.LookedAt(f.Record.ID)
	}
	if f.Library == nil {
		return profiles.NoCandidates()
	}
	return f.Library
}

// weighed keeps what is promised of the setting advised or accepted, so that no drawing of a
// page works it out.
func (f Flow) weighed() Flow {
	f.promises = map[session.Setting]profiles.Promise{}
	settings := []session.Setting{}
	if install, ok := f.Outlook.Next.(session.Install); ok {
		settings = append(settings, install.Setting)
		f.offer = install.Setting
		if lower, some := f.library().Lowered(f.Record, f.Trial, install.Setting, f.acceptedAt()); some {
			f.offer, settings = lower, append(settings, lower)
		}
	}
	if s, err := f.Accepted(); err == nil {
		settings = append(settings, s)
	}
	for _, s := range settings {
		if _, known := f.promises[s]; !known {
			f.promises[s] = f.promised(s)
		}
	}
	return f
}

// bandTop is the warmest cable or inlet air that a setting of this trial is promised for.
func (f Flow) bandTop(s session.Setting) q.Temperature { return f.promised(s).UpTo }
