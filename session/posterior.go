package session

import (
	"math"
	"sort"
)

// grid is the plausible truths about cable and belts: every combination of a fold
// speed SB, a slip ratio r (speed per grip pressure above which the belts slip)
// and a repeat spread sigma of the fold speed.
type grid struct {
	lnFold []float64 // ln SB, even
	lnSlip []float64 // ln r, even
	spread []float64 // sigma
}

// prior is the log weight of each truth before the first push, one axis at a time.
type prior struct{ fold, slip, spread []float64 }

// posterior is the weight of every truth after the pushes so far.
//
// A push at grip pressure p and speed s folds when the load
//
//	L = (min(s, r p) + κ s) / (1 + κ)
//
// reaches the fold speed, which scatters from push to push with sd σ of its
// logarithm; the belts slip when s > r p, which scatters with sd τ. With
//
//	q  = Φ(ln(s/(r p))/τ)    FH = Φ(ln(s/SB)/σ)    FS = Φ(ln(L/SB)/σ)
//
//	P(fold) = (1−q) FH + q FS    P(slip) = q (1−FS)    P(stall) = (1−q)(1−FH)
//
// and a likelihood of (1−ε) P + ε/3 for a reading that may be wrong.
//
// Source: derived here; interval-censored probit response as used in
// dose-finding trials (O'Quigley, Pepe and Fisher, Biometrics 46, 1990).
type posterior struct {
	grid   grid
	policy Policy
	weight []float64 // [slip][fold][spread]
	pair   []float64 // [fold][spread], summed over slip
	slip   []float64 // [slip], summed over the rest
}

// shot is one push as the posterior sees it. shift moves ln of the fold speed for
// a push made at another cable temperature than today's.
type shot struct {
	grip, speed, shift float64
	outcome            Outcome
}

// newWeights is a posterior before its first push, without its sums.
func newWeights(g grid, pr prior, pol Policy) posterior {
	p := posterior{grid: g, policy: pol}
	nb, ns := len(g.lnFold), len(g.spread)
	p.weight = make([]float64, len(g.lnSlip)*nb*ns)
	fold, spread := exponentials(pr.fold), exponentials(pr.spread)
	for r, ln := range pr.slip {
		slip := math.Exp(ln)
		for b, w := range fold {
			for k, v := range spread {
				p.weight[(r*nb+b)*ns+k] = slip * w * v
			}
		}
	}
	return p
}

func (p *posterior) weigh(shots []shot) {
	since := 0
	for _, same := range groupShots(shots) {
		p.update(same)
		// A factor is at least ε/3, so a hundred of them stay far above the smallest number.
		if since += same.pushes(); since > 60 {
			scale(p.weight)
			since = 0
		}
	}
}

func exponentials(ln []float64) []float64 {
	out := make([]float64, len(ln))
	for i, v := range ln {
		out[i] = math.Exp(v)
	}
	return out
}

// sameShots are equal settings pushed several times: one evaluation serves all.
type sameShots struct {
	grip, speed, shift float64
	count              [outcomeEnd]int
}

const outcomeEnd = int(Void) + 1

func (s sameShots) pushes() int { return s.count[Fold] + s.count[Stall] + s.count[Slip] }

func groupShots(shots []shot) []sameShots {
	var groups []sameShots
next:
	for _, s := range shots {
		for i := range groups {
			if g := &groups[i]; g.grip == s.grip && g.speed == s.speed && g.shift == s.shift {
				g.count[s.outcome]++
				continue next
			}
		}
		g := sameShots{grip: s.grip, speed: s.speed, shift: s.shift}
		g.count[s.outcome]++
		groups = append(groups, g)
	}
	return groups
}

func (p *posterior) update(s sameShots) {
	nb, ns := len(p.grid.lnFold), len(p.grid.spread)
	held := make([]float64, nb*ns) // FH: does not depend on the slip ratio
	p.foldChances(held, math.Log(s.speed)-s.shift)
	slipped := make([]float64, nb*ns)
	for r, lnR := range p.grid.lnSlip {
		line := math.Exp(lnR) * s.grip
		chance := quickNormal(math.Log(s.speed/line) / p.policy.SlipSpread)
		fs := held
		if line < s.speed && s.pushes() > s.count[Stall] { // a stall says nothing of a load while slipping
			k := p.policy.ImpactShare
			p.foldChances(slipped, math.Log((line+k*s.speed)/(1+k))-s.shift)
			fs = slipped
		}
		p.multiply(p.weight[r*nb*ns:(r+1)*nb*ns], held, fs, chance, s.count)
	}
}

