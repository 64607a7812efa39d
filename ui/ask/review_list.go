package ask

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// RecordsShown is how many records a page of the list has: with what else can be done
// there they need no more digits than there are, at any size.
const RecordsShown = 4

// listing are the records that a search found, in its order.
type listing struct {
	records []*profiles.Listed
	urgent  int // of them have something against them, and are not judged
}

// How soon a record wants to be looked at.
const (
	urgent   = iota // something is against it, and nobody has judged it
	awaiting        // a question is open
	fresh           // new, nothing against it
	settled
)

// sinceAccepted are what may come up after a record was accepted.
var sinceAccepted = []profiles.ExceptionKind{profiles.Unreadable, profiles.EditedSinceReview, profiles.OtherCopy, profiles.CheckDidNotHold, profiles.FoldInRun, profiles.DamageInRun, profiles.OverrideInRun}

func urgency(p *profiles.Listed) int {
	switch p.Stands {
	case profiles.StandsWithdrawn, profiles.StandsExpired:
		return settled
	case profiles.StandsQueried:
		return awaiting
	case profiles.StandsAccepted:
		if slices.ContainsFunc(p.Exceptions, func(e profiles.Exception) bool { return slices.Contains(sinceAccepted, e.Kind) }) {
			return urgent
		}
		return settled
	}
	if len(p.Exceptions) > 0 {
		return urgent
	}
	return fresh
}

// newListing searches a library. The records of a review are sorted the worst first.
func newListing(v *profiles.Review, find reviewFind) *listing {
	found := find.in(*v)
	l := &listing{}
	var by [settled + 1][]*profiles.Listed
	for _, p := range found {
		u := urgency(p)
		by[u] = append(by[u], p)
	}
	l.urgent = len(by[urgent])
	switch find.order {
	case profiles.ByWorst:
		l.records = slices.Concat(by[:]...)
	default:
		sorted := *v
		sorted.Profiles = found
		sorted.Sort(find.order)
		l.records = found
	}
	return l
}

func (l *listing) pages() int { return max((len(l.records)+RecordsShown-1)/RecordsShown, 1) }

// onPage are the records of a page. The last one is full like every other, so that what
// else can be done keeps its digits.
func (l *listing) onPage(page int) []*profiles.Listed {
	from := max(min(page*RecordsShown, len(l.records)-RecordsShown), 0)
	return l.records[from:min(from+RecordsShown, len(l.records))]
}

// list asks which record to open.
func (p reviewPage) list() Question {
	l := p.listing
	if len(p.view.Profiles) == 0 {
		return p.emptyList()
	}
	q := Question{ID: "review-list", Title: p.listTitle()}
	for _, record := range l.onPage(p.listPage) {
		label, more := listedLines(record)
		q.Choices = append(q.Choices, Choice{Label: label, More: more, Full: againstLines(record), Do: going(p.turn(p.opening(record.ID)))})
	}
	if len(l.records) == 0 {
		q.Choices = append(q.Choices, p.to("Show all", p.searching(reviewFind{order: profiles.ByWorst}), Major))
	}
	if pages := l.pages(); pages > 1 {
		on, back := p.ReviewFlow, p.ReviewFlow
		on.listPage, back.listPage = (p.listPage+1)%pages, (p.listPage+pages-1)%pages
		next := p.to("Page on", on, Minor)
		next.Also = &Keys.More
		q.Choices = append(q.Choices, next, p.to("Page back", back, Minor))
	}
	q.Choices = append(q.Choices, p.to("Find", p.at(reviewFindPage), Minor))
	if p.picking {
		stop := p.at(reviewOne)
		stop.picking = false
		q.Choices = append(q.Choices, p.back("Not now", stop, Minor))
		return q
	}
	q.Choices = append(q.Choices, p.to("Elsewhere", p.at(reviewOther), Minor))
	return q
}

func (p reviewPage) listTitle() string {
	l := p.listing
	title := fmt.Sprintf("%s: %d need a look", words.Count(len(l.records), "record"), l.urgent)
	if l.urgent == 1 {
		title = strings.Replace(title, "need", "needs", 1)
	}
	switch {
	case len(l.records) == 0:
		title = "No record fits"
	case p.picking:
		title = "Compare with which? " + words.Count(len(l.records), "record")
	case l.urgent == 0:
		title = words.Count(len(l.records), "record") + ": none needs a look"
	}
	if found := p.find.says(); found != "" {
		title += ". " + words.Capital(found)
	}
	if l.pages() > 1 {
		title += fmt.Sprintf(". Page %d of %d", p.listPage+1, l.pages())
	}
	return title
}

// opening goes to a record, or takes it as the one to compare with.
func (r ReviewFlow) opening(id string) ReviewFlow {
	if r.picking {
		next := r.at(reviewCompare)
		next.other, next.second, next.picking = id, nil, false
		return next
	}
	next := r.at(reviewOne)
	next.id, next.one, next.deed, next.after = id, nil, deed{}, r.listing.after(id)
	return next
}

