package ui

import (
	"fmt"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// tag is what is copied by hand to the lid of the drive.
type tag struct {
	rig         session.Rig
	setting     session.Setting
	upTo        q.Temperature
	thermometer string
	dropTo      []session.DropTo
	until       time.Time // the end of shift, day or age
	due         q.Maybe[time.Time]
	now         time.Time
	record      profiles.Record
	made        time.Time
}

// lines are short enough to copy in a minute. The setting comes first.
func (t tag) lines() []string {
	r := t.record
	lines := []string{
		t.rig.Show(t.setting),
		"Cable and air up to " + session.WholeDegrees(t.upTo, t.thermometer),
	}
	for i, d := range t.dropTo {
		last := i+1 == len(t.dropTo) || t.dropTo[i+1].Setting != d.Setting // of those alike
		if d.UpTo > t.upTo && d.Setting != t.setting && last {
			lines = append(lines, fmt.Sprintf("to %s: %s, until checked", session.WholeDegrees(d.UpTo, t.thermometer), t.rig.Show(d.Setting)))
		}
	}
	record := ""
	if n := len(r.ID); n > idShown {
		record = "record …" + r.ID[n-idShown:]
	}
	return append(lines, t.untilLine(), join(r.Cable.Make, r.Cable.Type, r.Cable.Reel), join(r.Duct.Size, r.Rig.Name, r.Rig.Belts),
		join("Made "+t.made.Format("2006-01-02 15:04"), r.People.Operator, record))
}

// idShown is how much of a record's id is copied by hand: enough to find it by its date.
const idShown = 6

func (t tag) untilLine() string {
	until, why := t.until, "end of shift"
	due, warms := t.due.Get()
	switch {
	case !until.After(t.now):
		return "Until: a check is due now (" + why + ")"
	case warms && !due.After(t.now):
		return "Until the cable or inlet air is warmer: read both before each run"
	case warms && due.Before(until):
		until, why = early(due), "warmth"
	}
	return fmt.Sprintf("Until %s (%s), then check", until.Format("15:04 on 2006-01-02"), why)
}

// early rounds a time down to ten minutes: about is never later.
func early(at time.Time) time.Time {
	return at.Add(-time.Duration(at.Minute()%10)*time.Minute - time.Duration(at.Second())*time.Second)
}

// tagLines is the tag of the accepted setting, or of the profile that covers the job.
func (f Flow) tagLines() []string {
	s, err := f.Accepted()
	if err != nil {
		if f.Cover != nil && f.Cover.Best != nil && f.Cover.Effect == profiles.Covered {
			return f.Cover.tag().lines()
		}
		return nil
	}
	made := f.acceptedAt()
	t := tag{rig: f.Trial.Rig, setting: s, upTo: f.bandTop(), thermometer: f.Trial.Conditions.Unit, dropTo: f.Trial.DropTo(s),
		until: f.limits().Until(made, f.rootMade(made)), now: f.Now, record: f.Record, made: made}
	t.due, _ = f.Trial.CheckDue(t.upTo, f.Now)
	return t.lines()
}

// tag is that of the profile that covers a job.
func (c Cover) tag() tag {
	r := c.Best.Record()
	r.Cable.Reel = either(c.Job.Cable.Reel, r.Cable.Reel)
	t := tag{rig: c.Best.Rig(), setting: c.Best.Setting, upTo: c.CoveredUpTo, thermometer: c.Thermometer, dropTo: c.DropTo,
		until: c.Until, now: c.now, record: r, made: c.Best.Made}
	t.due, _ = c.Job.CheckDue(c.CoveredUpTo, c.now)
	return t
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

// dueLine says when a check falls due by the air of the day, and by which model; ""
// without its low and high.
func dueLine(t session.Trial, top q.Temperature, now time.Time) string {
	at, given := t.CheckDue(top, now)
	if !given {
		return ""
	}
	day, _ := t.Day()
	unit := t.Conditions.Unit
	low := fmt.Sprintf("%.4g", q.In(day.Low, unit))
	if unit == "" {
		low, unit = fmt.Sprintf("%.4g", q.In(day.Low, "°C")), "°C"
	}
	today := fmt.Sprintf("if today goes from %s to %s (model: half a cosine, low at 6:00, high at 14:00).", low, q.Text(day.High, unit))
	switch due, known := at.Get(); {
	case !known:
		return "No check due for warmth before midnight " + today
	case !due.After(now):
		return "By now the air may be above " + session.WholeDegrees(top, unit) + " " + strings.TrimSuffix(today, ".") + ": read cable and inlet air before each run."
	default:
		return "Check due by about " + early(due).Format("15:04") + " " + today
	}
}
