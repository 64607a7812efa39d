package ask

import (
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"

	"brinkmark/session"
	"brinkmark/ui/draw"
)

// Question is one decision: what to do now, and the ways on.
type Question struct {
	Stage   session.Stage
	ID      string
	Title   string           // what to do now, the largest thing on any screen
	Setting *session.Setting // the setting to dial, if that is what to do
	Body    []string         // what one must know to do it
	Rows    [][2]string      // a block of checks: what is asked, and the state it must be in
	Help    []string         // why, how to tell, what if not: on request
	Choices []Choice
	Enter   *Entering               // a value may be typed
	Counts  bool                    // the choices are numbers: none has a digit that is not its own
	Scene   *draw.PracticePicture   // what a practice rig shows beside it: the push that is made, or was
	mock    bool                    // of practice
	Place   string                  // outside a trial: what the page belongs to
	Picture func(w, h int) []string // drawn over the choices, as large as there is room
	Table   *draw.Table             // listed over the choices, a page at a time
	Of      *Flow                   // a trial that is only looked at
	Wait    *Waiting                // work that ends in another page
	Big     []draw.BigFigure        // to be read at arm's length
	About   string                  // outside a trial: the cable and duct it is about
	Again   func() Turn             // the same page, looked at anew after a while
}

// Choice is one way on. Its key is its place, unless it has one that stays.
type Choice struct {
	Label string
	Key   string // the one it has wherever it stands, so that no other choice takes it over
	Do    func(Flow) (Flow, Effect)
	Rank  Rank
	Look  draw.Look    // where it has one of its own
	More  []string     // of a record in a list: what stands under its label
	Full  []string     // in place of the last of more, where there is room
	Also  *key.Binding // a key that does the same
}

// Rank is how much room a choice gets on a screen.
type Rank int

const (
	Major  Rank = iota // what one comes here to do
	Minor              // now and then
	Global             // on every screen anyway, by its key
	Ending             // what writes for good or ends: apart from all others, under the headline
)

// EndKey is the key of what writes for good or ends, and of nothing else: no key that leads
// to such a page makes its choice too.
const EndKey = "0"

// forGood is a choice that writes for good or ends.
func forGood(label string, do func(Flow) (Flow, Effect)) Choice {
	return Choice{Label: label, Key: EndKey, Rank: Ending, Do: do}
}

// Entering is a value that may be typed instead of a choice.
type Entering struct {
	Label   string
	Example string // how it is written; a figure in it is never shown, see [Entering.Figure]
	Known   string // what is offered in place of an example: "allowed: 35 ft/min"
	Now     string // what it is so far, if it is known
	Step    string // what − and + change a number by; 1 of its unit where none is given
	Take    func(Flow, string) (Flow, Effect, error)
}

// Waiting is long work that a page is there for. It goes on beside the screen, which
// stays alive, and ends in another page.
type Waiting struct {
	Do func(told func(done, total int)) Turn
}

// AsksValue reports whether a value is what one comes here for.
func (q Question) AsksValue() bool {
	return q.Enter != nil && !slices.ContainsFunc(q.Choices, func(c Choice) bool { return c.Rank == Major || c.Rank == Ending })
}

// Lettered reports whether choices have letters, because a number here is a value. Where words are typed beside choices these keep their digits.
func (q Question) Lettered() bool {
	return q.Counts || q.Enter != nil && (q.AsksValue() || strings.ContainsAny(q.Enter.Example[:min(len(q.Enter.Example), 1)], "0123456789.-"))
}

// letters are those that do nothing else on any page, and are not read as digits.
const letters = "acdfhjkpstvwxyz"

// Keys are what the choices answer to, in their order.
func (q Question) Keys() []string {
	keys, taken := make([]string, len(q.Choices)), map[string]bool{}
	for i, c := range q.Choices {
		switch {
		case c.Key != "":
			keys[i] = c.Key
		case c.Rank == Global && c.Also != nil:
			keys[i] = c.Also.Keys()[0]
		}
		taken[keys[i]] = true
	}
	next := 0
	for i := range keys {
		for keys[i] == "" {
			key := strconv.Itoa(next + 1)
			if q.Lettered() {
				key = strings.Repeat(letters[next%len(letters):][:1], 1+next/len(letters))
			}
			if next++; !taken[key] {
				keys[i] = key
			}
		}
	}
	return keys
}

// KeyOf is the key of the first choice whose label holds a text, "" of none.
func (q Question) KeyOf(text string) string {
	for i, key := range q.Keys() {
		if strings.Contains(q.Choices[i].Label, text) {
			return key
		}
	}
	return ""
}

// Shown are the choices drawn here: all but those on the key line anyway.
func (q Question) Shown() []int {
	var at []int
	for i, c := range q.Choices {
		if c.Rank != Global {
			at = append(at, i)
		}
	}
	return at
}

// Keyed is the choice that a key of its own makes too.
func (q Question) Keyed(text string) *Choice {
	for i, c := range q.Choices {
		if c.Also != nil && slices.Contains(c.Also.Keys(), strings.ToLower(text)) {
			return &q.Choices[i]
		}
	}
	return nil
}
