package ask

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
)

// reviewDesk reads and writes what a [ReviewFlow] needs, between two questions and beside
// the screen.
type reviewDesk struct {
	library *profiles.Library
	reading sync.Mutex // one reading of the whole library at a time: who comes back waits for it
	sitting *profiles.Sitting
	by      string // whose it is
}

func newReviewDesk(library *profiles.Library) *reviewDesk { return &reviewDesk{library: library} }

// ReviewRecords returns the page on which a review begins.
func ReviewRecords(k Keeper, library *profiles.Library) (Keeper, *Home, error) {
	options, err := library.Options()
	if err != nil {
		options = profiles.Options{} // the screens say so
	}
	return newReviewDesk(library).begin(options.Metric).To(k)
}

// begin turns to the reading of the library.
func (d *reviewDesk) begin(metric bool) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		next, err := awayFrom(k)
		if err != nil {
			return k, nil, err
		}
		next.Bye, next.Close = "Left. What was decided is on disk.", d.close
		return next, &Home{Page: func() Question { return d.readingPage(metric) }}, nil
	}}
}

// readingPage waits for the library's index. The first time it is made from every record.
func (d *reviewDesk) readingPage(metric bool) Question {
	return Question{
		ID: "review-reading", Title: "Reading the records", Place: "review", Help: reviewWhy,
		Body:    []string{"The first time every record is read, which can take minutes. After that only what has changed is.", "Leave if you like: nothing is written but an index."},
		Choices: []Choice{goingHome(Major)},
		Wait: &Waiting{func(told func(done, total int)) Turn {
			v, err := d.read(told)
			if err != nil {
				return d.failed(metric, err)
			}
			return d.turn(ReviewFlow{view: &v, metric: metric, find: reviewFind{order: profiles.ByWorst}})
		}},
	}
}

func (d *reviewDesk) read(told func(done, total int)) (profiles.Review, error) {
	d.reading.Lock()
	defer d.reading.Unlock()
	return d.library.Review(told)
}

// failed says why the library cannot be read.
func (d *reviewDesk) failed(metric bool, err error) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		return k, &Home{Page: func() Question {
			return Question{ID: "review-failed", Title: "The records cannot be read", Place: "review", Body: strings.Split("! "+err.Error(), "\n"),
				Choices: []Choice{{Label: "Try again", Do: going(d.begin(metric))}, goingHome(Minor)}}
		}}, nil
	}}
}

// close ends the sitting.
func (d *reviewDesk) close() error {
	if d.sitting == nil {
		return nil
	}
	s := d.sitting
	d.sitting, d.by = nil, ""
	return s.Close()
}

// turn makes a flow's question the next page, once what it needs is read or written.
func (d *reviewDesk) turn(r ReviewFlow) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		r, err := d.ready(r)
		if err != nil {
			return k, nil, err
		}
		return k, &Home{Page: func() Question { return r.Question(d.turn) }}, nil
	}}
}

func (d *reviewDesk) ready(r ReviewFlow) (ReviewFlow, error) {
	r.now = d.library.Now()
	var err error
	if r.deed.sure {
		if r, err = d.decide(r); err != nil {
			return r, err
		}
	}
	if r.listing == nil {
		r.listing = newListing(r.view, r.find)
	}
	if r.id != "" && (r.one == nil || r.one.ID != r.id) {
		if r.one, err = d.open(r.view, r.id); err != nil {
			return r, err
		}
	}
	if r.step == reviewCompare && (r.second == nil || r.second.ID != r.other) {
		r.second, err = d.open(r.view, r.other)
		if err == nil && r.second.record == nil {
			err = fmt.Errorf("that record cannot be read, so there is nothing to compare: %w", r.second.problem)
		}
	}
	return r, err
}

// open reads a record to look at it.
func (d *reviewDesk) open(v *profiles.Review, id string) (*openRecord, error) {
	listed, err := v.Find(id)
	if err != nil {
		return nil, err
	}
	o := &openRecord{Listed: listed, file: d.inside(listed.Path), reviewers: d.reviewers(v)}
	var warning string
	if o.record, warning, o.problem = listed.Record(); o.problem == nil {
		o.problem = o.weigh()
	}
	o.seal = d.sealWords(warning, slices.ContainsFunc(listed.Exceptions, func(e profiles.Exception) bool { return e.Kind == profiles.NotSealed }))
	if listed.SealTakenOff() {
		o.seal = "! Seal taken off: its trial here is sealed, and it is not any more. It was edited."
	}
	if o.problem != nil {
		o.record, o.seal = nil, "! "+d.inside(o.problem.Error())+"\nNothing can be said of its seal."
	}
	o.journal = d.journalSeal(id)
	return o, nil
}

