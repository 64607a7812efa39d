package profiles

import (
	"crypto/rand"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// runClock goes on by twenty seconds at each look, unless it is moved.
type runClock struct{ at time.Time }

func (c *runClock) now() time.Time {
	c.at = c.at.Add(20 * time.Second)
	return c.at
}

const runProfile = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"

// runLibrary is a library with one profile, and its clock.
func runLibrary(t testing.TB) (*Library, *runClock) {
	t.Helper()
	clock := &runClock{time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600))}
	l, err := libraryIn(t.TempDir(), clock.now, rand.Reader)
	require.NoError(t, err)
	writeInto(t, l, "profiles/2026-05/"+runProfile+".toml", fileText(t, "../testdata/covers/profile.toml"))
	return l, clock
}

func quantity[T q.Scalar](t testing.TB, text string) Quantity[T] {
	t.Helper()
	v, err := NewQuantity[T](text)
	require.NoError(t, err)
	return v
}

func controlReading(t testing.TB, text string) Reading {
	t.Helper()
	v, err := NewReading(text)
	require.NoError(t, err)
	return v
}

// newRun begins a run with a reach, of the example's route and air.
func newRun(t testing.TB, l *Library) *Run {
	t.Helper()
	path := "../testdata/jobs/reach_example.toml"
	f, err := ParseReach(Source{Path: path, Text: []byte(fileText(t, path))})
	require.NoError(t, err)
	r, err := l.NewRun(RunPlan{
		Profile: runProfile, People: RunPeople{Operator: "AB", FarEnd: "EF"}, Reach: f, Route: RunRoute{Name: "chamber 12 to 13"},
		Gauge: RunGauge{Unit: "N", Division: controlReading(t, "5 N")},
	})
	require.NoError(t, err)
	t.Cleanup(func() { _ = r.Close() })
	return r
}

// answerAll answers every check that is open.
func answerAll(t testing.TB, r *Run) {
	t.Helper()
	for _, c := range r.View().Due {
		require.NoError(t, r.Append(Answer{Item: c.ID, State: c.States[0], By: "AB"}))
	}
}

// begin brings a run to where the cable moves.
func beginRun(t testing.TB, r *Run) {
	t.Helper()
	answerAll(t, r)
	require.NoError(t, r.Append(Proving{Mandrel: quantity[q.Length](t, "28 mm"), Passes: 2}, Answer{Item: run.ItemProved, State: run.DuctProved}))
	answerAll(t, r)
	require.NoError(t, r.Append(
		Dialled{Grip: quantity[q.Pressure](t, "6 psi"), Speed: controlReading(t, "95 ft/min"), CableTemperature: quantity[q.Temperature](t, "43 °F")},
		RunStart{Mark: quantity[q.Length](t, "1417 m"), Counts: run.CountsDown, AirPressure: quantity[q.Pressure](t, "9 bar")},
	))
}

func endRun(t testing.TB, r *Run, c Closing) {
	t.Helper()
	require.NoError(t, r.Append(RunEnd{Arrived: true, By: "EF"}))
	answerAll(t, r)
	retired := true
	c.StubRetired = &retired
	require.NoError(t, r.Append(c, Answer{Item: run.ItemClosed, State: run.RunClosed}))
}

// The head of a run says all that is needed to read it alone.
func TestNewRunReadsAlone(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	record, err := l.RunRecord(r.ID())
	require.NoError(t, err)
	require.Equal(t, r.Record(), *record)
	require.Equal(t, runProfile, record.Of)
	require.Equal(t, "6 psi", record.Plan.Grip.String())
	require.Equal(t, "47 °F", record.Plan.CoveredUpTo.String())
	require.Len(t, record.Plan.DropTo, 3)
	require.Equal(t, "2 psi", record.Plan.GripStep.String())
	require.Equal(t, "6 psi", record.Plan.GripTried.String(), "nothing else was tried")
	require.Equal(t, "118 kg/km", record.Cable.Mass.String(), "the profile does not say it, the reach file does")
	require.Equal(t, "NM-20417", record.Cable.Reel)
	require.Len(t, record.Sections, 9)

	engine := r.Engine()
	require.True(t, engine.Plan.Reach.Known())
	require.Equal(t, "m/min", engine.Plan.Units.Speed)
	require.Equal(t, "°F", engine.Plan.Units.Temperature)
	require.NoError(t, os.RemoveAll(filepath.Join(l.Where(), "profiles")))
	again, err := l.RunRecord(r.ID())
	require.NoError(t, err)
	require.Equal(t, record, again)
}

