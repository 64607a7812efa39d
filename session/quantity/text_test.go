package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The rule of digits is our own; the values are derived here.
func TestText(t *testing.T) {
	for want, got := range map[string]string{
		"6 psi":            Text(From[Pressure](5.999999999, "psi"), "psi"),
		"0.4137 bar":       Text(From[Pressure](6, "psi"), "bar"),
		"0 psi":            Text(Pressure(0), "psi"),
		"101.3 kPa":        Text(Pressure(101325), "kPa"),
		"101325 Pa":        Text(Pressure(101325), "Pa"),
		"1235000 Pa":       Text(Pressure(1234567), "Pa"),
		"95 ft/min":        Text(Speed(0.4826), "fpm"),
		"0 °F":             Text(From[Temperature](0, "°F"), "°F"),
		"41 °F":            Text(Temperature(5), "F"),
		"-40.5 °C":         Text(Temperature(-40.5), "°C"),
		"1.9 N·m²":         Text(Stiffness(1.9), "N m2"),
		"662.1 lbf·in²":    Text(Stiffness(1.9), "lbf·in²"),
		"79.29 lb/1000 ft": Text(LinearDensity(0.118), "lb/1000 ft"),
		"12346 ft":         Text(From[Length](12345.6, "ft"), "ft"),
		"0.4882 in":        Text(Length(0.0124), "in"),
		"12.4 mm":          Text(Length(0.0124), "mm"),
		"1000 m":           Text(Length(999.97), "m"),
		"245 kN":           Text(Force(245000), "kN"),
		"1.378 lbf/psi":    Text(From[ForcePerPressure](0.889, "N/kPa"), "lbf/psi"),
		"0.00095 N/Pa":     Text(ForcePerPressure(0.00095), "N/Pa"),
		"183.6 cfm":        Text(From[FlowRate](5.2, "m³/min"), "ft3/min"),
		"90 deg":           Text(Angle(math.Pi/2), "deg"),
		"-1.5 deg":         Text(Angle(-math.Pi/120), "°"),
		"0 deg":            Text(Angle(math.Copysign(0, -1)), "°"),
		"0.0000001 MPa":    Text(Pressure(0.1), "MPa"),
		"1.5e-11 N/Pa":     Text(ForcePerPressure(1.5e-11), "N/Pa"),
	} {
		require.Equal(t, want, got)
	}
}

func TestASCII(t *testing.T) {
	for text, want := range map[string]string{
		"41 °F": "41 F", "−5 °C": "-5 C", "1.9 N·m²": "1.9 N m2", "5.2 m³/min": "5.2 m3/min",
		"90 °": "90 deg", "°": "deg", "°F": "F", "6 psi": "6 psi", "79 lb/1000 ft": "79 lb/1000 ft",
	} {
		require.Equal(t, want, ASCII(text))
	}
}

// What is shown in any unit can be typed again, as shown or on a plain keyboard.
func TestEveryUnitReadsBack(t *testing.T) {
	readBack[Length](t)
	readBack[Force](t)
	readBack[Pressure](t)
	readBack[Speed](t)
	readBack[Temperature](t)
	readBack[Stiffness](t)
	readBack[LinearDensity](t)
	readBack[LineLoad](t)
	readBack[ForcePerPressure](t)
	readBack[FlowRate](t)
	readBack[Angle](t)
}

func readBack[T Scalar](t *testing.T) {
	for _, unit := range Units[T]() {
		for _, x := range []float64{0, 0.012345, 1, 1.9, 6, 33.333333, 412.5, 499.96} {
			if v := From[T](x, unit); float64(v) <= kindOf[T]().high {
				requireReadBack(t, v, unit)
			}
		}
	}
}
