package ask

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/ui/rehearsal"
)

// crew answers the flow's questions.
type crew struct {
	t     *testing.T
	flow  Flow
	kept  *rehearsal.Trial
	now   time.Time
	saved *session.Setting
}

// newCrew starts on the example job, changed by pairs of key and text.
func newCrew(t *testing.T, changes ...string) *crew {
	t.Helper()
	job, err := rehearsal.Job("../../testdata/jobs/example.toml", changes...)
	require.NoError(t, err)
	c := &crew{t: t, now: rehearsal.Morning}
	c.kept = &rehearsal.Trial{Now: func() time.Time { return c.now }}
	require.NoError(t, c.kept.ReplaceJob(job))
	c.flow = Flow{}.See(c.kept)
	return c
}

// copy is a crew at the same place, whose record goes its own way.
func (c *crew) copy(t *testing.T) *crew {
	d := *c
	kept := *c.kept
	kept.Now = func() time.Time { return d.now }
	d.t, d.kept = t, &kept
	return &d
}

func (c *crew) question() Question {
	c.flow.Now = c.now
	return c.flow.Question()
}

// carry carries an effect out, as every front end does.
func (c *crew) carry(e Effect) error {
	c.now = c.now.Add(5 * time.Second)
	k := Keeper{Trial: c.kept, Save: func(s session.Setting) (string, error) {
		c.saved = &s
		return "profile.toml", nil
	}}
	_, err := k.Carry(e)
	c.flow = c.flow.See(c.kept)
	return err
}

// offers reports whether a choice that holds the text is offered.
func (c *crew) offers(text string) bool {
	for _, choice := range c.question().Choices {
		if strings.Contains(choice.Label, text) {
			return true
		}
	}
	return false
}

// choose takes the first choice that holds a text, one after the other.
func (c *crew) choose(texts ...string) *crew {
	c.t.Helper()
next:
	for _, text := range texts {
		question := c.question()
		for _, choice := range question.Choices {
			if strings.Contains(choice.Label, text) {
				next, effect := choice.Do(c.flow)
				c.flow = next
				require.NoError(c.t, c.carry(effect))
				continue next
			}
		}
		require.Failf(c.t, "no such choice", "%q at %q: %v", text, question.Title, labels(question))
	}
	return c
}

func labels(question Question) []string {
	var all []string
	for _, choice := range question.Choices {
		all = append(all, choice.Label)
	}
	return all
}

// enter types a value; what is refused changes nothing.
func (c *crew) enter(text string) error {
	c.t.Helper()
	question := c.question()
	require.NotNil(c.t, question.Enter, question.Title)
	next, effect, err := question.Enter.Take(c.flow, text)
	if err != nil {
		require.Equal(c.t, question.Title, c.question().Title)
		return err
	}
	c.flow = next
	return c.carry(effect)
}

// right answers questions rightly until one of another id than the first stands,
// or until the stage is over.
func (c *crew) right() {
	c.t.Helper()
	question := c.question()
	if len(question.Choices) > 0 && !strings.HasPrefix(question.Choices[0].Label, "Leave out") {
		c.choose(question.Choices[0].Label)
		return
	}
	require.NoError(c.t, c.enter(question.Enter.Example))
}

// reach answers rightly until a question of this id is asked.
func (c *crew) reach(id string) *crew {
	c.t.Helper()
	for range 100 {
		if c.question().ID == id {
			return c
		}
		c.right()
	}
	require.Failf(c.t, "never asked", "%q; now %q", id, c.question().Title)
	return c
}

// push makes one push with the outcome named, at the usual cost.
func (c *crew) push(outcome string) *crew {
	c.t.Helper()
	c.reach("dial").choose("ialled, everyone clear", "read it", outcome)
	if id := c.question().ID; id == "used" || id == "void" {
		c.choose(c.question().Choices[0].Label)
	}
	return c
}

// dialled is the setting asked for now.
func (c *crew) dialled() string {
	c.t.Helper()
	setting := c.reach("dial").question().Setting
	require.NotNil(c.t, setting)
	return c.flow.Trial.Rig.Show(*setting)
}

