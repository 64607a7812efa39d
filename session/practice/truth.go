package practice

import (
	"fmt"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Truth is what a push was, told when it has been read.
type Truth struct {
	Outcome session.Outcome // what to write down
	Reason  string          // of a void
	Looks   session.Outcome // what the belts and the cable line alone say
	// Either reports whether what it looks like is a right reading too: belts that are
	// wet do slip.
	Either bool

	BeltsTurning, LineMoved, WitnessHeld, LineShort bool

	JacketMarked bool
	StallReading q.Maybe[q.Reading] // what the gauge on the drive stood at; unknown where there is none
	gaugeStep    float64            // the least one reads off it, in its unit
	CableUsed    q.Length           // spoilt by the push
	GaveAway     []string           // what there was to see, in the crew's words
	Withdrawn    string             // how the jacket looks when the cable is drawn back
	by           TroubleKind        // what spoilt it
}

// Cable that an outcome costs, in m: a fold the length pushed and what it swallowed,
// a slip what the belts polished.
//
// Source: assumptions of practice.
const (
	usedByFold, usedBySlip q.Length = 1.5, 0.3
)

// FoldCosts is the cable that a fold spoils here.
const FoldCosts = usedByFold

// Eye is how far a line must be off to be seen. Common practice, no source.
const Eye q.Length = 0.002

func (r rest) truth(p *Push) Truth {
	m := r.last
	t := Truth{
		BeltsTurning: p.After().BeltsTurn(),
		LineMoved:    p.After().Line > p.allowance,
		WitnessHeld:  m.plug < float64(Eye) && m.stub < float64(Eye),
		LineShort:    m.short > 0,
	}
	t.Looks, _ = session.Implied(t.BeltsTurning, t.LineMoved, true)
	t.Outcome = t.Looks
	if mark, ok := r.rig.Drive.MarksAt.Get(); ok && r.trueGrip() >= mark {
		t.JacketMarked = true
	}
	switch t.Looks {
	case session.Fold:
		if m.folded {
			t.CableUsed = usedByFold
		}
	case session.Slip:
		t.CableUsed = usedBySlip
	}
	t.GaveAway = t.signs(p)
	t.Withdrawn = "Drawn back, the jacket is clean."
	switch {
	case t.JacketMarked:
		t.Withdrawn = "Drawn back, the jacket has the print of the belts in it."
	case m.folded:
		t.Withdrawn = "Drawn back, the cable has a bend that does not straighten."
	case t.Looks == session.Slip:
		t.Withdrawn = "Drawn back, the jacket is polished where the belts ran."
	}
	r.spoil(&t)
	return t
}

// trueGrip is the grip pressure behind the gauge.
func (r rest) trueGrip() q.Pressure {
	grip := r.grip
	for _, t := range r.active {
		if t.Kind == GaugeHigh {
			grip -= q.Pressure(t.Size)
		}
	}
	return max(grip, 0)
}

// spoil finds the trouble that decided the outcome, if one did.
func (r rest) spoil(t *Truth) {
	for _, trouble := range r.active {
		row := rows[trouble.Kind]
		if !row.spoils || !r.decided(trouble.Kind, *t) {
			continue
		}
		t.Outcome, t.Reason, t.by = session.Void, row.reason, trouble.Kind
		t.Either = trouble.Kind == BeltsWet || trouble.Kind == BeltsWorn
		t.GaveAway = append(t.GaveAway, row.seen)
		return
	}
}

func (r rest) decided(k TroubleKind, t Truth) bool {
	m := r.last
	switch k {
	case SupplyCold, SupplyLow:
		return t.Looks == session.Stall
	case Ledge, ReelHolds:
		return t.Looks == session.Stall
	case PlugCreeps:
		return m.plug >= float64(Eye) && !m.folded // what nobody can see spoils no reading
	case StubCreeps:
		return m.stub >= float64(Eye) && !m.folded
	case BeltsWet, BeltsWorn:
		return t.Looks == session.Slip
	case CableHurt:
		return m.folded && !m.inGap
	case GapTooLong:
		return m.inGap
	}
	return false
}

// signs are what there was to see of the belts, the line and the gauges.
func (t Truth) signs(p *Push) []string {
	after := p.After()
	mm := func(l q.Length) string { return fmt.Sprintf("%.0f mm", max(q.In(l, "mm"), 0)) }
	var s []string
	add := func(when bool, text string) {
		if when {
			s = append(s, text)
		}
	}
	add(t.BeltsTurning, "The belts ran on.")
	add(!t.BeltsTurning, "The belts stood still.")
	switch {
	case t.LineShort:
		add(true, fmt.Sprintf("The line stopped short of its pointer: the head stood %s from the plug.", mm(after.Head)))
	case t.LineMoved:
		add(true, fmt.Sprintf("The line went %s past its pointer; the allowance line stands at %s.", mm(after.Line), mm(p.allowance)))
	default:
		add(true, fmt.Sprintf("The line crept %s past its pointer, within the allowance of %s.", mm(after.Line), mm(p.allowance)))
	}
	add(after.PlugShift >= Eye, fmt.Sprintf("The line on the plug is off by %s.", mm(after.PlugShift)))
	add(after.StubShift >= Eye, fmt.Sprintf("The line on the stub is off by %s.", mm(after.StubShift)))
	add(after.InGap, "The bend is in the gap, not in the stub.")
	add(after.SupplyPart < 1, fmt.Sprintf("The supply stood at %.0f %% of its working level.", 100*after.SupplyPart))
	return s
}
