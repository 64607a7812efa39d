package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// reviewFind says which records are listed, and in which order. A word fits where it is
// a part of something; what was picked must be the very same.
type reviewFind struct {
	words string
	state findState
	is    [findParts]string
	order profiles.Order
}

// findState is what a record's state must be.
type findState struct {
	stands  profiles.Standing
	against bool // something is against it
}

// findPart is what a search can pick a value of.
type findPart int

const (
	findWords findPart = iota
	findStateOf
	findCrew
	findRig
	findCable
	findDuct
	findJob
	findOrder
	findParts
)

// findFields are the parts whose values stand in the records.
var findFields = map[findPart]struct {
	name string
	of   func(*profiles.Listed) []string
}{
	findCrew:  {"Crew", func(p *profiles.Listed) []string { return []string{p.Operator, p.Watcher} }},
	findRig:   {"Rig", func(p *profiles.Listed) []string { return []string{p.Rig} }},
	findCable: {"Cable", func(p *profiles.Listed) []string { return []string{strings.TrimSpace(p.Make + " " + p.Type)} }},
	findDuct:  {"Duct", func(p *profiles.Listed) []string { return []string{p.Size} }},
	findJob:   {"Job or site", func(p *profiles.Listed) []string { return []string{p.Job, p.Site} }},
}

// in returns the records of a review that fit, in its order.
func (f reviewFind) in(v profiles.Review) []*profiles.Listed {
	found := v.Filter(profiles.Filter{
		Text: f.words, Stands: f.state.stands, ExceptionsOnly: f.state.against,
		Crew: f.is[findCrew], Rig: f.is[findRig], Cable: f.is[findCable], Duct: f.is[findDuct], Job: f.is[findJob],
	})
	for part, field := range findFields {
		if want := f.is[part]; want != "" {
			found = slices.DeleteFunc(found, func(p *profiles.Listed) bool {
				return !slices.ContainsFunc(field.of(p), func(s string) bool { return sameText(s, want) })
			})
		}
	}
	return found
}

