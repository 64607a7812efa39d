package reach

import (
	"cmp"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// From here on a crew is cautioned of the air's temperature, and never goes beyond.
const (
	WarmAir = warmAir
	HotAir  = hotAir
)

// Course is a job ready to be asked about single places of the head, as they are met in a
// run. One goroutine has it alone.
type Course struct {
	b     *balance
	air   stream // of the last moment asked for
	aired Moment
}

// Moment is a cable under way: where its head is, how fast it goes, and what air is read at
// the duct's mouth.
type Moment struct {
	Head        q.Length
	Speed       q.Speed
	Inlet       q.Pressure // gauge
	Temperature q.Temperature
}

// NewCourse makes a job ready. Its errors are those of [Job.Check].
func NewCourse(j Job) (*Course, error) {
	if err := j.Check(); err != nil {
		return nil, err
	}
	c := &Course{b: newBalance(j)}
	c.b.care = rough
	return c, nil
}

// Drive returns the push the drive has to give in a moment: what the cable needs behind the
// seal and what the air pushes back on it, for a coefficient of friction from 0.005 to 2. It
// is not known where the cable locks, nor for a moment or a friction that cannot be meant. A
// drive that has to hold the cable back has a push below 0. Friction of the seal itself is
// not in it.
//
// It rises with friction, and is worked out to within 0.01 N.
//
// Source: the balance of forces of [Find], with the cable moving.
func (c *Course) Drive(m Moment, friction float64) q.Maybe[q.Force] {
	end := c.b.pipe.length
	inRoute := cable.Range[q.Length]{Of: "head", Unit: "m", Low: 0, High: q.Length(end) * (1 + 1e-9)}
	moving := cable.Range[q.Speed]{Of: "speed", Unit: "m/min", Low: 0, High: speedRange.High}
	if cmp.Or(inRoute.Check(m.Head), moving.Check(m.Speed), inletRange.Check(m.Inlet), airTempRange.Check(m.Temperature), CheckFriction(friction)) != nil {
		return q.Maybe[q.Force]{}
	}
	if still := (Moment{m.Head, 0, m.Inlet, m.Temperature}); still != c.aired || c.air.inlet == 0 {
		pipe := c.b.pipe
		pipe.kelvin = float64(m.Temperature) + zeroCelsius
		c.air, c.aired = pipe.flow(float64(m.Inlet)+pipe.ambient, math.Inf(1), math.Min(float64(m.Head), end)), still
	}
	b := *c.b
	b.mu, b.pipe.kelvin = friction, float64(m.Temperature)+zeroCelsius
	push := b.with(c.air, float64(m.Speed)).march(c.air.head, c.air.head, nil)
	return finite(push + b.entry(c.air))
}

// Fastest returns the greatest speed of the cable, up to the drive's, that the job's push
// allows with the head at a place of the route; 0 where it allows none.
func (c *Course) Fastest(head q.Length) q.Speed {
	return q.Speed(c.b.fastest(min(max(float64(head), 0), c.b.pipe.length)))
}
