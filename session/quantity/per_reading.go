package quantity

import (
	"fmt"
	"strings"
)

// ParseForcePerReading reads a force gained per unit of a push control reading:
// "410 N/(m/s)", "2.9 N/psi", "12 lbf/notch", or "12 N/1" where the readings have
// no unit. A unit of speed stands in brackets unless it has no slash ("1.2
// N/fpm"); the value is then per m/s.
//
// ParseForcePerReading returns a [*ParseError] if the text is anything else, if
// the force is not one that [Parse] accepts, or for a unit of reading that
// [PushUnit] refuses.
func ParseForcePerReading(text string) (ForcePerReading, error) {
	number, rest, problem := split(text)
	var f ForcePerReading
	if problem == "" {
		f, problem = newForcePerReading(number, rest)
	}
	if problem != "" {
		return ForcePerReading{}, readingError(text, "force per reading", problem)
	}
	return f, nil
}

func newForcePerReading(number, rest string) (f ForcePerReading, problem string) {
	force, per, found := strings.Cut(strings.Replace(rest, " per ", "/", 1), "/")
	if !found {
		return f, `does not say per what; write it as in "410 N/(m/s)"`
	}
	u := forces.find(strings.TrimSpace(force))
	if u == nil {
		return f, fmt.Sprintf("unknown unit of force %q; use %s", force, either(forces.names()))
	}
	per, isSpeed, problem := perUnit(strings.TrimSpace(per))
	if problem != "" {
		return f, problem
	}
	v, problem := forces.value(number, u)
	if problem != "" {
		return f, problem
	}
	if isSpeed {
		return ForcePerReading{v / speeds.must(per).toSI(1), "m/s"}, ""
	}
	return ForcePerReading{v, per}, ""
}

// perUnit returns the canonical form of what stands after the slash, or the problem.
func perUnit(text string) (canonical string, isSpeed bool, problem string) {
	inner, opened := strings.CutPrefix(text, "(")
	inner, closed := strings.CutSuffix(inner, ")")
	switch {
	case opened != closed:
		return "", false, "a bracket is missing"
	case !opened && strings.Contains(plain(text), "/"):
		return "", false, fmt.Sprintf("%q needs brackets, as in N/(m/s)", text)
	case inner == "":
		return "", false, "no unit after the slash"
	case inner == "1":
		return "", false, ""
	}
	return pushUnit(inner)
}

// In returns the value as a number of the unit of force per unit of reading.
// For the unit of reading it panics as [Reading.In] does, and also if there is no
// such unit of force.
func (f ForcePerReading) In(force, per string) float64 {
	v := f.Value
	if f.Unit == "m/s" {
		v *= speeds.must(per).toSI(1)
	} else {
		mustBeIn(f.Unit, per)
	}
	return finite(forces.must(force).fromSI(v))
}

// Text returns the value for people to read, such as "1.2 N/(ft/min)", with the
// digits of the function [Text]. It panics as [ForcePerReading.In] does.
func (f ForcePerReading) Text(force, per string) string {
	number := digits(f.In(force, per))
	if f.Unit == "m/s" {
		per = speeds.must(per).name
	}
	switch {
	case per == "":
		per = "1"
	case strings.Contains(per, "/"):
		per = "(" + per + ")"
	}
	return join(number, forces.must(force).name+"/"+per)
}