// foldChances fills out with Φ((ln load − ln SB)/σ) for every fold speed and spread.
func (p *posterior) foldChances(out []float64, lnLoad float64) {
	ns := len(p.grid.spread)
	for k, sigma := range p.grid.spread {
		steep := 1 / sigma
		for b, lnB := range p.grid.lnFold {
			out[b*ns+k] = quickNormal((lnLoad - lnB) * steep)
		}
	}
}

func (p *posterior) multiply(w, fh, fs []float64, slip float64, n [outcomeEnd]int) {
	right, wrong := 1-p.policy.Misread, p.policy.Misread/3
	for range n[Stall] {
		for i, h := range fh {
			w[i] *= right*(1-slip)*(1-h) + wrong
		}
	}
	for range n[Slip] {
		for i, s := range fs {
			w[i] *= right*slip*(1-s) + wrong
		}
	}
	for range n[Fold] {
		for i, h := range fh {
			w[i] *= right*((1-slip)*h+slip*fs[i]) + wrong
		}
	}
}

func scale(w []float64) {
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	per := 1 / sum
	for i := range w {
		w[i] *= per
	}
}

func (p *posterior) sum() {
	scale(p.weight)
	cells := len(p.grid.lnFold) * len(p.grid.spread)
	p.pair = make([]float64, cells)
	p.slip = make([]float64, len(p.grid.lnSlip))
	for r := range p.slip {
		for i, w := range p.weight[r*cells : (r+1)*cells] {
			p.pair[i] += w
			p.slip[r] += w
		}
	}
}

// foldChance is the chance that one push at this speed folds the cable with the
// belts holding.
func (p *posterior) foldChance(speed float64) float64 {
	sum, i, ln := 0.0, 0, math.Log(speed)
	for _, lnB := range p.grid.lnFold {
		for _, sigma := range p.grid.spread {
			sum += p.pair[i] * normal((ln-lnB)/sigma)
			i++
		}
	}
	return min(sum, 1)
}

// foldChanceBound is the value the fold chance stays under with weight u.
func (p *posterior) foldChanceBound(speed, u float64) float64 {
	type cell struct{ chance, weight float64 }
	cells := make([]cell, 0, len(p.pair))
	i, ln := 0, math.Log(speed)
	for _, lnB := range p.grid.lnFold {
		for _, sigma := range p.grid.spread {
			cells = append(cells, cell{normal((ln - lnB) / sigma), p.pair[i]})
			i++
		}
	}
	sort.Slice(cells, func(a, b int) bool { return cells[a].chance < cells[b].chance })
	sum := 0.0
	for _, c := range cells {
		if sum += c.weight; sum >= u {
			return c.chance
		}
	}
	return cells[len(cells)-1].chance
}

// slipChance is the chance that the belts slip at this setting.
func (p *posterior) slipChance(grip, speed float64) float64 {
	sum := 0.0
	for r, lnR := range p.grid.lnSlip {
		sum += p.slip[r] * normal((math.Log(speed/grip)-lnR)/p.policy.SlipSpread)
	}
	return min(sum, 1)
}

// foldSpeed returns the fold speed below which a share u of the weight lies,
// linear between grid points.
func (p *posterior) foldSpeed(u float64) float64 {
	ns := len(p.grid.spread)
	sum, before := 0.0, 0.0
	for b, lnB := range p.grid.lnFold {
		before = sum
		for k := range ns {
			sum += p.pair[b*ns+k]
		}
		if sum >= u {
			if b == 0 {
				return math.Exp(lnB)
			}
			step := lnB - p.grid.lnFold[b-1]
			return math.Exp(lnB - step*(sum-u)/(sum-before))
		}
	}
	return math.Exp(p.grid.lnFold[len(p.grid.lnFold)-1])
}