// proved is a crew at the install setting: nothing gives but the drive.
func proved(t *testing.T, changes ...string) *crew {
	c := newCrew(t, changes...)
	for range 40 {
		if c.reachAny("dial", "setting") == "setting" {
			return c
		}
		c.push("STALL")
	}
	require.Fail(t, "no setting after 40 stalls")
	return c
}

func (c *crew) reachAny(ids ...string) string {
	c.t.Helper()
	for range 100 {
		for _, id := range ids {
			if c.question().ID == id {
				return id
			}
		}
		c.right()
	}
	require.Failf(c.t, "never asked", "%v; now %q", ids, c.question().Title)
	return ""
}

// accept takes the setting as advised and has its profile written.
func (c *crew) accept() *crew {
	c.t.Helper()
	c.choose("Accept ")
	return c.save()
}

func (c *crew) save() *crew {
	c.t.Helper()
	if c.question().Stage == session.SaveStage {
		c.choose("Write it")
	}
	require.NotNil(c.t, c.saved)
	return c
}

// ask answers rightly until one check is asked alone.
func (c *crew) ask(id, title string) *crew {
	c.t.Helper()
	for range 100 {
		switch {
		case c.question().ID == id:
			return c
		case c.offers("Not so: " + title):
			c.choose("Not so: " + title)
		default:
			c.right()
		}
	}
	require.Failf(c.t, "never asked", "%q; now %q", id, c.question().Title)
	return c
}

// answeredSince are the checks answered after the first n entries.
func (c *crew) answeredSince(n int) []string {
	var items []string
	for _, a := range c.flow.Trial.Answers() {
		if a.Seq > n {
			items = append(items, a.Item)
		}
	}
	return items
}

func (c *crew) attempts() []session.Attempt { return c.flow.Trial.Attempts() }

func (c *crew) last() session.Attempt {
	all := c.attempts()
	require.NotEmpty(c.t, all)
	return all[len(all)-1]
}

// truth is a cable and a drive that repeat perfectly: what they do at a setting.
type truth struct{ fold, slipPerGrip float64 } // ft/min, ft/min per psi

func (u truth) outcome(s session.Setting) string {
	grip, speed := q.In(s.Grip, "psi"), q.In(q.Speed(s.Speed.Value), "ft/min")
	switch {
	case speed > u.slipPerGrip*grip+1e-9:
		return "SLIP"
	case speed >= u.fold:
		return "FOLD"
	}
	return "STALL"
}

// The whole flow on cables from weak to stronger than the drive. Derived here: with
// a cable that repeats perfectly, a setting at nine tenths of the lowest fold or
// less cannot fold, and one that slips cannot have stalled.
func TestWholeTrials(t *testing.T) {
	for _, u := range []truth{{30, 12}, {90, 12}, {118, 12}, {118, 30}, {200, 8}, {1e6, 12}, {1e6, 6}} {
		t.Run(fmt.Sprintf("folds at %g", u.fold), func(t *testing.T) {
			c := newCrew(t)
			require.Equal(t, session.JobStage, c.question().Stage)
			c.choose("Yes, start the trial")
			require.Equal(t, session.CautionStage, c.question().Stage)
			c.choose("Read aloud")
			require.Equal(t, session.CheckStage, c.question().Stage)
			for c.reachAny("dial", "setting", "refusal") == "dial" {
				require.Less(t, len(c.attempts()), 60)
				c.push(u.outcome(*c.question().Setting))
			}
			if c.question().ID != "setting" {
				return
			}
			install := c.flow.Outlook.Next.(session.Install)
			require.Equal(t, "STALL", u.outcome(install.Setting))
			require.LessOrEqual(t, q.In(q.Speed(install.Setting.Speed.Value), "ft/min"), 0.9*u.fold)

			c.accept()
			require.Equal(t, install.Setting.Grip, c.saved.Grip)
			require.InEpsilon(t, install.Setting.Speed.Value, c.saved.Speed.Value, 1e-6)
			require.Equal(t, session.CarryStage, c.question().Stage)
			for c.question().Stage == session.CarryStage {
				c.right()
			}
			require.Equal(t, session.ClosedStage, c.question().Stage)
		})
	}
}

// The example cannot be proved on a cable that folds at the lowest reading there is.
func TestRefusal(t *testing.T) {
	c := newCrew(t)
	for range 3 {
		c.push("FOLD")
	}
	question := c.question()
	require.Equal(t, session.SettingStage, question.Stage)
	require.False(t, c.offers("Accept"), labels(question))
	c.choose("Close the trial")
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Nil(t, c.saved)
}

