package session

import (
	"errors"
	"fmt"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// earlier are the pushes of one trial that came before today's, moved to today's
// cable temperature.
type earlier struct {
	shots []shot
	doubt doubt // from that trial to the one that came next
}

// doubt is how much less is known of a cable after a change than before it: what is
// added to the standard deviation of ln fold speed and of ln slip ratio.
type doubt struct{ fold, slip float64 }

// earlierTrials are the trials before this one, oldest first.
func (t Trial) earlierTrials() []earlier {
	var found []earlier
	next := t
	for b := t.Before; b != nil && len(found) < mostEarlier; next, b = *b, b.Before {
		e := earlier{doubt: next.doubtAfter(*b)}
		for _, a := range b.pushes() {
			e.shots = append(e.shots, t.shot(a))
		}
		found = append([]earlier{e}, found...)
	}
	return found
}

// mostEarlier keeps a circle of records that name each other from going on for ever.
const mostEarlier = 8

// doubtAfter returns what a change of cable temperature, and of reel, takes from what
// the earlier trial knew.
//
//	sd² = (ShiftSD λ)² + 2 JacketSD²    λ = ln of the ratio of polyethylene's stiffness
//
// The first is the doubt of how much of the stiffness reaches the fold speed, the
// second that of either thermometer on the jacket; both are nothing at the same
// temperature. Source: derived here; the standard deviations are assumptions.
func (t Trial) doubtAfter(b Trial) doubt {
	pol, d := t.Policy, doubt{}
	now, then := t.Conditions.CableTemperature.Or(0), b.Conditions.CableTemperature.Or(0)
	if ratio, known := stiffnessRatio(now, then); known && now != then {
		d.fold = math.Hypot(pol.ShiftSD*math.Log(ratio), math.Sqrt2*pol.JacketSD)
		d.slip = pol.SlipShiftSD
	}
	if t.Cable.Reel != b.Cable.Reel || t.Cable.Lot != b.Cable.Lot {
		d.fold = math.Hypot(d.fold, pol.ReelSD)
	}
	return d
}

// stiffnessRatio is polyethylene's modulus at one temperature over that at another;
// unknown outside its table.
func stiffnessRatio(now, then q.Temperature) (float64, bool) {
	m1, err1 := cable.Multiplier(now)
	m2, err2 := cable.Multiplier(then)
	if err1 != nil || err2 != nil {
		return 1, false
	}
	return m1 / m2, true
}

// After returns the trial with an earlier one to begin from. It returns an error that
// says why not, when the earlier one's pushes cannot be weighed here: another kind of
// push control, or a cable temperature outside polyethylene's table.
func (t Trial) After(b Trial) (Trial, error) {
	if b.Kind == ShortCheck {
		return t, errors.New("the earlier trial is a short check: name the trial it checked")
	}
	if err := b.Advisable(); err != nil {
		return t, fmt.Errorf("the earlier trial: %w", err)
	}
	if b.Rig.readingUnit() != t.Rig.readingUnit() {
		return t, fmt.Errorf("the earlier trial reads its push control in %q, this one in %q: they cannot be compared", b.Rig.PushUnit, t.Rig.PushUnit)
	}
	now, then := t.Conditions.CableTemperature.Or(0), b.Conditions.CableTemperature.Or(0)
	if _, known := stiffnessRatio(now, then); !known && now != then {
		return t, fmt.Errorf("from %s to %s no table says how much softer the cable is: begin without the earlier trial", b.CableTemperatureText(), t.CableTemperatureText())
	}
	t.Before = &b
	return t, nil
}

// blur spreads the weight along ln fold speed and ln slip ratio, as a normal error of
// the given standard deviations does. What would pass an end of the grid stays in it.
func (p *posterior) blur(d doubt) {
	nb, ns := len(p.grid.lnFold), len(p.grid.spread)
	cells := nb * ns
	if kernel := errorWeights(p.grid.lnFold, d.fold); kernel != nil {
		for r := range p.grid.lnSlip {
			w := p.weight[r*cells : (r+1)*cells]
			copy(w, spreadOut(w, kernel, ns))
		}
	}
	if kernel := errorWeights(p.grid.lnSlip, d.slip); kernel != nil {
		copy(p.weight, spreadOut(p.weight, kernel, cells))
	}
}

// errorWeights is a normal error on an even grid, from its middle outward; nil when
// there is none.
func errorWeights(ln []float64, sd float64) []float64 {
	if sd == 0 || len(ln) < 2 {
		return nil
	}
	step := (ln[1] - ln[0]) / sd
	var half []float64
	for i := 0; float64(i)*step <= 4; i++ {
		z := float64(i) * step
		half = append(half, math.Exp(-z*z/2))
	}
	return half
}

// spreadOut moves the weight of every row of the given width to the rows near it.
func spreadOut(w, half []float64, width int) []float64 {
	out := make([]float64, len(w))
	rows := len(w) / width
	for from := range rows {
		first, last := max(from-len(half)+1, 0), min(from+len(half)-1, rows-1)
		sum := 0.0
		for to := first; to <= last; to++ {
			sum += half[max(to-from, from-to)]
		}
		for to := first; to <= last; to++ {
			k := half[max(to-from, from-to)] / sum
			for i := range width {
				out[to*width+i] += k * w[from*width+i]
			}
		}
	}
	return out
}
