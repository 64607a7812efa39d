package session

import (
	"math"
	"math/rand/v2"

	q "brinkmark/session/quantity"
)

// scenario is a family of cables and rigs that rules are tried on. Speeds are in
// notches, 60 to 2400, grip pressures in psi, 2 to 40, pushes in notches of thrust.
type scenario struct {
	name    string
	machine bool // a data sheet and a rig card that are right on average

	force      float64 // median fold limit, N
	foldSpread float64 // median repeat spread of the fold speed
	impact     float64 // median impact share
	real       float64 // fold speed of a real hit over that of the trial
	misread    float64 // share of outcomes written down at random
	voids      float64 // share of pushes that prove nothing

	relief   float64 // median push of a relief valve that alone sets the push; 0: none
	ceiling  float64 // median push that thrust levels off at; 0: it does not
	springs  bool    // belts with springs for or against grip pressure
	readings bool    // the crew writes down the stall reading

	sheet     float64 // stiffness on the data sheet over the true one; 0: right
	gripLimit float64

	speedDivision, gripDivision float64 // coarse dials; 0: as fine as a rule likes
}

func scenarios() []scenario {
	usual := scenario{machine: true, force: 180, foldSpread: 0.10, impact: 0.25, real: 1}
	with := func(name string, change func(*scenario)) scenario {
		s := usual
		s.name = name
		change(&s)
		return s
	}
	return []scenario{
		with("A as assumed", func(*scenario) {}),
		with("B weaker cable", func(s *scenario) { s.force = 120 }),
		with("B stronger cable", func(s *scenario) { s.force = 270 }),
		with("C gauges only", func(s *scenario) { s.machine = false }),
		with("D repeats scatter", func(s *scenario) { s.foldSpread = 0.20 }),
		with("E harder impact", func(s *scenario) { s.impact = 0.50 }),
		with("F misreads", func(s *scenario) { s.misread = 0.05 }),
		with("G real hits harder", func(s *scenario) { s.real = 0.90 }),
		with("H relief", func(s *scenario) { s.relief, s.readings = 500, true }),
		with("H relief, gauges only", func(s *scenario) { s.relief, s.readings, s.machine = 500, true, false }),
		with("H relief, unread", func(s *scenario) { s.relief = 500 }),
		with("I thrust levels off", func(s *scenario) { s.ceiling, s.readings = 1000, true }),
		with("J coarse divisions", func(s *scenario) { s.speedDivision, s.gripDivision = 100, 5 }),
		with("K belt springs", func(s *scenario) { s.springs = true }),
		with("L voids and misreads", func(s *scenario) { s.voids, s.misread = 0.10, 0.02 }),
	}
}

const (
	leastSpeed, mostSpeed = 60.0, 2400.0
	mostGrip              = 40.0
)

// firstSpeed and gripRungs are where a paper ladder starts and what it climbs.
func (s scenario) firstSpeed() float64 { return max(leastSpeed, s.speedDivision) }

func (s scenario) gripRungs() []float64 {
	step := max(2, s.gripDivision)
	var rungs []float64
	for p := step; p <= mostGrip; p += step {
		rungs = append(rungs, p)
	}
	return rungs
}

// dialled is the setting a crew gets when a rule asks for one between divisions:
// speed down, grip pressure up.
func (s scenario) dialled(grip, speed float64) (float64, float64) {
	if d := s.speedDivision; d > 0 {
		speed = max(math.Floor(speed/d*(1+ties)), 1) * d
	}
	if d := s.gripDivision; d > 0 {
		grip = math.Ceil(grip/d*(1-ties)) * d
	}
	return grip, speed
}

// trial is the job as our rule sees it.
func (s scenario) trial(p Policy) Trial {
	t := gaugeTrial()
	if s.machine {
		t = machineTrial()
	}
	t.Policy = p
	if s.sheet > 0 {
		t.Cable.BendingStiffness = q.Known(t.Cable.BendingStiffness.Or(0) * q.Stiffness(s.sheet))
	}
	if s.gripLimit > 0 {
		t.Rig.GripLimit = q.Known(q.From[q.Pressure](s.gripLimit, "psi"))
	}
	if d := s.speedDivision; d > 0 {
		t.Rig.SpeedDivision, t.Ladder.SpeedStart = q.Known(t.Rig.Reading(d)), q.Known(t.Rig.Reading(s.firstSpeed()))
	}
	if d := s.gripDivision; d > 0 {
		psi := q.Known(q.From[q.Pressure](d, "psi"))
		t.Rig.GripDivision, t.Ladder.GripStart, t.Ladder.GripStep = psi, psi, psi
	}
	return t
}