// weigh makes of a record what its pages show.
func (o *openRecord) weigh() error {
	head, err := o.record.AsChanged()
	if err != nil {
		return err
	}
	o.head = head
	t, err := o.record.Trial()
	if err != nil {
		return err
	}
	o.flow = Flow{Trial: t, Record: *o.record}
	if t.Advisable() == nil {
		o.flow.Outlook = session.View(t)
	}
	return nil
}

// inside leaves the library's folder out of what is said of its files.
func (d *reviewDesk) inside(text string) string {
	return strings.ReplaceAll(text, d.library.Within(), "")
}

// sealWords say what the seals of a file show.
func (d *reviewDesk) sealWords(warning string, without bool) string {
	switch {
	case warning != "":
		return "! Seal broken: " + d.inside(strings.ReplaceAll(warning, "\n", " "))
	case without:
		return "! No seal: written by hand, or by an older version."
	}
	return "Seal whole: it is as it was written. A seal is no signature."
}

// journalSeal looks at the journal of a record's trial, where that is here.
func (d *reviewDesk) journalSeal(id string) string {
	if !profiles.ValidID(id) {
		return "not looked for: this is no id"
	}
	switch warning, err := d.library.TrialWarning(id); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return "! " + strings.ReplaceAll(err.Error(), "\n", " ")
	case warning != "":
		return "! " + strings.ReplaceAll(warning, "\n", " ")
	default:
		return "whole"
	}
	return "not in this library"
}

// reviewers are who may review: those who have before, then who is one by their card,
// then all others.
func (d *reviewDesk) reviewers(v *profiles.Review) []string {
	var names []string
	add := func(name string) {
		if name = strings.TrimSpace(name); name != "" && !slices.ContainsFunc(names, func(n string) bool { return profiles.SameName(n, name) }) {
			names = append(names, name)
		}
	}
	add(d.by)
	people := d.library.Cards().People
	for _, p := range people {
		if p.Has(profiles.Supervisor) {
			add(p.Name)
		}
	}
	for _, p := range v.Profiles {
		for _, a := range p.Actions {
			add(a.By)
		}
	}
	for _, p := range people {
		add(p.Name)
	}
	return names
}

// decide writes a decision, reads it back from the disk, and says so.
func (d *reviewDesk) decide(r ReviewFlow) (ReviewFlow, error) {
	done := r.deed
	stopped := done.action == profiles.Accept && show.Stopped(d.library, r.id)
	if err := d.write(r, done); err != nil {
		return r, err
	}
	p, err := d.readBack(r, done)
	if err != nil {
		return r, err
	}
	who := r.who
	r = r.at(reviewOne)
	r.deed, r.one, r.listing = deed{}, nil, nil
	r.told = fmt.Sprintf("Written and read back: %s%s, by %s.", deedWords[done.action], onDay(done.expires), who)
	if done.action == profiles.Accept && p.Stands != profiles.StandsAccepted { // a question came in meanwhile
		r.told += fmt.Sprintf(" It stands as %s: look at it again.", p.Stands)
	}
	if done.action == profiles.Accept {
		r.told += " " + show.HandsOut(d.library, r.id, stopped)
	}
	return r, nil
}

func (d *reviewDesk) write(r ReviewFlow, done deed) error {
	if d.sitting == nil || d.by != r.who {
		if err := d.close(); err != nil {
			return err
		}
		s, err := d.library.Sit(r.who)
		if err != nil {
			return err
		}
		d.sitting, d.by = s, r.who
	}
	switch done.action {
	case profiles.Accept:
		return d.sitting.AcceptShown(r.one.Listed, done.note)
	case profiles.Query:
		return d.sitting.Query(r.id, done.note)
	case profiles.Expire:
		return d.sitting.Expire(r.id, done.expires, done.note)
	case profiles.Withdraw:
		return d.sitting.Withdraw(r.id, done.note)
	}
	return fmt.Errorf("there is no action %q", done.action)
}

// readBack reads the record and what was decided about it anew, and looks for the decision.
func (d *reviewDesk) readBack(r ReviewFlow, done deed) (*profiles.Listed, error) {
	p, err := d.library.Reread(*r.view, r.id)
	if err != nil {
		return nil, fmt.Errorf("it is written, but cannot be read back: %w", err)
	}
	if !slices.ContainsFunc(p.Actions, func(a profiles.Judged) bool {
		return a.Action == done.action && a.By == r.who && a.Note == done.note && a.Expires.Equal(done.expires) && a.Sealed
	}) {
		return nil, errors.New("it was written, but it does not stand in the review as read back\n  look at the files in the folder \"reviews\"")
	}
	return p, nil
}
