package ask

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// runOffers is what a library has to begin a run from.
type runOffers struct {
	picks    []profiles.Pick
	profile  *profiles.Record // the one chosen
	promised profiles.Promise // of it
	people   []profiles.Person
	routes   []profiles.RouteCard
	files    []string // of reaches that were worked out
	notes    []string // what cannot be read
	workOut  func() Turn
}

// runPicks is how many profiles are offered to begin a run with.
const runPicks = 7

// which asks for the profile a run installs with.
func (p runPage) which() Question {
	question := Question{ID: "run-which", Title: "A run with which profile?", Body: p.offers.notes}
	for _, pick := range p.offers.picks[:min(len(p.offers.picks), runPicks)] {
		next := p.RunFlow
		next.plan.Profile = pick.ID
		label := fmt.Sprintf("%s, %s", cmp.Or(pick.Key(), shortID(pick.ID)), pick.Began.Local().Format("2006-01-02 15:04"))
		question.Choices = append(question.Choices, p.to(label, next.at(runCrew), Major))
	}
	if len(question.Choices) == 0 {
		question.Title = "There is no profile yet"
		question.Body = append(question.Body, "A run installs with the setting of a trial: make the trial first.")
	}
	return question.with(goingHome(Minor))
}

// runRoles are who is named in a run, and where the plan keeps them.
var runRoles = []struct {
	key, title string
	named      func(*profiles.RunPeople) *string
}{
	{"Operator", "Who is the operator?", func(p *profiles.RunPeople) *string { return &p.Operator }},
	{"Watcher", "Who watches belts and cable?", func(p *profiles.RunPeople) *string { return &p.Watcher }},
	{"Far end", "Who stands at the far end?", func(p *profiles.RunPeople) *string { return &p.FarEnd }},
}

// crew asks whether the people are right; nobody at the far end is the usual gap.
func (p runPage) crew() Question {
	question := Question{ID: "run-crew", Title: "Who is on this run?"}
	if of, promised := p.offers.profile, p.offers.promised; of != nil {
		question.Body = append(question.Body, fmt.Sprintf("Profile: %s, %s.", words.Join(of.Cable.Make, of.Cable.Type, of.Duct.Size), promised.Rig.Named(promised.Setting)))
		if promised.ByHand {
			question.Body = append(question.Body, "! "+profiles.ByHandSays)
		}
	}
	people := p.plan.People
	for _, role := range runRoles {
		question.Body = append(question.Body, role.key+": "+cmp.Or(*role.named(&people), "nobody named"))
	}
	label := "These, and go on"
	if people.FarEnd == "" {
		label = "Go on, nobody named at the far end"
	}
	question.Choices = append(question.Choices, p.to(label, p.at(runRoute), Major))
	for _, role := range runRoles {
		next := p.at(runPerson)
		next.draft.key = role.key
		question.Choices = append(question.Choices, p.to(role.key+": name", next, Minor))
	}
	return question
}

// person asks for one name: from the cards, or typed.
func (p runPage) person() Question {
	role := runRoles[0]
	for _, r := range runRoles {
		if r.key == p.draft.key {
			role = r
		}
	}
	named := func(name string) RunFlow {
		next := p.RunFlow
		*role.named(&next.plan.People) = name
		next.step, next.before = runCrew, nil
		return next
	}
	question := p.pad("run-person", role.title, Entering{Label: "Name", Example: "initials will do"}, Choice{}, func(text string) (RunFlow, error) {
		next := named(text)
		return next, next.twoPlaces()
	})
	rest := question.Choices
	question.Choices = nil
	for _, who := range p.offers.people[:min(len(p.offers.people), cardsShown)] {
		if next := named(who.Name); next.twoPlaces() == nil {
			question.Choices = append(question.Choices, p.to(who.Name, next, Major))
		}
	}
	question.Choices = append(question.Choices, rest...)
	return question
}

