package profiles

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"

	q "brinkmark/session/quantity"
)

// rowCase makes one row of the rules apply, by a job, a profile, a moment or a finding.
type rowCase struct {
	field   string
	row     int
	job     map[string]string
	profile func(*Record)
	today   func(*Record)
	change  *Change
	check   map[string]string // of the profile, and passed
	now     time.Time
	finding Finding
	byHand  bool
	odd     string // times
	also    string // another field that cannot but speak too
}

func with(pairs ...string) map[string]string {
	m := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = pairs[i+1]
	}
	return m
}

var rowCases = []rowCase{
	{field: "cable.make", row: 0, job: with("cable.make", "Eastvale")},
	{field: "cable.make", row: 1, job: with("cable.make", "Eastvale", "cable.outer_diameter", ""), also: "cable.outer_diameter"},
	{field: "cable.type", row: 0, job: with("cable.type", "LT-144 loose tube")},
	{field: "cable.outer_diameter", row: 0, job: with("cable.outer_diameter", "13.1 mm")},
	{field: "cable.outer_diameter", row: 1, job: with("cable.outer_diameter", "12.8 mm")},
	{field: "cable.outer_diameter", row: 2, job: with("cable.outer_diameter", "")},
	{field: "cable.reel", row: 0, job: with("cable.reel", "NM-2")},
	{field: "cable.reel", row: 1, job: with("cable.reel", "")},
	{field: "cable.lot", row: 0, job: with("cable.lot", "L 89")},
	{field: "cable.lot", row: 1, job: with("cable.lot", "")},
	{field: "cable.head", row: 0, job: with("cable.head", "bare")},
	{field: "cable.head", row: 1, job: with("cable.head", "")},
	{field: "duct.size", row: 0, job: with("duct.size", "40/33")},
	{field: "duct.inner_diameter", row: 0, job: with("duct.inner_diameter", "32 mm")},
	{field: "duct.inner_diameter", row: 1, job: with("duct.inner_diameter", "33.3 mm")},
	{field: "duct.inner_diameter", row: 2, job: with("duct.inner_diameter", "")},
	{field: "duct.lining", row: 0, job: with("duct.lining", "lubricated")},
	{field: "duct.lining", row: 1, profile: func(r *Record) { r.Duct.Lining = 0 }},
	{field: "duct.lot", row: 0, job: with("duct.lot", "D 13")},
	{field: "duct.lot", row: 1, job: with("duct.lot", "")},
	{field: "rig.name", row: 0, job: with("rig.name", "Rig 3")},
	{field: "rig.name", row: 1, job: with("rig.name", "")},
	{field: "rig.push_unit", row: 0, today: func(r *Record) {
		limit, _ := NewReading("20 notches")
		r.Rig.PushUnit, r.Rig.SpeedLimit, r.Rig.SpeedDivision = "notches", limit, Reading{}
	}},
	{field: "rig.belts", row: 0, job: with("rig.belts", "set C")},
	{field: "rig.belts", row: 1, job: with("rig.belts", "")},
	{field: "rig.belts", row: 2, change: &Change{Seq: 1, Key: "rig.belts", Value: "set b", Reason: "cleaned"}},
	{field: "rig.lead_in", row: 0, job: with("rig.lead_in", "16 mm")},
	{field: "rig.lead_in", row: 1, job: with("rig.lead_in", "13.3 mm")},
	{field: "rig.lead_in", row: 2, change: &Change{Seq: 1, Key: "rig.lead_in", Value: "1.3 cm", Reason: "new"}},
	{field: "rig.lead_in", row: 3, job: with("rig.lead_in", "")},
	{field: "rig.gap", row: 0, job: with("rig.gap", "50 mm")},
	{field: "rig.gap", row: 1, job: with("rig.gap", "41 mm")},
	{field: "rig.gap", row: 2, job: with("rig.gap", "")},
	{field: "rig.supply", row: 0, job: with("rig.supply", "site pump, not regulated")},
	{field: "rig.supply", row: 1, job: with("rig.supply", "site pump")},
	{field: "rig.supply", row: 2, job: with("rig.supply", "")},
	{field: "conditions.surface", row: 0, job: with("conditions.surface", "dusty")},
	{field: "conditions.surface", row: 1, profile: func(r *Record) { r.Conditions.Surface = 0 }},
	{field: "conditions.cable_temperature", row: 0, job: with("conditions.cable_temperature", "51 °F"), check: with("conditions.cable_temperature", "61 °F")},
	{field: "conditions.cable_temperature", row: 1, job: with("conditions.cable_temperature", "62 °F")},
	{field: "conditions.cable_temperature", row: 2, job: with("conditions.cable_temperature", "48 °F")},
	{field: "conditions.cable_temperature", row: 3, job: with("conditions.cable_temperature", "33 °F")},
	{field: "plan.speed", row: 0, job: with("plan.speed", "96 ft/min")},
	{field: "limits.speed", row: 0, job: with("limits.grip", "5 psi")},
	{field: "setting.accepted", row: 0, profile: func(r *Record) { r.Setting.Accepted, r.Started = time.Time{}, time.Time{} }},
	{field: "setting.accepted", row: 1, now: coverNow.AddDate(1, 0, 0)},
	{field: "setting.accepted", row: 2, now: coverNow.AddDate(0, 0, -2)},
	{field: "setting.accepted", row: 3, now: coverNow.Add(-6 * time.Hour)},
	{field: "setting.accepted", row: 4, now: coverNow.AddDate(0, 0, 30)},
	{field: "setting.accepted", row: 5, now: coverNow.AddDate(0, 0, 1)},
	{field: "times", row: 0, odd: "pushes as close as 1 s: entry 3"},
	{field: "seal", row: 0, byHand: true},
	{field: "findings", row: 0, finding: Withdrawn},
	{field: "findings", row: 1, finding: Expired},
	{field: "findings", row: 2, finding: RunFolded},
	{field: "findings", row: 3, finding: RunDamaged},
	{field: "findings", row: 4, finding: CheckFailed},
	{field: "findings", row: 5, finding: OddRecord},
	{field: "findings", row: 6, finding: OtherFile},
	{field: "findings", row: 7, finding: Asked},
	{field: "rig.push_unit", row: 1, today: func(r *Record) { r.Rig.PushUnit, r.Rig.SpeedLimit, r.Rig.SpeedDivision = "", Reading{}, Reading{} }, also: "limits.speed"},
	{field: "limits.speed", row: 1, today: func(r *Record) { r.Rig.GripLimit = Quantity[q.Pressure]{} }},
}

