package profiles

import (
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

const coverDir = "../testdata/covers"

// coverCase is a job with the verdict that was worked out by hand.
type coverCase struct {
	Name    string            `toml:"name"`
	Verdict string            `toml:"verdict"`
	Setting string            `toml:"setting"`
	Fields  []string          `toml:"fields"`
	Now     time.Time         `toml:"now"`
	Job     map[string]string `toml:"job"`
	Profile map[string]string `toml:"profile"`
	Check   map[string]string `toml:"check"` // a short check of the profile, passed at noon
	Bare    bool              `toml:"bare"`
	Change  []string          `toml:"change"`
}

func coverCases(t testing.TB) []coverCase {
	t.Helper()
	var file struct {
		Case []coverCase `toml:"case"`
	}
	md, err := toml.DecodeFile(filepath.Join(coverDir, "cases.toml"), &file)
	require.NoError(t, err)
	require.Empty(t, md.Undecoded())
	require.GreaterOrEqual(t, len(file.Case), 40)
	return file.Case
}

func coverRecord(t testing.TB, name string, with map[string]string) Record {
	t.Helper()
	r, _, err := readNamed(filepath.Join(coverDir, name))
	require.NoError(t, err)
	return changedRecord(t, *r, with)
}

func changedRecord(t testing.TB, r Record, with map[string]string) Record {
	t.Helper()
	for key, value := range with {
		next, err := r.With(key, value)
		require.NoError(t, err, key)
		r = next
	}
	return r
}

// candidatesOf are profiles as if they were a library's.
func candidatesOf(t testing.TB, records ...Record) *Candidates {
	t.Helper()
	c := &Candidates{limits: UsualCoverLimits(), findings: map[string]map[Finding]bool{}}
	for _, r := range records {
		s, err := newSide(&r)
		require.NoError(t, err)
		c.all = append(c.all, s)
	}
	return c
}

func (c coverCase) records(t testing.TB) (saved []Record, job Record) {
	saved, job = []Record{coverRecord(t, "profile.toml", c.Profile)}, coverRecord(t, "job.toml", c.Job)
	if c.Check != nil {
		saved = append(saved, passedCheck(t, saved[0], c.Check))
	}
	if c.Bare {
		for _, r := range saved {
			r.Setting.CoveredUpTo, r.Setting.DropTo = Quantity[q.Temperature]{}, nil
		}
	}
	if len(c.Change) > 0 {
		job.Changes = []Change{{Seq: 1, Key: c.Change[0], Value: c.Change[1], Reason: c.Change[2]}}
	}
	return saved, job
}

// passedCheck is the profile of a short check that passed at noon.
func passedCheck(t testing.TB, of Record, with map[string]string) Record {
	t.Helper()
	check, setting := changedRecord(t, of, with), *of.Setting
	check.ID, check.Kind, check.Of, check.Setting = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E", session.ShortCheck, of.ID, &setting
	check.Plan, check.Attempts = Plan{setting.Grip, setting.Speed}, nil
	for range 3 { // a tenth above, rounded down to a division; one more where that is no tenth
		above, err := NewReading("105 ft/min")
		require.NoError(t, err)
		check.Attempts = append(check.Attempts, Attempt{Seq: len(check.Attempts) + 1, Grip: setting.Grip, Speed: above, Outcome: session.Stall})
	}
	check.Setting.Accepted = time.Date(2026, 5, 14, 12, 0, 0, 0, coverNow.Location())
	return check
}

// require compares a verdict with the one by hand, setting and all.
func (c coverCase) require(t testing.TB, v Verdict) {
	t.Helper()
	fields := []string{}
	for _, r := range v.Reasons {
		require.NotEmpty(t, r.Why)
		if r.Effect > Covered {
			fields = append(fields, r.Field)
		}
	}
	require.Equal(t, c.Verdict, v.Effect.String(), fields)
	require.Equal(t, c.Fields, fields)
	setting := ""
	if s, known := v.Setting.Get(); known {
		setting = v.Best.Show(s)
		require.LessOrEqual(t, s.Speed.Value, v.Best.Setting.Speed.Value, "never raised")
		require.LessOrEqual(t, s.Grip, v.Best.Setting.Grip, "never raised")
	}
	require.Equal(t, c.Setting, setting)
}

func TestCoverByHand(t *testing.T) {
	for _, c := range coverCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			saved, job := c.records(t)
			v, err := candidatesOf(t, saved...).Cover(job, c.Now)
			require.NoError(t, err)
			c.require(t, v)
		})
	}
}

