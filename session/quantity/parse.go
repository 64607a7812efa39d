package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

const (
	maxText  = 64    // bytes
	smallest = 1e-12 // SI; a number nearer to 0 that is not 0 is a slip of the exponent
)

// ParseError says why a text was refused.
type ParseError struct {
	Text    string   // as given, cut when it is too long
	Kind    string   // what it should have been, such as "pressure"
	Problem string   // what is wrong with it
	Units   []string // the accepted units; empty when any unit will do
}

// Error returns one line without control characters, such as
//
//	"6 pis" is not a pressure: unknown unit "pis"; use psi, kPa, bar, MPa, Pa or hPa
func (e *ParseError) Error() string {
	article := "a"
	if strings.HasPrefix(e.Kind, "a") {
		article = "an"
	}
	message := fmt.Sprintf("%q is not %s %s: %s", e.Text, article, e.Kind, e.Problem)
	if len(e.Units) > 0 {
		message += "; use " + either(e.Units)
	}
	return message
}

// either lists names as a choice.
func either(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// Parse reads a number followed by a unit, with or without a space between:
// "6 psi", "41°F", "1.9 N m2". The number is plain decimal with a point, and may
// have an exponent. Case matters only in MPa.
//
// Parse returns a [*ParseError] if the text is anything else, is longer than
// 64 bytes, or has a value no crew could mean: negative where T cannot be, below
// absolute zero, or absurdly large or small. Zero is accepted.
func Parse[T Scalar](text string) (T, error) {
	v, _, err := kindOf[T]().parse(text)
	return T(v), err
}

// Unit returns the canonical spelling of the unit in a text that [Parse] accepts,
// and the error of Parse for any other.
func Unit[T Scalar](text string) (string, error) {
	_, u, err := kindOf[T]().parse(text)
	if err != nil {
		return "", err
	}
	return u.name, nil
}

// parse returns the SI value and the unit of text.
func (k *kind) parse(text string) (float64, *unit, error) {
	refuse := func(problem string) (float64, *unit, error) {
		return 0, nil, &ParseError{cut(text), k.name, problem, k.names()}
	}
	number, rest, problem := split(text)
	if problem != "" {
		return refuse(problem)
	}
	if rest == "" {
		return refuse("no unit")
	}
	u := k.find(rest)
	if u == nil {
		return refuse(fmt.Sprintf("unknown unit %q", rest))
	}
	v, problem := k.value(number, u)
	if problem != "" {
		return refuse(problem)
	}
	return v, u, nil
}

// value returns the SI value of so many u, or the problem with it.
func (k *kind) value(number string, u *unit) (v float64, problem string) {
	x, problem := decimal(number, smallest*u.den/u.num)
	if problem != "" {
		return 0, problem
	}
	v = u.toSI(x)
	if !(k.low <= v && v <= k.high) {
		return 0, fmt.Sprintf("must be from %s to %s", digits(u.fromSI(k.low)), join(digits(u.fromSI(k.high)), u.name))
	}
	return v, ""
}

// decimal returns the value of number, infinite when too large for a float64,
// or the problem when it is nearer to zero than least without being zero.
func decimal(number string, least float64) (x float64, problem string) {
	x, _ = strconv.ParseFloat(number, 64) // can fail only by its range
	significand, _, _ := strings.Cut(strings.ToLower(number), "e")
	if math.Abs(x) < least && strings.ContainsAny(significand, "123456789") {
		return 0, "too close to 0"
	}
	return x + 0, "" // no negative zero
}

var (
	decimalNumber = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][+-]?[0-9]+)?`)

	// moreNumber is what may follow a decimal number when the whole was meant
	// as something else: "12.", "1_000", "1'000", "5-6", "1 000", "1 1/4", "0x10".
	moreNumber = regexp.MustCompile(`^([._'’]| ?[-+–]| ?/? ?[0-9]|[xX][0-9a-fA-F])`)
)

// split separates the number that text begins with from what follows, or
// returns the problem.
func split(text string) (number, rest, problem string) {
	if len(text) > maxText {
		return "", "", fmt.Sprintf("longer than %d bytes", maxText)
	}
	if strings.ContainsFunc(text, unicode.IsControl) {
		return "", "", "has a control character"
	}
	if strings.Contains(text, ",") {
		return "", "", "a comma can mean two things, write a decimal point"
	}
	text = strings.Join(strings.Fields(strings.ReplaceAll(text, "−", "-")), " ")
	number = decimalNumber.FindString(text)
	if number == "" {
		return "", "", "does not begin with a number"
	}
	rest = text[len(number):]
	if moreNumber.MatchString(rest) {
		return "", "", "write one plain decimal number"
	}
	return number, strings.TrimSpace(rest), ""
}

// cut shortens text to what an error can show.
func cut(text string) string {
	if len(text) <= maxText {
		return text
	}
	return strings.ToValidUTF8(text[:maxText], "") + "…"
}
