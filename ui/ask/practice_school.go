package ask

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// practiceFolder is where all that practice keeps stands, inside the library: the
// history, and lessons that a supervisor adds. No record of a trial is ever in it.
const (
	practiceFolder = "practice"
	history        = practiceFolder + "/history.toml"
)

// school is practice on this device: its lessons, and how those who took them came on.
type school struct {
	library *profiles.Library
	lessons []lessons.Lesson
	results []lessons.Result
	wrong   []error // what could not be read
	trainee string  // who practises now
}

func newSchool(library *profiles.Library) *school { return &school{library: library} }

// open reads the lessons and the history, once: what comes after that is known here.
func (s *school) open() {
	if s.lessons != nil {
		return
	}
	var wrong []error
	s.lessons, s.wrong = lessons.All(s.library.Store(), practiceFolder+"/lessons")
	s.results, wrong = lessons.History(s.library.Store(), history)
	s.wrong = append(s.wrong, wrong...)
	if n := len(s.results); n > 0 {
		s.trainee = s.results[n-1].Trainee
	}
}

// onPage is the keeper of a page of practice: it holds no trial.
func onPage(k Keeper) Keeper {
	return Keeper{Begin: k.Begin, Resume: k.Resume, Home: k.Home, SaveOptions: k.SaveOptions, trainee: k.trainee,
		Bye: "Left. Lessons that were finished are in the history of practice, unless it says above that one is not; one under way is not."}
}

// page is a turn to a page. What it asks is read once, beside the screen.
func (s *school) page(ask func() Question) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		q := ask()
		q.mock = true
		return onPage(k), &Home{Page: func() Question { return q }}, nil
	}}
}

// enter turns to the list of lessons.
func (s *school) enter(k Keeper) (Keeper, *Home, error) {
	s.open()
	return s.page(s.lessonList).To(k)
}

// lessonList offers the lessons, each with how it went so far.
func (s *school) lessonList() Question {
	q := Question{ID: "lessons", Title: "Which lesson?", Body: s.passedOver(practice.Notice, s.next()), Help: []string{
		"A lesson is a trial on a simulated rig: the same questions, no cable, no machine.",
		"Take them in their order. Each is judged at its end, and can be taken again.",
		"Nothing of practice becomes a profile or a record of a trial.",
	}}
	for _, l := range s.lessons {
		q.Choices = append(q.Choices, Choice{Label: fmt.Sprintf("%s (%s)", l.Title, s.mark(l.ID)), Do: going(s.begin(l, 0, nil))})
		q.Help = append(q.Help, l.Title+": "+l.Goal)
	}
	q.Choices = append(q.Choices,
		Choice{Label: "Free practice: a cable and a duct of your own", Do: going(Turn{s.freeStart})},
		Choice{Label: s.progressTitle(), Do: going(s.page(s.progressPage))},
		Choice{Label: "Somebody else practises", Do: going(s.page(s.whoPage))},
		Choice{Label: "End of practice", Do: func(f Flow) (Flow, Effect) { return f, GoHome{} }})
	return q
}

// passedOver adds to some lines what could not be read.
func (s *school) passedOver(lines ...string) []string {
	for _, err := range s.wrong {
		lines = append(lines, "! Passed over: "+err.Error())
	}
	return lines
}

// mark is how a lesson went so far.
func (s *school) mark(id string) string {
	taken, passed := s.count(id)
	switch {
	case taken == 0:
		return "not taken"
	case passed == 0:
		return "taken, not passed"
	}
	return "passed"
}

