package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
)

// goodSample is a profile with nothing the matter, sealed: what a crew should hand in.
func goodSample(t testing.TB) sample {
	t.Helper()
	text := fileText(t, "report/testdata/whole.toml")
	text = strings.Replace(text, "supply = ", "gauge_ids = [\"G7\"]\nsupply = ", 1)
	at := strings.Index(text, "[[answer]]\nseq = 8\n")
	end := at + strings.Index(text[at+1:], "[[") + 1
	text = text[:at] + text[end:]
	id := "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
	return sample{id, "profiles/2026-05/" + id + ".toml", text}
}

func (s sample) with(old, new string) sample {
	if !strings.Contains(s.text, old) {
		panic(old)
	}
	s.text = strings.Replace(s.text, old, new, 1)
	return s
}

// as gives a sample another id, number n.
func (s sample) as(n int) sample {
	id := fmt.Sprintf("01K7ZQ4C5V8W9X0Y1Z2A3B4%03d", n)
	return sample{id, strings.Replace(s.name, s.id, id, 1), strings.Replace(s.text, s.id, id, 1)}
}

func writeSample(t testing.TB, l *Library, s sample) string {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(l.dir, s.name)), folderPerm))
	return writeSealed(t, l, s)
}

func kinds(p *Listed) []ExceptionKind {
	list := []ExceptionKind{}
	for _, e := range p.Exceptions {
		list = append(list, e.Kind)
	}
	return list
}

func reviewOf(t testing.TB, l *Library) Review {
	t.Helper()
	v, err := l.Review(nil)
	require.NoError(t, err)
	return v
}

// TestExceptions changes one thing of a good profile at a time.
//
// Source of what a supervisor looks for: common practice, no source.
func TestExceptions(t *testing.T) {
	good := goodSample(t)
	for _, c := range []struct {
		name, old, new string
		want           []ExceptionKind
	}{
		{"good", "number", "number", []ExceptionKind{}},
		{"harder than advised", `advised_speed = "95 ft/min"`, `advised_speed = "90 ft/min"`, []ExceptionKind{AboveAdvice}},
		{"softer than advised", `advised_speed = "95 ft/min"`, `advised_speed = "105 ft/min"`, []ExceptionKind{LowerAccepted}},
		{"above a fold", `speed = "120 ft/min"`, `speed = "95 ft/min"`, []ExceptionKind{AboveFold}},
		{"no bracket", "\"fold\"\nbelts_turning = true\nline_moved = true", "\"stall\"\nbelts_turning = false\nline_moved = false", []ExceptionKind{}}, // the slip is left
		{"jacket", "note = \"kink", "jacket_damage = true\nnote = \"kink", []ExceptionKind{}},                                                          // at a higher grip pressure
		{"jacket at the setting", "outcome = \"slip\"", "outcome = \"slip\"\njacket_damage = true", []ExceptionKind{Damage}},
		{"killer wrong", `state = "nobody, plug end fenced"`, `state = "no fence"`, []ExceptionKind{CheckWrong}},
		{"killer open", `item = "line-of-fire"`, `item = "cautions"`, []ExceptionKind{KillerOpen}},
		{"skipped", `state = "nobody, plug end fenced"`, `skip_reason = "rain"`, []ExceptionKind{CheckSkipped}},
		{"missing", `watcher = "CD"`, "", []ExceptionKind{MissingField}},
		{"clock went back", "at = 2026-05-14T07:46:38", "at = 2026-05-14T07:46:10", []ExceptionKind{ImpossibleTime}},
		{"pushes too fast", "at = 2026-05-14T07:49:48", "at = 2026-05-14T07:48:17", []ExceptionKind{ImpossibleTime}},
		{"outcome and belts", "outcome = \"stall\"\nbelts_turning = false", "outcome = \"stall\"\nbelts_turning = true", []ExceptionKind{Contradiction}},
		{"accepted before the end", "accepted = 2026-05-14T08:40:00", "accepted = 2026-05-14T08:00:00", []ExceptionKind{ImpossibleTime}},
		{"another id", "id = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"", "id = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5E\"", []ExceptionKind{WrongName}},
		{"no toml", "[setting]", "[setting", []ExceptionKind{Unreadable}},
	} {
		l := reviewLibrary(t)
		writeSample(t, l, good.with(c.old, c.new))
		p := reviewOf(t, l).Profiles[0]
		require.Equal(t, c.want, kinds(p), "%s: %v", c.name, p.Exceptions)
	}
}

