package ui

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session/practice"
)

// practiceFolder is where all that practice keeps stands, inside the library: the
// history, and lessons that a supervisor adds. No record of a trial is ever in it.
const practiceFolder = "practice"

// school is practice on this device: its lessons, and how those who took them came on.
type school struct {
	library *profiles.Library
	lessons []lessons.Lesson
	trouble error  // what could not be read
	trainee string // who practises now
	asked   bool   // it was said who
}

func newSchool(library *profiles.Library) *school { return &school{library: library} }

func (s *school) historyPath() string {
	return filepath.Join(s.library.Dir(), practiceFolder, "history.toml")
}

// load reads the lessons and the history. What cannot be read is said on the page.
func (s *school) load() []lessons.Result {
	all, err := lessons.All(os.DirFS(filepath.Join(s.library.Dir(), practiceFolder, "lessons")))
	results, historyErr := lessons.History(s.historyPath())
	s.lessons, s.trouble = all, errors.Join(err, historyErr)
	if !s.asked && len(results) > 0 {
		s.trainee = results[len(results)-1].Trainee
	}
	s.asked = true
	return results
}

// Turn opens another page outside a trial, or begins what was chosen on one.
type Turn struct {
	to func(Keeper) (Keeper, *Home, error)
}

func (Turn) effect() {}

// turned carries a turn out.
func turned(k Keeper, t Turn) writtenMsg {
	next, home, err := t.to(k)
	if err != nil {
		return writtenMsg{err: err}
	}
	msg := writtenMsg{home: home, keeper: &next, trial: next.Trial}
	if next.Trial != nil {
		msg.flow = next.begin()
	}
	return msg
}

// onPage is the keeper of a page of practice: it holds no trial.
func onPage(k Keeper) Keeper {
	return Keeper{Begin: k.Begin, Resume: k.Resume, Home: k.Home, SaveOptions: k.SaveOptions,
		Bye: "Left. Lessons that were finished are in the history of practice; one under way is not."}
}

// page is a turn to a page. What it asks is read once, beside the screen.
func (s *school) page(ask func() Question) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		q := ask()
		q.mock = true
		return onPage(k), &Home{page: func() Question { return q }}, nil
	}}
}

// enter turns to the list of lessons.
func (s *school) enter(k Keeper) (Keeper, *Home, error) {
	results := s.load()
	return s.page(func() Question { return s.lessonList(results) }).to(k)
}

// going is the action of a choice that turns to a page.
func going(t Turn) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) { return f, t }
}

// lessonList offers the lessons, each with how it went so far.
func (s *school) lessonList(results []lessons.Result) Question {
	q := Question{ID: "lessons", Title: "Which lesson?", Body: []string{practice.Notice}, Help: []string{
		"A lesson is a trial on a simulated rig: the same questions, no cable, no machine.",
		"Take them in their order. Each is judged at its end, and can be taken again.",
		"Nothing of practice becomes a profile or a record of a trial.",
	}}
	q.Body = append(q.Body, s.next(results))
	if s.trouble != nil {
		q.Body = append(q.Body, "! Passed over: "+s.trouble.Error())
	}
	for i, l := range s.lessons {
		q.Choices = append(q.Choices, Choice{Label: fmt.Sprintf("%s (%s)", l.Title, s.mark(results, l.ID)), do: going(s.begin(s.lessons[i], 0, nil))})
		q.Help = append(q.Help, l.Title+": "+l.Goal)
	}
	q.Choices = append(q.Choices,
		Choice{Label: "Free practice: a cable and a duct of your cards", do: going(s.page(s.freeCables))},
		Choice{Label: "Progress of " + either(s.trainee, "who gave no name"), do: going(s.page(s.progressPage))},
		Choice{Label: "Somebody else practises", do: going(s.page(s.whoPage))},
		Choice{Label: "End of practice", do: func(f Flow) (Flow, Effect) { return f, GoHome{} }})
	return q
}

// mark is how a lesson went so far.
func (s *school) mark(results []lessons.Result, id string) string {
	taken, passed := s.count(results, id)
	switch {
	case taken == 0:
		return "not taken"
	case passed == 0:
		return "taken, not passed"
	}
	return "passed"
}

func (s *school) count(results []lessons.Result, id string) (taken, passed int) {
	for _, r := range results {
		if r.Trainee == s.trainee && (id == "" || r.Lesson == id) {
			taken++
			if r.Passed {
				passed++
			}
		}
	}
	return taken, passed
}

// next names the first lesson that is not passed yet.
func (s *school) next(results []lessons.Result) string {
	for i, l := range s.lessons {
		if _, passed := s.count(results, l.ID); passed == 0 {
			return fmt.Sprintf("Next: lesson %d, %s.", i+1, l.Title)
		}
	}
	return "All lessons are passed."
}

