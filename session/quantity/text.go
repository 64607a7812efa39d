package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Text returns v in the given unit for people to read, such as "6 psi". It
// gives four significant digits, or a whole number from 1000 to a million,
// without trailing zeros; [Parse] reads it back as v within those digits. It
// panics if T has no such unit or v is not finite.
func Text[T Scalar](v T, unit string) string {
	u := kindOf[T]().must(unit)
	x := finite(u.fromSI(float64(v)))
	if u.zero != 0 {
		x = math.Round(x*1e9) / 1e9 // 0 °F is not the 7e-15 °F that the shift leaves
	}
	return join(digits(x), u.name)
}

func join(number, unit string) string { return strings.TrimSuffix(number+" "+unit, " ") }

// digits writes x with four significant digits, or as a whole number from 1000
// to a million. Only numbers outside 10⁻⁹ to 10¹² have an exponent.
func digits(x float64) string {
	size := math.Abs(x)
	if size >= 1000 && size < 1e6 {
		x = math.Round(x)
	} else {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'e', 3, 64), 64)
	}
	format := byte('f')
	if size != 0 && (size < 1e-9 || size > 1e12) {
		format = 'e'
	}
	return strconv.FormatFloat(x+0, format, -1, 64)
}

var keyboard = strings.NewReplacer(
	"°C", "C", "°F", "F", "°", "deg",
	"·", " ", "²", "2", "³", "3", "−", "-", "\u00a0", " ",
)

// ASCII returns s with the signs that units need spelled for a plain keyboard:
// "41 °F" becomes "41 F" and "1.9 N·m²" becomes "1.9 N m2". What [Text] gives
// becomes pure ASCII and is still read by [Parse] as the same value.
func ASCII(s string) string { return keyboard.Replace(s) }