func (r rowCase) name() string { return fmt.Sprintf("%s row %d", r.field, r.row) }

// TestEveryCoverRow has for every row a job that this row alone decides.
func TestEveryCoverRow(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range rowCases {
		t.Run(r.name(), func(t *testing.T) {
			profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", r.job)
			if r.profile != nil {
				r.profile(&profile)
			}
			if r.today != nil {
				r.today(&job)
			}
			if r.change != nil {
				job.Changes = []Change{*r.change}
			}
			now := coverNow
			if !r.now.IsZero() {
				now = r.now
			}
			saved := []Record{profile}
			if r.check != nil {
				saved = append(saved, passedCheck(t, profile, r.check))
			}
			c := candidatesOf(t, saved...)
			if r.finding != 0 {
				c.Find(profile.ID, r.finding)
			}
			c.all[0].byHand, c.all[0].odd = r.byHand, r.odd
			v, err := c.Cover(job, now)
			require.NoError(t, err)
			row := coverRow{}
			for _, f := range coverRules {
				if f.key == r.field {
					row = f.rows[r.row]
				}
			}
			require.Equal(t, row.effect, v.Effect)
			var said []string
			for _, reason := range v.Reasons {
				if reason.Field != r.also && (reason.Effect > Covered || row.effect == Covered) {
					said = append(said, reason.Field+" "+reason.Why)
				}
			}
			require.Equal(t, []string{r.field + " " + row.why}, said)
		})
		seen[r.name()] = true
	}
	for _, f := range coverRules {
		for i := range f.rows {
			require.True(t, seen[rowCase{field: f.key, row: i}.name()], "%s row %d has no job of its own", f.key, i)
		}
	}
}

// TestCoverAgreesWithTheBand: what the trial wrote on its profile and what the rules say
// of the warm side is one thing, at every temperature of the table and beyond.
func TestCoverAgreesWithTheBand(t *testing.T) {
	for f := -30; f <= 150; f += 3 {
		profile := coverRecord(t, "profile.toml", with("conditions.cable_temperature", fmt.Sprintf("%d °F", f)))
		profile.Setting.CoveredUpTo, profile.Setting.DropTo = Quantity[q.Temperature]{}, nil
		from := q.From[q.Temperature](float64(f), "°F")
		c := candidatesOf(t, profile)
		for _, edge := range []struct {
			warm         q.Temperature
			below, above Effect
		}{{session.CoveredBand().Warmest(from), Covered, ShortCheck}, {session.CheckedBand().Warmest(from), ShortCheck, Retest}} {
			warm := edge.warm
			if f < 140 && q.In(warm, "°F") > 139.9 {
				continue // at the table's end the ratio stops counting
			}
			for off, want := range map[q.Temperature]Effect{-0.03: edge.below, 0.03: edge.above} {
				v, err := c.Cover(coverRecord(t, "job.toml", with("conditions.cable_temperature", fmt.Sprintf("%.5f °C", float64(warm+off)))), coverNow)
				require.NoError(t, err)
				require.Equal(t, want, v.Effect, "%d °F, %v off", f, off)
			}
		}
	}
}

