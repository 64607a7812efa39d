package command

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
)

// hand is a crew at one tablet: it reads what is asked and answers by what it means, so
// that a page it has never seen leads on all the same.
type hand struct {
	d       *day
	tablet  int
	lib     *profiles.Library
	k       ask.Keeper
	flow    ask.Flow
	page    *ask.Home
	s       spec
	visits  map[string]int
	leaving bool
	typed   string      // what was typed last
	undoing bool        // the press is the undo key
	groups  map[int]int // press by number of entry
	press   int
	undone  map[int]bool // presses that were taken back
	entries int          // on record

	wrong, wrongNow bool // the cable's temperature on record is mistyped; and so is what was typed last
}

func (d *day) hand(tablet int, s spec) *hand {
	h := &hand{d: d, tablet: tablet, lib: d.tablets[tablet], s: s, visits: map[string]int{}, groups: map[int]int{}, undone: map[int]bool{}}
	h.k = ask.NewKeeper(h.lib, exampleOfDay())
	return h
}

// question is what is asked now.
func (h *hand) question() ask.Question {
	h.flow.Now = h.d.now
	if h.k.Trial == nil {
		if h.page == nil {
			return ask.Question{ID: "closed"}
		}
		return h.page.Question()
	}
	return h.flow.Question()
}

// carry does what an answer means, as every front end does.
func (h *hand) carry(next ask.Flow, e ask.Effect) error {
	h.d.pass(20 * time.Second)
	switch e.(type) {
	case ask.Leave, ask.GoHome:
		h.leaving = true
		return nil
	}
	h.press++
	p := h.k.Perform(next, e)
	if p.Err != nil {
		h.flow = h.k.See(h.flow)
		return p.Err
	}
	h.flow = p.Flow
	if p.Keeper != nil {
		h.k, h.page = *p.Keeper, p.Home
	} else if p.Home != nil {
		h.page = p.Home
	}
	return nil
}

// choose presses a choice.
func (h *hand) choose(q ask.Question, i int) error {
	h.d.step("press", "%d %s%s: %s", h.tablet+1, q.ID, shownDial(q), q.Choices[i].Label)
	next, effect := q.Choices[i].Do(h.flow)
	return h.carry(next, effect)
}

// enter types a value.
func (h *hand) enter(q ask.Question, text string) error {
	h.d.step("typed", "%d %s = %s", h.tablet+1, q.ID, text)
	next, effect, err := q.Enter.Take(h.flow, text)
	if err != nil {
		return err
	}
	h.typed = text
	return h.carry(next, effect)
}

// undo presses the key that takes the last press back.
func (h *hand) undo(q ask.Question) error {
	h.d.step("undo", "%d %s: the undo key", h.tablet+1, q.ID)
	h.undoing = true
	if c := q.Keyed("u"); c != nil {
		next, effect := c.Do(h.flow)
		return h.carry(next, effect)
	}
	if h.k.Trial == nil {
		return nil
	}
	next, effect := h.flow.Undo()
	return h.carry(next, effect)
}

// grave are the ways on that end something, which are taken only on purpose.
var grave = regexp.MustCompile(`(?i)^(stop, no|stop without|yes, stop|work out|refuse|leave|close without|discard|no run|no trial|it ends short|the run ends|to the start|not so|back|no: |no, read|change|from the|short check|cover|tag|start the|undo|take back|make ready again)`)

// ways are the answers to a question, the likeliest first: a number is a choice, -1 what is
// there already or the example.
func ways(q ask.Question) (order []int) {
	var last []int
	for i, c := range q.Choices {
		switch {
		case c.Rank == ask.Global:
		case grave.MatchString(c.Label) || strings.HasPrefix(c.Label, "Leave out") || c.Also != nil:
			last = append(last, i)
		case c.Rank == ask.Minor && q.Enter != nil && !slices.Contains(order, -1):
			order = append(order, -1, i)
		default:
			order = append(order, i)
		}
	}
	if q.Enter != nil && !slices.Contains(order, -1) {
		order = append(order, -1)
	}
	return append(order, last...)
}

