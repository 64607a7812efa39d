package show

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/ui/words"
)

// ReviewHelp is what the review command is and does.
const ReviewHelp = `The supervisor's list of profiles: what needs a look first, the worst first.
Without flags it opens on the screen. --json and --csv print it: key, setting,
state, exceptions, id, crew, rig, dates. What cannot be read is listed too,
whatever is asked for: it may be what you are looking for.
--find takes words, each of which is in key, reel, crew, rig, job or id.
--weeks prints the totals by week, crew and rig instead.

A decision about a profile is written down, with --by who decides, and may have
a --note. None deletes a profile. accept: it may be trusted, and what was asked
about it so far is settled; what has expired or is withdrawn cannot be accepted.
query: the --note is asked of the crew. expire: it covers nothing from the day
--on on. withdraw: it covers nothing any more. Neither can be taken back, but a
new trial can be made. Where two decide apart the stricter holds, until somebody
accepts who has seen both.`

// ReviewAsked says what of the list is wanted, in what form.
type ReviewAsked struct {
	Find, Crew, Rig, Job, State string
	Exceptions                  bool
	JSON, Weeks                 bool // JSON, else CSV
}

var standings = []profiles.Standing{profiles.StandsNew, profiles.StandsAccepted, profiles.StandsQueried, profiles.StandsExpired, profiles.StandsWithdrawn}

// filter puts what was asked into a filter. A state that does not exist is a [WrongUse].
func (a ReviewAsked) filter() (profiles.Filter, error) {
	f := profiles.Filter{Text: a.Find, Crew: a.Crew, Rig: a.Rig, Job: a.Job, Stands: profiles.Standing(strings.ToLower(a.State)), ExceptionsOnly: a.Exceptions}
	if f.Stands != "" && !slices.Contains(standings, f.Stands) {
		return f, WrongUse{fmt.Sprintf("--state %s: there is new, accepted, queried, expired and withdrawn", words.OneLine(a.State))}
	}
	return f, nil
}

// ReviewOut is where a list goes, and what could not be done.
type ReviewOut struct{ Out, Told io.Writer }

// PrintReview prints the list of a library's profiles.
func PrintReview(l *profiles.Library, asked ReviewAsked, progress func(done, total int), to ReviewOut) error {
	f, err := asked.filter()
	if err != nil {
		return err
	}
	v, err := l.Review(progress)
	if err != nil {
		return err
	}
	if v.Unsaved != nil {
		fmt.Fprintf(words.Printable(to.Told), "brinkmark: the index could not be kept, so opening takes longer: %v\n", v.Unsaved)
	}
	switch {
	case asked.JSON:
		form := report.ReviewJSON(v, v.Filter(f), v.WeeksOf(f))
		if l.Missing() {
			form.Warnings = append(form.Warnings, NoLibrary(l))
		}
		text, err := report.JSON(form)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(to.Out, "%s\n", text)
		return err
	case asked.Weeks:
		return report.WeeksCSV(to.Out, v.WeeksOf(f))
	}
	return report.ReviewCSV(to.Out, v.Filter(f), v.Unreadable)
}

// Judgement is what a supervisor decides about a profile on the command line.
type Judgement struct {
	Action       profiles.Action
	ID, By, Note string
	On           string // the day it expires, "2026-06-30"
}

// JudgementWords are what can be decided.
func JudgementWords() []string {
	return []string{string(profiles.Accept), string(profiles.Query), string(profiles.Expire), string(profiles.Withdraw)}
}

// JudgementArgs reads the words after the command: none, or what is decided and the id.
func JudgementArgs(args []string, j *Judgement) error {
	switch {
	case len(args) == 0:
		return nil
	case !slices.Contains(JudgementWords(), args[0]):
		return WrongUse{fmt.Sprintf("%q is no decision: there is accept, query, expire and withdraw", words.Clean(args[0]))}
	case len(args) == 1:
		return WrongUse{"which profile? give its ID"}
	case len(args) > 2:
		return WrongUse{fmt.Sprintf("too many arguments: %q", words.Clean(args[2]))}
	}
	j.Action, j.ID = profiles.Action(args[0]), args[1]
	return nil
}

