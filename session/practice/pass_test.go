package practice

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Each thing a lesson may ask for keeps it from being passed, and nothing else does.
func TestMissing(t *testing.T) {
	read := func(o session.Outcome, right, marked bool) Verdict {
		return Verdict{Read: o, Right: right, Truth: Truth{JacketMarked: marked}}
	}
	for name, row := range map[string]struct {
		pass     Pass
		ended    Ends
		review   Review
		verdicts []Verdict
		want     string // "" for passed
	}{
		"nothing asked":      {ended: Refused},
		"unsafe":             {ended: Refused, review: Review{Unsafe: make([]Unsafe, 1)}, want: "Unsafe acts: 1. One is enough to fail."},
		"wrong":              {ended: Refused, review: Review{Wrong: make([]Verdict, 2)}, pass: Pass{MostWrong: 1}, want: "Wrong readings: 2, and at most 1 may be."},
		"few wrong":          {ended: Refused, review: Review{Wrong: make([]Verdict, 1)}, pass: Pass{MostWrong: 1}},
		"left":               {pass: Pass{Ends: WithSetting}, want: "The trial was not ended."},
		"refused":            {ended: Refused, pass: Pass{Ends: WithSetting}, want: "It had to end with an install setting."},
		"setting":            {ended: WithSetting, pass: Pass{Ends: WithSetting}},
		"no setting to give": {ended: WithSetting, pass: Pass{Ends: Refused}, want: "It had to end without a setting: this rig has none to give."},
		"rightly refused":    {ended: Refused, pass: Pass{Ends: Refused}},
		"not read":           {ended: Refused, pass: Pass{MustRead: []session.Outcome{session.Slip}}, verdicts: []Verdict{read(session.Stall, true, false)}, want: "No slip was met and read right."},
		"read wrong":         {ended: Refused, pass: Pass{MustRead: []session.Outcome{session.Slip}}, verdicts: []Verdict{read(session.Slip, false, false)}, want: "No slip was met and read right."},
		"read":               {ended: Refused, pass: Pass{MustRead: []session.Outcome{session.Slip}}, verdicts: []Verdict{read(session.Slip, true, false)}},
		"found":              {ended: Refused, pass: Pass{MustFind: []TroubleKind{Ledge}}},
		"not found":          {ended: Refused, pass: Pass{MustFind: []TroubleKind{NoFence}}, want: "Not found: no fence. There is no fence at the plug end."},
		"no mark":            {ended: Refused, pass: Pass{MustMark: true}, verdicts: []Verdict{read(session.Stall, true, false)}, want: "No marked jacket was met and written down."},
		"mark missed":        {ended: Refused, pass: Pass{MustMark: true}, verdicts: []Verdict{read(session.Stall, false, true)}, want: "No marked jacket was met and written down."},
		"mark":               {ended: Refused, pass: Pass{MustMark: true}, verdicts: []Verdict{read(session.Stall, true, true)}},
		"risk":               {ended: WithSetting, pass: Pass{MostRisk: 0.1}, review: Review{FoldChance: q.Known(0.2), Engine: Engine{FoldChance: q.Known(0.05)}}, want: "At the accepted setting 20 in 100 would fold; at most 10 in 100 may."},
		"the rule's luck":    {ended: WithSetting, pass: Pass{MostRisk: 0.1}, review: Review{FoldChance: q.Known(0.2), Engine: Engine{FoldChance: q.Known(0.2)}}},
		"any risk":           {ended: WithSetting, review: Review{FoldChance: q.Known(0.2)}},
	} {
		b := &Bench{lesson: Lesson{Pass: row.pass}, verdicts: row.verdicts, found: map[TroubleKind]bool{Ledge: true}}
		var want []string
		if row.want != "" {
			want = []string{row.want}
		}
		row.review.Right = len(row.verdicts)
		wrong, goal := b.missing(row.review, row.ended)
		require.Equal(t, want, append(wrong, goal...), name)
	}
}

func TestRunMissing(t *testing.T) {
	home := RunReview{RunState: RunState{Ended: true}}
	require.Empty(t, home.missing())
	for want, change := range map[string]func(*RunReview){
		"The run was not ended.":                                                 func(r *RunReview) { r.Ended = false },
		"The cable folded in the duct: all of it is scrap.":                      func(r *RunReview) { r.Folded = true },
		"The push control went above the install setting.":                       func(r *RunReview) { r.Overrides = 1 },
		"It was stopped with nothing wrong.":                                     func(r *RunReview) { r.Early = true },
		"The run went on although the cable had slowed below 60 % of its speed.": func(r *RunReview) { r.Late = true },
	} {
		r := home
		change(&r)
		require.Equal(t, []string{want}, r.missing())
	}
}

// A run is stopped too early above nine tenths of its speed, and let run too long below
// six.
func TestWhenToStop(t *testing.T) {
	at := func(part float64, act RunAct) RunReview {
		l := lesson()
		l.Run = &Run{Length: 500, Friction: 0.2, Speed: 0.5, Harder: 0.1, SnagAt: 1000}
		b, err := NewRun(l, 1)
		require.NoError(t, err)
		b.now.Cable = q.Speed(part * 0.5)
		b.Do(act)
		return b.now
	}
	require.True(t, at(0.91, StopAndLook).Early)
	require.False(t, at(0.89, StopAndLook).Early)
	require.False(t, at(0.61, RunOn).Late)
	require.True(t, at(0.59, RunOn).Late)
	require.True(t, at(0.59, PushHarder).Late)
	require.False(t, at(0.59, StopAndLook).Late)
}

func TestNames(t *testing.T) {
	for _, name := range endsNames {
		var e Ends
		require.NoError(t, e.UnmarshalText([]byte(name)))
		text, err := e.MarshalText()
		require.NoError(t, err)
		require.Equal(t, name, string(text))
	}
	for _, name := range TroubleNames() {
		var k TroubleKind
		require.NoError(t, k.UnmarshalText([]byte(name)))
		text, err := k.MarshalText()
		require.NoError(t, err)
		require.Equal(t, name, string(text))
	}
	require.Error(t, new(Ends).UnmarshalText([]byte("well")))
	require.Error(t, new(TroubleKind).UnmarshalText(nil))
}

func TestOutOf(t *testing.T) {
	require.Equal(t, "fewer than 1 in 1000", outOf(0))
	require.Equal(t, "0.1 in 100", outOf(0.001))
	require.Equal(t, "2.34 in 100", outOf(0.0234))
	require.Equal(t, "100 in 100", outOf(1))
	rig := session.Rig{PushUnit: "ft/min"}
	require.Equal(t, "4.9 ft", ShowLength(1.5, rig))
	require.Equal(t, "430 ft", ShowLength(131, rig))
	require.Equal(t, "1.5 m", ShowLength(1.5, session.Rig{PushUnit: "m/min"}))
}
