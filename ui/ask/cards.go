package ask

import (
	"cmp"
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// cardKind is a part of the job that can be picked from cards.
type cardKind struct {
	name    string // as in "Which cable?", and the table of its values
	first   string // what is asked first without a card
	unknown func(profiles.Record) bool
	labels  func(profiles.Cards) []string
	pick    func(profiles.Record, profiles.Cards, int) profiles.Record
}

// cardKinds are the parts of the job that are kept on cards; people are asked apart.
var cardKinds = []cardKind{
	{"cable", "cable.make",
		func(r profiles.Record) bool { return r.Cable.Make == "" && r.Cable.Type == "" },
		func(c profiles.Cards) []string {
			return each(c.Cables, func(c profiles.Cable) string { return words.Join(c.Type, c.Make, c.OuterDiameter.String()) })
		},
		func(r profiles.Record, c profiles.Cards, i int) profiles.Record {
			of := r.Cable
			r.Cable = c.Cables[i]
			r.Cable.Reel, r.Cable.Lot, r.Cable.PrintLegend = of.Reel, of.Lot, of.PrintLegend
			return r
		}},
	{"duct", "duct.size",
		func(r profiles.Record) bool { return r.Duct.Size == "" },
		func(c profiles.Cards) []string {
			return each(c.Ducts, func(d profiles.Duct) string {
				if d.Lining == 0 {
					return d.Size
				}
				return words.Join(d.Size, d.Lining.String())
			})
		},
		func(r profiles.Record, c profiles.Cards, i int) profiles.Record {
			lot := r.Duct.Lot
			r.Duct = c.Ducts[i]
			r.Duct.Lot = lot
			return r
		}},
	{"rig", "rig.name", rigUnknown,
		func(c profiles.Cards) []string {
			return each(c.Rigs, func(r profiles.Rig) string { return words.Join(r.Name, r.PushControl) })
		},
		func(r profiles.Record, c profiles.Cards, i int) profiles.Record {
			if !rigUnknown(r) { // a ladder is in the readings of its rig
				r.Ladder = profiles.Ladder{}
			}
			r.Rig = c.Rigs[i]
			return r
		}},
}

func each[T any](all []T, label func(T) string) []string {
	var labels []string
	for _, v := range all {
		labels = append(labels, label(v))
	}
	return labels
}

func kindOfCard(name string) cardKind {
	for _, kind := range cardKinds {
		if kind.name == name {
			return kind
		}
	}
	panic("ui: no cards of a " + name)
}

// cardsFor returns the cards that can answer for a value that is not known: those of
// a part of the job of which nothing is.
func (f Flow) cardsFor(key string) (cardKind, bool) {
	table, _, _ := strings.Cut(key, ".")
	for _, kind := range cardKinds {
		if kind.name == table {
			begun := table == "rig" && f.newRig.next > 0
			return kind, !begun && kind.unknown(f.Record) && len(kind.labels(f.Cards)) > 0
		}
	}
	return cardKind{}, false
}

// picking asks for a card of a kind.
func picking(name string) func(Flow) (Flow, Effect) {
	return func(f Flow) (Flow, Effect) {
		f = f.at(stepCards)
		f.draft.key = name
		return f, None{}
	}
}

// cardsShown is how many cards are offered at once: with the two ways on they make
// a screen of buttons.
const cardsShown = 7

// cardQuestion offers the cards of a kind, the last used first.
func (f Flow) cardQuestion(kind cardKind) Question {
	q := Question{ID: "which-" + kind.name, Title: "Which " + kind.name + "?", Help: []string{
		"These are the ones of the last jobs on this tablet, the last used first.",
		"Pick one only if it is the very same: what stands on its card is taken as it is. The next page shows it.",
	}, Body: f.unreadable(kind.name + "s")}
	var all []Choice
	for i, label := range kind.labels(f.Cards) {
		all = append(all, Choice{Label: label, Do: func(f Flow) (Flow, Effect) {
			return f.at(stepFirst), ReplaceJob{kind.pick(f.Record, f.Cards, i)}
		}})
	}
	q = f.paged(q, all, "More "+kind.name+"s")
	q.Choices = append(q.Choices, f.withoutCard(kind))
	return q
}

// paged adds a page of cards to a question, and the way to the next.
func (f Flow) paged(q Question, all []Choice, more string) Question {
	pages := max((len(all)+cardsShown-1)/cardsShown, 1)
	page := f.draft.page % pages
	q.Choices = append(q.Choices, all[page*cardsShown:min((page+1)*cardsShown, len(all))]...)
	if pages > 1 {
		q.Body = append([]string{fmt.Sprintf("Page %d of %d.", page+1, pages)}, q.Body...)
		q.Choices = append(q.Choices, Choice{Label: more, Rank: Minor, Do: func(f Flow) (Flow, Effect) {
			f.draft.page++
			return f, None{}
		}})
	}
	return q
}

// unreadable tells of the cards in a folder that cannot be read.
func (f Flow) unreadable(folder string) []string {
	var lines []string
	for _, err := range f.Cards.UnreadableIn(folder) {
		lines = append(lines, "! Passed over: "+err.Error())
	}
	return lines
}

// withoutCard is the way on that picks no card.
func (f Flow) withoutCard(kind cardKind) Choice {
	another := Choice{Label: "Another " + kind.name, Do: editing(kind.first), Rank: Minor}
	switch {
	case f.draft.step == stepCards:
		return Choice{Label: "Keep what is there", Do: GoTo(stepFirst), Rank: Minor}
	case kind.name == "rig":
		another.Do = func(f Flow) (Flow, Effect) { return f.anotherRig(), None{} }
	}
	return another
}

// rigQuestions is how far the questions about a new rig have come.
type rigQuestions struct {
	next   int  // place in rigKeys of the next one, from 1; 0 when none was asked
	rising bool // the crew has said that a higher reading pushes harder
}

// rigKeys are asked of a new rig, in this order.
var rigKeys = []string{"rig.name", "rig.push_control", "rig.push_unit", "rig.speed_limit", "rig.speed_division", "rig.grip_limit", "rig.grip_division"}

func rigUnknown(r profiles.Record) bool {
	return r.Rig.Name == "" && r.Rig.PushControl == "" && r.Rig.SpeedLimit.String() == "" && r.Rig.GripLimit.String() == ""
}

func (f Flow) anotherRig() Flow {
	f = f.at(stepFirst)
	f.newRig = rigQuestions{next: 1}
	return f
}

// rigQuestion asks what is not yet known of the rig: of a new one everything once,
// of any other only what no trial can be without.
func (f Flow) rigQuestion() (q Question, open bool) {
	if rigUnknown(f.Record) && f.newRig.next == 0 {
		f = f.anotherRig()
	}
	if n := f.newRig.next; n > 0 && n <= len(rigKeys) {
		return f.askRig(rigKeys[n-1], func(g Flow) Flow {
			g = g.at(stepFirst)
			g.newRig.next = n + 1
			return g
		}), true
	}
	for _, key := range rigKeys {
		if field := fieldByKey(key); field.need && field.read(f.Record) == "" {
			return f.askRig(key, afterField), true
		}
	}
	return q, false
}

// rigWhy says what hangs on the answers about a rig.
var rigWhy = map[string]string{
	"rig.name":           "A rig with a name is kept on a card, so that none of this is asked again.",
	"rig.push_control":   "In the crew's own word: every screen then shows it.",
	"rig.push_unit":      "As it stands on the gauge. Only a speed is ever converted.",
	"rig.speed_limit":    "What the maker or your own rules allow, whichever is lower.",
	"rig.speed_division": "The climb goes in steps of it. Left out, 5 ft/min is taken, or 1 of a unit that is no speed.",
	"rig.grip_limit":     "What the maker or your own rules allow, whichever is lower.",
	"rig.grip_division":  "The climb goes in steps of it. Left out, 1 psi is taken.",
}

// askRig asks one question about a rig and goes on as then says. Where answers are
// likely they are offered; any other can be typed.
func (f Flow) askRig(key string, then func(Flow) Flow) Question {
	if key == "rig.speed_limit" && !f.newRig.rising {
		return f.risingQuestion()
	}
	q := f.fieldQuestion(key, then)
	if f.draft.near != "" {
		return q
	}
	q.Body = append([]string{rigWhy[key]}, q.Body...)
	if f.draft.key == key { // it is to be typed
		return q
	}
	var offers []Choice
	offer := func(text string, set func(*profiles.Record)) {
		offers = append(offers, Choice{Label: text, Do: func(f Flow) (Flow, Effect) {
			r := f.Record
			set(&r)
			return then(f), ReplaceJob{r}
		}})
	}
	switch key {
	case "rig.push_control":
		for _, word := range []string{"belt speed", "motor pressure", "motor current"} {
			offer(word, func(r *profiles.Record) { r.Rig.PushControl = word })
		}
	case "rig.push_unit":
		for _, unit := range []string{"ft/min", "m/min", "psi", "bar", "A"} {
			offer(unit, func(r *profiles.Record) { r.Rig.PushUnit = unit })
		}
	default:
		return q
	}
	typing := Choice{Label: "Another: type it", Rank: Minor, Do: func(f Flow) (Flow, Effect) {
		f.draft.key = key
		return f, None{}
	}}
	q.Choices = append(append(offers, typing), q.Choices...)
	return q
}

// risingQuestion asks which way the readings of the push control go: the climb and
// every margin go up in readings, so that a falling one would climb from the hardest
// push.
func (f Flow) risingQuestion() Question {
	control := cmp.Or(f.Record.Rig.PushControl, "that control")
	rising := func(f Flow) (Flow, Effect) {
		f = f.at(stepFirst)
		f.newRig.rising = true
		return f, None{}
	}
	return Question{
		ID: "which-way", Title: "Which reading of " + control + " pushes harder?",
		Body:    []string{"A trial starts with the softest push and goes up from there."},
		Choices: []Choice{{Label: "The higher one", Do: rising}, {Label: "The lower one", Do: GoTo(stepFalling)}},
	}
}

// fallingQuestion tells what to do about readings that fall as the rig pushes harder.
func fallingQuestion() Question {
	return Question{
		ID: "falling", Title: "Readings must rise with the push",
		Body: []string{
			"! Do not go on with readings that fall as the rig pushes harder: the trial would start with the hardest push.",
			"Read something that rises with it: the belt speed, the pressure at the motor.",
			"Or number the stops of the control yourself, 1 for the softest push, and give the unit as stop.",
		},
		Choices: []Choice{
			{Label: "I have such a reading: ask again", Do: func(f Flow) (Flow, Effect) {
				f = f.anotherRig()
				f.newRig.next = 2
				return f, None{}
			}},
			leavingJob,
		},
	}
}