// world is one cable on one rig of a scenario: what no rule can see.
type world struct {
	scenario
	slipRatio  float64 // notches of push per psi at which the belts slip
	springGrip float64 // psi that belt springs add
	foldLoad   float64 // load that folds half the cables, notches
	share      float64 // impact over thrust
	spread     float64 // sd of ln of the fold load
	reliefPush float64
	levelPush  float64
}

const slipNoise = 0.08 // sd of ln of the belts' traction from push to push

// newWorld draws a world. What only some scenarios need is drawn last, so that every
// scenario sees the same cables.
func newWorld(s scenario, r *rand.Rand) world {
	about := func(median, sd float64) float64 { return median * math.Exp(sd*r.NormFloat64()) }
	force, thrust, traction := about(s.force, 0.40), about(0.2, 0.10), about(12, 0.25)
	w := world{scenario: s, share: about(s.impact, 0.40), spread: about(s.foldSpread, 0.35)}
	w.foldLoad, w.slipRatio = force/((1+w.share)*thrust), traction/thrust
	w.reliefPush, w.levelPush = about(s.relief, 0.25), about(s.ceiling, 0.20)
	if springs := -4 + 12*r.Float64(); s.springs {
		w.springGrip = springs
	}
	return w
}

// thrust is the push of the stalled drive at a speed, belts holding.
func (w world) thrust(speed float64) float64 {
	switch {
	case w.relief > 0:
		return w.reliefPush
	case w.ceiling > 0:
		return w.levelPush * -math.Expm1(-speed/w.levelPush)
	}
	return speed
}

func (w world) traction(grip float64) float64 {
	return w.slipRatio * max(grip+w.springGrip, 0.1)
}

// load is push and impact together, scaled to be the speed where thrust follows speed.
func (w world) load(push, speed float64) float64 {
	return (push + w.share*speed) / (1 + w.share)
}

// seen is one push: what was dialled and written down, and what really happened.
type seen struct {
	grip, speed    float64
	outcome, truly Outcome
	reading        float64 // of a stall, 0 when not written down
}

func (s seen) metres() float64 {
	return map[Outcome]float64{Fold: 1.5, Slip: 0.3, Void: 0.1}[s.truly]
}

func (w world) push(grip, speed float64, noise *rand.Rand) seen {
	grip, speed = w.dialled(grip, speed)
	s := seen{grip: grip, speed: speed}
	if w.voids > 0 && noise.Float64() < w.voids {
		s.outcome, s.truly = Void, Void
		return s
	}
	traction := w.traction(grip) * math.Exp(slipNoise*noise.NormFloat64())
	limit := w.foldLoad * math.Exp(w.spread*noise.NormFloat64())
	thrust := w.thrust(speed)
	switch {
	case w.load(min(thrust, traction), speed) >= limit:
		s.truly = Fold
	case thrust > traction:
		s.truly = Slip
	default:
		s.truly = Stall
	}
	s.outcome = s.truly
	if w.misread > 0 && noise.Float64() < w.misread {
		s.outcome = []Outcome{Fold, Slip, Stall}[noise.IntN(3)]
	}
	if w.readings && s.outcome == Stall {
		s.reading = min(thrust, traction) * math.Exp(0.005*noise.NormFloat64())
	}
	return s
}

// hit returns the exact chances that one real hit at a setting folds the cable and
// that the belts slip, by quadrature over the traction.
func (w world) hit(grip, speed float64) (fold, slip float64) {
	weight := 0.0
	for i := -40; i <= 40; i++ {
		z := float64(i) / 10
		g := math.Exp(-z * z / 2)
		traction, thrust := w.traction(grip)*math.Exp(slipNoise*z), w.thrust(speed)
		f := normal(math.Log(w.load(min(thrust, traction), speed)/(w.foldLoad*w.real)) / w.spread)
		fold += g * f
		if thrust > traction {
			slip += g * (1 - f)
		}
		weight += g
	}
	return fold / weight, slip / weight
}

// bestPush is the push at which one hit of the trial folds 5 in 100, belts holding.
func (w world) bestPush() float64 {
	most := w.foldLoad * math.Exp(-quantile95*w.spread)
	lo, hi := 0.0, 10*mostSpeed
	for range 60 {
		if mid := (lo + hi) / 2; w.load(w.thrust(mid), mid) < most {
			lo = mid
		} else {
			hi = mid
		}
	}
	return w.thrust(hi)
}

func (w world) delivered(grip, speed float64) float64 {
	return min(w.thrust(speed), w.traction(grip))
}