// TestCoverInEitherSystem writes every quantity of job and profile in the units of the
// other system: the verdict, the reasons and the setting stay.
func TestCoverInEitherSystem(t *testing.T) {
	for _, c := range coverCases(t) {
		saved, job := c.records(t)
		var others []Record
		for _, r := range saved {
			others = append(others, otherSystem(t, r))
		}
		for name, pair := range map[string]struct {
			saved []Record
			job   Record
		}{"job": {saved, otherSystem(t, job)}, "profile": {others, job}, "both": {others, otherSystem(t, job)}} {
			t.Run(c.Name+", "+name, func(t *testing.T) {
				v, err := candidatesOf(t, pair.saved...).Cover(pair.job, c.Now)
				require.NoError(t, err)
				c.require(t, v)
			})
		}
	}
}

func otherSystem(t testing.TB, r Record) Record {
	t.Helper()
	with := map[string]string{"duct.size": strings.NewReplacer("1.25 in", "31.75 mm", "1.5 in", "38.1 mm").Replace(r.Duct.Size)}
	for key, v := range map[string]Quantity[q.Temperature]{
		"conditions.cable_temperature": r.Conditions.CableTemperature, "conditions.inlet_air_temperature": r.Conditions.InletAirTemperature,
	} {
		if celsius, ok := v.value.Get(); ok {
			with[key] = q.Text(celsius, "°C")
		}
	}
	for key, v := range map[string]Quantity[q.Length]{
		"cable.outer_diameter": r.Cable.OuterDiameter, "duct.inner_diameter": r.Duct.InnerDiameter, "rig.lead_in": r.Rig.LeadIn, "rig.gap": r.Rig.Gap,
	} {
		if l, ok := v.value.Get(); ok {
			with[key] = q.Text(l, "in")
		}
	}
	for key, v := range map[string]Reading{"plan.speed": r.Plan.Speed, "limits.speed": r.Limits.Speed, "rig.speed_limit": r.Rig.SpeedLimit} {
		if s, ok := v.value.Get(); ok {
			with[key] = s.Text("m/min")
		}
	}
	return changedRecord(t, r, with)
}

// TestNearMissOfSpelling: offered, never assumed; other digits are another type.
func TestNearMissOfSpelling(t *testing.T) {
	for _, c := range []struct {
		a, b        string
		same, alike bool
	}{
		{"Northmoor", "north MOOR", true, false},
		{"Northmoor", "Nortmoor", false, true},
		{"Northmoor", "Norhtmoor", false, true},
		{"Northmoor", "Southmoor", false, true},
		{"LT-96 loose tube", "LT 96 loose tube", false, true},
		{"LT-96 loose tube", "LT-98 loose tube", false, false},
		{"set B", "set C", false, false},
		{"1.25 in SDR 11", "31.75 mm SDR11", true, false},
		{"1.25 in SDR 11", "31.8 mm SDR 11", true, false},
		{"1.25 in SDR 11", "32 mm SDR 11", false, true},
		{"1¼\" SDR 11", "1-1/4 in SDR 11", true, false},
		{"40/33", "40/33 mm", true, false},
		{"40/33", "40/34", false, false},
		{"1.25 in SDR 11", "1.25 in SDR 13.5", false, false},
	} {
		a, b := newName(c.a), newName(c.b)
		require.Equal(t, c.same, a.same(b), "%s, %s", c.a, c.b)
		require.Equal(t, c.alike, a.alike(b), "%s, %s", c.a, c.b)
		require.Equal(t, a.same(b), b.same(a))
		require.Equal(t, a.alike(b), b.alike(a))
	}
}

