package ask

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
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

// makeSafe answers what is asked of who ends a trial without a setting.
func (c *crew) makeSafe() *crew {
	c.t.Helper()
	for _, state := range []string{"stopped, isolated", "shut, vented", "fitted, tagged"} {
		require.NotEqual(c.t, session.ClosedStage, c.question().Stage)
		c.choose(state)
	}
	require.Equal(c.t, "made-safe", c.question().ID)
	return c.choose("Close the trial")
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
	const gauge = "The gauge's reading" // what can be typed is a page further there
	if c.question().Enter == nil && c.offers(gauge) {
		c.choose(gauge)
	}
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
	if question.ID == "odd" {
		c.choose("Yes, ")
		return
	}
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
	switch outcome {
	case "FOLD":
		c.reach("used")
		fallthrough
	case "VOID":
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
