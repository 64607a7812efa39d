package ask

import (
	"maps"
	"slices"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
)

// ReachFlow asks for a run, from its route to the friction, and shows how far the cable
// will come. It is a value: an answer makes the next one, and the one before is kept to go
// back to. What must be read, written or worked out is done by a [reachDesk] between two
// questions.
type ReachFlow struct {
	step   reachStep
	passed [reachSteps]bool // answered, or known from a card or a profile
	before *ReachFlow
	metric bool

	offers  reachOffers
	record  func(profiles.ReachFile) Turn // begins the record of the run this is worked out for; nil where no profile is named
	run     profiles.ReachFile
	part    profiles.RouteSection // of the route, under way
	name    string                // of a route to be saved
	file    string                // a reach file that was picked
	profile *profiles.Record      // whose setting gives the push
	problem string                // why the last answer was not taken
	worked  *workedReach          // the result
}

// reachOffers is what the library has to pick from.
type reachOffers struct {
	routes   []profiles.RouteCard
	files    []string
	settings []offeredSetting
	cards    profiles.Cards
	notes    []string // what cannot be read
}

// offeredSetting is a profile and the push of its setting.
type offeredSetting struct {
	profile *profiles.Record
	push    q.Force
}

type reachStep int

// The questions in their order, those of the table and of the result after them.
const (
	reachRoute reachStep = iota
	reachTable
	reachName
	reachSetting
	reachSafe
	reachCable
	reachDiameter
	reachMass
	reachStiffness
	reachDuct
	reachBore
	reachLie
	reachAmplitude
	reachPeriod
	reachInlet
	reachFreeAir
	reachAirWarmth
	reachRatings
	reachTopSpeed
	reachFriction
	reachResult

	reachLength
	reachSlope
	reachBend
	reachRadius
	reachSide
	reachCompressorRating
	reachHoseRating
	reachCouplingRating
	reachDuctRating
	reachDuctWarmth
	reachEnough
	reachPictures // and those after it
	reachSteps    = reachPictures
)

// NewReachFlow starts with what a library offers. A profile whose setting is to be used
// may be given.
func NewReachFlow(offers reachOffers, profile *profiles.Record, metric bool) ReachFlow {
	r := ReachFlow{offers: offers, metric: metric}
	r.passed[reachSetting] = len(offers.settings) == 0
	r.passed[reachCable] = len(offers.cards.Cables) == 0
	r.passed[reachDuct] = len(offers.cards.Ducts) == 0
	if profile != nil {
		r = r.withProfile(profile)
	}
	return r
}

// withProfile takes push, cable and duct from a profile, as far as they are known there.
// Without a known push the crew is asked what the trial allows.
func (r ReachFlow) withProfile(p *profiles.Record) ReachFlow {
	r.run.Cable, r.run.Duct = p.Cable, p.Duct
	r.run.Cable.Reel, r.run.Cable.Lot, r.run.Cable.PrintLegend, r.run.Duct.Lot = "", "", "", ""
	known := r.offers.cards.Complete(profiles.Record{Cable: r.run.Cable, Duct: r.run.Duct})
	r.run.Cable, r.run.Duct = known.Cable, known.Duct
	r.passed[reachSetting] = true
	if slices.ContainsFunc(r.offers.settings, func(s offeredSetting) bool { return s.profile.ID == p.ID }) {
		r.profile, r.run.Push.Profile = p, p.ID
		r.passed[reachSafe] = true
		r.passed[reachTopSpeed] = p.Setting.Speed.IsSpeed() // a run goes no faster than its trial
	}
	return r.withCable().withDuct()
}

// withCable passes the questions a known cable answers.
func (r ReachFlow) withCable() ReachFlow {
	c := r.run.Cable
	r.passed[reachCable] = true
	r.passed[reachDiameter] = c.OuterDiameter.String() != ""
	r.passed[reachMass] = c.Mass.String() != ""
	r.passed[reachStiffness] = c.BendingStiffness.String() != ""
	return r
}

func (r ReachFlow) withDuct() ReachFlow {
	r.passed[reachDuct] = true
	r.passed[reachBore] = r.run.Duct.InnerDiameter.String() != "" || r.run.Duct.Size != ""
	return r
}

// at goes to a step, with the present one to go back to.
func (r ReachFlow) at(s reachStep) ReachFlow {
	back := r
	back.problem = ""
	r.before, r.step, r.problem = &back, s, ""
	return r
}

// next goes to the first question after the present one that is open. Those before it were
// answered.
func (r ReachFlow) next() ReachFlow {
	r.passed[r.step] = true
	for s := reachRoute; s < reachResult; s++ {
		if !r.passed[s] {
			return r.at(s)
		}
	}
	return r.at(reachResult)
}

// Question asks the present step. turn makes the next flow's question the next page.
func (r ReachFlow) Question(turn func(ReachFlow) Turn) Question {
	p := reachPage{r, turn}
	var q Question
	switch e, typed := reachEntries[r.step]; {
	case r.step >= reachPictures:
		q = p.picture()
	case typed:
		q = p.entry(e)
	default:
		q = reachQuestions[r.step](p)
	}
	q.Place = "reach"
	if r.problem != "" {
		q.Body = append([]string{"! " + r.problem}, q.Body...)
	}
	if r.before != nil && r.step < reachResult || r.step > reachResult && r.step < reachEnough {
		q.Choices = append(q.Choices, p.to("Back one answer", *r.before, Minor))
	}
	if r.step != reachEnough && r.step < reachPictures {
		q.Choices = append(q.Choices, Choice{Label: "To the start page", Rank: Minor, Do: func(f Flow) (Flow, Effect) { return f, GoHome{} }})
	}
	return q
}

// reachPage is a flow and the way to turn to another.
type reachPage struct {
	ReachFlow
	turn func(ReachFlow) Turn
}

func (p reachPage) to(label string, next ReachFlow, r Rank) Choice {
	return Choice{Label: label, Rank: r, Do: func(f Flow) (Flow, Effect) { return f, p.turn(next) }}
}

// example is one of two, in the crew's units.
func (p reachPage) example(examples [2]string) string {
	if p.metric {
		return examples[1]
	}
	return examples[0]
}

var reachQuestions map[reachStep]func(reachPage) Question

// The table is filled here because a question's choices lead back to the flow.
func init() {
	maps.Copy(reachEntries, ratingEntries())
	reachQuestions = map[reachStep]func(reachPage) Question{
		reachRoute: reachPage.whichRoute, reachTable: reachPage.table, reachSlope: reachPage.slope, reachBend: reachPage.bend,
		reachSide: reachPage.side, reachSetting: reachPage.whichSetting, reachCable: reachPage.whichCable, reachDuct: reachPage.whichDuct,
		reachLie: reachPage.lie, reachRatings: reachPage.ratings, reachFriction: reachPage.friction,
		reachResult: reachPage.result, reachEnough: reachPage.enough,
	}
}