func TestCrewRefusesOrStops(t *testing.T) {
	c := proved(t).choose("Refuse it")
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Nil(t, c.saved)

	c = newCrew(t).push("STALL").reach("dial").choose("Stop, no setting", "No, go on")
	require.Equal(t, "dial", c.question().ID)
	c.choose("Stop, no setting", "Yes, stop")
	require.Equal(t, session.ClosedStage, c.question().Stage)
	require.Len(t, c.attempts(), 1)
}

// A void proves nothing: the same setting is asked for again, and only the cable it
// cost counts.
func TestVoid(t *testing.T) {
	for _, reason := range session.VoidReasons() {
		c := newCrew(t).push("STALL")
		before := c.dialled()
		c.choose("ialled, everyone clear", "read it", "VOID", reason)
		require.Equal(t, session.Void, c.last().Outcome)
		require.Equal(t, reason, c.last().VoidReason)
		entries := len(c.flow.Trial.Entries)
		require.Equal(t, before, c.dialled())
		if reason == session.VoidPlugMoved {
			require.Contains(t, c.answeredSince(entries), "plug-held", "a plug that moved is looked at before the next push")
		}
		require.Equal(t, 2, len(c.attempts()))
	}
	c := newCrew(t).reach("dial").choose("ialled", "read it", "VOID")
	require.NoError(t, c.enter("hose came off"))
	require.Equal(t, "hose came off", c.last().VoidReason)

	c = newCrew(t).reach("dial").choose("ialled", "read it", "VOID", "No: read it", "STALL")
	require.Equal(t, session.Stall, c.last().Outcome)
}

func TestNoPushMade(t *testing.T) {
	c := newCrew(t).reach("dial").choose("ialled", "No push was made")
	require.Equal(t, "dial", c.question().ID)
	require.Empty(t, c.attempts())
}

// Source: common practice, no source: belts turning and line held is slip, both
// moving is fold, neither is stall; whatever else is seen proves nothing.
func TestTwoQuestions(t *testing.T) {
	rows := []struct {
		belts, line, lines string
		want               session.Outcome
	}{
		{"No, they stopped", "No, it held", "Yes, both", session.Stall},
		{"Yes, they kept", "No, it held", "Yes, both", session.Slip},
		{"Yes, they kept", "Yes, it moved", "Yes, both", session.Fold},
		{"No, they stopped", "Yes, it moved", "Yes, both", session.Void},
		{"No, they stopped", "No, it held", "No, plug", session.Void},
		{"Yes, they kept", "Yes, it moved", "No, plug", session.Void},
	}
	for _, row := range rows {
		for _, trainee := range []bool{true, false} {
			c := newCrew(t)
			if trainee {
				c = newCrew(t, "people.trainee", "true")
			}
			c.reach("dial").choose("ialled", "read it")
			if trainee {
				require.False(t, c.offers("STALL") || c.offers("SLIP") || c.offers("FOLD"), "a trainee says what was seen, not what it means")
			}
			c.choose("two questions", row.belts, row.line, row.lines)
			if row.want != session.Stall {
				c.choose(c.question().Choices[0].Label)
			}
			require.Equal(t, row.want, c.last().Outcome, "%+v", row)
			require.Equal(t, q.Known(strings.HasPrefix(row.belts, "Yes")), c.last().BeltsTurning)
			require.Equal(t, q.Known(strings.HasPrefix(row.line, "Yes")), c.last().LineMoved)
		}
	}
}

// Reading a push again starts from nothing: what was said and taken back is not
// written beside the new outcome.
func TestReadAgainForgets(t *testing.T) {
	rows := [][]string{
		{"two questions", "Yes, they kept", "No, it held", "Yes, both", "No: read it", "STALL"},
		{"two questions", "No, they stopped", "Yes, it moved", "Yes, both", "No: read it", "STALL"},
		{"two questions", "Yes, they kept", "Yes, it moved", "Yes, both", "No: read it again", "STALL"},
		{"two questions", "Yes, they kept", "Yes, it moved", "Yes, both", "No: read it again", "SLIP"},
	}
	for _, row := range rows {
		c := newCrew(t).reach("dial").choose("ialled", "read it").choose(row...)
		last := c.last()
		require.Empty(t, last.Contradicts(), "%v", row)
		require.False(t, last.JacketDamage, "%v", row)
	}
}