// onward answers a question so that it goes on: the likeliest way first, another each time
// the same page comes back.
func (h *hand) onward(q ask.Question) {
	sign := fmt.Sprint(h.entries, q.ID, len(q.Choices))
	n := h.visits[sign]
	h.visits[sign]++
	order := ways(q)
	if len(order) == 0 {
		h.leaving = true
		return
	}
	if n > 30 {
		h.d.counts["stuck at "+q.ID]++
		h.leaving = true
		return
	}
	way := order[(n/2)%len(order)] // twice the same: checks of one name come again
	if way >= 0 {
		h.told(h.choose(q, way))
		return
	}
	text := q.Enter.Now
	if text == "" {
		text = q.Enter.Example
	}
	h.told(h.enter(q, text))
}

// told counts what the program refused.
func (h *hand) told(err error) {
	if err != nil {
		h.d.counts["refused"]++
		h.d.steps = append(h.d.steps, "    refused: "+strings.SplitN(err.Error(), "\n", 2)[0])
	}
}

// outcomes are the choices of the page that asks what happened.
func outcomes(q ask.Question) map[string]int {
	found := map[string]int{}
	for i, c := range q.Choices {
		switch c.Look {
		case draw.LookStall:
			found["stall"] = i
		case draw.LookSlip:
			found["slip"] = i
		case draw.LookFold:
			found["fold"] = i
		}
		if strings.HasPrefix(c.Label, "VOID") {
			found["void"] = i
		}
	}
	if len(found) < 3 {
		return nil
	}
	return found
}

// labelled is the first choice whose label holds one of the texts, -1 without.
func labelled(q ask.Question, texts ...string) int {
	return slices.IndexFunc(q.Choices, func(c ask.Choice) bool {
		return slices.ContainsFunc(texts, func(text string) bool { return strings.Contains(strings.ToLower(c.Label), text) })
	})
}

// thermometer tells which temperature a page asks for: cable, stub, air; "" for none.
func thermometer(q ask.Question) string {
	if q.Enter == nil {
		return ""
	}
	text := strings.ToLower(q.ID + " " + q.Title + " " + q.Enter.Label)
	switch {
	case !strings.Contains(text, "temperature") && !strings.Contains(text, "how warm") && !strings.Contains(text, "-warm"):
		return ""
	case strings.Contains(text, "stub"):
		return "stub"
	case strings.Contains(text, "air") || strings.Contains(text, "mouth") || strings.Contains(text, "inlet"):
		return "air"
	case strings.Contains(text, "cable") || strings.Contains(text, "jacket"):
		return "cable"
	}
	return ""
}

// reads is what that thermometer shows.
func (h *hand) reads(which string) string {
	f := h.d.airIs()
	if which == "cable" {
		f = h.d.cableIs(h.s)
	}
	return h.d.shown(h.s, f)
}

// kill drops everything as a dead battery does, and opens the tablet anew.
func (h *hand) kill() {
	h.d.step("kill", "%d killed", h.tablet+1)
	if h.k.Close != nil {
		require.NoError(h.d.t, h.k.Close()) // the process is gone, and its lock with it
	}
	h.k, h.flow, h.page, h.leaving = ask.NewKeeper(h.lib, exampleOfDay()), ask.Flow{}, nil, false
}

// leave closes what is open, as the front ends do at the end.
func (h *hand) leave() {
	if h.k.Close != nil {
		require.NoError(h.d.t, h.k.Close())
		h.k.Close = nil
	}
}

func same(a, b float64) bool { return math.Abs(a-b) <= near*math.Max(math.Abs(a), math.Abs(b)) }

// shownDial is what a page tells to dial.
func shownDial(q ask.Question) string {
	if q.Setting == nil {
		return ""
	}
	if _, after, ok := strings.Cut(q.Title, ": dial "); ok {
		return " " + after
	}
	return ""
}
