package lessons

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"brinkmark/profiles"
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

	// The job, with the keys of a trial's.
	Kind       session.Kind        `toml:"kind"`
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

// hidden is the rig as it is; quantities are texts with their units.
type hidden struct {
	OuterDiameter        string  `toml:"outer_diameter"`
	Mass                 string  `toml:"mass"`
	BendingStiffness     string  `toml:"bending_stiffness"`
	StiffnessTemperature string  `toml:"stiffness_temperature"`
	PolyethyleneShare    float64 `toml:"polyethylene_share"`
	AxialStiffness       string  `toml:"axial_stiffness"`
	KinkRadius           string  `toml:"kink_radius"`
	Soundness            float64 `toml:"soundness"`
	InnerDiameter        string  `toml:"inner_diameter"`
	StubLength           string  `toml:"stub_length"`
	RunUp                string  `toml:"run_up"`
	ThrustPerSpeed       string  `toml:"thrust_per_speed"`
	ThrustOffset         string  `toml:"thrust_offset"`
	Relief               string  `toml:"relief"`
	TractionPerGrip      string  `toml:"traction_per_grip"`
	TractionOffset       string  `toml:"traction_offset"`
	MovingKilograms      float64 `toml:"moving_kilograms"`
	MarksAt              string  `toml:"marks_at"`
	GaugePerKilonewton   string  `toml:"gauge_per_kilonewton"`
	CableTemperature     string  `toml:"cable_temperature"`
	WarmPerPush          float64 `toml:"celsius_per_push"`
	FoldSpread           float64 `toml:"fold_spread"`
	SlipSpread           float64 `toml:"slip_spread"`
	Vary                 float64 `toml:"vary"`
}

type trouble struct {
	Kind string `toml:"kind"`
	From int    `toml:"from"`
	Size any    `toml:"size"` // a part, or a text with a unit
}

type pause struct {
	After   int `toml:"after"`
	Minutes int `toml:"minutes"`
}

type pass struct {
	Ends      string            `toml:"ends"`
	MustRead  []session.Outcome `toml:"must_read"`
	MustFind  []string          `toml:"must_find"`
	MustMark  bool              `toml:"must_mark"`
	MostWrong int               `toml:"most_wrong"`
	MostRisk  float64           `toml:"most_risk"`
}

type run struct {
	Length   string  `toml:"length"`
	Friction float64 `toml:"friction"`
	Speed    string  `toml:"speed"`
	Harder   string  `toml:"harder"`
	SnagAt   string  `toml:"snag_at"`
}

// Parse reads a lesson strictly. path is used in errors only; every error is a
// *profiles.FileError.
func Parse(path string, text []byte) (Lesson, error) {
	fail := func(problem, hint string) (Lesson, error) {
		return Lesson{}, &profiles.FileError{Path: path, Problem: problem, Hint: hint}
	}
	if problem := unreadable(text); problem != "" {
		return fail(problem, "write one value on each line, as in the lessons of the handbook")
	}
	var f file
	meta, err := toml.Decode(string(text), &f)
	if err != nil {
		return Lesson{}, tomlError(path, err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		key := unknown[0].String()
		return Lesson{}, &profiles.FileError{Path: path, Key: clip(key), Problem: "this key is not known", Hint: "check its spelling, or take the line out"}
	}
	if f.Format != Format {
		return fail(fmt.Sprintf("format %d is not known to this version", f.Format), fmt.Sprintf("write \"format = %d\" on the first line", Format))
	}
	l, err := f.lesson()
	if err != nil {
		return fail(clip(err.Error()), "mend it, or take the file out of the folder")
	}
	return l, nil
}

// unreadable says why a text is not given to the TOML reader: it is no text, or it is
// one that a reader may choke on.
func unreadable(text []byte) string {
	switch {
	case len(text) > most:
		return fmt.Sprintf("more than %d bytes is no lesson", most)
	case !utf8.Valid(text):
		return "the file is not text in UTF-8"
	case bytes.Contains(text, []byte(`"""`)), bytes.Contains(text, []byte(`'''`)):
		return "a text over several lines"
	}
	for i, line := range bytes.Split(text, []byte("\n")) {
		switch {
		case bytes.Count(line, []byte("[")) > 8, bytes.Count(line, []byte("{")) > 4:
			return fmt.Sprintf("line %d: brackets within brackets", i+1)
		case bytes.Count(line, []byte(".")) > 40:
			return fmt.Sprintf("line %d: too many dots", i+1)
		case bytes.ContainsFunc(line, func(r rune) bool { return unicode.IsControl(r) && r != '\t' && r != '\r' }):
			return fmt.Sprintf("line %d: a control character", i+1)
		}
	}
	return ""
}

func tomlError(path string, err error) error {
	const hint = "mend the line, or take it out"
	var parse toml.ParseError
	if errors.As(err, &parse) {
		return &profiles.FileError{Path: path, Line: parse.Position.Line, Key: clip(parse.LastKey), Problem: clip(parse.Message), Hint: hint}
	}
	return &profiles.FileError{Path: path, Problem: clip(strings.TrimPrefix(err.Error(), "toml: ")), Hint: hint}
}

// clip keeps a hostile text from filling the screen, or from moving its cursor.
func clip(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return ' '
	}, s)
	if r := []rune(s); len(r) > 300 {
		return string(r[:300]) + "…"
	}
	return s
}

// lesson turns a file into a lesson.
func (f file) lesson() (Lesson, error) {
	var l Lesson
	l.Record = profiles.Record{Format: profiles.Format, Kind: f.Kind, Cable: f.Cable, Duct: f.Duct, Conditions: f.Conditions,
		Rig: f.Rig, Limits: f.Limits, Plan: f.Plan, Ladder: f.Ladder, Stub: f.Stub, People: profiles.People{Trainee: true}}
	job, err := l.Record.Trial()
	if err != nil {
		return l, err
	}
	for _, text := range []string{f.ID, f.Title, f.Goal, f.Teaches} {
		if strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) {
			return l, errors.New("id, title, goal and teaches are printable text")
		}
	}
	r := reader{}
	l.Lesson = practice.Lesson{ID: f.ID, Title: f.Title, Goal: f.Goal, Teaches: f.Teaches, Job: job, Rig: f.Hidden.rig(&r),
		Pause: practice.Pause{After: f.Pause.After, Lasts: time.Duration(f.Pause.Minutes) * time.Minute}}
	if !(f.Pause.Minutes >= 0 && f.Pause.Minutes <= 24*60) {
		r.fail("pause.minutes", errors.New("must be from 0 to 1440"))
	}
	for i, t := range f.Troubles {
		l.Rig.Troubles = append(l.Rig.Troubles, t.of(&r, fmt.Sprintf("trouble[%d]", i)))
	}
	l.Pass = f.Pass.of(&r)
	l.Run = f.Run.of(&r)
	if err := errors.Join(r.errs...); err != nil {
		return l, err
	}
	return l, l.Check()
}

// reader collects what is wrong with the texts of a lesson.
type reader struct{ errs []error }

func (r *reader) fail(key string, err error) { r.errs = append(r.errs, fmt.Errorf("%s: %w", key, err)) }

// needed reads a quantity that must be there.
func needed[T q.Scalar](r *reader, key, text string) T {
	v, err := q.Parse[T](text)
	if err != nil {
		r.fail(key, err)
	}
	return v
}

// maybe reads a quantity that may be left out.
func maybe[T q.Scalar](r *reader, key, text string) q.Maybe[T] {
	if text == "" {
		return q.Maybe[T]{}
	}
	return q.Known(needed[T](r, key, text))
}
