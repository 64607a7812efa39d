package ask

import (
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

const rigJob = "[rig]\npush_control = \"relief\"\npush_unit = \"notches\"\nspeed_limit = \"12 notches\"\ngrip_limit = \"60 psi\"\n"

// pulledOn answers a pull test's questions, as droopOn does a droop's.
func pulledOn(t *testing.T, p PullTestFlow, answers ...string) PullTestFlow {
	t.Helper()
	put := func(f Flow, next PullTestFlow) Flow { p = next; return f }
	for _, a := range answers {
		question := p.Question(put)
		if question.Enter != nil && a[0] >= '0' && a[0] <= '9' {
			_, _, err := question.Enter.Take(Flow{}, a)
			require.NoError(t, err, question.ID)
			continue
		}
		_, effect := chosen(t, question, a)(Flow{})
		require.Equal(t, None{}, effect)
	}
	return p
}

func samePull(f Flow, _ PullTestFlow) Flow { return f }

func rigOf(t *testing.T, r profiles.Record) session.Rig {
	t.Helper()
	trial, err := r.Trial()
	require.NoError(t, err)
	return trial.Rig
}

// Points on a straight line give that line: 15 N a notch from 10 N.
func TestPullTestThrust(t *testing.T) {
	record := jobRecord(t, rigJob)
	p := NewPullTestFlow(rigOf(t, record), true)
	require.Equal(t, "pull-safe", p.Question(samePull).ID, "safety first")
	p = pulledOn(t, p, "All of this is so", "How hard", "600 N", "1 notches", "25 N", "2 notches", "40 N", "3 notches", "55 N", "4 notches", "70 N", "That is all")
	question := p.Question(samePull)
	require.Equal(t, "15 N/notches, from 10 N at zero", question.Title)
	require.Equal(t, "Pair 1: 1 notches, 25 N; off the line by 0 N", question.Body[0][:44])

	_, effect := chosen(t, question, "Keep it")(Flow{Record: record})
	kept := effect.(ReplaceJob).Record
	require.Equal(t, "15 N/notches", kept.Rig.ThrustPerSpeed.String())
	require.Equal(t, "10 N", kept.Rig.ThrustOffset.String())
}

func TestPullTestTraction(t *testing.T) {
	record := jobRecord(t, rigJob)
	p := pulledOn(t, NewPullTestFlow(rigOf(t, record), false), "All of this is so", "When the belts", "135 lbf",
		"10 psi", "22 lbf", "20 psi", "42 lbf", "30 psi", "62 lbf", "That is all")
	question := p.Question(samePull)
	require.Equal(t, "2 lbf/psi, from 2 lbf at zero", question.Title, "the straight line the pairs lie on")
	_, effect := chosen(t, question, "Keep it")(Flow{Record: record})
	require.Equal(t, "2 lbf/psi", effect.(ReplaceJob).Record.Rig.TractionPerGrip.String())
}

func TestPullTestNamesThePairOutOfLine(t *testing.T) {
	p := pulledOn(t, NewPullTestFlow(session.Rig{PushUnit: "notches"}, true), "All of this is so", "How hard", "600 N",
		"1 notches", "31 N", "2 notches", "59 N", "3 notches", "132 N", "4 notches", "119 N", "5 notches", "151 N", "6 notches", "178 N", "That is all")
	question := p.Question(samePull)
	require.Contains(t, question.Body[2], ", out of line")
	require.Contains(t, question.Body, "! Pair 3 is out of line with the others: measure it again.")
	p = pulledOn(t, p, "Measure pair 3 again", "3 notches", "92 N", "That is all")
	for _, line := range p.Question(samePull).Body {
		require.NotContains(t, line, "out of line")
	}
}

func TestPullTestRefuses(t *testing.T) {
	rig := rigOf(t, jobRecord(t, rigJob))
	thrust := pulledOn(t, NewPullTestFlow(rig, true), "All of this is so", "How hard", "600 N")
	traction := pulledOn(t, NewPullTestFlow(rig, true), "All of this is so", "When the belts", "600 N")
	for _, tt := range []struct {
		at         PullTestFlow
		text, want string
	}{
		{pulledOn(t, NewPullTestFlow(rig, true), "All of this is so", "How hard"), "0 N", "must be above zero"},
		{thrust, "13 notches", "must be from zero to the drive's limit of 12 notches"},
		{thrust, "3 bar", "is not in the push control's unit, notches"},
		{traction, "61 psi", "must be from zero to the drive's limit of 60 psi"},
		{traction, "6 notches", "grip pressure: "},
		{pulledOn(t, thrust, "3 notches"), "601 N", "is above the 600 N never to be passed"},
		{pulledOn(t, thrust, "3 notches"), "60", "pull: "},
	} {
		question := tt.at.Question(samePull)
		_, effect, err := question.Enter.Take(Flow{}, tt.text)
		require.ErrorContains(t, err, tt.want, question.ID)
		require.Equal(t, None{}, effect)
	}
}

// Fewer than three pairs are no line, and the way to one is offered.
func TestPullTestNeedsThreePairs(t *testing.T) {
	p := pulledOn(t, NewPullTestFlow(session.Rig{}, true), "All of this is so", "How hard", "600 N", "1 notches", "25 N", "2 notches", "20 N")
	for _, c := range p.Question(samePull).Choices {
		require.NotContains(t, c.Label, "That is all")
	}
	p = pulledOn(t, p, "3 notches", "10 N", "That is all")
	question := p.Question(samePull)
	require.Equal(t, "These pairs give no line", question.Title)
	require.Contains(t, question.Body[0], "does not rise with the reading")
	p = pulledOn(t, p, "Measure another pair", "Take the last pair back")
	require.Len(t, p.pairs, 2)
}

// A card cannot keep what no force is written as; nothing is bent to fit.
func TestPullTestBelowZero(t *testing.T) {
	p := pulledOn(t, NewPullTestFlow(session.Rig{}, true), "All of this is so", "How hard", "600 N",
		"2 notches", "10 N", "3 notches", "40 N", "4 notches", "70 N", "That is all")
	line, err := p.Fit()
	require.NoError(t, err)
	require.Equal(t, "-50 N", line.Changes[1][1], "the straight line the pairs lie on")
	_, readable := q.Parse[q.Force]("-50 N")
	kept := false
	for _, c := range p.Question(samePull).Choices {
		kept = kept || c.Label == "Keep it for this rig"
	}
	require.Equal(t, readable == nil, kept)
}

func TestPullTestTitlesFit(t *testing.T) {
	p := NewPullTestFlow(session.Rig{PushUnit: "notches"}, true)
	for _, answer := range []string{"All of this is so", "How hard", "600 N", "1 notches", "25 N"} {
		question := p.Question(samePull)
		require.LessOrEqual(t, lipgloss.Width(question.Title), 58, question.ID)
		require.NotEmpty(t, question.Help, question.ID)
		flow, effect := chosen(t, question, "Stop the pull test")(Flow{})
		require.Equal(t, None{}, effect)
		require.Equal(t, Flow{}.Record, flow.Record)
		p = pulledOn(t, p, answer)
	}
}

// A straight line through nothing begins at nothing: what the arithmetic leaves of that is no
// offset, and the rig card keeps the line.
func TestPullTestOfProportionalPairs(t *testing.T) {
	for _, answers := range [][]string{
		{"How hard", "500 lbf", "40 ft/min", "20 lbf", "80 ft/min", "40 lbf", "120 ft/min", "60 lbf", "160 ft/min", "80 lbf"},
		{"When the belts", "500 lbf", "10 psi", "20 lbf", "20 psi", "40 lbf", "35 psi", "70 lbf"},
	} {
		p := pulledOn(t, NewPullTestFlow(session.Rig{}, false), append(append([]string{"All of this is so"}, answers...), "That is all")...)
		question := p.Question(samePull)
		require.Contains(t, question.Title, ", from 0 lbf at zero")
		require.Contains(t, question.Body[0], "; off the line by 0 lbf")
		require.Equal(t, "Keep it for this rig", question.Choices[0].Label, "%v", question.Body)
	}
}
