package practice

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Bench is a practice rig in use, and keeps what was done on it.
type Bench struct {
	lesson Lesson
	seed   uint64
	rig    Rig // of this seed

	pushes    []*Push
	verdicts  []Verdict
	found     map[TroubleKind]bool
	mended    map[string]int // checks whose fault was found and put right, before which push
	unsafe    []Unsafe
	misjudged []Misjudged
	isolated  bool
}

// Verdict is the judgement of one reading.
type Verdict struct {
	Push   int
	Read   session.Outcome    // zero when nothing was written down
	Marked bool               // a marked jacket was
	Stood  q.Maybe[q.Reading] // what was written down of the drive gauge
	Truth  Truth
	Right  bool
	Why    string // what a wrong reading got wrong; "" for a right one
}

// Unsafe is an act that could have hurt somebody on a real rig.
type Unsafe struct {
	Push int // made before it
	What string
}

// NewBench returns the rig of a lesson and a seed, before its first push.
func NewBench(l Lesson, seed uint64) (*Bench, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	return &Bench{lesson: l, seed: seed, rig: l.Rig.drawn(seed), found: map[TroubleKind]bool{}, mended: map[string]int{}}, nil
}

// Lesson returns the lesson on the bench.
func (b *Bench) Lesson() Lesson { return b.lesson }

// Push makes the next push at a setting as dialled. One before it that was not read
// counts as read wrong. It returns an error for a setting in another unit or out of a
// practice rig's range.
func (b *Bench) Push(at session.Setting) (*Push, error) {
	if at.Speed.Unit != "m/s" || !(at.Speed.Value >= 0 && at.Speed.Value <= 10) || !(at.Grip >= 0 && at.Grip <= 1e7) {
		return nil, fmt.Errorf("a practice rig has no such setting: %v Pa, %v %s", float64(at.Grip), at.Speed.Value, at.Speed.Unit)
	}
	b.isolated = false // it takes power to push
	p, err := b.rig.push(at, b.seed, len(b.pushes)+1, b.active())
	if err != nil {
		return nil, err
	}
	if stood, ok := p.After().DriveGauge.Get(); ok && p.Truth.Looks == session.Stall {
		p.Truth.StallReading = q.Known(ReadDrive(stood, b.lesson.Job.Rig))
		p.Truth.gaugeStep = driveStep(b.lesson.Job.Rig)
	}
	b.close()
	b.pushes = append(b.pushes, p)
	return p, nil
}

// close puts down a push that nobody read.
func (b *Bench) close() {
	if b.Waiting() {
		last := b.Last()
		b.verdicts = append(b.verdicts, Verdict{Push: last.Number, Truth: last.Truth, Why: "It was made, and not written down."})
	}
}

// Seed returns the seed of its rig.
func (b *Bench) Seed() uint64 { return b.seed }

// Temperature is what a thermometer on the cable shows now.
func (b *Bench) Temperature() q.Temperature { return b.rig.temperature(len(b.pushes) + 1) }

// Made is how many pushes were made.
func (b *Bench) Made() int { return len(b.pushes) }

// Last is the last push that was made; at least one must have been.
func (b *Bench) Last() *Push { return b.pushes[len(b.pushes)-1] }

// Waiting reports whether a push was made and not yet read.
func (b *Bench) Waiting() bool { return len(b.pushes) > len(b.verdicts) }

// active are the troubles that are there at the next push.
func (b *Bench) active() []Trouble {
	var there []Trouble
	for _, t := range b.rig.Troubles {
		if len(b.pushes)+1 >= t.From && !b.found[t.Kind] {
			there = append(there, t)
		}
	}
	return there
}

// push makes the push of a number.
func (r Rig) push(at session.Setting, seed uint64, number int, active []Trouble) (*Push, error) {
	m, w, err := r.prepare(at, number, active)
	if err != nil {
		return nil, err
	}
	from := source(seed, uint64(number))
	m.fold = rounded(m.fold * factor(from, r.FoldSpread))
	m.hold = rounded(m.hold * factor(from, r.SlipSpread))
	p := &Push{Number: number, Setting: at, allowance: r.allowance()}
	p.run(m, w)
	return p, nil
}

// prepare works out the numbers of a push but for chance.
func (r Rig) prepare(at session.Setting, number int, active []Trouble) (motion, rest, error) {
	w := rest{rig: r, grip: at.Grip, supply: 1, backedOff: float64(r.Duct.RunUp), active: active}
	column, err := r.column(number)
	if err != nil {
		return motion{}, w, err
	}
	w.column = column
	limit, err := r.foldLimit(number)
	if err != nil {
		return motion{}, w, err
	}
	per, err := r.takeUp(number)
	if err != nil {
		return motion{}, w, err
	}
	if err := w.onsets(); err != nil {
		return motion{}, w, err
	}
	none := math.Inf(1)
	m := motion{
		free: at.Speed.Value, mass: r.Drive.MovingMass, takeUp: per, fold: float64(limit),
		thrust: float64(r.Drive.ThrustPerSpeed.Value*at.Speed.Value) + float64(r.Drive.ThrustOffset),
		relief: float64(r.Drive.Relief.Or(q.Force(none))),
		gap:    none, plugHold: none, stubHold: none,
	}
	m.hold = math.Max(float64(float64(r.Drive.TractionPer)*float64(w.trueGrip()))+float64(r.Drive.TractionOffset), 0)
	for _, t := range active {
		m.trouble(t, &w)
	}
	m.thrust = math.Max(m.thrust, 0)
	m.runUp = math.Max(w.backedOff-m.short, 0)
	return m, w, nil
}

