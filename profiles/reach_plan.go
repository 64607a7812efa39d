package profiles

import (
	"fmt"
	"math"
	"path"
	"strings"

	"brinkmark/profiles/store"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// WorkOut reads a run that is in no file, as one that is: with the library's cards, the
// profile or the route it names. Its errors begin with "this run".
func (l *Library) WorkOut(f ReachFile) (Reach, error) {
	f.Format, f.from = Format, Source{Path: "this run"}
	return f.run(l)
}

// Plan is what an enough trial of this rig must reach for a push: the least reading of the
// push control, and the least grip pressure at which the belts hold what that reading
// pushes, both by the rig card and rounded up to a division. The error says why the rig
// cannot do it.
func (p PlanLine) Plan(push q.Force) (Plan, error) {
	rig := p.rig.session()
	per, known1 := rig.ThrustPerSpeed.Get()
	traction, known2 := rig.TractionPerGrip.Get()
	if !known1 || !known2 || !(per.Value > 0) || !(traction > 0) || !(push > 0) {
		return Plan{}, errNoPullTest
	}
	offset := float64(rig.ThrustOffset.Or(0))
	speed := upTo((float64(push)-offset)/per.Value, rig.SpeedStep())
	thrust := per.Value*speed + offset
	grip := upTo((thrust-float64(rig.TractionOffset.Or(0)))/float64(traction), float64(rig.GripStep()))
	if most, known := rig.SpeedLimit.Get(); known && speed > most.Value*(1+1e-9) {
		return Plan{}, fmt.Errorf("it needs %s and the rig goes up to %s", rig.ShowSpeed(speed), rig.ShowSpeed(most.Value))
	}
	if most, known := rig.GripLimit.Get(); known && grip > float64(most)*(1+1e-9) {
		return Plan{}, fmt.Errorf("it needs a grip pressure of %s and the rig goes up to %s", rig.ShowGrip(q.Pressure(grip)), rig.ShowGrip(most))
	}
	reading := q.Reading{Value: speed, Unit: per.Unit}
	return Plan{quantityOf(q.Pressure(grip), rig.GripUnit), Reading{rig.ShowSpeed(speed), q.Known(reading)}}, nil
}

// upTo rounds up to a division, and to one at least.
func upTo(v, division float64) float64 {
	return math.Max(1, math.Ceil(v/division-1e-9)) * division
}

// EnoughFor is the job of an enough trial on a profile's cable, duct and rig: it sets out
// to prove the plan and no more. Temperatures are read anew.
func (l *Library) EnoughFor(profile *Record, plan Plan) Record {
	job := profile.job()
	job.Kind, job.Plan, job.Rig = session.Enough, plan, l.pulled(job.Rig)
	return job
}

// SettingsWithPush returns the newest profiles whose setting can be told as a push, at
// most that many. Profiles that cannot be read are left out.
func (l *Library) SettingsWithPush(most int) []*Record {
	var found []*Record
	newest, _ := l.newestProfiles(10 * most)
	c, err := l.Candidates()
	if err != nil {
		return nil
	}
	for _, at := range newest {
		p, err := l.profile(at.id)
		if err != nil || len(found) == most || !l.pulled(p.Rig).TractionPerGrip.value.Known() {
			continue
		}
		with, err := c.itself(at.name(), at.id, l.now())
		if err != nil {
			continue
		}
		if _, _, err := l.promisedPush(p, with.promise()); err == nil {
			found = append(found, p)
		}
	}
	return found
}

const reachFolder = "reach"

// ReachFiles returns the names of the reach files kept in the library's folder "reach". An error
// says that the folder cannot be read.
func (l *Library) ReachFiles() ([]string, error) {
	entries, err := l.store.List(reachFolder)
	if err != nil {
		return nil, store.Plain(err)
	}
	var names []string
	for _, e := range entries {
		if path.Ext(e.Name) == ".toml" && !strings.HasPrefix(e.Name, ".") {
			names = append(names, e.Name)
		}
	}
	return names, nil
}

// ReachSource reads one of them, as text.
func (l *Library) ReachSource(name string) (Source, error) {
	at := path.Join(reachFolder, name)
	text, _, err := l.store.Read(at)
	return Source{l.store.Where(at), text, l.ReachSource}, store.Plain(err)
}
