package reach

import (
	"math"

	q "brinkmark/session/quantity"
)

const gravity = 9.80665 // m/s²; NIST Special Publication 811 (2008), appendix B.8

// balance is what the forces on the cable of one job are worked out from, in SI. It
// counts its work, so one goroutine has it alone.
type balance struct {
	pipe     pipe
	inlet    float64 // Pa absolute, as meant
	most     float64 // mass flow of the compressor, kg/s; infinite when not known
	pieces   []piece
	weight   float64 // N/m
	mu       float64
	wave     float64 // mean curvature in waves, 1/m
	stiff    float64 // contact of a stiff cable in waves, N/m
	coil     float64 // contact per squared push when coiled, 1/(N·m)
	onset    float64 // push from which the cable coils, N; infinite for never
	bend     float64 // stiffness of the cable, N·m²
	shear    float64 // of the air on the cable per pressure gradient, m²
	share    float64 // of the pressure on the cable per pressure gradient, m²
	safe     float64
	drive    float64
	speed    float64 // the most, m/s
	velocity float64 // of the cable while a reach is looked for, m/s
	care     care
	scratch  work
	doubts   int // spans of a hair that were passed
}

// work counts what a reach costs.
type work struct{ marches, forces int }

func newBalance(j Job) *balance {
	d, bore := float64(j.Cable.OuterDiameter), float64(j.Bore)
	clearance := (bore - d) / 2
	ei := float64(j.Cable.Stiffness)
	b := &balance{
		pipe: newPipe(j), inlet: float64(j.Air.Inlet) + float64(j.Air.Ambient), most: math.Inf(1), pieces: j.Route.pieces,
		weight: float64(j.Cable.Mass) * gravity, mu: j.Friction,
		coil: clearance / (4 * ei), bend: ei,
		shear: math.Pi / 4 * d * (bore - d), share: math.Pi / 4 * d * d,
		safe: float64(j.Push.Safe), drive: float64(j.Push.Drive), speed: float64(j.topSpeed()), care: fine,
	}
	if free, known := j.Air.FreeAir.Get(); known {
		b.most = massOf(free)
	}
	if w, known := j.Waves.Get(); known {
		b.wave = waveTurn(float64(w.Amplitude), float64(w.Period))
		b.stiff = waveStiffness(ei, float64(w.Amplitude)-clearance, float64(w.Period))
	}
	switch j.Contact {
	case ContactWhenCoils:
		b.onset = coilPush(ei, b.weight, clearance)
	case ContactNever:
		b.onset = math.Inf(1)
	}
	return b
}

// waveTurn returns the mean curvature in 1/m of a duct that lies in waves.
//
//	κ = 8·π·a/λ²
//
// a is the amplitude from the middle to a crest, λ the period, both in m. It holds for
// small slopes, a ≪ λ, and is then the exact mean of a sine's curvature.
//
// Source: derived here.
func waveTurn(amplitude, period float64) float64 { return 8 * math.Pi * amplitude / (period * period) }

// waveStiffness returns the contact in N/m by which a stiff cable follows waves.
//
//	N = (2/π)·EI·a′·(2π/λ)⁴
//
// a′ is the amplitude less the clearance within which the cable may lie straight.
//
// Source: derived here, the mean load of a beam bent to a sine.
func waveStiffness(ei, amplitude, period float64) float64 {
	return 2 / math.Pi * ei * math.Max(amplitude, 0) * math.Pow(2*math.Pi/period, 4)
}

// coilPush returns the push in N from which a long level cable lies in a helix.
//
//	F = 2·√2·√(EI·w/r)
//
// Source: Chen, Lin & Cheatham 1990, from memory.
func coilPush(ei, weight, clearance float64) float64 {
	return 2 * math.Sqrt2 * math.Sqrt(ei*weight/clearance)
}