// count counts how often the trainee took and passed a lesson, or any with the id "".
func (s *school) count(id string) (taken, passed int) {
	for _, r := range s.results {
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
func (s *school) next() string {
	for i, l := range s.lessons {
		if _, passed := s.count(l.ID); passed == 0 {
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
		end := ending{keep: s.keep, back: Turn{s.enter}}
		if l.Run != nil {
			run, err := practice.NewRun(l.Lesson, seed)
			if err != nil {
				return k, nil, err
			}
			return s.page(func() Question { return s.runQuestion(run, &end) }).To(k)
		}
		_, passed := s.count("")
		l.Record.People = profiles.People{Trainee: passed == 0 || byTrainee(s.library), Operator: s.trainee}
		trial, err := NewPracticeTrial(l, seed, s.library.Now)
		if err != nil {
			return k, nil, err
		}
		trial.note, trial.end = note, end
		next := onPage(k)
		next.Trial, next.Earlier = trial, session.SiteRead()
		return next, nil, nil
	}}
}

// keep writes a result into the history.
func (s *school) keep(r practice.Review) error {
	result := lessons.NewResult(r, s.trainee, s.library.Now().UTC().Truncate(time.Second))
	err := lessons.Keep(s.library.Store(), history, result)
	if err == nil {
		s.results = append(s.results, result)
	}
	return err
}

func (s *school) progressTitle() string {
	if s.trainee == "" {
		return "Progress so far"
	}
	return "Progress of " + s.trainee
}

// progressPage says how the trainee comes on.
func (s *school) progressPage() Question {
	return Question{ID: "progress", Title: s.progressTitle(),
		Body:    s.passedOver(lessons.Progress(s.results, s.trainee)...),
		Choices: []Choice{{Label: "To the lessons", Do: going(Turn{s.enter})}}}
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
	for _, r := range s.results {
		names = append(names, r.Trainee)
	}
	for _, p := range s.library.Cards().People {
		names = append(names, p.Name)
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if name != "" {
			q.Choices = append(q.Choices, Choice{Label: name, Do: going(choose(name))})
		}
	}
	q.Choices = append(q.Choices, Choice{Label: "No name", Do: going(choose("")), Rank: Minor})
	q.Enter = &Entering{Label: "Name or initials", Example: "AB", Take: func(f Flow, text string) (Flow, Effect, error) {
		const most = 40
		if len([]rune(text)) > most {
			return f, None{}, fmt.Errorf("a name of at most %d letters", most)
		}
		return f, choose(text), nil
	}}
	return q
}

// PracticeHelp is the help of the practice command.
const PracticeHelp = `A trial on a simulated rig: the same questions, no cable, no machine.
` + practice.Notice + `
--lesson N takes a lesson by its number in the list, or its id. FILE is a job in
TOML for free practice: diameters, mass and bending stiffness must be in it.
Only the history is written, in the library's folder "practice".`

// PracticeChoice is what the command line asks for; all may be empty.
type PracticeChoice struct {
	Lesson, Seed string
	Job          *profiles.Record // for free practice
	File         string           // the job's, for errors
}

// inFile says which file an error is about, and what to do.
func (c PracticeChoice) inFile(err error) error {
	if err == nil {
		return nil
	}
	if !strings.Contains(err.Error(), "\n  ") {
		err = fmt.Errorf("%w\n  mend it in the file", err)
	}
	return fmt.Errorf("%s: %w", words.OneLine(c.File), err)
}

// seed reads a seed: a whole number from 1.
func (c PracticeChoice) seed() (uint64, error) {
	if c.Seed == "" {
		return 0, nil
	}
	n, err := strconv.ParseUint(c.Seed, 10, 63)
	if err != nil || n == 0 {
		return 0, show.WrongUse{Problem: fmt.Sprintf("--seed %s: must be a whole number from 1", words.OneLine(c.Seed))}
	}
	return n, nil
}

// Practise returns where practice begins: the page to show, or the keeper of a
// lesson. A lesson or seed that does not exist is a WrongUse.
func Practise(k Keeper, library *profiles.Library, c PracticeChoice) (Keeper, *Home, error) {
	s := newSchool(library)
	s.open()
	seed, err := c.seed()
	switch {
	case err != nil:
		return k, nil, err
	case c.Job != nil && c.Lesson != "":
		return k, nil, show.WrongUse{Problem: "a job file is for free practice: leave --lesson out"}
	case c.Job != nil:
		free, page, err := s.free(*c.Job, seed).To(k)
		return free, page, c.inFile(err)
	case c.Lesson == "" && seed != 0:
		return k, nil, show.WrongUse{Problem: "--seed belongs to a lesson: give --lesson, or a job file, too"}
	case c.Lesson == "":
		return s.enter(k)
	}
	for i, l := range s.lessons {
		if c.Lesson == l.ID || c.Lesson == strconv.Itoa(i+1) {
			return s.begin(l, seed, nil).To(k)
		}
	}
	return k, nil, show.WrongUse{Problem: fmt.Sprintf("there is no lesson %q: give a number from 1 to %d, or an id", words.Clean(c.Lesson), len(s.lessons))}
}