func coverLibrary(t testing.TB) *Library {
	t.Helper()
	l, err := libraryIn(t.TempDir(), time.Now, rand.Reader)
	require.NoError(t, err)
	return l
}

func writeInto(t testing.TB, l *Library, name, text string) {
	t.Helper()
	path := filepath.Join(l.Where(), filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
}

func recordText(t testing.TB, r Record) string {
	t.Helper()
	text, err := r.Text()
	require.NoError(t, err)
	return text
}

var coverNow = time.Date(2026, 5, 14, 13, 0, 0, 0, time.FixedZone("", -5*3600))

func TestCoverOfLibrary(t *testing.T) {
	l := coverLibrary(t)
	profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", nil)
	unset := profile
	unset.Setting = nil
	writeInto(t, l, "example/profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml", recordText(t, profile))
	writeInto(t, l, "practice/profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml", recordText(t, profile))
	writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5E.toml", recordText(t, unset))
	writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5F.toml", "format = 1\n[cable]\nmake = 7\n")
	v, err := l.Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Retest, v.Effect)
	require.Nil(t, v.Best)
	require.Len(t, v.Unreadable, 2)
	require.ErrorContains(t, v.Unreadable[0], "no [setting]")
	require.ErrorContains(t, v.Unreadable[1], "4C5F.toml:3")

	writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml", recordText(t, profile))
	v, err = l.Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Covered, v.Effect)
	require.Equal(t, profile.ID, v.Best.ID)
	require.Len(t, v.Unreadable, 2)
}

// TestCoverRanks: covered before short check before retest, then fewest reasons, then
// the newest; the others are near, none is a mixture.
func TestCoverRanks(t *testing.T) {
	at := func(id string, hour int, with map[string]string) Record {
		r := coverRecord(t, "profile.toml", with)
		setting := *r.Setting
		setting.Accepted = time.Date(2026, 5, 14, hour, 0, 0, 0, coverNow.Location())
		r.ID, r.Setting = id, &setting
		return r
	}
	c := candidatesOf(t,
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C51", 12, map[string]string{"cable.make": "Eastvale"}),
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C52", 11, map[string]string{"cable.reel": "NM-1", "cable.lot": "L 1"}),
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C53", 10, map[string]string{"cable.reel": "NM-1"}),
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C54", 8, nil),
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C55", 9, nil),
		at("01K7ZQ4C5V8W9X0Y1Z2A3B4C56", 9, map[string]string{"cable.make": "Eastvale", "duct.size": "40/33"}),
	)
	v, err := c.Cover(coverRecord(t, "job.toml", nil), coverNow)
	require.NoError(t, err)
	var order []string
	for _, m := range append([]*Match{v.Best}, v.Near...) {
		order = append(order, m.ID[25:])
	}
	require.Equal(t, []string{"5", "4", "3", "2", "1"}, order)
	require.Contains(t, v.Near[3].Reasons()[0].Why, "of the same diameter")
}

func TestCoverNeedsTheKey(t *testing.T) {
	_, err := candidatesOf(t).Cover(Record{Format: Format}, coverNow)
	for _, key := range []string{"cable.make", "cable.type", "duct.size", "conditions.cable_temperature"} {
		require.ErrorContains(t, err, key+": missing")
	}
}