// bendEnds returns the friction in N of the reactions that bend a stiff cable where an
// arc begins, and the same again where it ends.
//
//	F = µ·2·EI/(R·l),  l = √(24·R·(D−d))
//
// R is the arc's radius, l the length over which the cable passes from straight to bent in a
// bore D. It is uncertain by a factor of two.
//
// Source: derived here, a beam between two walls.
func (b *balance) bendEnds(curvature float64) float64 {
	if curvature == 0 {
		return 0
	}
	radius := 1 / curvature
	passing := math.Sqrt(24 * radius * (b.pipe.bore - b.pipe.cable))
	return b.mu * 2 * b.bend / (radius * passing)
}

// entry returns the force that the air has on the cable at the inlet's seal, outward.
//
//	F = (π/4)·d²·(p₁ − p_a)
//
// Source: pressure times area.
func (b *balance) entry(s stream) float64 {
	return math.Max(0, math.Pi/4*b.pipe.cable*b.pipe.cable*(s.inlet-b.pipe.ambient))
}

// available is the push the drive may have in the cable behind the seal: the trial's push is
// never exceeded, not even when the air is lost.
func (b *balance) available(s stream) float64 { return math.Min(b.safe, b.drive) - b.entry(s) }

// compensated is the push it could have as long as the air holds.
func (b *balance) compensated(s stream) float64 { return math.Min(b.safe, b.drive-b.entry(s)) }

// run is one march: the air, the cable's speed, and what the air does at it.
type run struct {
	*balance
	air      stream
	velocity float64 // of the cable, m/s
	rush     float64 // mass flow·R·T per ring area: the air's speed times its pressure, Pa·m/s
}

func (b *balance) run(head, velocity float64) run {
	return b.with(b.pipe.flow(b.inlet, b.most, head), velocity)
}

func (b *balance) with(air stream, velocity float64) run {
	return run{b, air, velocity, air.mass * airConstant * b.pipe.kelvin / b.pipe.ringArea()}
}

// help returns the force of the air per metre of cable, forward.
//
//	g = (π/4)·d·[(D−d)·h + d]·(−dp/dx),  h = (u−v)·|u−v|/u²
//
// The first part is shear, equal on cable and bore; the second is what the pressure has on the
// cable, written as a force along it, so that the push counted is the effective one: the push
// in the cable less (p−p_a)·(π/4)·d². u is the speed of the air in the ring, v that of the cable.
//
// Source: derived here from the balance of the air in the ring. At v = 0 it is (π/4)·d·D, the
// form of Griffioen, J. Lightwave Technol. 7(2) (1989) 297 (from memory); h is derived here.
func (r run) help(x float64) float64 {
	p := r.air.pressure(x)
	fall := r.air.fall / (2 * p)
	if r.velocity == 0 || r.rush == 0 {
		return fall * (r.shear + r.share)
	}
	ahead := 1 - r.velocity*p/r.rush
	return fall * (r.shear*ahead*math.Abs(ahead) + r.share)
}

// demand returns by how much the push rises per metre toward the drive.
//
//	−dP/dx = w·sin θ + µ·N − g
//	N = √((w·cos θ + P·κ_v)² + (P·(κ_h+κ_w))²) + [P>0]·r·P²/(4·EI) + N_w
//
// P is the effective push in N, negative where the cable is pulled, w the weight, θ the slope,
// κ_v, κ_h and κ_w the curvatures upright (positive in a sag), level and in waves.
//
// Source: balance of a line in a curved duct; the coiled contact r·P²/(4·EI) by Mitchell, from memory.
func (r run) demand(x, push float64, p piece) float64 {
	r.scratch.forces++
	sin, cos := 0.0, 1.0
	if slope := p.slopeAt(x); slope != 0 {
		sin, cos = math.Sincos(slope)
	}
	across := push * (p.sideways + r.wave)
	upright := r.weight*cos + push*p.upward
	contact := math.Sqrt(upright*upright+across*across) + r.stiff
	if push > 0 && push >= r.onset {
		contact += r.coil * push * push
	}
	return r.weight*sin + r.mu*contact - r.help(x)
}

// gauge is a pressure above the ambient one.
func (b *balance) gauge(absolute float64) q.Pressure {
	return q.Pressure(math.Max(0, absolute-b.pipe.ambient))
}
