package quantity

import (
	"fmt"
	"math"
	"strings"
)

// The definitions every customary unit rests on. All are exact.
//
// Source: NIST Special Publication 811 (2008), appendix B.8.
const (
	foot            = 0.3048                  // m
	inch            = 0.0254                  // m
	pound           = 0.45359237              // kg
	standardGravity = 9.80665                 // m/s²
	poundForce      = pound * standardGravity // N
	minute          = 60                      // s
	hour            = 3600                    // s
)

// kind is what the package knows of one type of quantity.
type kind struct {
	name      string  // as an error calls it
	low, high float64 // the SI values taken as sane, inclusive
	metric    string
	customary string
	standard  string
	units     []unit // the order in which errors list them
}

// unit is one unit of a kind: the SI value of x units is (x − zero)·num/den.
// Factors are kept as fractions so that 25.4 mm and 1 in are the same number.
type unit struct {
	name      string
	num, den  float64
	zero      float64
	spellings string // further ones, in the form that plain makes, between spaces
}

var forceUnits = []unit{
	{name: "N", num: 1, den: 1},
	{name: "kN", num: 1000, den: 1},
	{name: "daN", num: 10, den: 1},
	{name: "lbf", num: poundForce, den: 1, spellings: "lb lbs"},
	{name: "kgf", num: standardGravity, den: 1},
}

// kinds is keyed by the zero value of each type.
var kinds = map[any]*kind{
	Length(0): {"length", 0, 1e6, "m", "ft", "m", []unit{
		{name: "m", num: 1, den: 1, spellings: "metre metres meter meters"},
		{name: "mm", num: 1, den: 1000},
		{name: "cm", num: 1, den: 100},
		{name: "km", num: 1000, den: 1},
		{name: "ft", num: foot, den: 1, spellings: "foot feet"},
		{name: "in", num: inch, den: 1, spellings: "in. inch inches"},
	}},
	Force(0):       {"force", 0, 1e9, "N", "lbf", "N", forceUnits},
	ForceOffset(0): {"offset of a force", -1e9, 1e9, "N", "lbf", "N", forceUnits},
	Pressure(0): {"pressure", 0, 1e9, "bar", "psi", "kPa", []unit{
		{name: "psi", num: poundForce / (inch * inch), den: 1, spellings: "lbf/in2"},
		{name: "kPa", num: 1000, den: 1},
		{name: "bar", num: 1e5, den: 1},
		{name: "MPa", num: 1e6, den: 1},
		{name: "Pa", num: 1, den: 1},
		{name: "hPa", num: 100, den: 1, spellings: "mbar"},
	}},
	Speed(0): {"speed", 0, 1e3, "m/min", "ft/min", "m/min", []unit{
		{name: "m/min", num: 1, den: minute, spellings: "metres/min meters/min metres/minute meters/minute"},
		{name: "ft/min", num: foot, den: minute, spellings: "fpm feet/min feet/minute"},
		{name: "m/s", num: 1, den: 1, spellings: "m/sec metres/second meters/second"},
		{name: "ft/s", num: foot, den: 1, spellings: "ft/sec feet/second"},
		{name: "km/h", num: 1000, den: hour},
	}},
	Temperature(0): {"temperature", -273.15, 500, "°C", "°F", "°C", []unit{
		{name: "°C", num: 1, den: 1, spellings: "C degC deg·C ℃"},
		{name: "°F", num: 1, den: 1.8, zero: 32, spellings: "F degF deg·F ℉"},
	}},
	Stiffness(0): {"bending stiffness", 0, 1e6, "N·m²", "lbf·in²", "N·m²", []unit{
		{name: "N·m²", num: 1, den: 1, spellings: "Nm2"},
		{name: "N·mm²", num: 1, den: 1e6, spellings: "Nmm2"},
		{name: "lbf·in²", num: poundForce * inch * inch, den: 1, spellings: "lb·in2 lbf-in2 lb-in2"},
		{name: "lbf·ft²", num: poundForce * foot * foot, den: 1, spellings: "lb·ft2 lbf-ft2 lb-ft2"},
	}},
	LinearDensity(0): {"mass per length", 0, 1e4, "kg/km", "lb/1000 ft", "kg/km", []unit{
		{name: "kg/km", num: 1, den: 1000},
		{name: "kg/m", num: 1, den: 1},
		{name: "g/m", num: 1, den: 1000},
		{name: "lb/1000 ft", num: pound / (1000 * foot), den: 1, spellings: "lb/1000ft lbs/1000·ft lbs/1000ft lb/kft lbs/kft"},
		{name: "lb/ft", num: pound / foot, den: 1, spellings: "lbs/ft"},
	}},
	LineLoad(0): {"load per length", 0, 1e9, "N/m", "lbf/in", "N/m", []unit{
		{name: "N/m", num: 1, den: 1},
		{name: "N/cm", num: 100, den: 1},
		{name: "N/mm", num: 1000, den: 1},
		{name: "kN/m", num: 1000, den: 1},
		{name: "N/100 mm", num: 10, den: 1, spellings: "N/100mm N/10·cm N/10cm"},
		{name: "lbf/in", num: poundForce / inch, den: 1, spellings: "lb/in lbs/in"},
		{name: "lbf/ft", num: poundForce / foot, den: 1, spellings: "lb/ft lbs/ft"},
	}},
	ForcePerPressure(0): {"force per pressure", 0, 1e3, "N/bar", "lbf/psi", "N/kPa", []unit{
		{name: "N/kPa", num: 1, den: 1000},
		{name: "N/psi", num: inch * inch / poundForce, den: 1},
		{name: "N/bar", num: 1, den: 1e5},
		{name: "N/Pa", num: 1, den: 1},
		{name: "lbf/psi", num: inch * inch, den: 1, spellings: "lb/psi lbs/psi"},
	}},
	FlowRate(0): {"flow of air", 0, 1e4, "m³/min", "cfm", "m³/min", []unit{
		{name: "m³/min", num: 1, den: minute},
		{name: "cfm", num: foot * foot * foot / minute, den: 1, spellings: "ft3/min cu·ft/min"},
		{name: "m³/h", num: 1, den: hour},
		{name: "m³/s", num: 1, den: 1},
		{name: "L/min", num: 1, den: 1000 * minute},
		{name: "L/s", num: 1, den: 1000},
	}},
	Angle(0): {"angle", -1e3, 1e3, "deg", "deg", "deg", []unit{
		{name: "deg", num: math.Pi / 180, den: 1, spellings: "° degree degrees"},
		{name: "rad", num: 1, den: 1},
	}},
}

