package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Holds is what one profile holds for by a library's rules, as texts to hand over.
type Holds struct {
	UpTo     string        // the warmest cable or inlet air it covers
	DropTo   []HoldsWarmer // for a warmer one, until a check is possible
	CheckDue time.Time     // when that day's weather passes UpTo; zero when not known
	Asks     []CoverRule   // what asks for a short check or a new trial
}

// HoldsWarmer is a lower setting for a cable no warmer than UpTo.
type HoldsWarmer struct{ UpTo, Setting string }

// CoverRule is a short word for a rule: what changes, and what it asks for.
type CoverRule struct {
	Effect Effect
	Says   string
}

// Holds says what the profile of an id holds for, by this library's rules and by the
// short checks it rests on. Of one that is not in the library the error is
// [fs.ErrNotExist].
func (l *Library) Holds(id string) (Holds, error) {
	limits, err := l.CoverLimits()
	if err != nil {
		return Holds{}, err
	}
	c := &Candidates{limits: limits, findings: map[string]map[Finding]bool{}}
	for next := id; next != "" && len(c.all) < mostEarlier; {
		path, err := l.profilePath(next)
		if errors.Is(err, fs.ErrNotExist) && len(c.all) > 0 {
			break // its own is known
		}
		if err != nil {
			return Holds{}, err
		}
		s, err := readCandidate(path)
		if err != nil && len(c.all) > 0 {
			break
		}
		if err != nil {
			return Holds{}, err
		}
		s.id, next = next, ""
		if c.all = append(c.all, s); s.trial.Kind == session.ShortCheck {
			next = s.record.Of
		}
	}
	c.settle()
	return c.all[0].holds(&limits), nil
}

func (s *side) holds(limits *CoverLimits) Holds {
	c := &compared{s, s, limits, s.proved}
	unit, upTo := s.trial.Conditions.Unit, c.coveredUpTo()
	h := Holds{UpTo: session.WholeDegrees(upTo, unit), Asks: limits.asks(unit), CheckDue: s.record.Setting.CheckDue}
	if written, ok := s.record.Setting.CoveredUpTo.value.Get(); !ok || math.Abs(float64(written-upTo)) > 2*degreesRounding {
		due, _ := s.trial.CheckDue(upTo, s.proved)
		h.CheckDue = due.Or(time.Time{}).Truncate(time.Second)
	}
	for _, d := range c.dropTo(upTo + 2*degreesRounding) {
		h.DropTo = append(h.DropTo, HoldsWarmer{session.WholeDegrees(d.UpTo, unit), s.trial.Rig.Named(d.Setting)})
	}
	return h
}

// dropTo are the lower settings for a cable at a temperature or warmer, as far as a short
// check may confirm them. Nothing is ever above the profile's setting.
func (c *compared) dropTo(warmest q.Temperature) []session.DropTo {
	if c.limits.retest["conditions.cable_temperature"] {
		return nil
	}
	own, last := c.profile.setting(), c.limits.checked(c.profile.temperature())
	table := c.profile.record.Setting.dropTo()
	if len(table) == 0 || table[len(table)-1].UpTo < warmest-degreesRounding {
		table = c.profile.trial.DropTo(own)
	}
	var lower []session.DropTo
	for _, d := range table {
		beyond := d.UpTo > last+degreesRounding
		if beyond {
			d.UpTo = last
		}
		if d.UpTo >= warmest-degreesRounding && d.Setting.Speed.Unit == own.Speed.Unit {
			d.Setting.Speed.Value = min(d.Setting.Speed.Value, own.Speed.Value)
			d.Setting.Grip = min(d.Setting.Grip, own.Grip)
			lower = append(lower, d)
		}
		if beyond {
			break
		}
	}
	return lower
}

// checked is the warmest cable for which a short check can still do.
func (l *CoverLimits) checked(from q.Temperature) q.Temperature {
	return session.Band{LogRatio: l.CheckStiffness, Degrees: q.Temperature(l.CheckDegrees)}.Warmest(from)
}

// ruleSays are the short words of the rules, by field and what they ask for. In braces
// stand the limits.
var ruleSays = map[string]map[Effect]string{
	"cable.make":                   {Retest: "cable make"},
	"cable.type":                   {Retest: "cable type"},
	"cable.outer_diameter":         {Retest: "cable diameter by over {wide}", ShortCheck: "cable diameter by over {narrow}"},
	"cable.reel":                   {ShortCheck: "reel"},
	"cable.lot":                    {ShortCheck: "cable lot"},
	"cable.head":                   {Retest: "cable head", ShortCheck: unsaidSays},
	"duct.size":                    {Retest: "duct size"},
	"duct.inner_diameter":          {Retest: "bore by over {wide}", ShortCheck: "bore by over {narrow}"},
	"duct.lining":                  {Retest: "lining", ShortCheck: unsaidSays},
	"duct.lot":                     {ShortCheck: "duct lot"},
	"rig.name":                     {Retest: "rig", ShortCheck: unsaidSays},
	"rig.push_unit":                {Retest: "push control"},
	"rig.belts":                    {Retest: "belts", ShortCheck: "belts cleaned or set anew"},
	"rig.lead_in":                  {Retest: "lead-in piece by over {wide}", ShortCheck: "lead-in piece replaced by its like"},
	"rig.gap":                      {Retest: "gap by over {wide}", ShortCheck: "gap by any"},
	"rig.supply":                   {Retest: "supply that nothing regulates", ShortCheck: "supply"},
	"conditions.surface":           {Retest: "jacket surface (dry, wet, dusty)", ShortCheck: unsaidSays},
	"conditions.cable_temperature": {Retest: "more than {degrees} from the trial", ShortCheck: "warmer than it holds for, or as much colder"},
	"plan.speed":                   {Retest: "pushing harder"},
	"limits.speed":                 {Retest: "a job that allows less than this"},
	"setting.accepted":             {Retest: "{old} days old", ShortCheck: "another day or shift ({shift} h), or {age} days old"},
	"findings":                     {Retest: "fold or damage in a run"},
}

const unsaidSays = "what of these is not written down"

// asks are the rules in short words, the stronger first, as far as this library has them.
func (l *CoverLimits) asks(unit string) []CoverRule {
	percent := func(x float64) string { return fmt.Sprintf("%g %%", math.Round(1000*x)/10) }
	days := func(d time.Duration) string { return fmt.Sprintf("%g", math.Floor(d.Hours()/24)) }
	apart := q.Temperature(l.CheckDegrees)
	limits := strings.NewReplacer("{wide}", percent(l.RetestDiameter), "{narrow}", percent(l.CheckDiameter), "{old}", days(l.RetestAge), "{age}", days(l.CheckAge),
		"{shift}", fmt.Sprintf("%g", l.Shift.Hours()), "{degrees}", fmt.Sprintf("%.0f %s", q.In(apart, unit)-q.In(q.Temperature(0), unit), unit))
	var list []CoverRule
	for _, f := range coverRules {
		for _, row := range f.rows {
			asked := CoverRule{l.effect(f.key, row.effect), limits.Replace(ruleSays[f.key][row.effect])}
			if row.effect > Covered && !slices.Contains(list, asked) {
				list = append(list, asked)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b CoverRule) int {
		last := btoi(a.Says == unsaidSays) - btoi(b.Says == unsaidSays)
		return 2*int(b.Effect-a.Effect) + last
	})
	return list
}
