package profiles

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Holds is what one profile holds for by a library's rules, as texts to hand over.
type Holds struct {
	Why      []string // why it holds for nothing; then the rest is empty
	Grip     string   // the setting that may be installed with
	Speed    string
	Until    time.Time     // when shift, age or a supervisor's expiry ask for a check
	ByHand   bool          // written by hand, or by a version that did not seal
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
	with, err := l.itself(id)
	if err != nil {
		return Holds{}, err
	}
	return with.holds(), nil
}

func (c *compared) holds() Holds {
	s, p := c.profile, c.promise()
	h := Holds{Why: p.Why, Until: p.Until, ByHand: p.ByHand, Asks: c.limits.asks(p.Thermometer)}
	if len(p.Why) > 0 {
		return h
	}
	h.Grip, h.Speed = p.Rig.ShowGrip(p.Setting.Grip), p.Rig.ShowSpeed(p.Setting.Speed.Value)
	h.UpTo = session.WholeDegrees(p.UpTo, p.Thermometer)
	due, _ := s.trial.CheckDue(p.UpTo, s.proved)
	h.CheckDue = due.Or(time.Time{}).Truncate(time.Second)
	for _, d := range p.DropTo {
		h.DropTo = append(h.DropTo, HoldsWarmer{session.WholeDegrees(d.UpTo, p.Thermometer), p.Rig.Named(d.Setting)})
	}
	return h
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
	"rig.push_unit":                {Retest: "push control", ShortCheck: unsaidSays},
	"rig.belts":                    {Retest: "belts", ShortCheck: "belts cleaned or set anew"},
	"rig.lead_in":                  {Retest: "lead-in piece by over {wide}", ShortCheck: "lead-in piece replaced by its like"},
	"rig.gap":                      {Retest: "gap by over {wide}", ShortCheck: "gap by any"},
	"rig.supply":                   {Retest: "supply that nothing regulates", ShortCheck: "supply"},
	"conditions.surface":           {Retest: "jacket surface (dry, wet, dusty)", ShortCheck: unsaidSays},
	"conditions.cable_temperature": {Retest: "more than {degrees} from the trial", ShortCheck: "warmer than it holds for, or as much colder"},
	"plan.speed":                   {Retest: "pushing harder"},
	"limits.speed":                 {Retest: "a job that allows less than this", ShortCheck: unsaidSays},
	"times":                        {Retest: "times that cannot be"},
	"setting.accepted":             {Retest: "{old} days old or dated later than now", ShortCheck: "another day or shift ({shift} h), or {age} days old"},
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
