package session

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	q "brinkmark/session/quantity"
)

// Claim is a setting that asks to be promised: to be shown, printed or written as one to
// install, check or run with. It holds all that bears on it but who and what it is for.
type Claim struct {
	Trial   Trial   // whose pushes carry it
	Setting Setting // as accepted

	From             q.Temperature          // of the cable where it was proved: see [Proof.From]
	Coldest, Hottest q.Temperature          // where it held: there, and in the trials it checked
	Hurts            []Hurt                 // of other trials and of runs of this cable, duct and rig, from any tablet
	Covered, Checked Band                   // how far it holds without more, and with a short check
	Highest          q.Maybe[q.Temperature] // the top of the band that was written down, in whole degrees
	NoDrop           bool                   // a warmer cable asks for a new trial at once
}

// Hurt is a fold or a marked jacket that speaks against other settings of the same cable,
// duct and rig.
type Hurt struct {
	Fold    bool // or else a marked jacket
	InRun   bool // it ends every setting it speaks against: see [Claim.Promise]
	Setting q.Maybe[Setting]
	Cable   q.Maybe[q.Temperature] // of the cable then; not known counts at any temperature
	Of      string                 // the record that tells, to be named
}

// Promise is what may be installed with.
type Promise struct {
	Setting Setting
	UpTo    q.Temperature      // the warmest cable or inlet air it holds for
	DownTo  q.Temperature      // the coldest; below it the belts may slip
	Least   q.Temperature      // below this not even a short check could carry it
	Folds   q.Maybe[q.Reading] // the lowest speed that a fold which counts is worth: nobody goes there
	DropTo  []DropTo           // lower settings for a warmer one, the coolest first
}

// DropTo is a lower setting for a cable no warmer than UpTo.
type DropTo struct {
	UpTo    q.Temperature
	Setting Setting
}

// slack is how far a value may pass a limit and still be on it: what is left when it was
// written in other units, to the four digits that are shown.
const slack = 0.001

// dropStep is the temperature step of the drop-to table, 5 °F, whatever the
// thermometer reads: the same table in either system.
const dropStep = 5 / 1.8

// Promise returns what may be installed with, or why nothing may. It is the one place where
// a band, a lower setting for a warmer cable and a fold of another trial or run are weighed
// against a setting.
//
// A fold counts at what it is worth on the cable the setting is for: moved to it where that is
// warmer, and where that is colder at no more than it was. One on a cable so much warmer than
// where the setting was proved that not even a short check could carry it there, which is to
// say on another cable, does not count: the setting's own stalls say more. A marked jacket
// counts in the same way against grip pressure. How far that is no library's rule changes, or
// a tighter one would let folds go.
func (c Claim) Promise() (Promise, []string) {
	flaws := slices.Concat(c.Trial.Proof(c.Setting).Flaws, c.Against())
	if len(flaws) > 0 {
		return Promise{}, flaws
	}
	p := Promise{Setting: c.Setting, UpTo: c.upTo(), DownTo: min(c.Covered.Coldest(c.From), c.Coldest)}
	if most := c.most(c.From); !math.IsInf(most, 1) {
		p.Folds = q.Known(c.Trial.Rig.Reading(most / c.Trial.Policy.Gap / (1 + slack)))
	}
	p.Least = min(c.Checked.Coldest(c.From), p.DownTo)
	if !c.NoDrop {
		p.DropTo = c.dropTo(p.UpTo)
	}
	return p, nil
}

// rulesUpTo is the warmest cable the band reaches, whatever folded.
func (c Claim) rulesUpTo() q.Temperature {
	top := c.Covered.Warmest(c.From)
	if most, written := c.Highest.Get(); written {
		top = min(top, most)
	}
	return max(top, c.Hottest)
}

// upTo is the warmest cable or inlet air in the band: as far as the rules let it reach, and
// no fold, its own neither, is worth too little there.
func (c Claim) upTo() q.Temperature {
	top := c.rulesUpTo()
	if c.Setting.Speed.Value > c.most(top) {
		low := min(c.Coldest, top)
		for range 40 {
			if mid := (low + top) / 2; c.Setting.Speed.Value <= c.most(mid) {
				low = mid
			} else {
				top = mid
			}
		}
		top = low
	}
	// What is as good as a whole degree is that one: it is printed in whole degrees, and a run
	// takes it down in fewer digits than it has.
	unit := cmp.Or(c.Trial.Conditions.Unit, "°C")
	if next := q.From[q.Temperature](math.Round(q.In(top, unit)), unit); math.Abs(float64(next-top)) <= closeDegrees {
		top = next
	}
	return top
}

// folds are all folds that may count: the trial's own and the others.
func (c Claim) folds() []Hurt {
	var list []Hurt
	for _, a := range c.Trial.pushes() {
		if a.Outcome == Fold {
			list = append(list, Hurt{Fold: true, Setting: q.Known(a.Setting), Cable: a.CableTemperature})
		}
	}
	for _, h := range c.Hurts {
		if h.Fold {
			list = append(list, h)
		}
	}
	return list
}

// most is the highest speed that the folds leave on a cable at a temperature.
func (c Claim) most(at q.Temperature) float64 {
	most := math.Inf(1)
	for _, h := range c.folds() {
		if v, counts := c.worth(h, at); counts {
			most = min(most, c.Trial.Policy.Gap*v*(1+slack))
		}
	}
	return most
}