func TestStallConfirmation(t *testing.T) {
	c := newCrew(t).push("STALL")
	first := c.last().Setting
	c.choose("No: read it")
	require.Empty(t, c.attempts(), "what is not true is taken back first")
	c.choose("SLIP")
	require.Equal(t, session.Slip, c.last().Outcome)
	require.Equal(t, first, c.last().Setting)
	require.Len(t, c.attempts(), 1)

	c = newCrew(t).push("STALL")
	require.NoError(t, c.enter("38 ft/min"))
	require.Equal(t, q.Known(q.Reading{Value: 38 * 0.3048 / 60, Unit: "m/s"}).Known(), c.last().StallReading.Known())
	require.Equal(t, "dial", c.question().ID)
	require.Len(t, c.attempts(), 1)

	c.choose("Jacket marked")
	require.True(t, c.last().JacketDamage)
	require.True(t, c.last().StallReading.Known(), "a mark on the jacket takes no reading away")
	require.Len(t, c.attempts(), 1)
}

// Jacket damage ends the climb in grip pressure: no later push squeezes as hard.
func TestJacketDamage(t *testing.T) {
	c := newCrew(t).push("STALL").push("STALL")
	marked := c.last().Setting.Grip
	c.reach("dial").choose("Jacket marked")
	for range 40 {
		if c.reachAny("dial", "setting", "refusal") != "dial" {
			return
		}
		require.Less(t, c.question().Setting.Grip, marked)
		c.push("STALL")
	}
	require.Fail(t, "no end")
}

func TestUndo(t *testing.T) {
	c := newCrew(t)
	undo := func() {
		next, effect := c.flow.Undo()
		c.flow = next
		require.NoError(t, c.carry(effect))
	}
	undo()
	require.Empty(t, c.flow.Trial.Entries, "there is nothing to take back before the first answer")

	c.choose("Yes, start the trial")
	entries := len(c.flow.Trial.Entries)
	undo()
	require.Len(t, c.flow.Trial.Entries, entries, "the job is settled: it is changed, not taken back")

	c.push("STALL").push("STALL")
	before := c.dialled()
	c.push("FOLD")
	undo()
	require.Len(t, c.attempts(), 2)
	require.Equal(t, before, c.dialled())
	undo()
	require.Len(t, c.attempts(), 1, "each undo takes back one more")
	require.Greater(t, len(c.flow.Trial.Entries), entries+4, "what is taken back stays in the record")

	c = proved(t).accept()
	entries = len(c.flow.Trial.Entries)
	undo()
	require.Len(t, c.flow.Trial.Entries, entries, "a profile is never taken back")
}

func TestLowerNeverHigher(t *testing.T) {
	c := proved(t)
	advised := c.flow.Outlook.Next.(session.Install).Setting
	c.choose("lower speed")
	for _, choice := range c.question().Choices[1:] {
		s, err := c.flow.Trial.Rig.ReadSetting(choice.Label)
		require.NoError(t, err)
		require.Less(t, s.Speed.Value, advised.Speed.Value)
		require.InEpsilon(t, float64(advised.Grip), float64(s.Grip), 1e-9)
	}
	for _, text := range []string{"225 ft/min", "500 ft/min", "1 m/s/s", "0 ft/min", "-5 ft/min", "12 bar", "NaN ft/min", "1e400 ft/min", "fast", "220.1 ft/min"} {
		require.Error(t, c.enter(text), text)
		require.Equal(t, "", c.flow.Trial.StateOf(session.ItemSetting), text)
	}
	require.NoError(t, c.enter("150 ft/min"))
	c.save()
	require.Equal(t, advised.Grip, c.saved.Grip)
	require.InEpsilon(t, 150*0.3048/60, c.saved.Speed.Value, 1e-9) // 1 ft is 0.3048 m exactly: NIST SP 811, appendix B.8
}