// A profile whose trial tried more grip pressure, and marked the jacket at some.
func TestGripTriedClean(t *testing.T) {
	psi := func(v float64) q.Pressure { return q.From[q.Pressure](v, "psi") }
	attempt := func(grip float64, o session.Outcome, damage bool) session.Attempt {
		return session.Attempt{Mark: session.Mark{Seq: 1}, Setting: session.Setting{Grip: psi(grip)}, Outcome: o, JacketDamage: damage}
	}
	for _, tt := range []struct {
		name     string
		attempts []session.Entry
		want     float64
	}{
		{"nothing", nil, 6},
		{"a stall at more", []session.Entry{attempt(10, session.Stall, false)}, 10},
		{"a clean slip", []session.Entry{attempt(8, session.Slip, false)}, 8},
		{"a fold proves no grip", []session.Entry{attempt(8, session.Fold, false)}, 6},
		{"void", []session.Entry{attempt(8, session.Void, false)}, 6},
		{"marked at eight", []session.Entry{attempt(10, session.Stall, false), attempt(8, session.Stall, true), attempt(7, session.Stall, false)}, 7},
		{"marked below the setting", []session.Entry{attempt(5, session.Stall, true), attempt(9, session.Stall, false)}, 6},
	} {
		require.Equal(t, psi(tt.want), cleanGrip(session.Trial{Entries: tt.attempts}, psi(6)), tt.name)
	}
}

func TestNewRunNeedsAProfile(t *testing.T) {
	l, _ := runLibrary(t)
	for _, id := range []string{"", "../x", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5E"} {
		_, err := l.NewRun(RunPlan{Profile: id})
		require.Error(t, err, id)
	}
	require.NoDirExists(t, filepath.Join(l.Where(), "runs"), "nothing is written")
	r, err := l.NewRun(RunPlan{Profile: runProfile, Route: RunRoute{Length: quantity[q.Length](t, "1560 ft")}})
	require.NoError(t, err)
	require.NoError(t, r.Close())
	v := r.View()
	require.Equal(t, "Nothing can be told of friction: no reach was worked out for this run.", v.Friction.Says)
}

// Nobody installs with a profile that a supervisor has withdrawn.
func TestNewRunNeedsAProfileThatStands(t *testing.T) {
	l, _ := runLibrary(t)
	s, err := l.Sit("QS")
	require.NoError(t, err)
	require.NoError(t, s.Query(runProfile, "why 6 psi?"))
	r, err := l.NewRun(RunPlan{Profile: runProfile})
	require.NoError(t, err, "a question ends nothing")
	require.NoError(t, r.Close())
	require.NoError(t, s.Withdraw(runProfile, "jacket marked"))
	require.NoError(t, s.Close())
	_, err = l.NewRun(RunPlan{Profile: runProfile})
	require.ErrorContains(t, err, "holds for nothing any more: A supervisor has withdrawn it.\n  make a new trial")
}