// begin is a turn to a lesson. Without a seed it takes one from the clock.
func (s *school) begin(l lessons.Lesson, seed uint64, note []string) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		if seed == 0 {
			seed = 1 + uint64(s.library.Now().UnixNano()/1000)%9999
		}
		if l.Run != nil {
			run, err := practice.NewRun(l.Lesson, seed)
			if err != nil {
				return k, nil, err
			}
			return s.page(func() Question { return s.runQuestion(run) }).to(k)
		}
		results, _ := lessons.History(s.historyPath())
		_, passed := s.count(results, "")
		l.Record.People = profiles.People{Trainee: passed == 0, Operator: s.trainee}
		trial, err := NewPracticeTrial(l, seed, s.library.Now)
		if err != nil {
			return k, nil, err
		}
		trial.note, trial.leave, trial.keep = note, Turn{s.enter}, s.keep
		next := onPage(k)
		next.Trial = trial
		return next, nil, nil
	}}
}

func (s *school) keep(r practice.Review) error {
	return lessons.Keep(s.historyPath(), lessons.NewResult(r, s.trainee, s.library.Now().UTC().Truncate(time.Second)))
}

// progressPage says how the trainee comes on.
func (s *school) progressPage() Question {
	results := s.load()
	q := Question{ID: "progress", Title: "Progress of " + either(s.trainee, "who gave no name"),
		Body: lessons.Progress(results, s.trainee), Choices: []Choice{{Label: "To the lessons", do: going(Turn{s.enter})}}}
	if s.trouble != nil {
		q.Body = append(q.Body, "! Passed over: "+s.trouble.Error())
	}
	return q
}

// whoPage asks who practises.
func (s *school) whoPage() Question {
	q := Question{ID: "who", Title: "Who practises?", Body: []string{"Progress is kept under this name."}}
	choose := func(name string) Turn {
		return Turn{func(k Keeper) (Keeper, *Home, error) {
			s.trainee = name
			return s.enter(k)
		}}
	}
	var names []string
	for _, r := range s.load() {
		names = append(names, r.Trainee)
	}
	for _, p := range s.library.Cards().People {
		names = append(names, p.Name)
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if name != "" {
			q.Choices = append(q.Choices, Choice{Label: name, do: going(choose(name))})
		}
	}
	q.Choices = append(q.Choices, Choice{Label: "No name", do: going(choose("")), rank: minor})
	q.Enter = &Entering{Label: "Name or initials", Example: "AB", take: func(f Flow, text string) (Flow, Effect, error) {
		const most = 40
		if len([]rune(text)) > most {
			return f, None{}, fmt.Errorf("a name of at most %d letters", most)
		}
		return f, choose(text), nil
	}}
	return q
}

// WrongUse is what was asked for wrongly on the command line.
type WrongUse struct{ Problem string }

func (w WrongUse) Error() string { return w.Problem }

// PracticeHelp is the help of the practice command.
const PracticeHelp = "A trial on a simulated rig: the same questions, no cable, no machine. " + practice.Notice + `
N is a lesson's number in the list, or its id. The same seed S gives the same rig.
FILE is a job in TOML for free practice: both diameters, mass and bending stiffness
must be known. Only the history is written, in the library's folder "practice".
  brinkmark practice --lesson 1 --seed 7`

// PracticeFlags are the flags of the practice command.
var PracticeFlags = []string{"lesson", "seed"}

// PracticeChoice is what the command line asks for; all may be empty.
type PracticeChoice struct {
	Lesson, Seed string
	Job          *profiles.Record // for free practice
}

// seed reads a seed: a whole number from 1.
func (c PracticeChoice) seed() (uint64, error) {
	if c.Seed == "" {
		return 0, nil
	}
	n, err := strconv.ParseUint(c.Seed, 10, 63)
	if err != nil || n == 0 {
		return 0, WrongUse{fmt.Sprintf("--seed %s: must be a whole number from 1", c.Seed)}
	}
	return n, nil
}

// Practise returns where practice begins: the page to show, or the keeper of a
// lesson. A lesson or seed that does not exist is a WrongUse.
func Practise(k Keeper, library *profiles.Library, c PracticeChoice) (Keeper, *Home, error) {
	s := newSchool(library)
	s.load()
	seed, err := c.seed()
	switch {
	case err != nil:
		return k, nil, err
	case c.Job != nil && c.Lesson != "":
		return k, nil, WrongUse{"a job file is for free practice: leave --lesson out"}
	case c.Job != nil:
		return s.free(*c.Job, seed).to(k)
	case c.Lesson == "" && seed != 0:
		return k, nil, WrongUse{"--seed belongs to a lesson: give --lesson, or a job file, too"}
	case c.Lesson == "":
		return s.enter(k)
	}
	for i, l := range s.lessons {
		if c.Lesson == l.ID || c.Lesson == strconv.Itoa(i+1) {
			return s.begin(l, seed, nil).to(k)
		}
	}
	return k, nil, WrongUse{fmt.Sprintf("there is no lesson %q: give a number from 1 to %d, or an id", Clean(c.Lesson), len(s.lessons))}
}
