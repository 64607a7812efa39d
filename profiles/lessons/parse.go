package lessons

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"brinkmark/profiles"
	"brinkmark/profiles/problem"
	"brinkmark/session"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// Format is the form of lesson files that this version reads.
const Format = 1

// file is a lesson as written.
type file struct {
	Format  int    `toml:"format"`
	ID      string `toml:"id"`
	Title   string `toml:"title"`
	Goal    string `toml:"goal"`
	Teaches string `toml:"teaches"`
	SetUp   bool   `toml:"set_up,omitempty"`

	// The job, with the keys of a trial's.
	Kind       session.Kind        `toml:"kind,omitzero"`
	Cable      profiles.Cable      `toml:"cable"`
	Duct       profiles.Duct       `toml:"duct"`
	Conditions profiles.Conditions `toml:"conditions"`
	Rig        profiles.Rig        `toml:"rig"`
	Limits     profiles.Limits     `toml:"limits"`
	Plan       profiles.Plan       `toml:"plan"`
	Ladder     profiles.Ladder     `toml:"ladder"`
	Stub       profiles.Stub       `toml:"stub"`

	Hidden   hidden    `toml:"hidden"`
	Troubles []trouble `toml:"trouble"`
	Pause    pause     `toml:"pause"`
	Pass     pass      `toml:"pass"`
	Run      *run      `toml:"run"`
}

type pause struct {
	After   int `toml:"after"`
	Minutes int `toml:"minutes"`
}

type pass struct {
	Ends      practice.Ends          `toml:"ends"`
	MustRead  []session.Outcome      `toml:"must_read"`
	MustFind  []practice.TroubleKind `toml:"must_find"`
	MustMark  bool                   `toml:"must_mark"`
	MostWrong int                    `toml:"most_wrong"`
	MostRisk  float64                `toml:"most_risk"`
}

// Parse reads a lesson strictly. path is used in errors only; every error, or each of
// those joined in it, is a *profiles.FileError.
func Parse(path string, text []byte) (Lesson, error) {
	from := profiles.Source{Path: path, Text: text}
	f, err := read(from)
	if err != nil {
		return Lesson{}, err
	}
	return f.lesson(from)
}

// read reads what is written.
func read(from profiles.Source) (f file, err error) {
	if len(from.Text) > most {
		return f, from.Fail("", fmt.Sprintf("more than %d bytes is no lesson", most), "check that this is the right file")
	}
	err = from.Decode(&f)
	var bad *problem.FileError
	if errors.As(err, &bad) && (bad.Key == "trouble.kind" || bad.Key == "pass.must_find") {
		bad.Hint = "use one of " + strings.Join(practice.TroubleNames(), ", ")
	}
	if err != nil {
		return f, err
	}
	if f.Format != Format {
		return f, from.Fail("format", fmt.Sprintf("%d is not known to this version, which reads %d", f.Format, Format), fmt.Sprintf("write \"format = %d\" on the first line", Format))
	}
	return f, nil
}

// lesson turns a file into a lesson.
func (f file) lesson(from profiles.Source) (Lesson, error) {
	l := Lesson{Record: profiles.Record{Format: profiles.Format, Kind: f.Kind, Cable: f.Cable, Duct: f.Duct, Conditions: f.Conditions,
		Rig: f.Rig, Limits: f.Limits, Plan: f.Plan, Ladder: f.Ladder, Stub: f.Stub, People: profiles.People{Trainee: true}}}
	job, err := from.Job(l.Record)
	if err != nil {
		return Lesson{}, err
	}
	r := reader{from: from}
	for _, said := range [][2]string{{"id", f.ID}, {"title", f.Title}, {"goal", f.Goal}, {"teaches", f.Teaches}} {
		if key, text := said[0], said[1]; strings.ContainsFunc(text, func(c rune) bool { return !unicode.IsPrint(c) }) {
			r.fail(key, "a character that cannot be printed", "write it in letters, digits and signs")
		}
	}
	l.Lesson = practice.Lesson{ID: f.ID, Title: f.Title, Goal: f.Goal, Teaches: f.Teaches, SetUp: f.SetUp, Job: job, Rig: f.Hidden.rig(&r),
		Pause: practice.Pause{After: f.Pause.After, Lasts: time.Duration(max(min(f.Pause.Minutes, 24*60+1), -1)) * time.Minute},
		Pass:  practice.Pass(f.Pass), Run: f.Run.of(&r)}
	for i, t := range f.Troubles {
		l.Rig.Troubles = append(l.Rig.Troubles, t.of(&r, fmt.Sprintf("trouble[%d]", i)))
	}
	if len(r.errs) == 0 {
		r.check(l.Lesson)
	}
	if len(r.errs) > 0 {
		slices.SortStableFunc(r.errs, func(a, b error) int { return lineOf(a) - lineOf(b) })
		return Lesson{}, errors.Join(r.errs...)
	}
	return l, nil
}

// reader collects what is wrong with a lesson that is well written.
type reader struct {
	from profiles.Source
	errs []error
}

func lineOf(err error) int {
	var bad *problem.FileError
	errors.As(err, &bad)
	return bad.Line
}

func (r *reader) fail(key, problem, hint string) {
	r.errs = append(r.errs, r.from.Fail(key, problem, hint))
}

// check says where in the file a lesson's problems are.
func (r *reader) check(l practice.Lesson) {
	for _, e := range practice.Each(l.Check()) {
		var p *practice.Problem
		if errors.As(e, &p) {
			r.fail(p.Key, p.Says, p.Do)
		}
	}
}

func (r *reader) need(known bool, key string) {
	if !known {
		r.fail(key, "missing", "no rig can be made up without it: write it as in the lessons of this program")
	}
}

// needed is a quantity that must be there.
func needed[T q.Scalar](r *reader, key string, v profiles.Quantity[T]) T {
	value, known := v.Value().Get()
	r.need(known, key)
	return value
}
