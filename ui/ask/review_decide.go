package ask

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// deed is a decision under way.
type deed struct {
	action  profiles.Action
	note    string
	expires time.Time
	sure    bool // it is to be written
}

// deedWords are the actions as done.
var deedWords = map[profiles.Action]string{
	profiles.Accept: "accepted", profiles.Query: "asked", profiles.Expire: "expires", profiles.Withdraw: "withdrawn",
}

// deedOffer is a decision that can be made, and what it asks first.
type deedOffer struct {
	action profiles.Action
	label  string
	asks   reviewStep
}

// deedOffers begin with what can always be done, so that digits stay when less can.
var deedOffers = []deedOffer{
	{profiles.Query, "Ask the crew about it", reviewReason},
	{profiles.Withdraw, "Withdraw it", reviewReason},
	{profiles.Expire, "Let it expire", reviewExpiry},
	{profiles.Accept, "Accept it", reviewConfirm},
}

// deedsFor are the decisions that change anything about a record: what is withdrawn stays
// so, what has expired can only be withdrawn, what cannot be read cannot be accepted.
func deedsFor(o *openRecord) []deedOffer {
	return slices.DeleteFunc(slices.Clone(deedOffers), func(d deedOffer) bool {
		switch d.action {
		case profiles.Accept:
			return o.problem != nil || o.edited() || o.Stands == profiles.StandsExpired || o.Stands == profiles.StandsWithdrawn
		case profiles.Expire:
			return o.Stands == profiles.StandsExpired || o.Stands == profiles.StandsWithdrawn
		case profiles.Withdraw:
			return o.Stands == profiles.StandsWithdrawn
		}
		return false
	})
}

// edited reports whether a seal does not fit: such a record covers no job, accepted or not.
func (o *openRecord) edited() bool {
	return slices.ContainsFunc(o.Exceptions, func(e profiles.Exception) bool { return e.Kind == profiles.EditedSinceSealed })
}

// withReviewer asks first who reviews, while that is not known.
func (r ReviewFlow) withReviewer() ReviewFlow {
	if r.who == "" && r.step == reviewConfirm {
		return r.at(reviewWho)
	}
	return r
}

// deciding goes on to the last question of a decision.
func (r ReviewFlow) deciding(d deed) ReviewFlow {
	next := r.at(reviewConfirm)
	next.deed = d
	return next.withReviewer()
}

// whoReviews asks who decides.
func (p reviewPage) whoReviews() Question {
	q := Question{ID: "review-who", Title: "Who reviews?", Body: []string{"The name is kept with every decision. It is asked once."}}
	named := func(name string) ReviewFlow {
		next := p.ReviewFlow
		next.who = name
		return next.deciding(p.deed)
	}
	people := p.one.reviewers
	q.Enter = &Entering{Label: "Name or initials", Example: "AB", Take: func(f Flow, text string) (Flow, Effect, error) {
		text, err := shortText(text, 40)
		return f, p.turn(named(text)), err
	}}
	back := p.back("Not now", p.at(reviewOne), Minor)
	if p.typing || len(people) == 0 {
		q.Choices = []Choice{back}
		return q
	}
	var all []Choice
	for _, name := range people {
		label := name
		if role := p.one.OwnTrial(name); role != "" {
			label += ", its " + role
		}
		all = append(all, p.to(label, named(name), Major))
	}
	q = p.someOf(q, all)
	typed := p.ReviewFlow
	typed.typing = true
	q.Choices = append(q.Choices, p.to("Another: type the name", typed, Minor), back)
	return q
}

// shortText is a typed text of at most so many letters.
func shortText(text string, most int) (string, error) {
	if text = strings.TrimSpace(text); len([]rune(text)) > most {
		return "", fmt.Errorf("at most %d letters", most)
	}
	return text, nil
}

const longestNote = 200

// withdrawReasons are why a record may cover nothing any more.
var withdrawReasons = []string{
	"A fold or damage in a later run",
	"Cable, duct or rig is not the one written down",
	"A gauge or the belts were found bad",
	"The trial was not made as written",
	"A newer trial takes its place",
}

// reason asks why, or what the crew is asked. What is against the record is offered.
func (p reviewPage) reason() Question {
	q := Question{ID: "review-reason", Title: "Why is it withdrawn?", Body: []string{"It covers no job from then on, for good. The record stays."}}
	var offers [][2]string // what stands on the button, and what is written
	for _, text := range withdrawReasons {
		offers = append(offers, [2]string{text, text})
	}
	if p.deed.action == profiles.Query {
		q.Title, q.Body, offers = "What is the crew to explain?", []string{"It covers jobs as before. The question stands in the review."}, nil
		for _, e := range p.one.Exceptions {
			if e.Kind != profiles.Question && len(offers) < someShown {
				offers = append(offers, [2]string{words.Capital(e.Kind.Says()), "Explain: " + exceptionWords(e)})
			}
		}
	}
	noted := func(text string) ReviewFlow {
		d := p.deed
		d.note = text
		return p.deciding(d)
	}
	q.Enter = &Entering{Label: "In words", Example: "why at 6 psi?", Take: func(f Flow, text string) (Flow, Effect, error) {
		text, err := shortText(text, longestNote)
		return f, p.turn(noted(text)), err
	}}
	back := p.back("Not now", p.at(reviewOne), Minor)
	if p.typing || len(offers) == 0 {
		q.Choices = []Choice{back}
		return q
	}
	for _, offer := range offers {
		q.Choices = append(q.Choices, p.to(offer[0], noted(words.ClipTo(offer[1], longestNote)), Major))
	}
	typed := p.ReviewFlow
	typed.typing = true
	q.Choices = append(q.Choices, p.to("Another: type it", typed, Minor), back)
	return q
}

