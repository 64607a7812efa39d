package ask

import (
	"slices"
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

// Choice is one way on. Its number is its place, from 1.
type Choice struct {
	Label string
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
)

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
