package session

import (
	"iter"
	"math"
	"slices"
	"sync"
)

// script is a player written as a ladder is told: push, look, push again. A void is
// repeated before the script hears anything.
type script struct {
	pull  func() (move, bool)
	last  move
	heard seen
}

type pushing func(grip, speed float64) seen

func newScript(rule func(pushing) move) *script {
	s := &script{}
	s.pull, _ = iter.Pull(func(yield func(move) bool) {
		end := rule(func(grip, speed float64) seen {
			yield(move{grip: grip, speed: speed})
			return s.heard
		})
		end.done, end.high, end.varied = true, math.NaN(), math.NaN()
		if end.claim == 0 {
			end.claim = math.NaN()
		}
		yield(end)
	})
	return s
}

func (s *script) next(history []seen) move {
	if n := len(history); n > 0 {
		if s.heard = history[n-1]; s.heard.outcome == Void {
			return s.last
		}
	}
	s.last, _ = s.pull()
	if s.last.done {
		s.pull() // lets the script return
	}
	return s.last
}

// plainLadder raises speed notch by notch until the belts slip, then takes the next
// rung of grip pressure; it installs at a share of the last stall.
func plainLadder(share float64) func(scenario) player {
	return func(sc scenario) player {
		return newScript(func(push pushing) move { return climbPlain(sc, push, share) })
	}
}

func climbPlain(sc scenario, push pushing, share float64) move {
	const most = 80
	notch := max(60, sc.speedDivision)
	speed, pushes := sc.firstSpeed(), 0
	var last seen
	for _, grip := range sc.gripRungs() {
		for speed <= mostSpeed && pushes <= most {
			o := push(grip, speed)
			pushes++
			if o.outcome == Fold && last.speed > 0 {
				return move{grip: last.grip, speed: last.speed * share}
			}
			if o.outcome == Fold {
				return move{grip: grip, speed: speed * 0.8 * share}
			}
			if o.outcome == Slip {
				break
			}
			last, speed = o, speed+notch
		}
		if last.speed > 0 {
			speed = last.speed + notch
		}
		if pushes > most {
			break
		}
	}
	if last.speed == 0 {
		return move{grip: sc.gripRungs()[0], speed: sc.firstSpeed()}
	}
	return move{grip: last.grip, speed: last.speed * share}
}

// leanLadder finds the slip ratio on the first rung, then pushes once a rung with
// speed scaled by it.
func leanLadder(share float64) func(scenario) player {
	return func(sc scenario) player {
		return newScript(func(push pushing) move { return climbLean(sc, push, share) })
	}
}

func climbLean(sc scenario, push pushing, share float64) move {
	grips, first := sc.gripRungs(), sc.firstSpeed()
	var last seen
	for speed := first; speed <= mostSpeed; speed += max(30, sc.speedDivision) {
		o := push(grips[0], speed)
		if o.outcome == Fold {
			return move{grip: grips[0], speed: speed * 0.8 * share}
		}
		if o.outcome == Slip {
			break
		}
		last = o
	}
	ratio := first * 0.8 / grips[0]
	if last.speed > 0 {
		ratio = last.speed / grips[0]
	}
	for _, grip := range grips[1:] {
		speed := min(ratio*grip, mostSpeed)
		o := push(grip, speed)
		if o.outcome == Slip {
			speed, ratio = speed*0.9, ratio*0.9
			o = push(grip, speed)
		}
		if o.outcome == Fold {
			break
		}
		if o.outcome == Stall {
			last = o
		}
		if speed >= mostSpeed {
			break
		}
	}
	if last.speed == 0 {
		return move{grip: grips[0], speed: first}
	}
	return move{grip: last.grip, speed: last.speed * share}
}

// frozen is the rule that ours must beat. It is kept as it was, with its own model and
// grid, so that no change to ours moves it.
type frozen struct {
	scenario
	speeds, grips      []float64
	lnFold, lnSlip, ln []float64 // grids of fold speed, slip ratio and ln of the spread
	weight             []float64 // [slip][fold][spread]
	pair               []float64 // [fold][spread], summed over slip
	push               pushing
	history            []seen
	topGrip, lastGrip  float64
	lowestFold         float64 // 0 when none
	folds              int
}

func newFrozen(sc scenario) player {
	return newScript(func(push pushing) move {
		f := &frozen{scenario: sc, grips: sc.gripRungs(), push: push}
		f.topGrip = f.grips[0]
		for i := range 76 {
			f.speeds = append(f.speeds, leastSpeed*math.Pow(1.05, float64(i)))
		}
		f.believe()
		f.climb()
		return f.prove()
	})
}

func (f *frozen) believe() {
	f.lnFold, f.lnSlip = spaced(60, 4000, 84), spaced(15, 240, 20)
	for _, s := range []float64{0.03, 0.05, 0.08, 0.12, 0.18, 0.27} {
		f.ln = append(f.ln, math.Log(s))
	}
	bell := func(x, median, sd float64) float64 {
		z := (x - math.Log(median)) / sd
		return math.Exp(-z * z / 2)
	}
	for _, r := range f.lnSlip {
		for _, b := range f.lnFold {
			for _, s := range f.ln {
				w := bell(s, 0.12, 0.5)
				if f.machine {
					w *= bell(r, 60, 0.27) * bell(b, 720, 0.42)
				}
				f.weight = append(f.weight, w)
			}
		}
	}
	f.sum()
}