func TestReadBackRefusesHarder(t *testing.T) {
	c := proved(t).accept().ask("dialled-grip-pressure", "Grip pressure")
	advised := *c.saved
	psi := q.In(advised.Grip, "psi")
	for _, off := range []float64{-5, -1, -0.6, 0.6, 1, 30} {
		require.Error(t, c.enter(fmt.Sprintf("%g psi", psi+off)), "%g psi off", off)
		require.Equal(t, "dialled-grip-pressure", c.question().ID)
	}
	require.Error(t, c.enter("10"))
	require.NoError(t, c.enter(fmt.Sprintf("%g psi", psi+0.4)))

	c.ask("dialled-push-control", "Push control")
	speed := q.In(q.Speed(advised.Speed.Value), "ft/min")
	for _, text := range []string{fmt.Sprintf("%g ft/min", speed+1), fmt.Sprintf("%g ft/min", speed*1.1), "9 bar", "fast"} {
		require.Error(t, c.enter(text), text)
		require.Equal(t, "dialled-push-control", c.question().ID)
	}
	entries := len(c.flow.Trial.Entries)
	require.NoError(t, c.enter(fmt.Sprintf("%g ft/min", speed-20)))
	require.Equal(t, []string{"dialled-push-control"}, c.answeredSince(entries))
}

// Source: common practice, no source: what can kill is never left out, and a wrong
// state holds everything until it is right.
func TestKillersCannotBeSkipped(t *testing.T) {
	killers := map[string]bool{}
	visit := func(c *crew, stage session.Stage) {
		for c.question().Stage == stage {
			question := c.question()
			if strings.Contains(strings.Join(question.Body, "\n"), "Nothing moves until this is right.") {
				require.False(t, killers[question.ID], "%s is asked again", question.ID)
				killers[question.ID] = true
				require.False(t, c.offers("Leave out"), question.Title)
				require.Nil(t, question.Enter, question.Title)
				for _, wrong := range labels(question)[1:] {
					if wrong == "shut twice, bleed open" || wrong == "Tag for the lid" { // the second right state; no state
						continue
					}
					c.choose(wrong)
					require.Equal(t, question.ID, c.question().ID, "%q must hold everything", wrong)
				}
			}
			c.right()
		}
	}
	c := newCrew(t).choose("Yes, start", "Read aloud")
	visit(c, session.CheckStage)
	require.Len(t, killers, 7)
	require.Equal(t, session.ClimbStage, c.question().Stage)
	for c.reachAny("dial", "setting") == "dial" {
		c.push("STALL")
	}
	c.accept()
	visit(c, session.CarryStage)
	require.Len(t, killers, 10)
	require.Equal(t, session.ClosedStage, c.question().Stage)
}

// A check left out has its reason in the record, and is not asked again.
func TestLeftOut(t *testing.T) {
	c := newCrew(t, "people.trainee", "true").reach("same-reel").choose("Leave out", "Go back to the check")
	require.Equal(t, "same-reel", c.question().ID)
	c.choose("Leave out")
	require.NoError(t, c.enter("legend under tape"))
	answers := c.flow.Trial.Answers()
	require.Equal(t, "legend under tape", answers[len(answers)-1].SkipReason)
	require.Equal(t, "same-reel", answers[len(answers)-1].Item)
	c.reach("dial")
}

func TestPause(t *testing.T) {
	rows := []struct {
		idle  time.Duration
		again bool
	}{
		{9*time.Minute + 50*time.Second, false},
		{session.LongPause, false},
		{session.LongPause + time.Second, true},
		{24 * time.Hour, true},
		{-time.Hour, true}, // a clock set back proves no short pause
	}
	for _, row := range rows {
		c := newCrew(t).push("STALL").reach("dial")
		c.now = c.last().At.Add(row.idle)
		if !row.again {
			require.Equal(t, "dial", c.question().ID, "%v", row.idle)
			continue
		}
		require.Equal(t, session.CheckStage, c.question().Stage, "%v", row.idle)
		entries := len(c.flow.Trial.Entries)
		c.reach("dial")
		asked := c.answeredSince(entries)
		for _, killer := range []string{"chamber-vented", "stop-tested", "guards-on", "supply-isolates", "stub-holed", "plug-held", "line-of-fire"} {
			require.Contains(t, asked, killer, "after %v", row.idle)
		}
		require.NotContains(t, asked, "same-reel", "what a pause does not touch is not asked again")
	}
}

