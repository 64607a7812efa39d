package practice

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Sight is something that is seen at a check, and the state it stands for.
type Sight struct {
	Check string // its id
	State string // as the check offers it; [MeasureAgain], or nothing where a value is right
	Seen  string
}

// MeasureAgain is the answer to a value that was not measured well.
const MeasureAgain = "Not measured well: again"

// Sights are all that can be seen at the checks of a set-up, planted or a lesson's trouble.
func Sights() []Sight {
	all := slices.Clone(sights)
	for k := SupplyCold; k <= NoFence; k++ {
		all = append(all, Sight{rows[k].check, rows[k].state, rows[k].seen})
	}
	return all
}

// right reports whether what is seen is as it must be.
func (s Sight) right(c session.Check) bool {
	if len(c.States) == 0 {
		return s.State == ""
	}
	return c.Right(s.State, "")
}

// usable reports whether a check still offers the state that a sight stands for.
func (s Sight) usable(c session.Check) bool {
	return s.Check == c.ID && (len(c.States) == 0 || slices.Contains(c.States, s.State))
}

// known are the sights of a check, right or wrong ones.
func known(c session.Check, right bool) []Sight {
	var of []Sight
	for _, s := range sights {
		if s.usable(c) && s.right(c) == right {
			of = append(of, s)
		}
	}
	return of
}

// How often a fault is planted at a check, of a hundred times it may be: what can kill is
// wrong often enough that nobody goes on by habit. A choice of ours.
const plantedKiller, plantedOther = 25, 10

// draws is the randomness of a check at a push. It depends on nothing that was done.
func (b *Bench) draws(check string, push int) uint64 {
	h := fnv.New64a()
	_, _ = fmt.Fprintf(h, "%s %d", check, push)
	return source(b.seed, h.Sum64()).Uint64()
}

// Order is the order in which the states of a check are offered before the next push:
// places of them, by seed and push number and nothing else.
func (b *Bench) Order(check string, states int) []int {
	h := fnv.New64a()
	_, _ = fmt.Fprintf(h, "order %s %d", check, b.next())
	from := source(b.seed, h.Sum64())
	order := make([]int, states)
	for i := range order {
		j := int(from.Uint64() % uint64(i+1))
		order[i], order[j] = order[j], i
	}
	return order
}

// next is the number of the next push.
func (b *Bench) next() int { return len(b.pushes) + 1 }

// planted is the fault that was planted at a check before the next push, if there is one
// that was not put right. What a lesson has a trouble at is left to it, and so is what the
// crew before found right.
func (b *Bench) planted(c session.Check) (Sight, bool) {
	n := b.next()
	wrong := known(c, false)
	if len(wrong) == 0 || b.mended[c.ID] == n || b.lesson.SetUp && n == 1 && !c.Killer ||
		slices.ContainsFunc(b.rig.Troubles, func(t Trouble) bool { return t.Kind.Check() == c.ID }) {
		return Sight{}, false
	}
	often := uint64(plantedOther)
	if c.Killer {
		often = plantedKiller
	}
	draw := b.draws(c.ID, n)
	return wrong[draw/100%uint64(len(wrong))], draw%100 < often
}

// Sees is what one sees who looks at what a check is about, and whether it is right. A
// check that practice knows nothing of is told by how one knows that it is right.
func (b *Bench) Sees(check string) (Sight, bool) {
	c, _ := session.CheckByID(check)
	for _, t := range b.active() {
		if r := rows[t.Kind]; r.check == check {
			return Sight{check, r.state, r.seen}, false
		}
	}
	if fault, there := b.planted(c); there {
		return fault, false
	}
	if well := known(c, true); len(well) > 0 {
		return well[0], true
	}
	s := Sight{Check: check, Seen: "It is as it should be. " + c.How}
	if len(c.States) > 0 {
		s.State = c.States[0]
	}
	return s, true
}

// Misjudged is a check that was answered otherwise than it looked.
type Misjudged struct {
	Push  int // before it
	Check session.Check
	Said  string
	Sight Sight
	Alarm bool // what was right was called wrong
}

func (m Misjudged) String() string {
	return fmt.Sprintf("%s You said %q. %s", m.Check.Ask, m.Said, m.Sight.Seen)
}

// Misjudged are the checks that were misjudged so far.
func (b *Bench) Misjudged() []Misjudged { return slices.Clone(b.misjudged) }

// judge judges the answer to a check by what was seen. What was honestly called wrong is
// put right.
func (b *Bench) judge(c session.Check, a session.Answer) {
	sight, well := b.Sees(c.ID)
	said := a.State
	if said == "" {
		said = a.Value
	}
	right := c.Right(a.State, a.Value)
	switch {
	case well && right && b.offThermometer(c, a.Value):
		sight.Seen = "The thermometer read " + session.WholeDegrees(b.Temperature(), b.lesson.Job.Conditions.Unit) + "."
		b.misjudge(Misjudged{b.next(), c, said, sight, false})
	case well && !right:
		b.misjudge(Misjudged{b.next(), c, said, sight, true})
	case !well && !right:
		b.mend(c.ID)
	case !well:
		if b.misjudge(Misjudged{b.next(), c, said, sight, false}) && c.Killer {
			b.blame(fmt.Sprintf("%s was answered %q, but: %s", c.Ask, said, sight.Seen))
		}
	}
}

// mend puts right what was found wrong at a check.
func (b *Bench) mend(check string) {
	b.mended[check] = b.next()
	for _, t := range b.active() {
		if rows[t.Kind].check == check {
			b.found[t.Kind] = true
		}
	}
}

// Mended reports whether a fault of a check was just put right.
func (b *Bench) Mended(check string) bool { return b.mended[check] == b.next() }

// misjudge notes a misjudgement, and reports whether it is a new one: a false alarm counts
// each time, a fault that was passed over once before a push.
func (b *Bench) misjudge(m Misjudged) bool {
	if !m.Alarm && slices.ContainsFunc(b.misjudged, func(o Misjudged) bool {
		return o.Check.ID == m.Check.ID && o.Sight.Seen == m.Sight.Seen && !o.Alarm && (o.Push == m.Push || !b.isPlanted(m))
	}) {
		return false
	}
	b.misjudged = append(b.misjudged, m)
	return true
}

// isPlanted reports whether a fault was planted; a trouble of the lesson stays the same
// from push to push, and counts once.
func (b *Bench) isPlanted(m Misjudged) bool {
	return !slices.ContainsFunc(b.rig.Troubles, func(t Trouble) bool { return t.Kind.Check() == m.Check.ID })
}

// Remeasure is the answer that a value was not measured well.
func (b *Bench) Remeasure(check string) {
	c, _ := session.CheckByID(check)
	if sight, well := b.Sees(check); well {
		b.misjudge(Misjudged{b.next(), c, MeasureAgain, sight, true})
		return
	}
	b.mend(check)
}

// offThermometer reports whether a temperature that was written down is not the one the
// thermometer showed, to a degree.
func (b *Bench) offThermometer(c session.Check, value string) bool {
	t, err := q.Parse[q.Temperature](value)
	return c.Asks == session.AskTemperature && err == nil && math.Abs(float64(t-b.Temperature())) > 1
}
