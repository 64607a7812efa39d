package ask

import (
	"slices"

	"brinkmark/profiles"
)

// crewRole is what someone does in a job, and where the job keeps who does it.
type crewRole struct {
	key   string // of the record
	title string
	role  profiles.Role
	named func(*profiles.People) *string
}

var crewRoles = []crewRole{
	{"people.operator", "Who is the operator?", profiles.Operator, func(p *profiles.People) *string { return &p.Operator }},
	{"people.watcher", "Who is the watcher?", profiles.Watcher, func(p *profiles.People) *string { return &p.Watcher }},
}

// peopleAsked is how far the questions about the people have come, as a place in
// crewRoles, and whether they are asked without cards too.
type peopleAsked struct {
	next   int
	always bool
}

// namingPeople asks anew for who is in a role, and in those after it.
func namingPeople(key string) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) {
		f = f.at(stepFirst)
		f.asked = peopleAsked{next: roleAt(key), always: true}
		return f, None{}
	}
}

func roleAt(key string) int {
	return slices.IndexFunc(crewRoles, func(r crewRole) bool { return r.key == key })
}

// peopleQuestion asks who works here, as long as that can be answered by a press or is
// wanted.
func (f Flow) peopleQuestion() (q Question, open bool) {
	for n := f.asked.next; n < len(crewRoles); n++ {
		role := crewRoles[n]
		unasked := *role.named(&f.Record.People) == "" && len(f.peopleFor(role)) > 0
		if f.asked.always || unasked {
			f.asked.next = n
			return f.personQuestion(role), true
		}
	}
	return q, false
}

// peopleFor returns those who can be in a role: not who has the other one; first those
// who have been in it.
func (f Flow) peopleFor(role crewRole) []profiles.Person {
	var before, others []profiles.Person
	for _, p := range f.Cards.People {
		busy := false
		for _, other := range crewRoles {
			busy = busy || other.key != role.key && profiles.SameName(p.Name, *other.named(&f.Record.People))
		}
		switch {
		case busy:
		case p.Has(role.role):
			before = append(before, p)
		default:
			others = append(others, p)
		}
	}
	return append(before, others...)
}

// personQuestion asks who is in a role.
func (f Flow) personQuestion(role crewRole) Question {
	then := func(f Flow) Flow {
		f = f.at(stepFirst)
		f.asked.next = roleAt(role.key) + 1
		return f
	}
	people := f.peopleFor(role)
	typing := f.fieldQuestion(role.key, then)
	if len(people) == 0 || f.draft.key == role.key || f.draft.near != "" {
		typing.Body = append(typing.Body, f.unreadable("people")...)
		return typing
	}
	q := Question{ID: role.key, Title: role.title, Body: f.unreadable("people"), Enter: typing.Enter, Help: []string{
		"These are the people on the cards of this tablet; those who have done it before come first.",
		"The name stands in the record of the trial, beside every answer.",
	}}
	var all []Choice
	for _, p := range people {
		all = append(all, Choice{Label: p.Name, Do: func(f Flow) (Flow, Effect) {
			r := f.Record
			was := *role.named(&r.People)
			*role.named(&r.People) = p.Name
			if role.role == profiles.Operator {
				r.People.Trainee = p.Has(profiles.Trainee) || r.People.Trainee && !f.isTrainee(was)
			}
			return then(f), ReplaceJob{r}
		}})
	}
	q = f.paged(q, all, "More people")
	q.Choices = append(q.Choices, Choice{Label: "Another: type the name", Rank: Minor, Do: func(f Flow) (Flow, Effect) {
		f.draft.key = role.key
		return f, None{}
	}})
	leaveOut := Choice{Label: "Leave it out", Rank: Minor, Do: func(f Flow) (Flow, Effect) { return then(f), None{} }}
	if now := *role.named(&f.Record.People); now != "" {
		leaveOut.Label = "Keep " + now
	}
	q.Choices = append(q.Choices, leaveOut)
	return q
}

// isTrainee reports whether someone's card says so.
func (f Flow) isTrainee(name string) bool {
	for _, p := range f.Cards.People {
		if profiles.SameName(p.Name, name) && p.Has(profiles.Trainee) {
			return true
		}
	}
	return false
}