// Judge writes a judgement into a review of its own, and says where. What is missing is a
// [WrongUse].
func Judge(l *profiles.Library, j Judgement, out io.Writer) (err error) {
	j.By, j.Note = words.OneLine(j.By), words.OneLine(j.Note)
	var on time.Time
	switch {
	case !profiles.ValidID(j.ID):
		return WrongUse{fmt.Sprintf("%q is no profile id: ids are 26 capital letters and digits", words.Clean(j.ID))}
	case strings.TrimSpace(j.By) == "":
		return WrongUse{"who decides? give --by with a name or initials: the review keeps it"}
	case j.Action == profiles.Query && strings.TrimSpace(j.Note) == "":
		return WrongUse{"what is asked? give --note"}
	case j.Action != profiles.Expire && j.On != "":
		return WrongUse{fmt.Sprintf("--on is for expire alone: %s has no day", j.Action)}
	case j.Action == profiles.Expire:
		if on, err = time.ParseInLocation(time.DateOnly, j.On, l.Now().Location()); err != nil {
			return WrongUse{"from which day? give --on with a date, such as 2026-06-30"}
		}
		if today := l.Now().Format(time.DateOnly); on.Format(time.DateOnly) < today {
			return WrongUse{fmt.Sprintf("--on %s is past: give %s, and it covers nothing from now on", j.On, today)}
		}
	}
	stopped := j.Action == profiles.Accept && Stopped(l, j.ID)
	s, err := l.Sit(j.By)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	var answered []profiles.Judged
	switch j.Action {
	case profiles.Accept:
		if answered, err = l.OpenQuestions(j.ID); err == nil {
			err = s.Accept(j.ID, j.Note)
		}
	case profiles.Query:
		err = s.Query(j.ID, j.Note)
	case profiles.Expire:
		err = s.Expire(j.ID, on, j.Note)
	case profiles.Withdraw:
		err = s.Withdraw(j.ID, j.Note)
	}
	if err != nil {
		return err
	}
	if err := tellJudged(l, j, judgedNow{s.Path(), answered, stopped}, out); err != nil {
		return fmt.Errorf("the decision is on disk, but cannot be shown here: %w\n  \"brinkmark review\" shows it", err)
	}
	return nil
}

var judgedWords = map[profiles.Action]string{
	profiles.Accept: "accepted", profiles.Query: "queried", profiles.Expire: "expires %s", profiles.Withdraw: "withdrawn: it covers nothing any more, and stays in the library",
}

// judgedNow is where a judgement was written, and what questions it settles.
type judgedNow struct {
	path     string
	answered []profiles.Judged
	stopped  bool // it handed out nothing before
}

// Stopped reports whether a profile hands out nothing.
func Stopped(l *profiles.Library, id string) bool {
	p, err := l.Promised(id)
	return err != nil || len(p.Why) > 0
}

// HandsOut says what a profile may be installed with once it is accepted, or why with nothing.
// stopped says that it handed out nothing before.
func HandsOut(l *profiles.Library, id string, stopped bool) string {
	p, err := l.Promised(id)
	switch {
	case err != nil:
		return "It hands out nothing all the same: " + words.OneLine(err.Error())
	case len(p.Why) > 0:
		return "It hands out nothing all the same: " + strings.Join(p.Why, " ")
	}
	return fmt.Sprintf("It may be installed with%s: %s.", words.YesNo(stopped, " again", ""), p.Rig.Named(p.Setting))
}

// tellJudged says what was written, whose profile it is, and where it stands now.
func tellJudged(l *profiles.Library, j Judgement, done judgedNow, out io.Writer) error {
	out = words.Printable(out)
	said := judgedWords[j.Action]
	if j.Action == profiles.Expire {
		said = fmt.Sprintf(said, j.On)
	}
	fmt.Fprintf(out, "Profile %s %s, by %s.\n", j.ID, said, j.By)
	for _, a := range done.answered {
		fmt.Fprintf(out, "  It settles what was asked: %s\n", words.OneLine(a.Says()))
	}
	v, err := l.Review(nil)
	if err != nil {
		return err
	}
	if p, err := v.Find(j.ID); err == nil {
		fmt.Fprintf(out, "  %s\n  It stands as: %s.\n", strings.Join(words.NotEmpty(p.Make, p.Type, p.Size, p.Temperature, p.Grip, p.Speed), ", "), cmp.Or(string(p.Stands), "not known"))
		if j.Action == profiles.Accept {
			fmt.Fprintf(out, "  %s\n", HandsOut(l, j.ID, done.stopped))
		}
		if first := p.Expires(); j.Action == profiles.Expire && !first.IsZero() && first.Format(time.DateOnly) < j.On {
			fmt.Fprintf(out, "  ! An earlier day was set before, and stands: it expires %s.\n", first.Format(time.DateOnly))
		}
		if p.OwnTrial(j.By) != "" {
			fmt.Fprintf(out, "  ! %s was of this trial's crew. A second pair of eyes sees more.\n", j.By)
		}
	}
	_, err = fmt.Fprintf(out, "Written: %s\n", done.path)
	return err
}
