package reach

import (
	"math"

	q "brinkmark/session/quantity"
)

const (
	airConstant  = 287.05 // J/(kg·K), dry air; ICAO standard atmosphere gives 287.053
	freePressure = 101325 // Pa, at which free air is counted
	freeKelvin   = 293.15 // K, 20 °C
	zeroCelsius  = 273.15 // K
	smoothPipe   = 1.5e-6 // m, roughness of drawn plastic pipe; from memory
	laminar      = 2300.0 // Reynolds number up to which the flow is laminar
	turbulent    = 4000.0 // and from which it is turbulent
	leastMass    = 1e-12  // kg/s, less and more than any job has
	mostMass     = 1e3
	flowAccuracy = 1e-10 // of the mass flow, relative
)

// viscosity returns the dynamic viscosity of air in Pa·s at a temperature in K.
//
//	µ = 1.458·10⁻⁶·T^1.5/(T + 110.4)
//
// Source: Sutherland's law with the constants of the US Standard Atmosphere 1976.
func viscosity(kelvin float64) float64 {
	return 1.458e-6 * math.Pow(kelvin, 1.5) / (kelvin + 110.4)
}

// darcy returns the friction factor of Darcy, four times that of Fanning, for a
// Reynolds number and a roughness relative to the hydraulic diameter.
//
//	f = 64/Re                                          up to Re = 2300
//	1/√f = −2·log₁₀(ε/(3.7·D) + 2.51/(Re·√f))         from Re = 4000
//
// Between, a straight line; there the flow is uncertain by a quarter. In a ring of hydraulic
// diameter D−d the factor scatters by −25 to +35 % about this; the reach hardly depends on
// it, since what pulls is the pressure gradient.
//
// Source: Poiseuille; Colebrook 1939; the line between is derived here. The scatter:
// abstract of "An Improvement in the Calculation of Turbulent Friction in Smooth
// Concentric Annuli", J. Fluids Eng. 1981.
func darcy(reynolds, roughness float64) float64 {
	switch {
	case reynolds <= 0:
		return 0
	case reynolds <= laminar:
		return 64 / reynolds
	case reynolds < turbulent:
		share := (reynolds - laminar) / (turbulent - laminar)
		return 64/laminar + share*(colebrook(turbulent, roughness)-64/laminar)
	}
	return colebrook(reynolds, roughness)
}

// colebrook solves Colebrook's equation for x = 1/√f by Newton's method. It begins from
// the explicit form of Haaland (1983), which is within 2 %.
func colebrook(reynolds, roughness float64) float64 {
	x := -1.8 * math.Log10(math.Pow(roughness/3.7, 1.11)+6.9/reynolds)
	for range 3 {
		a := roughness/3.7 + 2.51*x/reynolds
		x -= (x + 2*math.Log10(a)) / (1 + 2*2.51/(reynolds*a*math.Ln10))
	}
	return 1 / (x * x)
}

// pipe is a duct with the cable in its first part, from the inlet to the head.
type pipe struct {
	bore, cable, length float64 // m
	kelvin              float64
	ambient             float64 // Pa absolute
	roughness           float64 // m
	steady              bool    // leaves out what it takes to speed the air up
}

func newPipe(j Job) pipe {
	return pipe{
		bore: float64(j.Bore), cable: float64(j.Cable.OuterDiameter), length: float64(j.Route.Length()),
		kelvin: float64(j.Air.Temperature) + zeroCelsius, ambient: float64(j.Air.Ambient), roughness: smoothPipe,
	}
}

func (p pipe) area() float64 { return math.Pi / 4 * p.bore * p.bore }

func (p pipe) ringArea() float64 { return math.Pi / 4 * (p.bore*p.bore - p.cable*p.cable) }

// stream is the air with the head of the cable at one place. Pressures are absolute, Pa.
type stream struct {
	mass                float64 // kg/s
	inlet, atHead, exit float64
	head                float64 // m from the inlet
	fall                float64 // of the squared pressure along the cable, Pa²/m
	rub                 float64 // the part of fall that is friction
	choked, short       bool    // at the outlet; of air, so that the inlet pressure is lower than meant
}

// flow returns the stream for a pressure at the inlet, or for the mass flow that the
// compressor gives when that is less; most is infinite when it is not known.
func (p pipe) flow(inlet, most, head float64) stream {
	if most < mostMass {
		if s := p.stream(most, head); s.inlet < inlet {
			s.short = true
			return s
		}
	}
	return p.stream(p.massFor(inlet, head), head)
}

// massFor returns the mass flow that an inlet pressure drives. The pressure needed rises
// with the flow, nearly as a power of it, so the search goes by logarithms.
func (p pipe) massFor(inlet, head float64) float64 {
	drop := inlet*inlet - p.ambient*p.ambient
	if !(drop > 0) {
		return 0
	}
	miss := func(mass float64) float64 {
		s := p.stream(mass, head)
		return math.Log(math.Max(s.inlet*s.inlet-p.ambient*p.ambient, 1e-9*p.ambient) / drop) // no less than rounding leaves
	}
	return math.Exp(rootOf(func(x float64) float64 { return miss(math.Exp(x)) }, bracket{math.Log(leastMass), math.Log(mostMass), flowAccuracy}))
}

// bracket is where a root is looked for, and how closely.
type bracket struct{ low, high, closely float64 }

