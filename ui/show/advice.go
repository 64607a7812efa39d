// Package show says in words what a record, a job, a route or a library comes to: what
// the commands print, and what pages of the screens quote.
package show

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// Advice is what the engine says of a record.
type Advice struct {
	trial   session.Trial
	outlook session.Outlook
	promise session.Promise // beside what the library knows
}

// Earlier is the trial before: the profile of an id, or a file.
type Earlier struct {
	ID   string
	File *profiles.Source
}

// ReadAdvice reads a record and looks at it. earlier is the file or the id of the trial
// it begins from; when there is none the record's own key counts. open is for an id that has to be
// looked up; library is what is known of the same cable, duct and rig.
func ReadAdvice(from profiles.Source, earlier Earlier, open, library func() (*profiles.Library, error)) (Advice, error) {
	path := from.Path
	record, warning, err := from.Record()
	if err != nil {
		return Advice{}, err
	}
	if record, err = planned(record, open); err != nil {
		return Advice{}, fmt.Errorf("%s: %w", words.OneLine(path), err)
	}
	trial, err := record.Trial()
	if err == nil {
		err = trial.Advisable()
	}
	if err != nil {
		return Advice{}, fmt.Errorf("%s: %w\n  add what is missing to the file", words.OneLine(path), err)
	}
	before, err := earlierOf(record, earlier, open)
	if err == nil && before != nil {
		trial, err = trial.After(*before)
	}
	if err != nil {
		return Advice{}, fmt.Errorf("%s: %w", words.OneLine(path), err)
	}
	a := Advice{trial: trial, outlook: session.View(trial)}
	if install, ok := a.outlook.Next.(session.Install); ok {
		p := known(library).PromiseOf(*record, trial, install.Setting, lastTime(record, trial))
		why := strings.Join(p.Why, " ")
		if a.promise = p.Promise; why == "" {
			why = spokenAgainst(record.ID, library)
		}
		if why != "" {
			a.outlook.Next = session.Refuse{Reason: why}
		}
	}
	if from.Edited() {
		a.outlook.Next = session.Refuse{Reason: "This file was edited after it was sealed, so nobody can tell what was tried: put it back from a copy, or make a new trial."}
	}
	if warning != "" {
		a.outlook.Warnings = append(a.outlook.Warnings, warning)
	}
	return a, nil
}

// known is what a library knows beside a file: folds and marked jackets of the same cable, duct and
// rig, its rules, and what supervisors have looked at.
func known(library func() (*profiles.Library, error)) *profiles.Candidates {
	l, err := library()
	if err != nil {
		return profiles.NothingKnown(err)
	}
	c, err := l.Candidates()
	if err != nil {
		return profiles.NothingKnown(err)
	}
	return c
}

// spokenAgainst is why the library's own profile of that id hands out nothing, "" where it does or
// there is none.
func spokenAgainst(id string, library func() (*profiles.Library, error)) string {
	if !profiles.ValidID(id) {
		return ""
	}
	l, err := library()
	if err != nil {
		return words.OneLine(err.Error())
	}
	switch p, err := l.Promised(id); {
	case err == nil:
		return strings.Join(p.Why, " ")
	case errors.Is(err, fs.ErrNotExist):
		return ""
	default:
		return words.OneLine(err.Error())
	}
}

// lastTime is when the last push of a record was written, or when it was begun: as of then a
// file is judged by itself.
func lastTime(record *profiles.Record, trial session.Trial) time.Time {
	last := record.Started
	for _, a := range trial.Attempts() {
		if a.At.After(last) {
			last = a.At
		}
	}
	return last
}

// planned is the record with its plan, from the profile a short check is of where the
// record does not give it.
func planned(record *profiles.Record, open func() (*profiles.Library, error)) (*profiles.Record, error) {
	if record.Kind != session.ShortCheck || record.Of == "" || record.Plan != (profiles.Plan{}) {
		return record, nil
	}
	library, err := open()
	if err != nil {
		return nil, err
	}
	filled, err := library.Planned(*record)
	return &filled, err
}

// earlierOf is the trial a record begins from, nil when none is named.
func earlierOf(record *profiles.Record, earlier Earlier, open func() (*profiles.Library, error)) (*session.Trial, error) {
	switch {
	case earlier.File != nil:
		file, _, err := earlier.File.Record()
		if err != nil {
			return nil, err
		}
		return record.EarlierTrial(file)
	case earlier.ID == "" && record.Earlier == "" && record.Of == "":
		return nil, nil
	}
	library, err := open()
	switch {
	case err != nil:
		return nil, err
	case earlier.ID != "":
		return library.Earlier(earlier.ID, record)
	}
	return library.Before(record)
}

// Form is the advice for other programs.
func (a Advice) Form() any { return report.AdviceOn(a.trial, a.outlook) }

// Code is what comes next as an exit code.
func (a Advice) Code() int {
	switch a.outlook.Next.(type) {
	case session.Try:
		return 0
	case session.Install:
		return 10
	}
	return 11
}

// Show writes the advice in words.
func (a Advice) Show(out io.Writer) {
	t, o := a.trial, a.outlook
	out = words.Printable(out)
	switch next := o.Next.(type) {
	case session.Try:
		fmt.Fprintf(out, "Try %s.\n%s\n", t.Rig.Named(next.Setting), next.Reason)
	case session.Install:
		for _, line := range o.Lines(t, a.promise) {
			fmt.Fprintln(out, line)
		}
	case session.Refuse:
		fmt.Fprintf(out, "Stop without a setting.\n%s\n", words.Capital(next.Reason))
	}
	fmt.Fprintf(out, "Pushes that count: %d. Cable used: %s.\n", o.Attempts, q.Text(o.CableUsed, words.YesNo(t.Conditions.Unit == "°C", "m", "ft")))
	for _, w := range o.Warnings {
		fmt.Fprintf(out, "! %s.\n", words.Capital(w))
	}
}
