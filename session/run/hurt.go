package run

import (
	"slices"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Hurt is a cable that folded, or whose jacket was marked, in a run, and what it ran with.
// Nothing as strong may be promised to the same cable any more.
type Hurt struct {
	Fold    bool                     // or else the jacket was marked
	Setting q.Maybe[session.Setting] // as read last while the cable moved; the plan's where nothing was
	Cable   q.Maybe[q.Temperature]   // as read last by then; else the trial's
	At      time.Time
}

// Hurts are the folds and the marks on the jacket that any entry tells of, each once: a fold that
// the run stopped for is told again when it is given up, and counted again at the end.
func (r Run) Hurts() []Hurt { return r.course().hurts }

// Hurt reports whether the cable folded, or its jacket was marked, in the run.
func (r Run) Hurt() (folded, damaged bool) { return r.course().hurt() }

// HurtTakenBack reports whether a fold or a marked jacket was written down and taken back: it has
// no effect, and somebody has to ask why.
func (r Run) HurtTakenBack() bool {
	dropped := r.dropped()
	return slices.ContainsFunc(r.Entries, func(e session.Entry) bool {
		if !dropped[e.Number()] {
			return false
		}
		switch e := e.(type) {
		case Stop:
			return sameWords(e.Reason, StopFold) || sameWords(e.Reason, StopJacket)
		case End:
			return sameWords(e.Reason, EndFold) || sameWords(e.Reason, EndJacket)
		case Closing:
			return e.Folds > 0 || e.Damaged
		}
		return false
	})
}

func (c *course) hurt() (folded, damaged bool) {
	for _, h := range c.hurts {
		folded, damaged = folded || h.Fold, damaged || !h.Fold
	}
	return folded, damaged
}

// wasHurt takes down what was seen at a time, with what was in force while the cable moved.
func (c *course) wasHurt(fold bool, at time.Time) {
	in := c.moving
	set := c.plan.Setting
	set.Grip, set.Speed = in.Grip.Or(set.Grip), in.Control.Or(set.Speed)
	h := Hurt{Fold: fold, Cable: in.Cable, At: at}
	if set != (session.Setting{}) {
		h.Setting = q.Known(set)
	}
	if !h.Cable.Known() {
		h.Cable = c.plan.MadeAt
	}
	c.hurts = append(c.hurts, h)
}

// stopHurt, endHurt and foundHurt take down what an entry tells that was not told yet.
func (c *course) stopHurt(e Stop) {
	if fold := sameWords(e.Reason, StopFold); fold || sameWords(e.Reason, StopJacket) {
		c.wasHurt(fold, e.At)
		c.foldStands = fold
	}
}

func (c *course) endHurt(e End) {
	_, damaged := c.hurt()
	switch {
	case e.Arrived:
	case !c.foldStands && (sameWords(e.Reason, EndFold) || sameWords(e.Reason, StopFold)):
		c.wasHurt(true, e.At)
	case !damaged && sameWords(e.Reason, EndJacket):
		c.wasHurt(false, e.At)
	}
}

func (c *course) foundHurt(e Closing) {
	folds := 0
	for _, h := range c.hurts {
		if h.Fold {
			folds++
		}
	}
	for ; folds < min(e.Folds, mostFolds); folds++ {
		c.wasHurt(true, e.At)
	}
	if _, damaged := c.hurt(); e.Damaged && !damaged {
		c.wasHurt(false, e.At)
	}
}

// mostFolds bounds what a typed count of folds may bring: the one after tells nothing more.
const mostFolds = 10