// TestCoverOfShortCheck: a passed check holds for its own day and reel, but never makes
// the trial it rests on younger; one that did not pass ends the profile.
func TestCoverOfShortCheck(t *testing.T) {
	old := coverRecord(t, "profile.toml", nil)
	setting := *old.Setting
	setting.Accepted = coverNow.AddDate(0, -2, 0)
	old.Setting = &setting
	check := passedCheck(t, coverRecord(t, "profile.toml", nil), map[string]string{"cable.reel": "NM-7"})
	check.Setting.Accepted = coverRecord(t, "profile.toml", nil).Setting.Accepted
	job := coverRecord(t, "job.toml", map[string]string{"cable.reel": "NM-7"})

	c := candidatesOf(t, old, check)
	v, err := c.Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Covered, v.Effect)
	require.Equal(t, check.ID, v.Best.ID)

	setting.Accepted = coverNow.AddDate(-1, 0, -1)
	v, err = candidatesOf(t, old, check).Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Retest, v.Effect, "the trial is too old, however new the check")

	v, err = candidatesOf(t, check).Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, ShortCheck, v.Effect, "the trial is not here")

	l := coverLibrary(t)
	folded := check
	folded.Setting = nil
	folded.Attempts = []Attempt{{Seq: 1, Grip: old.Setting.Grip, Speed: old.Setting.Speed, Outcome: 1}}
	young := coverRecord(t, "profile.toml", map[string]string{"cable.reel": "NM-7"})
	writeInto(t, l, "profiles/2026-05/"+young.ID+".toml", recordText(t, young))
	writeInto(t, l, "trials/"+check.ID+".toml", recordText(t, folded))
	v, err = l.Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Retest, v.Effect)
	require.Equal(t, "findings", v.Reasons[0].Field)
}

// TestCoverAfterChanges: a profile is of the temperature its pushes were made at, a job of
// the one it stands at.
func TestCoverAfterChanges(t *testing.T) {
	warmed := []Change{{Seq: 1, Key: "conditions.cable_temperature", Value: "55 °F", Reason: "sun on the reel"}}
	profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", nil)
	profile.Setting.CoveredUpTo, profile.Changes, job.Changes = Quantity[q.Temperature]{}, warmed, warmed
	for i := range profile.Attempts {
		profile.Attempts[i].Seq++ // it warmed before the pushes
	}
	v, err := candidatesOf(t, profile).Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, Covered, v.Effect)
	require.Equal(t, "Northmoor, LT-96 loose tube, 1.25 in SDR 11, 55 °F", v.Best.Name())
	job.Undos = []Undo{{Seq: 2, Drops: 1}}
	v, err = candidatesOf(t, profile).Cover(job, coverNow)
	require.NoError(t, err)
	require.Equal(t, ShortCheck, v.Effect, "14 °F colder")
}

// TestCoverOfOtherControl: readings in another unit are never compared, and limits not said are not the same.
func TestCoverOfOtherControl(t *testing.T) {
	profile, job := coverRecord(t, "profile.toml", nil), coverRecord(t, "job.toml", nil)
	job.Rig.SpeedLimit, job.Rig.SpeedDivision = Reading{}, Reading{}
	for unit, want := range map[string]Effect{"": ShortCheck, "m/min": ShortCheck, "notches": Retest} {
		job.Rig.PushUnit = unit
		v, err := candidatesOf(t, profile).Cover(job, coverNow)
		require.NoError(t, err)
		require.Equal(t, want, v.Effect, unit)
	}
}

// BenchmarkCover is one verdict against 10 000 profiles once they are read.
func BenchmarkCover(b *testing.B) {
	l := coverLibrary(b)
	text := recordText(b, coverRecord(b, "profile.toml", nil))
	for i := range 10000 {
		id := fmt.Sprintf("01K7ZQ4C5V8W9X0Y1Z2A3%05d", i)
		one := strings.NewReplacer("01K7ZQ4C5V8W9X0Y1Z2A3B4C5D", id, "LT-96", fmt.Sprintf("LT-%d", 12*(1+i%24)),
			"NM-20417", fmt.Sprintf("NM-%d", i), "41 °F", fmt.Sprintf("%d °F", 20+i%80)).Replace(text)
		writeInto(b, l, fmt.Sprintf("profiles/2026-%02d/%s.toml", 1+i%12, id), one)
	}
	job := coverRecord(b, "job.toml", nil)
	start := time.Now()
	c, err := l.Candidates()
	require.NoError(b, err)
	require.Empty(b, c.Unreadable)
	b.Logf("read in %v", time.Since(start))
	b.ResetTimer()
	for b.Loop() {
		v, err := c.Cover(job, coverNow)
		require.NoError(b, err)
		require.NotNil(b, v.Best)
	}
}