// after is the record that follows one in the list, "" at its end.
func (l *listing) after(id string) string {
	at := slices.IndexFunc(l.records, func(p *profiles.Listed) bool { return p.ID == id })
	if at < 0 || at+1 == len(l.records) {
		return ""
	}
	return l.records[at+1].ID
}

func (p reviewPage) emptyList() Question {
	q := Question{ID: "review-empty", Title: "There is no record to review yet", Body: []string{
		"A record comes here when a crew accepts an install setting and its profile is written.",
		"Records of other tablets come with \"brinkmark exchange\" and the folder they are in.",
	}, Choices: []Choice{goingHome(Major)}}
	if len(p.view.Unreadable) > 0 {
		q.Choices = append(q.Choices, p.to("Files that cannot be read", p.at(reviewUnread), Minor))
	}
	return q
}

// stateSigns stand before the state's word.
var stateSigns = map[profiles.Standing]string{
	profiles.StandsNew: "*", profiles.StandsAccepted: "+", profiles.StandsQueried: "?", profiles.StandsExpired: "-", profiles.StandsWithdrawn: "x",
}

func stateWord(p *profiles.Listed) string {
	return stateSigns[p.Stands] + " " + strings.ToUpper(string(p.Stands))
}

func keyText(p *profiles.Listed) string {
	return cmp.Or(words.Join(p.Make, p.Type, p.Size, p.Temperature), "file "+p.File)
}

func settingText(p *profiles.Listed) string { return cmp.Or(words.Join(p.Grip, p.Speed), "no setting") }

// listedLines are a record in the list: its state and key, and under it what was found,
// when and by whom, and what is against it.
func listedLines(p *profiles.Listed) (label string, more []string) {
	label = stateWord(p) + "  " + cmp.Or(words.Join(p.Make, p.Type, p.Size), keyText(p))
	facts := []string{settingText(p)}
	if p.Temperature != "" {
		facts[0] = p.Temperature + ": " + facts[0]
	}
	if !p.Made.IsZero() {
		facts = append(facts, p.Made.Format(time.DateOnly))
	}
	for _, fact := range []string{words.Join(p.Operator, p.Watcher), p.Rig, p.Job} {
		if fact != "" {
			facts = append(facts, fact)
		}
	}
	return label, []string{strings.Join(facts, "; "), againstLine(p)}
}

// againstLine says what is against a record: with every detail where it is one thing, else
// only what each is.
func againstLine(p *profiles.Listed) string {
	switch len(p.Exceptions) {
	case 0:
		return "Nothing is against it."
	case 1:
		return "! " + words.Capital(exceptionWords(p.Exceptions[0]))
	}
	against := kindsSaid(p)
	return fmt.Sprintf("! %d things: %s", len(against), strings.Join(against, "; "))
}

// kindsSaid are the kinds of what is against a record.
func kindsSaid(p *profiles.Listed) []string {
	var kinds []string
	for _, e := range p.Exceptions {
		kinds = append(kinds, e.Kind.Says())
	}
	return kinds
}

// againstLines say what is against a record, a line each.
func againstLines(p *profiles.Listed) []string {
	if len(p.Exceptions) == 0 {
		return []string{"Nothing is against it."}
	}
	var lines []string
	for _, e := range p.Exceptions {
		line := "! " + words.Capital(exceptionWords(e))
		if !strings.ContainsAny(line[len(line)-1:], ".?!") { // a note ends as it was written
			line += "."
		}
		lines = append(lines, line)
	}
	return lines
}

var recordID = regexp.MustCompile(`\b[0-7][0-9A-HJKMNP-TV-Z]{25}\b`)

// shortID is enough of an id to know it again.
func shortID(id string) string { return "…" + id[max(len(id)-6, 0):] }

// noted are the exceptions that give somebody's note.
var noted = []profiles.ExceptionKind{profiles.Question, profiles.Withdrawal, profiles.Expiry, profiles.EditedSinceReview, profiles.OddReview}

// exceptionWords say an exception without ids and files.
func exceptionWords(e profiles.Exception) string {
	if e.Kind == profiles.Unreadable || e.Kind == profiles.EditedSinceSealed {
		e.Detail = "" // the record's own page says which line of which file
	}
	if slices.Contains(noted, e.Kind) { // nobody's words are altered
		return e.Says()
	}
	return recordID.ReplaceAllStringFunc(e.Says(), shortID)
}

// keyWords are a record's key as one says it: "cable.print_legend" is "cable print legend".
func keyWords(key string) string {
	for _, table := range []string{"people.", "conditions.", "job."} {
		key = strings.TrimPrefix(key, table)
	}
	return strings.NewReplacer(".", " ", "_", " ").Replace(key)
}