// trouble changes a push by what is wrong.
func (m *motion) trouble(t Trouble, w *rest) {
	switch t.Kind {
	case SupplyCold, SupplyLow:
		m.thrust, m.relief, w.supply = float64(m.thrust*t.Size), float64(m.relief*t.Size), t.Size
	case Ledge, ReelHolds:
		m.short = t.Size
	case PlugCreeps:
		m.plugHold = t.Size
	case StubCreeps:
		m.stubHold = t.Size
	case BeltsWet, BeltsWorn:
		m.hold = float64(m.hold * t.Size)
	case CableHurt:
		m.fold = float64(m.fold * t.Size)
	case GapTooLong:
		m.gap = t.Size
	}
}

// Look says what one sees who looks at what a check is about, and what an honest
// answer to it is. Both are empty where nothing is wrong.
func (b *Bench) Look(check string) (seen, answer string) {
	if sight, well := b.Sees(check); !well {
		return sight.Seen, sight.State
	}
	return "", ""
}

// Measures is what one measures at a check that asks for a length the rig has.
func (b *Bench) Measures(check string) q.Maybe[q.Length] {
	switch check {
	case "cable-diameter":
		return q.Known(b.rig.Cable.OuterDiameter)
	case "stub-bore":
		return q.Known(b.rig.Duct.InnerDiameter)
	case "run-up":
		return q.Known(b.rig.Duct.RunUp)
	}
	return q.Maybe[q.Length]{}
}

// Act is something a trainee does beside pushing and reading.
type Act int

// The acts.
const (
	StopAndIsolate Act = iota + 1
	HandsIn            // to belts, stub or cable
	AirOn
)

// Do does it. Hands before isolation and air to a plugged stub go into the review.
func (b *Bench) Do(a Act) {
	switch a {
	case StopAndIsolate:
		b.isolated = true
	case HandsIn:
		if !b.isolated {
			b.blame("Hands went to the rig before it was stopped and isolated.")
		}
	case AirOn:
		b.blame("Air was let to a plugged stub.")
	}
}

func (b *Bench) blame(what string) {
	b.unsafe = append(b.unsafe, Unsafe{len(b.pushes) + 1, what})
}

// Answer notes the reply to a check. An honest reply to what is wrong puts it right;
// a reply that all is well leaves it as it is, and is unsafe where a killer is so
// claimed, or left out.
func (b *Bench) Answer(a session.Answer) {
	c, known := session.CheckByID(a.Item)
	switch {
	case !known:
	case a.SkipReason == "":
		b.judge(c, a)
	case c.Killer:
		b.blame("A killer was skipped: " + c.Ask)
	}
}

// Read judges the reading of the last push; its truth may be told from then on. open
// are the checks that were open when the push was made.
//
// A push that was read already keeps its outcome, for the truth may have been told: of
// what is written again only a mark on the jacket and the stall reading are taken, seen later.
//
// It returns an error when no push was made.
func (b *Bench) Read(a session.Attempt, open []session.Check) (Verdict, error) {
	if len(b.pushes) == 0 {
		return Verdict{}, errors.New("no push was made to be read")
	}
	p := b.Last()
	if b.Waiting() {
		b.verdicts = append(b.verdicts, Verdict{Push: p.Number, Read: a.Outcome, Truth: p.Truth})
		for _, c := range open {
			if c.Killer {
				b.unsafe = append(b.unsafe, Unsafe{p.Number, "A push was made with a killer open: " + c.Ask})
			}
		}
	}
	v := &b.verdicts[len(b.verdicts)-1]
	v.Marked, v.Stood = a.JacketDamage, a.StallReading
	v.Why = v.wrong()
	v.Right = v.Why == ""
	if v.Truth.by != 0 && v.Read == session.Void {
		b.found[v.Truth.by] = true // who calls it void goes and looks
	}
	return *v, nil
}

func (v Verdict) wrong() string {
	t := v.Truth
	switch {
	case v.Read == 0:
		return "It was made, and not written down."
	case v.Read != t.Outcome && !(t.Either && v.Read == t.Looks):
		if t.Outcome == session.Void {
			return fmt.Sprintf("Read as %s; it was void: %s.", v.Read, t.Reason)
		}
		return fmt.Sprintf("Read as %s; it was a %s.", v.Read, t.Outcome)
	case v.Marked && !t.JacketMarked:
		return "A mark on the jacket was written down; there is none."
	case !v.Marked && t.JacketMarked:
		return "The jacket was marked, and it was not written down."
	}
	return t.misread(v.Stood)
}

// Verdicts are the readings so far, in order.
func (b *Bench) Verdicts() []Verdict { return slices.Clone(b.verdicts) }