// Many entries of one kind are told in one phrase.
func TestEntriesText(t *testing.T) {
	for want, numbers := range map[string][]int{"entry 7": {7}, "entries 31 to 38": {31, 32, 33, 34, 35, 36, 37, 38}, "entries 2, 4 to 5, 9": {2, 4, 5, 9}} {
		require.Equal(t, want, entriesText(numbers))
	}
}

// TestManyChecksInOneException: what was asked is named, not asked again, however many there are.
func TestManyChecksInOneException(t *testing.T) {
	s := goodSample(t)
	for _, id := range []string{"chamber-vented", "stop-tested", "guards-on", "line-of-fire"} {
		s = s.with(`item = "`+id+`"`, `item = "cautions"`)
	}
	s = s.with(`state = "solid, full bore, held"`, `state = "gives under a rod"`)
	l := reviewLibrary(t)
	writeSample(t, l, s)
	var says []string
	for _, e := range reviewOf(t, l).Profiles[0].Exceptions {
		says = append(says, e.Says())
	}
	require.Equal(t, []string{
		"safety check never answered right: Air to the duct-mouth chamber; Stop control, pressed just now; Guards, hands, sleeves, hair; In line with stub and plug",
		"check left in a wrong state: End plug (gives under a rod)",
	}, says)
}

// TestHandEditShows: a sealed profile with one letter changed is listed, worst first, and
// covers nothing; one without a seal says so.
func TestHandEditShows(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	path := writeSample(t, l, good.as(2))
	putFile(t, path, strings.Replace(fileText(t, path), `speed = "95 ft/min"`, `speed = "96 ft/min"`, 1))
	byHand := good.as(3)
	require.NoError(t, os.WriteFile(filepath.Join(l.dir, byHand.name), []byte(byHand.text), filePerm))
	v := reviewOf(t, l)
	require.Equal(t, []ExceptionKind{EditedSinceSealed}, kinds(v.Profiles[0]))
	require.Equal(t, "Northmoor", v.Profiles[0].Make, "it is listed with its key")
	require.Equal(t, []ExceptionKind{NotSealed}, kinds(v.Profiles[1]))
	require.Empty(t, v.Profiles[2].Exceptions)
	c, err := l.Candidates()
	require.NoError(t, err)
	require.Len(t, c.Unreadable, 1)
	require.Len(t, v.Filter(Filter{ExceptionsOnly: true}), 2)
}

// TestSavedProfileIsSealed takes a trial through the real writer, twice: a save that was
// cut off counts, though the clock went on.
func TestSavedProfileIsSealed(t *testing.T) {
	now := reviewNow
	l := reviewLibrary(t)
	l.now = func() time.Time { return now }
	history, _, err := ReadFile("../testdata/histories/budget-spent-when-proved.toml")
	require.NoError(t, err)
	trial, err := l.NewTrial(history.job())
	require.NoError(t, err)
	require.NoError(t, trial.Append(Change{Key: "conditions.cable_temperature", Value: "41 °F", Reason: "read now"}))
	for _, a := range history.Attempts {
		require.NoError(t, trial.Append(a))
	}
	install, ok := session.View(trial.Session()).Next.(session.Install)
	require.True(t, ok)
	path, err := l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	text := fileText(t, path)
	mustUnseal(t, text)
	now = now.Add(time.Minute)
	again, err := l.SaveProfile(trial, install.Setting)
	require.NoError(t, err)
	require.Equal(t, path, again)
	require.Equal(t, text, fileText(t, path))
	require.NoError(t, trial.Close())
	require.NotContains(t, kinds(reviewOf(t, l).Profiles[0]), NotSealed)
}