// worth is the speed a fold stands for on a cable at a temperature, and whether it counts
// there: see [Claim.Promise].
func (c Claim) worth(h Hurt, at q.Temperature) (float64, bool) {
	set, known := h.Setting.Get()
	if !known || set.Speed.Unit != c.Setting.Speed.Unit {
		return 0, false
	}
	then, read := h.Cable.Get()
	switch {
	case !read:
		return set.Speed.Value, true
	case then > c.reach()+closeDegrees:
		return 0, false
	}
	ratio, _ := stiffnessRatio(at, then)
	return set.Speed.Value * min(math.Exp(c.Trial.Policy.ForcePerShift*math.Log(ratio)), 1), true
}

// reach is the warmest cable on which what was hurt counts.
func (c Claim) reach() q.Temperature { return max(CheckedBand().Warmest(c.From), c.Hottest) }

// closeDegrees is how far apart two temperatures may be and still be one, written in other
// units (°C).
const closeDegrees = 0.01

// Against says which folds and marks of other trials and of runs speak against the setting
// altogether.
func (c Claim) Against() []string {
	var said []string
	for _, h := range c.Hurts {
		if why := c.againstBy(h); why != "" && !slices.Contains(said, why) {
			said = append(said, why)
		}
	}
	return said
}

func (c Claim) againstBy(h Hurt) string {
	set, known := h.Setting.Get()
	then, read := h.Cable.Get()
	if !known || read && then > c.reach()+closeDegrees {
		return ""
	}
	where, at := "in another trial", ""
	if h.InRun {
		where = "in a run"
	}
	if read {
		at = ", cable at " + WholeDegrees(then, c.Trial.Conditions.Unit)
	}
	if !h.Fold {
		if c.Setting.Grip < set.Grip*(1-slack) {
			return ""
		}
		return fmt.Sprintf("the jacket was marked %s at %s%s (%s)", where, c.Trial.Rig.ShowGrip(set.Grip), at, h.Of)
	}
	v, counts := c.worth(h, c.Hottest)
	if !counts || c.Setting.Speed.Value <= c.Trial.Policy.Gap*v*(1+slack) {
		return ""
	}
	return fmt.Sprintf("this cable folded %s at %s%s (%s): this setting is not a tenth below what that is worth", where, c.Trial.Rig.Show(set), at, h.Of)
}

// Lowered is a setting brought under what other trials and runs of this cable, duct and rig
// leave, in whole divisions: at or below it a new trial's stalls prove as much. It is not
// known where no division is left.
func (c Claim) Lowered() (Setting, bool) {
	d, s := c.Trial.speedDial(), c.Setting
	most := s.Speed.Value
	for _, h := range c.Hurts {
		set, known := h.Setting.Get()
		then, read := h.Cable.Get()
		if !known || read && then > c.reach()+closeDegrees {
			continue
		}
		if !h.Fold && s.Grip >= set.Grip*(1-slack) {
			return Setting{}, false
		}
		if v, counts := c.worth(h, c.Hottest); h.Fold && counts {
			most = min(most, c.Trial.Policy.Gap*v)
		}
	}
	if most < s.Speed.Value {
		s.Speed.Value = d.down(most)
	}
	return s, s.Speed.Value >= d.division*(1-ties)
}

// dropTo returns lower settings for a cable warmer than the band, down to what a short check
// may still confirm: speed by the whole ratio of polyethylene's stiffness, and under what
// folds are worth there, rounded down. Outside the stiffness table there is none.
func (c Claim) dropTo(covered q.Temperature) []DropTo {
	from := c.From
	last := c.Checked.Warmest(from)
	var table []DropTo
	d, unit := c.Trial.speedDial(), c.Trial.Conditions.Unit
	for to := from; to < last-closeDegrees; {
		if to += dropStep; min(to, last) <= covered+closeDegrees || WholeDegrees(min(to, last), unit) == WholeDegrees(covered, unit) {
			continue // in whole degrees it would be a second setting for the band's own top
		}
		// Of a step that is cut off the setting is the whole step's: else a rule that cuts it
		// would give more there.
		at := to
		ratio, known := stiffnessRatio(at, from)
		if !known {
			at = min(to, last) // the table ends in this step
			if ratio, known = stiffnessRatio(at, from); !known {
				return table
			}
		}
		speed := d.down(min(c.Setting.Speed.Value*min(ratio, 1), c.most(at)))
		if speed < d.division*(1-ties) {
			return table
		}
		table = append(table, DropTo{min(to, last), Setting{c.Setting.Grip, c.Trial.Rig.Reading(speed)}})
	}
	return table
}

// At is what may be used on a cable, or in air, of a temperature: the setting, a lower one,
// or nothing.
func (p Promise) At(warmest q.Temperature) (Setting, bool) {
	if warmest < p.Least-closeDegrees {
		return Setting{}, false
	}
	if warmest <= p.UpTo+closeDegrees {
		return p.Setting, true
	}
	for _, d := range p.DropTo {
		if warmest <= d.UpTo+closeDegrees {
			return d.Setting, true
		}
	}
	return Setting{}, false
}
