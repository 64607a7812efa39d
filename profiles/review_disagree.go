package profiles

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"brinkmark/session"
)

// disagreeing is how far two trials of one cable, duct and rig must be apart to disagree:
// their temperatures within the band that one setting covers, and their speeds further
// apart than two honest trials can be. Of those that end on one fold limit, one may have
// stopped a whole rung below what the other reached, and the other at the gap under its
// fold.
//
// Source: derived here, from the numbers of [session.CoveredBand] and
// [session.DefaultPolicy]: 3.9 °C and 1.40 / 0.90 = 1.56.
type disagreeing struct{ degrees, ratio float64 }

func howDisagreeing() disagreeing {
	p := session.DefaultPolicy()
	return disagreeing{float64(session.CoveredBand().Degrees) + degreesRounding, slices.Max(p.Rungs) / p.Gap}
}

// findDisagreements compares the trials of the same cable, duct and rig.
func (v *Review) findDisagreements() {
	groups := map[string][]*Listed{}
	folded := map[string]string{}
	plain := func(s string) string {
		f, ok := folded[s]
		if !ok {
			f = newName(s).folded
			folded[s] = f
		}
		return f
	}
	for _, p := range v.Profiles {
		if r := p.row; r.known && r.value > 0 {
			key := plain(r.make) + "\n" + plain(r.cable) + "\n" + plain(r.duct) + "\n" + plain(r.rig) + "\n" + r.unit
			groups[key] = append(groups[key], p)
		}
	}
	how := howDisagreeing()
	for _, group := range groups {
		slices.SortFunc(group, func(a, b *Listed) int { return cmp.Compare(a.row.celsius, b.row.celsius) })
		how.name(group)
	}
}

// name names to each profile of a group, which is sorted by temperature, the
// one within reach whose setting is farthest off.
func (d disagreeing) name(group []*Listed) {
	low, high := &extremes{sign: 1}, &extremes{sign: -1}
	from, to := 0, 0
	for _, p := range group {
		for ; to < len(group) && group[to].row.celsius <= p.row.celsius+d.degrees; to++ {
			low.push(group, to)
			high.push(group, to)
		}
		for ; group[from].row.celsius < p.row.celsius-d.degrees; from++ {
			low.drop(from)
			high.drop(from)
		}
		worst, ratio := p, 1.0
		for _, other := range []*Listed{group[low.first()], group[high.first()]} {
			if off := math.Exp(math.Abs(math.Log(other.row.value / p.row.value))); off > ratio {
				worst, ratio = other, off
			}
		}
		if ratio > d.ratio {
			p.Exceptions = append(p.Exceptions, Exception{Disagrees, fmt.Sprintf("%s at %s, %s", worst.ID, worst.Temperature, worst.Speed)})
		}
	}
}

// extremes keeps the least value, or with sign -1 the greatest, of a window that moves
// along a group: those that can still become it, in order.
type extremes struct {
	sign  float64
	queue []int
}

func (e *extremes) push(group []*Listed, i int) {
	v := e.sign * group[i].row.value
	for len(e.queue) > 0 && e.sign*group[e.queue[len(e.queue)-1]].row.value >= v {
		e.queue = e.queue[:len(e.queue)-1]
	}
	e.queue = append(e.queue, i)
}

func (e *extremes) drop(i int) {
	if e.queue[0] == i {
		e.queue = e.queue[1:]
	}
}

func (e *extremes) first() int { return e.queue[0] }