func TestSitting(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	for n := range 4 {
		writeSample(t, l, good.as(n))
	}
	id := func(n int) string { return good.as(n).id }
	_, err := l.Sit(" ")
	require.ErrorContains(t, err, "who reviews?")
	s, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoDirExists(t, filepath.Join(l.dir, "reviews"), "nothing is written before the first action")
	require.ErrorContains(t, s.Query(id(1), ""), "write what is asked")
	require.ErrorContains(t, s.Accept(id(9), ""), "is not in this library")
	require.ErrorContains(t, s.Accept("../x", ""), "is no profile id")
	require.NoError(t, s.Accept(id(0), ""))
	require.NoError(t, s.Query(id(1), "why 6 psi?"))
	require.NoError(t, s.Expire(id(2), reviewNow.Add(-time.Minute), "gauge was changed"))
	require.NoError(t, s.Withdraw(id(3), "wrong duct"))
	require.NoError(t, s.Accept(id(3), "by mistake"))
	require.NoError(t, s.Close())

	v := reviewOf(t, l)
	stands := map[string]Standing{}
	for _, p := range v.Profiles {
		stands[p.ID] = p.Stands
	}
	require.Equal(t, map[string]Standing{id(0): StandsAccepted, id(1): StandsQueried, id(2): StandsExpired, id(3): StandsWithdrawn}, stands)
	require.Equal(t, []ExceptionKind{Withdrawal}, kinds(v.Profiles[0]), "the worst first")
	require.Equal(t, "withdrawn: QS, 2026-11-20: wrong duct", v.Profiles[0].Exceptions[0].Says())
	p, err := v.Find(id(3))
	require.NoError(t, err)
	require.Len(t, p.Actions, 2, "who and when, all of it")
	require.Len(t, v.Filter(Filter{Stands: StandsQueried}), 1)

	// The profile that was accepted is edited, seal and all: it is another file now.
	writeSample(t, l, good.as(0).with(`speed = "95 ft/min"`, `speed = "90 ft/min"`))
	p, err = reviewOf(t, l).Find(id(0))
	require.NoError(t, err)
	require.Contains(t, kinds(p), EditedSinceReview)

	files, err := filepath.Glob(filepath.Join(l.dir, "reviews", "*.toml"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	text := fileText(t, files[0])
	require.True(t, strings.HasPrefix(text, header))

	// An edited review tightens still, and accepts nothing.
	putFile(t, files[0], strings.Replace(text, "why 6 psi?", "why 7 psi?", 1))
	v = reviewOf(t, l)
	require.Len(t, v.Unreadable, 1)
	p, err = v.Find(id(0))
	require.NoError(t, err)
	require.Equal(t, StandsNew, p.Stands)
	p, err = v.Find(id(3))
	require.NoError(t, err)
	require.Equal(t, StandsWithdrawn, p.Stands)
}

// TestReviewEndsCover: what a supervisor withdrew or let expire covers nothing.
func TestReviewEndsCover(t *testing.T) {
	for name, act := range map[string]func(*Sitting, string) error{
		"withdrawn": func(s *Sitting, id string) error { return s.Withdraw(id, "") },
		"expired":   func(s *Sitting, id string) error { return s.Expire(id, coverNow, "") },
	} {
		l := reviewLibrary(t)
		writeInto(t, l, "profiles/2026-05/01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml", recordText(t, coverRecord(t, "profile.toml", nil)))
		job := coverRecord(t, "job.toml", nil)
		before, err := l.Cover(job, coverNow)
		require.NoError(t, err)
		require.NotEqual(t, Retest, before.Effect)
		s, err := l.Sit("QS")
		require.NoError(t, err)
		require.NoError(t, act(s, before.Best.ID))
		require.NoError(t, s.Close())
		after, err := l.Cover(job, coverNow)
		require.NoError(t, err)
		require.Equal(t, Retest, after.Effect)
		require.Equal(t, "findings", after.Reasons[0].Field)
		require.Equal(t, name, after.Reasons[0].Profile)
	}
}

// TestStandingTightensOnly: in whatever order two supervisors' actions arrive, a
// withdrawal stands, and so does the earliest expiry.
func TestStandingTightensOnly(t *testing.T) {
	now := reviewNow
	list := []Judged{
		{Action: Accept, Sealed: true}, {Action: Query}, {Action: Expire, Expires: now}, {Action: Expire, Expires: now.Add(time.Hour)}, {Action: Withdraw},
	}
	for i := range 120 {
		mixed := slices.Clone(list)
		for j, k := len(mixed), i; j > 1; j-- {
			mixed[j-1], mixed[k%j] = mixed[k%j], mixed[j-1]
			k /= j
		}
		require.Equal(t, StandsWithdrawn, standing(mixed, now))
		mixed = slices.DeleteFunc(mixed, func(a Judged) bool { return a.Action == Withdraw })
		require.Equal(t, StandsExpired, standing(mixed, now))
	}
	require.Equal(t, StandsAccepted, standing([]Judged{{Action: Expire, Expires: now.Add(1)}, {Action: Accept, Sealed: true}}, now))
	require.Equal(t, StandsNew, standing([]Judged{{Action: Accept}}, now))
}

// TestDisagreements: the same cable, duct, rig and temperature, and half the speed.
func TestDisagreements(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	half := good.as(2).with(`speed = "95 ft/min"`+"\nadvised_grip = \"6 psi\"\nadvised_speed = \"95 ft/min\"", `speed = "45 ft/min"`+"\nadvised_grip = \"6 psi\"\nadvised_speed = \"45 ft/min\"")
	far := half.as(3)
	far.text = strings.Replace(far.text, half.id, far.id, 1)
	far = far.with(`cable_temperature = "41 °F"`, `cable_temperature = "81 °F"`)
	other := half.as(4)
	other.text = strings.Replace(other.text, half.id, other.id, 1)
	other = other.with(`name = "Rig 2"`, `name = "Rig 3"`)
	for _, s := range []sample{good.as(1), half, far, other} {
		writeSample(t, l, s)
	}
	v := reviewOf(t, l)
	for _, p := range v.Profiles {
		want := p.ID == good.as(1).id || p.ID == half.id
		require.Equal(t, want, slices.Contains(kinds(p), Disagrees), p.ID)
	}
	p, err := v.Find(half.id)
	require.NoError(t, err)
	require.Contains(t, p.Exceptions[0].Says(), good.as(1).id)
	require.Len(t, v.Trend("northmoor", "LT-96 loose tube", "1 1/4 in SDR 11"), 4)
	trend := v.Trend("Northmoor", "LT-96 loose tube", "1.25 in SDR 11")
	require.Equal(t, far.id, trend[3].ID, "the coldest first")
}

// disagreements against comparing each with each.
func TestDisagreementsByPairs(t *testing.T) {
	l := reviewLibrary(t)
	samples(t, l, 400)
	v := reviewOf(t, l)
	differ := 0
	for _, p := range v.Profiles {
		want := false
		for _, o := range v.Profiles {
			a, b := p.row, o.row
			alike := a.make == b.make && a.cable == b.cable && a.duct == b.duct && a.rig == b.rig
			near := max(a.celsius-b.celsius, b.celsius-a.celsius) <= howDisagreeing().degrees
			want = want || alike && near && max(a.value/b.value, b.value/a.value) > howDisagreeing().ratio
		}
		require.Equal(t, want, slices.Contains(kinds(p), Disagrees), p.ID)
		if want {
			differ++
		}
	}
	t.Log(differ, "disagree")
}

func TestFilterAndSort(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	writeSample(t, l, good.as(2).with(`name = "Rig 2"`, `name = "Old Betty"`).with(`operator = "AB"`, `operator = "XY"`))
	writeSample(t, l, good.as(3).with("speed = \"95 ft/min\"\nadvised_grip", "speed = \"94 ft/min\"\nadvised_grip").with(`number = "J-204"`, `number = "J-777"`))
	v := reviewOf(t, l)
	ids := func(list []*Listed) (ids []string) {
		for _, p := range list {
			ids = append(ids, p.ID[len(p.ID)-1:])
		}
		slices.Sort(ids)
		return ids
	}
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{})))
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{Text: "lt-96 NORTH sdr 41"})))
	require.Equal(t, []string{"2"}, ids(v.Filter(Filter{Rig: "betty"})))
	require.Equal(t, []string{"2"}, ids(v.Filter(Filter{Crew: "x"})))
	require.Equal(t, []string{"3"}, ids(v.Filter(Filter{Job: "777"})))
	require.Equal(t, []string{"3"}, ids(v.Filter(Filter{ExceptionsOnly: true})))
	require.Empty(t, v.Filter(Filter{Text: "LT-97"}))
	require.Equal(t, []string{"1", "2", "3"}, ids(v.Filter(Filter{Cable: "northmoor lt", Duct: "1.25"})))
	require.Empty(t, v.Filter(Filter{Since: reviewNow}))
	v.Sort(BySpeed)
	require.Equal(t, "94 ft/min", v.Profiles[2].Speed)
	v.Sort(ByWorst)
	require.Equal(t, "94 ft/min", v.Profiles[0].Speed)
}

