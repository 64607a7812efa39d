// Package quantity gives every physical number in brinkmark a type, so that a
// length can never be passed where a force belongs.
//
// Values are SI inside the program, so a number needs no unit beside it until
// it meets a person. Text in the units a crew writes ("6 psi", "41 F",
// "1.9 N m2") is read and printed only here: [Parse] and [Text] go between text
// and value, [In] and [From] between a bare number and a value. [Preferred]
// names the unit to show, [Standard] the one unit that machine-read output has.
//
// Parse refuses rather than guesses: a comma, a missing unit or a unit with two
// meanings is an error that lists what is accepted. All units stand in one
// table with their exact factors.
//
// A reading in a unit that is no unit of speed (notches, milliamps, the
// pressure of a motor) is a [Reading] and keeps its own number and unit.
package quantity

// The quantities brinkmark knows. The comment gives the unit of the number inside.
type (
	Length           float64 // m
	Force            float64 // N; also the axial stiffness EA
	ForceOffset      float64 // N, where a rig's line of push starts: may be negative
	Pressure         float64 // Pa, gauge unless a name says absolute
	Speed            float64 // m/s
	Temperature      float64 // °C
	Stiffness        float64 // N·m², bending stiffness EI
	LinearDensity    float64 // kg/m
	LineLoad         float64 // N/m: weight per length, contact, crush
	ForcePerPressure float64 // N/Pa: force gained per grip pressure
	FlowRate         float64 // m³/s of free air
	Angle            float64 // rad
)

// Scalar is any one of the quantities.
type Scalar interface {
	Length | Force | ForceOffset | Pressure | Speed | Temperature | Stiffness | LinearDensity |
		LineLoad | ForcePerPressure | FlowRate | Angle
}

// Reading is what the push control shows. When its unit is a unit of speed the
// number is in m/s and Unit is "m/s"; any other unit is carried unconverted.
type Reading struct {
	Value float64
	Unit  string
}

// ForcePerReading is the force gained per unit of a push control reading:
// newtons per m/s when Unit is "m/s", else newtons per one of Unit.
type ForcePerReading struct {
	Value float64
	Unit  string
}

// Maybe is a value that may not be known. The zero Maybe is not known.
type Maybe[T any] struct {
	value T
	known bool
}

// Known returns a Maybe that holds v.
func Known[T any](v T) Maybe[T] { return Maybe[T]{v, true} }

// Get returns the value and whether it is known.
func (m Maybe[T]) Get() (T, bool) { return m.value, m.known }

// Known reports whether there is a value.
func (m Maybe[T]) Known() bool { return m.known }

// Or returns the value, or other when it is not known.
func (m Maybe[T]) Or(other T) T {
	if m.known {
		return m.value
	}
	return other
}