// What was acknowledged is what a new program finds: after every entry the record read anew is
// the one in memory, and so is the view.
func TestRunGoesOnWhereItStopped(t *testing.T) {
	l, clock := runLibrary(t)
	r := newRun(t, l)
	t.Cleanup(func() { _ = r.Close() })
	same := func() {
		t.Helper()
		before := clock.at
		view := r.View()
		require.NoError(t, r.Close())
		again, recovery, err := l.OpenRun(r.ID())
		require.NoError(t, err)
		require.Zero(t, recovery)
		clock.at = before
		require.Equal(t, r.Record(), again.Record())
		require.Equal(t, r.Engine(), again.Engine())
		require.Equal(t, view, again.View())
		r = again
	}
	same()
	beginRun(t, r)
	same()
	for i, p := range []RunPoint{
		{Mark: quantity[q.Length](t, "1407 m"), PushReading: controlReading(t, "75 N"), CableTemperature: quantity[q.Temperature](t, "44 °F")},
		{Mark: quantity[q.Length](t, "1397 m"), CableSpeed: quantity[q.Speed](t, "29 m/min"), Note: "sun on the reel # sealed 3 01234567"},
		{Slip: true},
		{AirPressure: quantity[q.Pressure](t, "8.8 bar"), InletAirTemperature: quantity[q.Temperature](t, "7 °C")},
	} {
		require.NoError(t, r.Append(p), i)
		same()
	}
	last := r.Engine().LastNumber()
	require.NoError(t, r.TakeBack(last))
	same()
	require.False(t, r.View().Now.Inlet.Known(), "it was taken back")
	require.Contains(t, fileText(t, r.journal.Where()), "8.8 bar", "and stays in the file")
	require.NoError(t, r.Append(RunStop{Reason: run.StopPlanned}))
	answerAll(t, r)
	require.NoError(t, r.Append(RunRestart{}))
	same()
	open, unreadable, err := l.UnfinishedRuns()
	require.NoError(t, err)
	require.Empty(t, unreadable)
	require.Len(t, open, 1)
	require.Equal(t, r.ID(), open[0].ID)
	endRun(t, r, Closing{Slack: quantity[q.Length](t, "4 m"), Loops: []Quantity[q.Length]{quantity[q.Length](t, "25 ft")}, Jacket: "clean"})
	same()
	require.Empty(t, r.Engine().OpenKillers())
	open, _, err = l.UnfinishedRuns()
	require.NoError(t, err)
	require.Empty(t, open)
}

// What may not follow is refused before anything is written, and the file stays as it was.
func TestRunRefusals(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	refused := func(e RunEntry, why string) {
		t.Helper()
		before := fileText(t, r.journal.Where())
		record := r.Record()
		require.ErrorContains(t, r.Append(e), why)
		require.Equal(t, before, fileText(t, r.journal.Where()))
		require.Equal(t, record, r.Record())
	}
	refused(RunStart{Mark: quantity[q.Length](t, "1417 m")}, "a start cannot be written at this step")
	refused(Answer{Item: "right-duct", SkipReason: "late"}, "this check cannot be left out")
	refused(Undo{Drops: 7}, "7 is no earlier entry")
	beginRun(t, r)
	refused(RunPoint{Mark: quantity[q.Length](t, "4650 ft")}, `"4650 ft" is in ft, and the mark at the start in m`)
	refused(RunPoint{Speed: controlReading(t, "3 notches")}, "not in the push control's unit")
	refused(RunPoint{PushReading: controlReading(t, "3 bar")}, `not in the push gauge's unit, "N"`)
	refused(RunPoint{Grip: quantity[q.Pressure](t, "9 psi")}, "write down who decided otherwise, and why")
	refused(RunStop{Reason: ""}, "reason")
	require.NoError(t, r.Append(RunPoint{Slip: true}))
	require.NoError(t, r.TakeBack(r.Engine().LastNumber()))
	refused(Undo{Drops: r.Engine().LastNumber()}, "is an undo, which stays")
	require.ErrorContains(t, r.ReplaceHead(r.Record()), "cannot be written anew")
}

func TestRunHeadCanBeReplacedBeforeTheFirstEntry(t *testing.T) {
	l, _ := runLibrary(t)
	r := newRun(t, l)
	head := r.Record()
	head.People.FarEnd, head.Of = "GH", "something else"
	require.NoError(t, r.ReplaceHead(head))
	again, err := l.RunRecord(r.ID())
	require.NoError(t, err)
	require.Equal(t, "GH", again.People.FarEnd)
	require.Equal(t, runProfile, again.Of, "whose run it is stays")
	head.Plan.Grip = Quantity[q.Pressure]{}
	require.ErrorContains(t, r.ReplaceHead(head), "plan.grip")
}

