package show

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// Tag is what is copied by hand to the lid of the drive.
type Tag struct {
	Rig         session.Rig
	Setting     session.Setting
	UpTo        q.Temperature
	Thermometer string
	DropTo      []session.DropTo
	Until       time.Time // the end of shift, day or age
	Due         q.Maybe[time.Time]
	Now         time.Time
	Record      profiles.Record
	Made        time.Time
	ByHand      bool
}

// Lines are short enough to copy in a minute. The setting comes first.
func (t Tag) Lines() []string {
	r := t.Record
	lines := []string{
		t.Rig.Named(t.Setting),
		"Cable and air up to " + session.WholeDegrees(t.UpTo, t.Thermometer),
	}
	for i, d := range t.DropTo {
		last := i+1 == len(t.DropTo) || t.DropTo[i+1].Setting != d.Setting // of those alike
		if d.UpTo > t.UpTo && d.Setting != t.Setting && last {
			lines = append(lines, fmt.Sprintf("to %s: %s, until checked", session.WholeDegrees(d.UpTo, t.Thermometer), t.Rig.Named(d.Setting)))
		}
	}
	record := ""
	if n := len(r.ID); n > idShown {
		record = "record …" + r.ID[n-idShown:]
	}
	if t.ByHand {
		record = words.Join(record, "written by hand")
	}
	return append(lines, t.untilLine(), words.Join(r.Cable.Make, r.Cable.Type, r.Cable.Reel), words.Join(r.Duct.Size, r.Rig.Name, r.Rig.Belts),
		words.Join("Made "+t.Made.Format("2006-01-02 15:04"), r.People.Operator, record))
}

// idShown is how much of a record's id is copied by hand: enough to find it by its date.
const idShown = 6

func (t Tag) untilLine() string {
	until, why := t.Until, "end of shift"
	due, warms := t.Due.Get()
	switch {
	case !until.After(t.Now):
		return "Until: a check is due now (" + why + ")"
	case warms && !due.After(t.Now):
		return "Until " + until.Format(tagTime) + "; read cable and inlet air before each run"
	case warms && due.Before(until):
		until, why = early(due), "warmth"
	}
	return fmt.Sprintf("Until %s (%s), then check", until.Format(tagTime), why)
}

const tagTime = "15:04 on 2006-01-02"

// early rounds a time down to ten minutes: about is never later.
func early(at time.Time) time.Time {
	return at.Add(-time.Duration(at.Minute()%10)*time.Minute - time.Duration(at.Second())*time.Second)
}

// Tag is that of the profile that covers a job.
func (c Cover) Tag() Tag {
	r := c.Best.Record()
	r.Cable.Reel = cmp.Or(c.Job.Cable.Reel, r.Cable.Reel)
	t := Tag{Rig: c.Best.Rig(), Setting: c.Best.Setting, UpTo: c.CoveredUpTo, Thermometer: c.Thermometer, DropTo: c.DropTo,
		Until: c.Until, Now: c.now, Record: r, Made: c.Best.Made, ByHand: c.ByHand}
	t.Due, _ = c.Job.CheckDue(c.CoveredUpTo, c.now)
	return t
}

// DueLine says when a check falls due by the air of the day, and by which model; ""
// without its low and high.
func DueLine(t session.Trial, top q.Temperature, now time.Time) string {
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