// TestWeeks: ISO 8601 weeks begin on Monday; 2026-05-14 is a Thursday and 2026-01-01 too
// (calendar).
func TestWeeks(t *testing.T) {
	require.Equal(t, "2026-05-11", monday(time.Date(2026, 5, 14, 1, 0, 0, 0, time.FixedZone("", -5*3600))).Format(time.DateOnly))
	require.Equal(t, "2025-12-29", monday(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)).Format(time.DateOnly))
	require.Equal(t, "2026-05-11", monday(time.Date(2026, 5, 17, 23, 0, 0, 0, time.UTC)).Format(time.DateOnly))
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	writeSample(t, l, good.as(2).with(`operator = "AB"`, `operator = "ab "`).with(`advised_speed = "95 ft/min"`, `advised_speed = "100 ft/min"`))
	alone := good.as(3) // a trial that ended without a profile, and the trial of a profile
	alone.text, _, _ = strings.Cut(alone.text, "[setting]")
	writeInto(t, l, "trials/"+alone.id+".toml", alone.text)
	both := good.as(2)
	both.text, _, _ = strings.Cut(both.text, "[setting]")
	writeInto(t, l, "trials/"+both.id+".toml", both.text)
	writeInto(t, l, "trials/"+good.as(4).id+".toml", "format = 1\nbroken")
	v := reviewOf(t, l)
	weeks := v.Weeks()
	require.Len(t, weeks, 1)
	require.Equal(t, 3, weeks[0].Trials)
	require.Equal(t, 36, weeks[0].Pushes)
	require.InDelta(t, 7.2, weeks[0].Cable, 1e-9)
	require.InDelta(t, 1.0/3, weeks[0].OverridesPerTrial(), 1e-9)
	require.Len(t, v.Unreadable, 1)
}

