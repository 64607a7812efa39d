package profiles

import (
	"math"
	"strings"
	"time"

	"brinkmark/session"
	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Effect is what a difference between a profile and today's job asks for, the
// mildest first.
type Effect int

// The effects; a verdict is the strongest of its reasons.
const (
	Covered Effect = iota + 1
	ShortCheck
	Retest
)

func (e Effect) String() string {
	switch e {
	case Covered:
		return "covered"
	case ShortCheck:
		return "short check"
	case Retest:
		return "retest"
	}
	panic("profiles: no such effect")
}

// compared is a profile beside today's job.
type compared struct {
	profile, job *side
	limits       *CoverLimits
	now          time.Time
}

// coverField is one thing a profile and a job are compared in. The first of its rows
// that applies gives the reason, so that the stronger stand before the milder.
type coverField struct {
	key  string
	text func(*side) string // as written, to show
	rows []coverRow
}

// coverRow is one rule: when it applies, what it asks for, and what the crew reads.
type coverRow struct {
	applies func(*compared) bool
	effect  Effect
	why     string
}

const (
	unsaidWhy     = "It is not said on both sides, so nobody can tell whether it is the same. Write it down, or make the short check."
	unmeasuredWhy = "It was not measured on both sides, so nobody can tell whether it is the same. Measure it, or make the short check."
)

// coverRules are all rules of whether a profile holds for a job.
//
// Source: common practice, no source, as are the numbers in [UsualCoverLimits].
var coverRules = []coverField{
	{"cable.make", func(s *side) string { return s.cableMake.said }, []coverRow{
		{func(c *compared) bool { return otherMake(c) && sameDiameter(c) }, Retest, "Another maker's cable, though of the same diameter: rod, jacket and surface differ all the same, and they decide where it folds and when the belts slip."},
		{otherMake, Retest, "Another maker's cable has another rod, jacket and surface: it folds and slips elsewhere."},
	}},
	{"cable.type", func(s *side) string { return s.cableType.said }, []coverRow{
		{other(func(s *side) name { return s.cableType }), Retest, "Another cable type or fibre count is stiffer or softer, and folds at another push."},
	}},
	{"cable.outer_diameter", func(s *side) string { return s.record.Cable.OuterDiameter.String() }, []coverRow{
		{offBy(outerDiameter, retestDiameter), Retest, "The cable is so much thicker or thinner that clearance and grip are not those of the trial."},
		{offBy(outerDiameter, checkDiameter), ShortCheck, "The cable measures a little different: clearance and grip may have moved."},
		{unmeasured(outerDiameter), ShortCheck, unmeasuredWhy},
	}},
	{"cable.reel", func(s *side) string { return s.reel.said }, []coverRow{
		{other(reel), ShortCheck, "Another reel: lots spread, and each reel was stored and wound in its own way."},
		{unsaid(reel), ShortCheck, unsaidWhy},
	}},
	{"cable.lot", func(s *side) string { return s.lot.said }, []coverRow{
		{other(lot), ShortCheck, "Another lot of the same cable may differ in jacket and rod."},
		{unsaid(lot), ShortCheck, unsaidWhy},
	}},
	{"cable.head", func(s *side) string { return s.head.said }, []coverRow{
		{other(head), Retest, "Another head or cap meets the plug, and every joint, in another way."},
		{unsaid(head), ShortCheck, unsaidWhy},
	}},
	{"duct.size", func(s *side) string { return s.size.said }, []coverRow{
		{other(func(s *side) name { return s.size }), Retest, "In another duct size the cable has another clearance, and folds at another push."},
	}},
	{"duct.inner_diameter", func(s *side) string { return s.record.Duct.InnerDiameter.String() }, []coverRow{
		{offBy(innerDiameter, retestDiameter), Retest, "The bore is so much wider or narrower that the clearance is not that of the trial."},
		{offBy(innerDiameter, checkDiameter), ShortCheck, "The bore measures a little different: the clearance may have moved."},
		{unmeasured(innerDiameter), ShortCheck, unmeasuredWhy},
	}},
	{"duct.lining", func(s *side) string { return s.lining.said }, []coverRow{
		{other(lining), Retest, "On another lining the cable slides and coils in another way."},
		{unsaid(lining), ShortCheck, unsaidWhy},
	}},
	{"duct.lot", func(s *side) string { return s.ductLot.said }, []coverRow{
		{other(ductLot), ShortCheck, "Another lot of duct may have another bore and lining."},
		{unsaid(ductLot), ShortCheck, unsaidWhy},
	}},
	{"rig.name", func(s *side) string { return s.rig.said }, []coverRow{
		{other(rig), Retest, "Another rig has other belts, cylinders and gauges: the same readings are another push."},
		{unsaid(rig), ShortCheck, unsaidWhy},
	}},
	{"rig.push_unit", func(s *side) string { return s.trial.Rig.PushUnit }, []coverRow{
		{func(c *compared) bool { return !c.sameControl() }, Retest, "The push control is read in another way, so its readings cannot be compared."},
		{unsaidControl, ShortCheck, unsaidWhy},
	}},
	{"rig.belts", func(s *side) string { return s.belts.said }, []coverRow{
		{other(belts), Retest, "Other belts hold the jacket in another way."},
		{unsaid(belts), ShortCheck, unsaidWhy},
		{renewed("rig.belts"), ShortCheck, "The belts were cleaned or set anew: they hold differently at first."},
	}},
	{"rig.lead_in", func(s *side) string { return s.record.Rig.LeadIn.String() }, []coverRow{
		{offBy(leadIn, retestDiameter), Retest, "Another lead-in piece, not like for like, holds the cable less or more just where it folds first."},
		{offBy(leadIn, justDiffers), ShortCheck, "A lead-in piece like for like is still another piece: see that the cable is held as before."},
		{renewed("rig.lead_in"), ShortCheck, "A lead-in piece like for like is still another piece: see that the cable is held as before."},
		{unmeasured(leadIn), ShortCheck, unmeasuredWhy},
	}},
	{"rig.gap", func(s *side) string { return s.record.Rig.Gap.String() }, []coverRow{
		{offBy(gap, retestDiameter), Retest, "The cable folds first in the gap: with another gap it folds at another push."},
		{offBy(gap, justDiffers), ShortCheck, "The gap measures a little different, and the cable folds there first."},
		{unmeasured(gap), ShortCheck, unmeasuredWhy},
	}},
	{"rig.supply", func(s *side) string { return s.supply.said }, []coverRow{
		{func(c *compared) bool { return other(supply)(c) && unregulated(c) }, Retest, "The supply is another and nothing regulates it, so the rig gives up at another push."},
		{other(supply), ShortCheck, `The supply is another: the rig may give up at another push. Where nothing regulates it, write "unregulated" there: then it needs a full trial.`},
		{unsaid(supply), ShortCheck, unsaidWhy},
	}},
	{"conditions.surface", func(s *side) string { return s.surface.said }, []coverRow{
		{other(surface), Retest, "Rain, frost or dust on the jacket changes how the belts hold it."},
		{unsaid(surface), ShortCheck, unsaidWhy},
	}},
	{"conditions.cable_temperature", temperatureText, []coverRow{
		{func(c *compared) bool {
			w := c.job.warmest()
			return c.between(w) && !c.within(w, c.limits.CoveredStiffness, c.limits.CoveredDegrees)
		}, Covered, "It lies between the temperatures of the trial and of a short check that passed: the same setting held at both."},
		{func(c *compared) bool {
			return !c.within(c.job.warmest(), c.limits.CheckStiffness, c.limits.CheckDegrees)
		}, Retest, "Cable or inlet air is too far from the temperature of the trial for any setting of it."},
		{func(c *compared) bool { return c.job.warmest() > c.upTo()+degreesRounding }, ShortCheck, "A warmer cable is softer and folds sooner: the setting is too high for it."},
		{func(c *compared) bool {
			w := c.job.warmest()
			return w < c.profile.coldest-degreesRounding && !c.within(w, c.limits.CoveredStiffness, c.limits.CoveredDegrees)
		}, ShortCheck, "A colder cable is stiffer and its jacket harder: the belts may slip. That is no reason for a higher setting."},
	}},
	{"plan.speed", speedText, []coverRow{
		{faster, Retest, "This job plans to push harder than the trial allows. Nobody has tried that."},
	}},
	{"limits.speed", limitText, []coverRow{
		{aboveLimits, Retest, "The setting is above what this job allows, and no lower one has been tried."},
		{unsaidLimits, ShortCheck, "The job does not say what its rig allows, so nobody can tell whether the setting is within it."},
	}},
	{"setting.accepted", func(s *side) string { return s.when() }, []coverRow{
		{func(c *compared) bool { return c.profile.root.IsZero() || c.profile.proved.IsZero() }, ShortCheck, "How old it is cannot be told: a date is missing, or the trial it goes back to is not in the library."},
		{func(c *compared) bool { return c.since(c.profile.root) >= c.limits.RetestAge }, Retest, "The trial it rests on is too old: rigs wear, and changes are forgotten."},
		{func(c *compared) bool { return c.since(c.profile.proved) < -day }, Retest, "It is dated more than a day later than now: a clock is wrong, so nobody can tell its age."},
		{func(c *compared) bool { return c.since(c.profile.proved) < -time.Hour }, ShortCheck, "It is dated later than now: a clock is wrong, so nobody can tell its age."},
		{func(c *compared) bool { return c.since(c.profile.proved) >= c.limits.CheckAge }, ShortCheck, "It is long since it was last proved: rigs wear, and changes are forgotten."},
		{nextShift, ShortCheck, "It was proved in another shift: begin each shift with a short check."},
	}},
	{"times", func(s *side) string { return s.odd }, []coverRow{
		{func(c *compared) bool { return c.oddTimes() != "" }, Retest, "Its times cannot be, so nobody can tell what was tried and when. " + lookMends},
	}},
	{"seal", func(s *side) string { return "" }, []coverRow{
		{func(c *compared) bool { return c.profile.byHand }, Covered, ByHandSays},
	}},
	{"findings", func(s *side) string { return s.found() }, []coverRow{
		{hasFinding(Withdrawn), Retest, "A supervisor has withdrawn it."},
		{hasFinding(Expired), Retest, "A supervisor has let it expire."},
		{hasFinding(RunFolded), Retest, "The cable folded in a run with it: the setting was wrong."},
		{hasFinding(RunDamaged), Retest, "The jacket was marked in a run with it: the setting was wrong."},
		{hasFinding(CheckFailed), Retest, "A short check of it did not end in three stalls."},
		{hasFinding(OddRecord), Retest, "A run or short check with it was edited since, or cannot be read: nobody can tell how it ended. Put that record back from a copy or another tablet, or make a new trial."},
		{hasFinding(OtherFile), Retest, "It is not the file that a supervisor reviewed: put that one back from a copy or another tablet, or make a new trial."},
		{hasFinding(Asked), Covered, "A supervisor has asked about it, and the question is open: see the review."},
	}},
}

// Finding is what was found of a profile after it was made.
type Finding int

// The findings. Each but the last ends what the profile covers.
const (
	Withdrawn Finding = iota + 1
	Expired
	RunFolded
	RunDamaged
	CheckFailed
	OddRecord // a run or short check with it that was edited, or cannot be read
	OtherFile // than was reviewed
	Asked     // about it by a supervisor; the one that ends nothing
)

var findingNames = []string{"", "withdrawn", "expired", "fold in a run", "jacket damage in a run", "short check failed", "edited run or short check", "not the file that was reviewed", "a supervisor has asked about it"}

func (f Finding) String() string { return findingNames[f] }

func reel(s *side) name    { return s.reel }
func lot(s *side) name     { return s.lot }
func head(s *side) name    { return s.head }
func lining(s *side) name  { return s.lining }
func ductLot(s *side) name { return s.ductLot }
func rig(s *side) name     { return s.rig }
func belts(s *side) name   { return s.belts }
func supply(s *side) name  { return s.supply }
func surface(s *side) name { return s.surface }

func outerDiameter(s *side) q.Maybe[q.Length] { return s.trial.Cable.OuterDiameter }
func innerDiameter(s *side) q.Maybe[q.Length] { return s.trial.Duct.InnerDiameter }
func leadIn(s *side) q.Maybe[q.Length]        { return s.trial.Rig.LeadIn }
func gap(s *side) q.Maybe[q.Length]           { return s.trial.Rig.Gap }

func retestDiameter(l *CoverLimits) float64 { return l.RetestDiameter }
func checkDiameter(l *CoverLimits) float64  { return l.CheckDiameter }
func justDiffers(*CoverLimits) float64      { return rounding }

// other applies when both sides say a name and it is not the same.
func other(of func(*side) name) func(*compared) bool {
	return func(c *compared) bool {
		p, j := of(c.profile), of(c.job)
		return p.folded != "" && j.folded != "" && !p.same(j)
	}
}

// unsaid applies when a side does not say a name: what was never asked is not the same.
func unsaid(of func(*side) name) func(*compared) bool {
	return func(c *compared) bool { return of(c.profile).folded == "" || of(c.job).folded == "" }
}

func otherMake(c *compared) bool { return !c.profile.cableMake.same(c.job.cableMake) }

func sameDiameter(c *compared) bool {
	return outerDiameter(c.profile).Known() && outerDiameter(c.job).Known() && !offBy(outerDiameter, checkDiameter)(c)
}

// offBy applies when a length differs by more than a part of the profile's.
func offBy(of func(*side) q.Maybe[q.Length], part func(*CoverLimits) float64) func(*compared) bool {
	return func(c *compared) bool {
		was, ok1 := of(c.profile).Get()
		is, ok2 := of(c.job).Get()
		return ok1 && ok2 && math.Abs(float64(is-was)) > part(c.limits)*float64(was)*(1+rounding)
	}
}

func unmeasured(of func(*side) q.Maybe[q.Length]) func(*compared) bool {
	return func(c *compared) bool { return !of(c.profile).Known() || !of(c.job).Known() }
}

// renewed applies when the job records that something was replaced by its like, or
// cleaned: a later change that leaves the name as it is.
func renewed(key string) func(*compared) bool {
	return func(c *compared) bool { return c.job.renewed[key] }
}

// unregulated reports whether either supply is said to be.
func unregulated(c *compared) bool {
	for _, s := range []*side{c.profile, c.job} {
		if strings.Contains(s.supply.folded, "unregulated") || strings.Contains(s.supply.folded, "notregulated") {
			return true
		}
	}
	return false
}

// How far a value may pass a limit and still be on it: what is left when both sides are
// written in other units, to the four digits that brinkmark shows.
const (
	rounding        = 0.001
	degreesRounding = 0.01 // °C
)

// within reports whether a temperature is within a change of polyethylene's
// stiffness, |ln(M/M₀)|, and of degrees (°C), warmer or colder. Outside the stiffness
// table only degrees count.
func (c *compared) within(to q.Temperature, logRatio, degrees float64) bool {
	from := c.profile.from
	to -= max(-degreesRounding, min(to-from, degreesRounding))
	if math.Abs(float64(to-from)) > degrees {
		return false
	}
	was, err1 := cable.Multiplier(from)
	is, err2 := cable.Multiplier(to)
	return err1 != nil || err2 != nil || math.Abs(math.Log(is/was)) <= logRatio
}

// between reports whether the setting held at a temperature as warm, and at one as cold:
// a warmer cable folds sooner and on a colder one the belts slip sooner.
func (c *compared) between(to q.Temperature) bool {
	return to >= c.profile.coldest-degreesRounding && to <= c.profile.hottest+degreesRounding
}

// upTo is the warmest cable or inlet air the setting holds for, by the one place that says so.
func (c *compared) upTo() q.Temperature {
	if p, flaws := c.claimed(); len(flaws) == 0 {
		return p.UpTo
	}
	return c.profile.hottest // nothing is promised; the reasons say why
}

// sameControl reports whether the readings of both push controls can be compared.
func (c *compared) sameControl() bool {
	set, _ := c.profile.record.Setting.Speed.value.Get()
	if limit, ok := c.job.trial.Rig.SpeedLimit.Get(); ok {
		return limit.Unit == set.Unit
	}
	unit, isSpeed, err := q.PushUnit(c.job.record.Rig.PushUnit)
	return c.job.record.Rig.PushUnit == "" || err == nil && (unit == set.Unit || isSpeed && set.Unit == "m/s")
}

func faster(c *compared) bool {
	set, _ := c.profile.record.Setting.Speed.value.Get()
	plan, ok := c.job.trial.Plan.Speed.Get()
	return ok && plan.Unit == set.Unit && plan.Value > set.Value*(1+rounding)
}

// unsaidControl applies when the job does not say how its push control is read.
func unsaidControl(c *compared) bool {
	return c.job.record.Rig.PushUnit == "" && !c.job.trial.Rig.SpeedLimit.Known()
}

// unsaidLimits applies when the job does not say both limits of its rig.
func unsaidLimits(c *compared) bool {
	return !c.job.trial.Rig.SpeedLimit.Known() || !c.job.trial.Rig.GripLimit.Known()
}

// aboveLimits applies when today's rig, crew or cable allows less than the setting.
func aboveLimits(c *compared) bool {
	s, today := c.profile.setting(), c.job.trial
	if limit, ok := today.Rig.SpeedLimit.Get(); ok && limit.Unit != s.Speed.Unit {
		return false // told by the push control's rule
	}
	today.Kind = session.Full // a plan is a rule of its own
	return len(today.OverLimits(s)) > 0
}

func (c *compared) since(t time.Time) time.Duration { return c.now.Sub(t) }

// nextShift applies on another day of the profile's clock, or after a shift's hours.
func nextShift(c *compared) bool {
	y1, m1, d1 := c.profile.proved.Date()
	y2, m2, d2 := c.now.In(c.profile.proved.Location()).Date()
	return y1 != y2 || m1 != m2 || d1 != d2 || c.since(c.profile.proved) >= c.limits.Shift
}

func hasFinding(f Finding) func(*compared) bool {
	return func(c *compared) bool { return c.profile.findings[f] }
}