func sameText(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// says is the search in words, "" when all are listed.
func (f reviewFind) says() string {
	var said []string
	if f.state.against {
		said = append(said, "with something against them")
	}
	if f.state.stands != "" {
		said = append(said, "state: "+string(f.state.stands))
	}
	for part := findCrew; part <= findJob; part++ {
		if f.is[part] != "" {
			said = append(said, strings.ToLower(findFields[part].name)+": "+f.is[part])
		}
	}
	if f.words != "" {
		said = append(said, "words: "+f.words)
	}
	return strings.Join(said, ", ")
}

// searching lists what another search finds.
func (r ReviewFlow) searching(f reviewFind) ReviewFlow {
	next := r.at(reviewList)
	next.find, next.listing, next.listPage = f, nil, 0
	return next
}

var orderWords = []struct {
	order profiles.Order
	says  string
}{{profiles.ByWorst, "the worst first"}, {profiles.ByTime, "the newest first"}, {profiles.ByKey, "by cable, duct and temperature"}, {profiles.BySpeed, "the fastest first"}}

// findPage asks what to look for.
func (p reviewPage) findPage() Question {
	q := Question{ID: "review-find", Title: "Which records, in which order?", Help: []string{
		"A word may be any part of key, reel, crew, rig, job or id. All words must fit.",
		"What is picked must fit as a whole; picked and typed together narrow the list further.",
		"A file that cannot be read fits any words, since nobody knows what it says, and nothing that is picked.",
	}}
	value := func(part findPart) ReviewFlow {
		next := p.at(reviewValues)
		next.asked, next.typing = part, part == findWords
		return next
	}
	state := string(p.find.state.stands)
	if p.find.state.against {
		state = "with something against it"
	}
	order := orderWords[slices.IndexFunc(orderWords, func(o struct {
		order profiles.Order
		says  string
	}) bool {
		return o.order == p.find.order
	})]
	q.Choices = []Choice{
		p.to("Words: "+cmp.Or(p.find.words, "any"), value(findWords), Major),
		p.to("State: "+cmp.Or(state, "any"), value(findStateOf), Major),
	}
	for part := findCrew; part <= findJob; part++ {
		q.Choices = append(q.Choices, p.to(findFields[part].name+": "+cmp.Or(p.find.is[part], "any"), value(part), Major))
	}
	q.Choices = append(q.Choices, p.to("Order: "+order.says, value(findOrder), Major))
	if p.find.says() != "" {
		q.Choices = append(q.Choices, p.to("Show all", p.searching(reviewFind{order: p.find.order}), Major))
		return q
	}
	q.Choices = append(q.Choices, p.back("To the list", p.at(reviewList), Major))
	return q
}

// values asks for the value of one part of a search.
func (p reviewPage) values() Question {
	with := func(change func(*reviewFind)) ReviewFlow {
		next := p.find
		change(&next)
		return p.searching(next)
	}
	q := Question{ID: "review-value", Title: "Which?"}
	back := p.back("Back", p.at(reviewFindPage), Minor)
	switch p.asked {
	case findWords:
		q.ID, q.Title, q.Body = "review-words", "Which words?", []string{"Any part of cable, duct, temperature, reel, crew, rig, job or id.", "All of the words must fit."}
		q.Choices = []Choice{p.back("Any words", with(func(f *reviewFind) { f.words = "" }), Minor)}
		q.Enter = &Entering{Label: "Words", Example: "LT-96 rig", Now: p.find.words, Take: func(f Flow, text string) (Flow, Effect, error) {
			return f, p.turn(with(func(f *reviewFind) { f.words = text })), nil
		}}
		return q
	case findStateOf:
		q.Title = "Which state?"
		for _, s := range []profiles.Standing{profiles.StandsNew, profiles.StandsQueried, profiles.StandsAccepted, profiles.StandsExpired, profiles.StandsWithdrawn} {
			q.Choices = append(q.Choices, p.to(stateSigns[s]+" "+string(s), with(func(f *reviewFind) { f.state = findState{stands: s} }), Major))
		}
		q.Choices = append(q.Choices, p.to("! with something against it", with(func(f *reviewFind) { f.state = findState{against: true} }), Major),
			p.to("Any state", with(func(f *reviewFind) { f.state = findState{} }), Minor))
	case findOrder:
		q.Title = "In which order?"
		for _, o := range orderWords {
			q.Choices = append(q.Choices, p.to(words.Capital(o.says), with(func(f *reviewFind) { f.order = o.order }), Major))
		}
	default:
		field := findFields[p.asked]
		q.Title = "Which " + strings.ToLower(field.name) + "?"
		var all []Choice
		for _, v := range valuesOf(p.view.Profiles, field.of) {
			all = append(all, p.to(fmt.Sprintf("%s (%d)", v.text, v.records), with(func(f *reviewFind) { f.is[p.asked] = v.text }), Major))
		}
		q = p.someOf(q, all)
		q.Choices = append(q.Choices, p.to("Any "+strings.ToLower(field.name), with(func(f *reviewFind) { f.is[p.asked] = "" }), Minor))
	}
	q.Choices = append(q.Choices, back)
	return q
}

// someShown leaves digits for the page on and two ways out.
const someShown = 6

// someOf adds a page of choices to a question, and the way to the next.
func (p reviewPage) someOf(q Question, all []Choice) Question {
	pages := max((len(all)+someShown-1)/someShown, 1)
	page := p.page % pages
	q.Choices = append(q.Choices, all[page*someShown:min((page+1)*someShown, len(all))]...)
	if pages > 1 {
		q.Title += fmt.Sprintf(" Page %d of %d", page+1, pages)
		on := p.ReviewFlow
		on.page = page + 1
		next := p.to("Page on", on, Minor)
		next.Also = &Keys.More
		q.Choices = append(q.Choices, next)
	}
	return q
}

type countedValue struct {
	text    string
	records int
}

// valuesOf are the values that records have of something, the commonest first.
func valuesOf(records []*profiles.Listed, of func(*profiles.Listed) []string) []countedValue {
	counts := map[string]*countedValue{}
	for _, p := range records {
		texts := of(p)
		for i, text := range texts {
			if i > 0 && sameText(text, texts[0]) {
				continue
			}
			folded := strings.ToLower(strings.TrimSpace(text))
			if folded == "" {
				continue
			}
			if counts[folded] == nil {
				counts[folded] = &countedValue{text: strings.TrimSpace(text)}
			}
			counts[folded].records++
		}
	}
	list := make([]countedValue, 0, len(counts))
	for _, v := range counts {
		list = append(list, *v)
	}
	slices.SortFunc(list, func(a, b countedValue) int {
		return cmp.Or(cmp.Compare(b.records, a.records), strings.Compare(a.text, b.text))
	})
	return list
}