func TestReadRunFile(t *testing.T) {
	_, _, err := readRunNamed("../testdata/records/full.toml")
	require.ErrorContains(t, err, "full.toml")
	_, _, err = readRunNamed(filepath.Join(runDir, "nowhere.toml"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	r, warning, err := readRunNamed(filepath.Join(runDir, "scripted.toml"))
	require.NoError(t, err)
	require.Empty(t, warning)
	require.Len(t, r.Stops, 1)
}

// A run that cannot be read may hide a fold: it is named wherever its profile counts.
func TestUnreadableRunIsNamed(t *testing.T) {
	l, clock := runLibrary(t)
	r := newRun(t, l)
	path := r.journal.Where()
	require.NoError(t, r.Close())
	putFile(t, path, strings.Replace(fileText(t, path), "[plan]", "[plun]", 1))
	v, err := l.Cover(coverRecord(t, "job.toml", nil), clock.at)
	require.NoError(t, err)
	require.Len(t, v.Unreadable, 1)
	require.ErrorContains(t, v.Unreadable[0], r.ID())
	_, unreadable, err := l.UnfinishedRuns()
	require.NoError(t, err)
	require.Len(t, unreadable, 1)
	_, unreadable, err = l.Runs("")
	require.NoError(t, err)
	require.Len(t, unreadable, 1)
	review, err := l.Review(nil)
	require.NoError(t, err)
	require.Len(t, review.Unreadable, 1)
}

// A closed run travels by its id; an unfinished one stays where it can be gone on with.
func TestExchangeTakesRuns(t *testing.T) {
	l, clock := runLibrary(t)
	r := newRun(t, l)
	beginRun(t, r)
	stick := t.TempDir()
	done, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"runs/" + r.ID() + ".toml"}, done.Open)

	endRun(t, r, Closing{Folds: 1})
	require.NoError(t, r.Close())
	done, err = exchangeWith(l, stick, nil)
	require.NoError(t, err)
	require.Contains(t, done.Out, "runs/"+r.ID()+".toml")

	other, err := libraryIn(t.TempDir(), clock.now, rand.Reader)
	require.NoError(t, err)
	done, err = exchangeWith(other, stick, nil)
	require.NoError(t, err)
	require.Empty(t, done.Refused)
	require.Contains(t, done.In, "runs/"+r.ID()+".toml")
	record, err := other.RunRecord(r.ID())
	require.NoError(t, err)
	require.Equal(t, r.Record(), *record)
	v, err := other.Cover(coverRecord(t, "job.toml", nil), clock.at)
	require.NoError(t, err)
	require.Equal(t, Retest, v.Effect, "the other tablet knows of the fold too")
	done, err = exchangeWith(other, stick, nil)
	require.NoError(t, err)
	require.Empty(t, done.In)
	open, _, err := other.UnfinishedRuns()
	require.NoError(t, err)
	require.Empty(t, open)
}

// The index says of runs what the files say.
func TestIndexOfRuns(t *testing.T) {
	l, _ := runLibrary(t)
	for i, r := range []*Run{newRun(t, l), newRun(t, l), newRun(t, l)} { // after a fold none would begin
		beginRun(t, r)
		endRun(t, r, Closing{Folds: i})
		require.NoError(t, r.Close())
		age(t, r.journal.Where(), i)
	}
	requireTrue(t, l, "runs")
	x, err := l.OpenIndex(nil)
	require.NoError(t, err)
	require.NoError(t, x.save(time.Now()))
	requireTrue(t, l, "runs, kept")
	x, err = l.OpenIndex(nil)
	require.NoError(t, err)
	folded := 0
	for _, r := range x.of("runs") {
		folded += btoi(r.folded)
	}
	require.Equal(t, 2, folded)
	require.Len(t, x.of("trials"), 0)
}