// A pause in the middle of a push: the push question is left for the killers.
func TestPauseAfterDialling(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("ialled")
	require.Equal(t, "push", c.question().ID)
	c.now = c.now.Add(session.LongPause + time.Minute)
	require.Equal(t, session.CheckStage, c.question().Stage)
	require.Equal(t, "dial", c.reach("dial").question().ID)
}

// Only what a fold or a slip has touched is asked again after it.
func TestTouchedOnly(t *testing.T) {
	rows := []struct {
		outcome string
		want    []string
	}{
		{"STALL", nil},
		{"SLIP", []string{"guards-on", "belts-clean", "lines-drawn"}},
		{"FOLD", []string{"guards-on", "reel-slack", "cable-sound", "end-capped", "lead-in-fitted", "lines-drawn", "settling-push"}},
	}
	for _, row := range rows {
		c := newCrew(t).push("STALL").push(row.outcome)
		entries := len(c.flow.Trial.Entries)
		c.reach("dial").choose("ialled")
		require.Equal(t, row.want, c.answeredSince(entries), row.outcome)
	}
}

func TestCableUsed(t *testing.T) {
	c := newCrew(t).reach("dial").choose("ialled", "read it", "FOLD")
	for _, text := range []string{"-3 ft", "five", "3 psi", "1e9 km", "NaN m", "1.5"} {
		require.Error(t, c.enter(text), text)
	}
	require.Empty(t, c.attempts())
	require.NoError(t, c.enter("1.5 m"))
	require.InDelta(t, 1.5, float64(c.last().CableUsed), 1e-9)
}

// A warmer cable is a change with its reason, and later pushes carry it.
func TestTemperatureChanged(t *testing.T) {
	c := newCrew(t).push("STALL").reach("dial").choose("Cable temperature")
	for _, text := range []string{"hot", "-500 F", "''", `""`, "true", "[]"} {
		require.Error(t, c.enter(text), text)
	}
	require.NoError(t, c.enter("52 F"))
	require.Len(t, c.flow.Trial.Changes(), 1)
	c.push("STALL")
	require.InDelta(t, (52.0-32)/1.8, q.In(c.last().CableTemperature.Or(0), "°C"), 1e-9) // NIST SP 811, appendix B.9
	require.InDelta(t, (41.0-32)/1.8, q.In(c.attempts()[0].CableTemperature.Or(0), "°C"), 1e-9)
}

// FuzzTypedText types any text wherever words are taken; the record stays readable
// and keeps the words or refuses them.
func FuzzTypedText(f *testing.F) {
	for _, text := range rehearsal.Typed {
		f.Add(text)
	}
	var places []*crew // led there once: what is typed goes to a copy
	f.Fuzz(func(t *testing.T, text string) {
		if text = strings.TrimSpace(text); text == "" {
			t.Skip("both front ends take an empty line for no answer")
		}
		if places == nil {
			places = []*crew{
				newCrew(t, "cable.reel", "").choose("Change a value", "Reel number"),
				newCrew(t).reach("dial").choose("ialled", "read it", "VOID"),
				newCrew(t).push("STALL").reach("dial"),
				newCrew(t).reach("dial").choose("Cable temperature"),
			}
		}
		for _, place := range places {
			c := place.copy(t)
			entries := len(c.flow.Trial.Entries)
			if err := c.enter(text); err != nil {
				require.Len(t, c.flow.Trial.Entries, entries)
				continue
			}
			back, err := c.kept.Record().Text()
			require.NoError(t, err)
			r, err := profiles.Parse("back", []byte(back))
			require.NoError(t, err)
			require.Equal(t, c.kept.Record().Cable.Reel, r.Cable.Reel)
			require.Equal(t, c.kept.Record().Attempts, r.Attempts)
			require.NotEmpty(t, c.question().Title)
		}
	})
}

// Whoever asks why at an outcome is told what may look like it, and how to find out.
func TestOutcomeHelpNamesFalseReadings(t *testing.T) {
	help := strings.Join(newCrew(t).reach("read").question().Help, "\n")
	for _, d := range session.Doubts() {
		require.Contains(t, help, "A false "+d.Looks+"? If "+d.Because+": "+d.Check+".")
	}
}
