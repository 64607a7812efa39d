package ask

import (
	"time"

	"brinkmark/profiles"
)

// ReviewFlow leads a supervisor through the profiles of a library: the list, one record,
// two side by side, a decision. It is a value: an answer makes the next one. What must be
// read or written is done by a [reviewDesk] between two questions.
type ReviewFlow struct {
	step   reviewStep
	metric bool
	now    time.Time

	view     *profiles.Review // the library as it was read
	find     reviewFind       // which records are listed, and in which order
	listing  *listing         // those; nil when they are to be found anew
	listPage int
	picking  bool // the list is there to pick what the open record is compared with

	id     string      // of the record that is looked at
	one    *openRecord // the same, nil when it is to be opened
	after  string      // the record that came after it in the list
	other  string      // of the one it is compared with
	second *openRecord

	asked  findPart // of a search, under way
	page   int      // of values, people, records or weeks to pick
	byRig  bool     // totals by rig, and not by crew
	typing bool     // a text is typed, though there are choices
	pair   cablePair
	who    string // who reviews
	deed   deed   // a decision under way
	told   string // what the last decision did
}

type reviewStep int

// The pages.
const (
	reviewList reviewStep = iota
	reviewFindPage
	reviewValues
	reviewOther
	reviewUnread
	reviewWeeks
	reviewPairs
	reviewOne
	reviewMore
	reviewPick
	reviewCompare
	reviewTrend
	reviewWho
	reviewReason
	reviewExpiry
	reviewConfirm
	reviewParts // and those after it: the parts of a record
)

// at goes to a page.
func (r ReviewFlow) at(s reviewStep) ReviewFlow {
	r.step, r.told, r.page, r.typing = s, "", 0, false
	return r
}

// reviewPage is a flow and the way to turn to another.
type reviewPage struct {
	ReviewFlow
	turn func(ReviewFlow) Turn
}

func (p reviewPage) to(label string, next ReviewFlow, r Rank) Choice {
	return Choice{Label: label, Rank: r, Do: going(p.turn(next))}
}

// back is the way to where one came from, by the key for it too.
func (p reviewPage) back(label string, next ReviewFlow, r Rank) Choice {
	c := p.to(label, next, r)
	c.Also = &Keys.Back
	return c
}

var reviewQuestions map[reviewStep]func(reviewPage) Question

// The table is filled here because a question's choices lead back to the flow.
func init() {
	reviewQuestions = map[reviewStep]func(reviewPage) Question{
		reviewList: reviewPage.list, reviewFindPage: reviewPage.findPage, reviewValues: reviewPage.values,
		reviewOther: reviewPage.others, reviewUnread: reviewPage.unreadable, reviewWeeks: reviewPage.weeks, reviewPairs: reviewPage.pairs,
		reviewOne: reviewPage.record, reviewMore: reviewPage.more, reviewPick: reviewPage.pick, reviewCompare: reviewPage.compare, reviewTrend: reviewPage.trend,
		reviewWho: reviewPage.whoReviews, reviewReason: reviewPage.reason, reviewExpiry: reviewPage.expiry, reviewConfirm: reviewPage.confirm,
	}
}

// Question asks on the present page. turn makes the next flow's question the next page.
func (r ReviewFlow) Question(turn func(ReviewFlow) Turn) Question {
	p := reviewPage{r, turn}
	ask := reviewPage.part
	if r.step < reviewParts {
		ask = reviewQuestions[r.step]
	}
	q := ask(p)
	q.Place = "review"
	if q.Help == nil {
		q.Help = reviewWhy
	}
	return q
}

var reviewWhy = []string{
	"First the records nobody has judged yet that have something against them, the worst first. Then those with a question open, then new ones with nothing against them, then all that is judged.",
	"* new, + accepted, ? queried, - expired, x withdrawn. Lines with ! say what speaks against a record.",
	"To judge is to write one more entry. Nothing is ever deleted, and a wrong decision is mended by another one. A withdrawn record stays withdrawn, and of two expiries the earlier one counts.",
	"A review rests on what the crew wrote down. It proves no cable, duct or machine.",
}

// goingHome is the way to the start page.
func goingHome(r Rank) Choice {
	return Choice{Label: "To the start page", Rank: r, Do: func(f Flow) (Flow, Effect) { return f, GoHome{} }}
}