func TestSupervisorTightens(t *testing.T) {
	for _, c := range []struct {
		rules, key, value string
		want              Effect
		now               time.Time
	}{
		{`covered_degrees = "3 °F"`, "conditions.cable_temperature", "45 °F", ShortCheck, coverNow},
		{`covered_degrees = "2 °C"`, "conditions.cable_temperature", "45 °F", ShortCheck, coverNow},
		{`covered_stiffness = 0.03`, "conditions.cable_temperature", "45 °F", ShortCheck, coverNow},
		{`check_degrees = "10 °F"`, "conditions.cable_temperature", "52 °F", Retest, coverNow},
		{`check_stiffness = 0.1`, "conditions.cable_temperature", "52 °F", Retest, coverNow},
		{`check_diameter = 0.01`, "cable.outer_diameter", "12.6 mm", ShortCheck, coverNow},
		{`retest_diameter = 0.01`, "cable.outer_diameter", "12.6 mm", Retest, coverNow},
		{`check_days = 0`, "cable.reel", "NM-20417", ShortCheck, coverNow},
		{`retest_days = 14`, "cable.reel", "NM-20417", Retest, coverNow.AddDate(0, 0, 14)},
		{`shift_hours = 4`, "cable.reel", "NM-20417", ShortCheck, coverNow},
		{`retest = ["cable.reel", "cable.lot"]`, "cable.reel", "NM-1", Retest, coverNow},
	} {
		t.Run(c.rules, func(t *testing.T) {
			l := coverLibrary(t)
			profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", with(c.key, c.value))
			writeInto(t, l, "profiles/2026-05/"+profile.ID+".toml", recordText(t, profile))
			usual, err := l.Cover(job, c.now)
			require.NoError(t, err)
			require.Less(t, usual.Effect, c.want)
			writeInto(t, l, "rules.toml", "format = 1\n"+c.rules+"\n")
			v, err := l.Cover(job, c.now)
			require.NoError(t, err)
			require.Equal(t, c.want, v.Effect)
		})
	}
}

func TestBadRulesFile(t *testing.T) {
	for _, c := range []struct{ rules, want string }{
		{"format = 1\ncheck_days = 45\n", "rules.toml:2:14: check_days: 45 is looser than the usual 30\n  write 30 or less"},
		{"format = 1\n\ncovered_degrees = \"8 °F\"\n", "rules.toml:3:19: covered_degrees: 8 °F is looser than the usual 7 °F"},
		{"format = 1\ncovered_degrees = \"4 °C\"\n", "covered_degrees: 4 °C is looser"},
		{"format = 1\ncovered_degrees = 5\n", "covered_degrees: not a text in quotes, with its unit"},
		{"format = 1\ncheck_degrees = \"5\"\n", "check_degrees: \"5\" is not a temperature: no unit"},
		{"format = 1\ncheck_stiffness = -0.1\n", "check_stiffness: -0.1 is below zero"},
		{"format = 1\ncheck_stiffness = nan\n", "check_stiffness: NaN is below zero, or no number"},
		{"format = 1\ncheck_diameter = \"2 %\"\n", "check_diameter: not a number"},
		{"format = 1\nchek_days = 3\n", "rules.toml:2:13: chek_days: this key is not known"},
		{"format = 1\nretest = [\"cable.colour\"]\n", "retest: \"cable.colour\" is compared by no rule"},
		{"format = 1\nretest = \"cable.reel\"\n", "retest: not a list"},
		{"check_days = 3\n", "format: missing"},
		{"format = 2\n", "format: missing, or not known"},
		{"format = 1\ncheck_days = \n", "rules.toml:2"},
		{"format = 1\nx = \"\xff\"\n", "rules.toml:2: the file is not text in UTF-8"},
	} {
		l := coverLibrary(t)
		writeInto(t, l, "rules.toml", c.rules)
		_, err := l.Cover(coverRecord(t, "job.toml", nil), coverNow)
		require.ErrorContains(t, err, c.want, c.rules)
	}
}

// FuzzCoverLimits: whatever the rules file says, no rule is looser than the usual one.
func FuzzCoverLimits(f *testing.F) {
	f.Add("format = 1\ncheck_days = 14\ncovered_degrees = \"5 °F\"\nretest = [\"cable.reel\"]\n")
	f.Add("format = 1\ncheck_stiffness = inf\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := parseCoverLimits("rules.toml", []byte(text))
		if err != nil {
			return
		}
		usual := UsualCoverLimits()
		for _, k := range limitKeys {
			switch mine := k.of(&l).(type) {
			case *float64:
				require.LessOrEqual(t, *mine, *k.of(&usual).(*float64))
				require.GreaterOrEqual(t, *mine, 0.0)
			case *time.Duration:
				require.LessOrEqual(t, *mine, *k.of(&usual).(*time.Duration))
				require.GreaterOrEqual(t, *mine, time.Duration(0))
			}
		}
	})
}