func spaced(lo, hi float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Log(lo) + math.Log(hi/lo)*float64(i)/float64(n-1)
	}
	return out
}

func (f *frozen) update(s seen) {
	const tau, kappa, wrong = 0.10, 0.25, 0.02
	held, i := f.foldChances(s.speed), 0
	for _, r := range f.lnSlip {
		line := math.Exp(r) * s.grip
		slip, slipped := normal(math.Log(s.speed/line)/tau), held
		if line < s.speed {
			slipped = f.foldChances((line + kappa*s.speed) / (1 + kappa))
		}
		for j, h := range held {
			p := chanceOf(s.outcome, (1-slip)*h+slip*slipped[j], slip*(1-slipped[j]), (1-slip)*(1-h))
			f.weight[i] *= (1-wrong)*p + wrong/3
			i++
		}
	}
	f.sum()
}

// foldChances are the chances that a load folds, for every fold speed and spread.
func (f *frozen) foldChances(load float64) []float64 {
	out := make([]float64, 0, len(f.pair))
	for _, b := range f.lnFold {
		for _, ln := range f.ln {
			out = append(out, normal((math.Log(load)-b)/math.Exp(ln)))
		}
	}
	return out
}

func (f *frozen) sum() {
	scale(f.weight)
	f.pair = make([]float64, len(f.lnFold)*len(f.ln))
	for i, w := range f.weight {
		f.pair[i%len(f.pair)] += w
	}
}

func chanceOf(o Outcome, fold, slip, stall float64) float64 {
	switch o {
	case Fold:
		return fold
	case Slip:
		return slip
	}
	return stall
}

// frozenChances keeps foldChances of the few speeds that are ever asked for.
var frozenChances sync.Map

func (f *frozen) foldChance(speed float64) float64 {
	sum := 0.0
	known, ok := frozenChances.Load(speed)
	if !ok {
		known, _ = frozenChances.LoadOrStore(speed, f.foldChances(speed))
	}
	for i, p := range known.([]float64) {
		sum += f.pair[i] * p
	}
	return sum
}

func (f *frozen) slipChance(grip, speed float64) float64 {
	sum, cells := 0.0, len(f.pair)
	for r, ln := range f.lnSlip {
		w := 0.0
		for _, v := range f.weight[r*cells : (r+1)*cells] {
			w += v
		}
		sum += w * normal((math.Log(speed/grip)-ln)/0.10)
	}
	return sum
}

func (f *frozen) gripFor(speed, chance, most float64) float64 {
	for _, p := range f.grips {
		if p > most {
			break
		}
		if f.slipChance(p, speed) <= chance {
			return p
		}
	}
	return min(most, f.grips[len(f.grips)-1])
}

// try pushes at a speed, with more grip pressure after each slip.
func (f *frozen) try(speed float64) seen {
	step := f.grips[0]
	var o seen
	for k := range 4 {
		most := mostGrip
		if len(f.history) > 0 || !f.machine {
			most = f.topGrip + step
		}
		grip := f.gripFor(speed, 0.10, most)
		if k > 0 && grip <= f.lastGrip {
			grip = min(mostGrip, f.lastGrip+step)
		}
		f.topGrip, f.lastGrip = max(f.topGrip, grip), grip
		o = f.push(grip, speed)
		f.history = append(f.history, o)
		f.update(o)
		if o.outcome == Fold {
			f.folds++
			if f.lowestFold == 0 || o.speed < f.lowestFold {
				f.lowestFold = o.speed
			}
		}
		if o.outcome != Slip {
			break
		}
	}
	return o
}

func (f *frozen) climb() {
	i, last := 0, len(f.speeds)-1
	for f.machine && i < last && f.foldChance(f.speeds[i+1]) <= 0.02 {
		i++
	}
	for f.try(f.speeds[i]).outcome != Fold && i < last && len(f.history) < 40 {
		next := min(i+2, last)
		for _, steps := range []int{7, 4, 2} {
			if j := min(i+steps, last); f.foldChance(f.speeds[j]) <= 0.15 {
				next = j
				break
			}
		}
		if f.foldChance(f.speeds[next]) > 0.25 || f.slipChance(mostGrip, f.speeds[next]) > 0.5 {
			return
		}
		i = next
	}
}

// candidate is the highest speed under the gap whose fold chance is small enough.
func (f *frozen) candidate(chance float64) float64 {
	best := f.speeds[0]
	for _, s := range f.speeds {
		if (f.lowestFold > 0 && s*1.10 > f.lowestFold*1.0001) || f.foldChance(s) > chance {
			break
		}
		best = s
	}
	return best
}

func (f *frozen) prove() move {
	start := len(f.history)
	c := f.candidate(0.03)
	for len(f.history)-start < 14 && f.folds < 3 {
		_, dialled := f.dialled(0, c)
		stood := slices.DeleteFunc(slices.Clone(f.history), func(s seen) bool {
			return s.outcome != Stall || s.speed < dialled*0.999
		})
		if len(stood) >= 3 {
			break
		}
		f.try(max(c, f.candidate(0.06)))
		c = f.candidate(0.03)
	}
	_, dialled := f.dialled(0, c)
	return move{grip: f.gripFor(c, 0.05, mostGrip), speed: c, claim: f.foldChance(dialled)}
}