// expiry asks from when on a record covers nothing.
func (p reviewPage) expiry() Question {
	q := Question{ID: "review-expiry", Title: "In how many days does it expire?",
		Body: []string{"0 is at once. A date is typed as 2027/1/31."}, Choices: []Choice{p.back("Not now", p.at(reviewOne), Minor)}}
	q.Enter = &Entering{Label: "Days, or a date", Example: "30 days", Now: "0 days", Step: "10 days", Take: func(f Flow, text string) (Flow, Effect, error) {
		on, err := expiryDay(p.now, text)
		if err != nil {
			return f, None{}, err
		}
		d := p.deed
		d.expires = on
		return f, p.turn(p.deciding(d)), nil
	}}
	return q
}

// longestExpiry is further ahead than any record covers a job.
const longestExpiry = 3650

// expiryDay is the beginning of the day from which on a record covers nothing: in so many
// days, or on a date.
func expiryDay(now time.Time, text string) (time.Time, error) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(text), "days"), "day"))
	year, month, day := now.Date()
	today := time.Date(year, month, day, 0, 0, 0, 0, now.Location())
	if n, err := strconv.Atoi(text); err == nil {
		if n < 0 || n > longestExpiry {
			return today, fmt.Errorf("%d days: must be from 0 to %d", n, longestExpiry)
		}
		return today.AddDate(0, 0, n), nil
	}
	on, err := time.ParseInLocation("2006-1-2", strings.NewReplacer("/", "-", ".", "-").Replace(text), now.Location())
	switch {
	case err != nil:
		return today, fmt.Errorf("%q is no number of days and no date: write it as 30 or as 2027/1/31", text)
	case on.Before(today):
		return today, fmt.Errorf("%s is past: 0 days lets it expire at once", on.Format(time.DateOnly))
	case on.After(today.AddDate(0, 0, longestExpiry)):
		return today, fmt.Errorf("%s is more than %d days ahead", on.Format(time.DateOnly), longestExpiry)
	}
	return on, nil
}

// confirm reads a decision back before it is written.
func (p reviewPage) confirm() Question {
	d, o := p.deed, p.one
	q := Question{ID: "review-confirm"}
	yes := ""
	switch d.action {
	case profiles.Accept:
		q.Title, yes = "Accept "+settingText(o.Listed)+"?", "Yes, "+p.who+" accepts it"
		if n := len(o.Exceptions); n > 0 {
			q.Body = append(q.Body, words.YesNo(n == 1, "! One thing is against it, and stays on record: ", fmt.Sprintf("! %d things are against it, and stay on record: ", n))+
				strings.Join(slices.Compact(kindsSaid(o.Listed)), "; ")+".")
		}
	case profiles.Query:
		q.Title, yes = "Ask the crew?", "Yes, "+p.who+" asks it"
	case profiles.Expire:
		q.Title, yes = "Let it expire on "+d.expires.Format("Monday 2006-01-02")+"?", "Yes, "+p.who+" sets it"
		q.Body = append(q.Body, "From that day on it covers no job. An earlier expiry set before stands.")
	case profiles.Withdraw:
		q.Title, yes = "Withdraw it for good?", "Yes, "+p.who+" withdraws it"
		q.Body = append(q.Body, "! This cannot be taken back. Only a new trial takes its place.")
	}
	if d.note != "" {
		q.Body = append(q.Body, "\""+d.note+"\"")
	}
	if role := o.OwnTrial(p.who); role != "" {
		q.Body = append(q.Body, fmt.Sprintf("! %s was the %s of this trial: the review will show that it is one's own.", p.who, role))
	}
	q.Body = append(q.Body, keyText(o.Listed)+": "+settingText(o.Listed)+".", "By "+p.who+", "+p.now.Format("2006-01-02 15:04")+".")
	sure := p.ReviewFlow
	sure.deed.sure = true
	other := p.at(reviewWho)
	q.Choices = []Choice{forGood(yes, p.to(yes, sure, Major).Do), p.to("Somebody else decides", other, Minor), p.back("No, not now", p.at(reviewOne), Minor)}
	if d.action == profiles.Accept || d.action == profiles.Expire {
		q.Enter = &Entering{Label: "A note", Example: "seen with the crew", Take: func(f Flow, text string) (Flow, Effect, error) {
			text, err := shortText(text, longestNote)
			d.note = text
			return f, p.turn(p.deciding(d)), err
		}}
	}
	return q
}