// twoPlaces says why nobody can be at both ends: the far end has eyes, and a voice, of its own.
func (r RunFlow) twoPlaces() error {
	people := r.plan.People
	for _, here := range []string{people.Watcher, people.Operator} {
		if far := strings.TrimSpace(people.FarEnd); far != "" && strings.EqualFold(far, strings.TrimSpace(here)) {
			return fmt.Errorf("%s is at the drive: the far end is somebody else\n  name who stands at the duct's other end, out of line with it", far)
		}
	}
	return nil
}

// route asks how much is known of the way: the more, the more the run can be told.
func (p runPage) route() Question {
	question := Question{ID: "run-route", Title: "Which way does it go?", Body: append([]string{
		"With the reach worked out the log tells when it slows ahead of plan, and from the push what friction is."}, p.offers.notes...)}
	if p.offers.workOut != nil {
		question.Choices = append(question.Choices, Choice{Label: "Work out the reach first, then begin", Do: func(f Flow) (Flow, Effect) { return f, p.offers.workOut() }})
	}
	room := 5
	for _, file := range p.offers.files[:min(len(p.offers.files), room)] {
		next := p.at(runFirst)
		next.file = file
		question.Choices = append(question.Choices, p.to("As in the file "+file, next, Major))
		room--
	}
	for _, card := range p.offers.routes[:min(len(p.offers.routes), room)] {
		if length, known := routeLengthOf(card); known {
			next := p.at(runFirst)
			next.plan.Route = profiles.RunRoute{Name: card.Name, Length: length}
			question.Choices = append(question.Choices, p.to(fmt.Sprintf("%s, %s", card.Name, length), next, Major))
		}
	}
	return question.with(p.to("Only its length", p.at(runLength), Major), p.to("Not known", p.at(runFirst), Minor), p.backOne())
}

// routeLengthOf is how long a route's card is.
func routeLengthOf(card profiles.RouteCard) (profiles.Quantity[q.Length], bool) {
	route, err := profiles.NewRoute(card.Sections)
	if err != nil {
		return profiles.Quantity[q.Length]{}, false
	}
	unit := "m"
	for _, s := range card.Sections {
		if u, err := q.Unit[q.Length](s.Length.String()); err == nil && s.Length.String() != "" {
			unit = u
			break
		}
	}
	return asWritten[q.Length](reach.LengthText(route.Length(), unit)), true
}

func (r RunFlow) previous() RunFlow {
	if r.before == nil {
		return r.first()
	}
	return *r.before
}

func (p runPage) routeLength() Question {
	return p.pad("run-length", "How long is the route, mouth to far end?", Entering{Label: "Length", Example: words.YesNo(p.metric, "1560 m", "5100 ft")}, Choice{}, func(text string) (RunFlow, error) {
		v, err := named[q.Length]("length", text)
		if err == nil && v <= 0 {
			err = fmt.Errorf("%s is no length of a route", text)
		}
		if err != nil {
			return p.RunFlow, err
		}
		next := p.at(runFirst)
		next.plan.Route.Length = asWritten[q.Length](text)
		return p.unlessOdd(text, run.OddRoute(text), next), nil
	})
}

// runChoice is the way from a finished trial to the run that installs with its profile.
func runChoice(profile string, metric bool) Choice {
	return Choice{Label: "Start the run record", Do: func(f Flow) (Flow, Effect) {
		return f, Turn{func(k Keeper) (Keeper, *Home, error) {
			if k.Run == nil {
				return k, nil, errors.New("this trial is in no library, so no run can be recorded")
			}
			return k.Run(profile, metric).To(k)
		}}
	}}
}

// installs is the id of the profile this trial leads to: its own, or the one that covers it.
func (f Flow) installs() string {
	switch {
	case f.Trial.StateOf(session.ItemSaved) == session.ProfileWritten:
		return f.Record.ID
	case f.Trial.StateOf(session.ItemJob) == session.JobCovered:
		for _, a := range f.Trial.Answers() {
			if a.Item == session.ItemJob && profiles.ValidID(a.Value) {
				return a.Value
			}
		}
	}
	return ""
}
