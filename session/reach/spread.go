package reach

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"brinkmark/session/parallel"
	q "brinkmark/session/quantity"
)

// Doubt is how well the figures of a job are known. [UsualDoubt] gives what is usual.
type Doubt struct {
	FrictionLow, FrictionHigh float64
	Pressure                  q.Pressure // either way
	Mass, Stiffness, Waves    float64    // parts either way: 0.1 is 10 %
}

// UsualDoubt is 20 % of friction, 0.5 bar, 3 % of mass, 30 % of stiffness and 40 % of the
// amplitude of waves, either way.
//
// Source: assumptions; friction is the least known of all, and a figure measured in a
// laboratory is best doubted by this much.
func UsualDoubt(friction float64) Doubt {
	return Doubt{0.8 * friction, 1.2 * friction, 0.5e5, 0.03, 0.30, 0.40}
}

// Range is how far the cable comes in how many cases. All are capped at the route.
type Range struct {
	Low, Likely, High q.Length // 5 of 100 fall short of Low, 5 pass High; Likely is the job as it stands
	EndShare          float64  // of the samples that reach the end
	Samples           int
	Inputs            []Influence // the widest first
}

// Influence is what one figure alone does to the reach.
type Influence struct {
	Of        string // "friction", "pressure", "mass", "stiffness", "waves" or "contact"
	Low, High q.Length
}

// Width is how far apart the reaches of an input's low and high figure are.
func (i Influence) Width() q.Length { return i.High - i.Low }

// Around returns the range about a reach that was worked out finely: the samples and
// their middle are rough, and near the end of a route can differ from it by much.
func (r Range) Around(reach q.Length) Range {
	r.Low, r.Likely, r.High = min(r.Low, reach), reach, max(r.High, reach)
	return r
}

// Spread works out the range of a job's reach from samples of what is in doubt: friction in a
// triangle about its likely value, pressure, mass, stiffness and waves evenly within their
// doubt, and the contact model by the toss of a coin between always coiled and coiled above
// the coiling push. source gives the samples; progress, which may be nil, is told of those
// done, once at a time, on any goroutine.
//
// Its errors are those of [Job.Check], and a [FieldError] for a range of friction that does
// not hold its likely value.
//
// Source: derived here; sampling of distributions is a usual way to carry doubt on.
func Spread(j Job, d Doubt, samples int, source *rand.Rand, progress func(done, of int)) (Range, error) {
	if err := cmp.Or(j.Check(), d.check(j.Friction)); err != nil {
		return Range{}, err
	}
	jobs := make([]Job, max(1, samples))
	for i := range jobs {
		jobs[i] = d.sample(j, source)
	}
	ends := reachAll(jobs, progress)
	end := float64(j.Route.Length())
	r := Range{Samples: len(ends), Likely: q.Length(likely(j))}
	for _, at := range ends {
		if at >= end {
			r.EndShare += 1 / float64(len(ends))
		}
	}
	slices.Sort(ends)
	r.Low = min(q.Length(ends[len(ends)*5/100]), r.Likely)
	r.High = max(q.Length(ends[(len(ends)*95-1)/100]), r.Likely)
	r.Inputs = d.influences(j)
	return r, nil
}

func (d Doubt) check(likely float64) error {
	return cmp.Or(
		field("friction.low", checkSide(d.FrictionLow, leastMu, likely)),
		field("friction.high", checkSide(d.FrictionHigh, likely, mostMu)),
	)
}

func (d Doubt) sample(j Job, source *rand.Rand) Job {
	either := func(by float64) float64 { return 1 + by*(2*source.Float64()-1) }
	j.Friction = triangle(d.FrictionLow, j.Friction, d.FrictionHigh, source.Float64())
	j.Air.Inlet = inRange(j.Air.Inlet + d.Pressure*q.Pressure(2*source.Float64()-1))
	j.Cable.Mass *= q.LinearDensity(either(d.Mass))
	j.Cable.Stiffness *= q.Stiffness(either(d.Stiffness))
	if w, known := j.Waves.Get(); known {
		j.Waves = q.Known(Waves{w.Amplitude * q.Length(either(d.Waves)), w.Period})
	}
	if source.IntN(2) == 1 && j.Contact == ContactAlways {
		j.Contact = ContactWhenCoils
	}
	return j
}

func inRange(p q.Pressure) q.Pressure { return min(max(p, inletRange.Low), inletRange.High) }

// influences works out the reach at either end of each figure in doubt.
func (d Doubt) influences(j Job) []Influence {
	with := func(of string, low, high func(*Job)) Influence {
		a, b := j, j
		low(&a)
		high(&b)
		x, y := q.Length(likely(a)), q.Length(likely(b))
		return Influence{of, min(x, y), max(x, y)}
	}
	mass := func(by float64) func(*Job) { return func(j *Job) { j.Cable.Mass *= q.LinearDensity(by) } }
	stiff := func(by float64) func(*Job) { return func(j *Job) { j.Cable.Stiffness *= q.Stiffness(by) } }
	pressure := func(by q.Pressure) func(*Job) { return func(j *Job) { j.Air.Inlet = inRange(j.Air.Inlet + by) } }
	friction := func(mu float64) func(*Job) { return func(j *Job) { j.Friction = mu } }
	all := []Influence{
		with("friction", friction(d.FrictionLow), friction(d.FrictionHigh)),
		with("pressure", pressure(-d.Pressure), pressure(d.Pressure)),
		with("mass", mass(1-d.Mass), mass(1+d.Mass)),
		with("stiffness", stiff(1-d.Stiffness), stiff(1+d.Stiffness)),
	}
	if w, known := j.Waves.Get(); known {
		waves := func(by float64) func(*Job) {
			return func(j *Job) { j.Waves = q.Known(Waves{w.Amplitude * q.Length(by), w.Period}) }
		}
		all = append(all, with("waves", waves(1-d.Waves), waves(1+d.Waves)))
	}
	if j.Contact == ContactAlways {
		all = append(all, with("contact", func(*Job) {}, func(j *Job) { j.Contact = ContactWhenCoils }))
	}
	slices.SortStableFunc(all, func(a, b Influence) int { return cmp.Compare(b.Width(), a.Width()) })
	return all
}

// likely is the reach of a job that was checked, worked out roughly.
func likely(j Job) float64 {
	b := newBalance(j)
	b.care = rough
	at, _ := b.reach(b.available)
	return at
}

// reachAll works out reaches side by side.
func reachAll(jobs []Job, progress func(done, of int)) []float64 {
	out := make([]float64, len(jobs))
	var told sync.Mutex
	done := 0
	parallel.Each(len(jobs), func(i int) {
		out[i] = likely(jobs[i])
		told.Lock()
		defer told.Unlock()
		if done++; progress != nil {
			progress(done, len(jobs))
		}
	})
	return out
}

// triangle returns the value below which the part p of a triangular distribution lies.
func triangle(low, mode, high, p float64) float64 {
	width := high - low
	if width <= 0 {
		return mode
	}
	if p < (mode-low)/width {
		return low + math.Sqrt(p*width*(mode-low))
	}
	return high - math.Sqrt((1-p)*width*(high-mode))
}

func checkSide(mu, low, high float64) error {
	if !(mu >= low && mu <= high) {
		return fmt.Errorf("friction coefficient: %v: must be from %v to %v", mu, low, high)
	}
	return nil
}