// TestFailedCheckIsListed: a short check that folded leaves no profile, and shows.
func TestFailedCheckIsListed(t *testing.T) {
	l := reviewLibrary(t)
	good := goodSample(t)
	writeSample(t, l, good.as(1))
	check := good.as(2).with(`kind = "full"`, fmt.Sprintf("kind = %q\nof = %q", session.ShortCheck, good.as(1).id))
	check.text, _, _ = strings.Cut(check.text, "[setting]")
	writeInto(t, l, "trials/"+check.id+".toml", check.text)
	require.Equal(t, []ExceptionKind{CheckDidNotHold}, kinds(reviewOf(t, l).Profiles[0]))
}

func TestReviewFileErrors(t *testing.T) {
	head := "format = 1\nkind = \"review\"\nby = \"QS\"\n"
	for text, want := range map[string]string{
		"kind = \"review\"\nby = \"QS\"\n":                                              "format: missing",
		"format = 1\nkind = \"full\"\n":                                                 "x.toml:2:8: kind: this is no review",
		"format = 1\nkind = \"review\"\n":                                               "by: missing",
		head + "[[action]]\nof = \"../../x\"\naction = \"accept\"\n":                    "x.toml:5:6: action[0].of: \"../../x\" is no profile id",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"delete\"\n": `"delete" is no action`,
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\n":                      "action: missing",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"expire\"\n": "expires: missing",
		head + "[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"query\"\n":  "note: missing",
		head + "approved = true\n":                                                      "approved: this key is not known",
	} {
		_, err := parseReview("x.toml", []byte(text))
		require.ErrorContains(t, err, want, text)
		require.Contains(t, err.Error(), "\n  ", "what to do")
	}
}

// FuzzReview: any bytes are a review or an error; what was read keeps its meaning in the
// index.
func FuzzReview(f *testing.F) {
	f.Add("format = 1\nkind = \"review\"\nby = \"QS\"\n[[action]]\nof = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\naction = \"withdraw\"\nnote = \"a\\u001fb\"\n")
	f.Add("format = 1\nkind = \"review\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := parseReview("x.toml", []byte(text))
		if err != nil {
			require.Nil(t, r)
			return
		}
		list := unpackActions(packActions(r.Actions), true)
		require.Len(t, list, len(r.Actions))
		for i, a := range r.Actions {
			require.Equal(t, a.Action, list[i].Action)
			require.Equal(t, a.Of, list[i].Of)
			require.Equal(t, a.Expires.IsZero(), list[i].Expires.IsZero())
		}
	})
}