func kindOf[T Scalar]() *kind { return kinds[T(0)] }

// System is the family of units a person wants to see.
type System int

// The systems of units.
const (
	Metric    System = iota + 1
	Customary        // United States customary units
)

// Preferred returns the unit in which T is shown in system s. A Length is taken
// as that of a route; for a diameter, a clearance or a bend radius see
// [PreferredDiameter].
func Preferred[T Scalar](s System) string {
	return s.choose(kindOf[T]().metric, kindOf[T]().customary)
}

// PreferredDiameter returns the unit in which small lengths are shown in system s.
func PreferredDiameter(s System) string { return s.choose("mm", "in") }

func (s System) choose(metric, customary string) string {
	switch s {
	case Metric:
		return metric
	case Customary:
		return customary
	}
	panic(fmt.Sprintf("quantity: no system of units %d", int(s)))
}

// Standard returns the unit of T in output that programs read.
func Standard[T Scalar]() string { return kindOf[T]().standard }

// Units returns the accepted units of T in their canonical spelling.
func Units[T Scalar]() []string { return kindOf[T]().names() }

// In returns v as a number of the given unit. It panics if T has no such unit
// or v is not finite.
func In[T Scalar](v T, unit string) float64 {
	return finite(kindOf[T]().must(unit).fromSI(float64(v)))
}

// From returns the value of x of the given unit. It panics if T has no such
// unit or the value is not finite.
func From[T Scalar](x float64, unit string) T {
	return T(finite(kindOf[T]().must(unit).toSI(x)))
}

func (k *kind) names() []string {
	names := make([]string, len(k.units))
	for i, u := range k.units {
		names[i] = u.name
	}
	return names
}

// find returns the unit spelled so, or nil.
func (k *kind) find(spelling string) *unit {
	for i := range k.units {
		if k.units[i].name == spelling {
			return &k.units[i]
		}
	}
	spelling = plain(spelling)
	for i := range k.units {
		if k.units[i].spelled(spelling) {
			return &k.units[i]
		}
	}
	return nil
}

func (k *kind) must(spelling string) *unit {
	if u := k.find(spelling); u != nil {
		return u
	}
	panic(fmt.Sprintf("quantity: no unit %q of %s", spelling, k.name))
}

func (u *unit) spelled(plainText string) bool {
	if sameSpelling(plain(u.name), plainText) {
		return true
	}
	for s := range strings.FieldsSeq(u.spellings) {
		if sameSpelling(s, plainText) {
			return true
		}
	}
	return false
}

// sameSpelling ignores case, save that our capital M is mega: "mPa" may have
// been meant as a thousand-millionth of an MPa.
func sameSpelling(ours, theirs string) bool {
	if ours[0] == 'M' && !strings.HasPrefix(theirs, "M") {
		return false
	}
	return strings.EqualFold(ours, theirs)
}

var plainSpelling = strings.NewReplacer(
	"²", "2", "^2", "2", "³", "3", "^3", "3",
	"º", "°", "˚", "°", // the ordinal sign and the ring, which look like a degree sign
	"⋅", "·", "∙", "·", "•", "·", "*", "·",
)

var tightSpelling = strings.NewReplacer(
	" · ", "·", "· ", "·", " ·", "·",
	" / ", "/", "/ ", "/", " /", "/", " per ", "/", "° ", "°",
	" ", "·",
)

// plain brings the ways of writing one unit to one spelling: "N m2", "N * m^2"
// and "N·m²" all become "N·m2".
func plain(unit string) string {
	unit = plainSpelling.Replace(unit)
	return tightSpelling.Replace(strings.Join(strings.Fields(unit), " "))
}

func (u *unit) toSI(x float64) float64 { return (x - u.zero) * u.num / u.den }

func (u *unit) fromSI(v float64) float64 { return v*u.den/u.num + u.zero }

func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		panic("quantity: value is not finite")
	}
	return x
}