// rootOf returns where a rising function is 0 within a bracket: false position with the
// halving of Illinois, which never leaves it. The function may be infinite at its high end.
func rootOf(f func(float64) float64, in bracket) float64 {
	low, high := in.low, in.high
	atLow, atHigh := f(low), f(high)
	if atLow >= 0 {
		return low
	}
	if atHigh <= 0 {
		return high
	}
	side := 0
	for range 200 {
		x := (low + high) / 2
		if !math.IsInf(atHigh, 1) {
			x = (low*atHigh - high*atLow) / (atHigh - atLow)
		}
		at := f(x)
		switch {
		case math.Abs(at) < in.closely || high-low < in.closely:
			return x
		case at < 0:
			low, atLow = x, at
			if side < 0 {
				atHigh /= 2
			}
			side = -1
		default:
			high, atHigh = x, at
			if side > 0 {
				atLow /= 2
			}
			side = 1
		}
	}
	return (low + high) / 2
}

// stream returns the pressures that a mass flow needs, from the outlet back.
//
//	p₁² − p₂² = (ṁ/A)²·R·T·(f·L/D_h + 2·ln(p₁/p₂))
//
// for each of the two parts: the ring (area A₁, hydraulic diameter D−d) over the length of
// the cable, and the bore (A, D) beyond its head. ṁ is the mass flow in kg/s, R·T in J/kg.
// Where the air would pass 1/√γ of the speed of sound, u = √(R·T), the end of the part
// keeps the pressure at which it just does, above what lies beyond.
//
// Along the cable the squared pressure falls in a straight line to that at the head; what it
// takes to speed the air up, well below 1 % in any long duct, is spread along.
//
// Source: isothermal flow, as in Crane TP-410 and Bar-Meir, Fundamentals of Compressible
// Fluid Mechanics; two parts in series derived here.
func (p pipe) stream(mass, head float64) stream {
	heat := airConstant * p.kelvin
	mu := viscosity(p.kelvin)
	bore, ring := p.area(), p.ringArea()
	open := p.length - head
	outlet := bore
	if open <= 0 {
		outlet = ring
	}
	s := stream{mass: mass, exit: p.ambient, head: head}
	if limit := mass * math.Sqrt(heat) / outlet; limit > s.exit && !p.steady {
		s.exit, s.choked = limit, true
	}
	speeding := func(area float64) float64 {
		if p.steady {
			return 0
		}
		return mass * mass * heat / (area * area)
	}
	f := darcy(4*mass/(math.Pi*p.bore*mu), p.roughness/p.bore)
	s.atHead = upstream(s.exit, mass*mass*heat*f*open/(bore*bore*p.bore), speeding(bore))
	if limit := mass * math.Sqrt(heat) / ring; limit > s.atHead && !p.steady && head > 0 {
		s.atHead, s.choked = limit, true
	}
	f = darcy(4*mass/(math.Pi*(p.bore+p.cable)*mu), p.roughness/(p.bore-p.cable))
	s.inlet = s.atHead
	if head > 0 {
		s.rub = mass * mass * heat * f / (ring * ring * (p.bore - p.cable))
		s.inlet = upstream(s.atHead, s.rub*head, speeding(ring))
		s.fall = (s.inlet*s.inlet - s.atHead*s.atHead) / head
	}
	return s
}

// least returns a stream that helps the cable no more, at any place, than that of any head
// from one to another. The further the head the higher the pressure at the inlet, and the lower the
// mass flow, the pressure at the head and the friction; only what speeds the air up may grow per
// metre, and so counts as little as it can.
//
// Source: derived here.
func (p pipe) least(near, far stream) stream {
	if far.head == 0 || near.atHead == 0 {
		return far
	}
	speeding := 0.0
	if !p.steady {
		speeding = far.mass * far.mass * airConstant * p.kelvin / (p.ringArea() * p.ringArea())
	}
	far.fall = math.Min(far.fall, far.rub+2*speeding*math.Log(near.inlet/near.atHead)/far.head)
	return far
}

// upstream returns the pressure before a part from that after it: y = p₁² solves
// y = p₂² + friction + speeding·ln(y/p₂²). The left side less the right is convex, so
// Newton's method from above comes down to the root that is slower than sound.
func upstream(after, friction, speeding float64) float64 {
	base := after*after + friction
	if speeding == 0 {
		return math.Sqrt(base)
	}
	y := 2*base + 10*speeding
	for range 60 {
		slope := 1 - speeding/y
		if slope <= 0 {
			break
		}
		step := (y - base - speeding*math.Log(y/(after*after))) / slope
		y = math.Max(y-step, base)
		if math.Abs(step) <= 1e-13*y {
			break
		}
	}
	return math.Sqrt(y)
}

// pressure returns the absolute pressure beside the cable, x from the inlet.
func (s stream) pressure(x float64) float64 {
	return math.Sqrt(math.Max(s.inlet*s.inlet-s.fall*x, s.atHead*s.atHead))
}

// freeAir is the flow counted as free air.
func (s stream) freeAir() q.FlowRate {
	return q.FlowRate(s.mass * airConstant * freeKelvin / freePressure)
}

// massOf is the mass flow of free air.
func massOf(free q.FlowRate) float64 {
	return float64(free) * freePressure / (airConstant * freeKelvin)
}
