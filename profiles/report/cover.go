package report

import (
	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Cover says whether a profile holds for a job.
type Cover struct {
	Verdict string        `json:"verdict"` // covered, short check, retest
	Profile *string       `json:"profile"`
	Setting *Setting      `json:"setting"` // what may be used meanwhile
	DropTo  []DropTo      `json:"drop_to"`
	Reasons []CoverReason `json:"reasons"`

	CoveredUpTo   *Quantity `json:"covered_up_to"` // the warmest cable or inlet air the profile's own setting holds for
	Until         *string   `json:"until"`         // when shift, age or a supervisor's expiry ask for a check
	WrittenByHand bool      `json:"written_by_hand"`
	Warnings      []string  `json:"warnings"` // of the job's file and the library
}

// DropTo is a lower setting for a cable no warmer than UpTo.
type DropTo struct {
	UpTo    Quantity `json:"up_to"`
	Setting Setting  `json:"setting"`
}

// CoverReason is one difference between profile and job, with what it asks for.
type CoverReason struct {
	Field   string `json:"field"`
	Profile string `json:"profile"`
	Job     string `json:"job"`
	Effect  string `json:"effect"`
	Why     string `json:"why"`
}

// firstYear is before every trial: what is earlier is no time that anything holds until.
const firstYear = 2000

// CoverOf puts a cover verdict into its outside form.
func CoverOf(v profiles.Verdict) Cover {
	c := Cover{Verdict: v.Effect.String(), DropTo: []DropTo{}, Reasons: []CoverReason{}, Warnings: []string{}}
	if v.Best != nil {
		c.Profile = &v.Best.ID
		rig := v.Best.Rig()
		if s, known := v.Setting.Get(); known {
			setting := settingOf(rig, s)
			c.Setting = &setting
		}
		if v.Effect != profiles.Retest {
			upTo := Of(v.CoveredUpTo, q.Text(v.CoveredUpTo, v.Thermometer))
			c.CoveredUpTo = &upTo
			if v.Until.Year() >= firstYear {
				c.Until = timeOrNull(v.Until)
			}
		}
		c.WrittenByHand = v.ByHand
		for _, d := range v.DropTo {
			c.DropTo = append(c.DropTo, DropTo{Of(d.UpTo, q.Text(d.UpTo, v.Thermometer)), settingOf(rig, d.Setting)})
		}
	}
	for _, r := range v.Reasons {
		c.Reasons = append(c.Reasons, CoverReason{r.Field, r.Profile, r.Job, r.Effect.String(), r.Why})
	}
	return c
}

func settingOf(rig session.Rig, s session.Setting) Setting {
	return Setting{Of(s.Grip, rig.ShowGrip(s.Grip)), Reading(rig, s.Speed.Value)}
}
