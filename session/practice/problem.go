package practice

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Problem is one thing wrong with a lesson: the key of the value in a lesson's file,
// what is wrong with it, and what to do.
type Problem struct{ Key, Says, Do string }

func (p *Problem) Error() string { return p.Key + ": " + p.Says + "\n  " + p.Do }

// problems collects what is wrong.
type problems []error

func (p *problems) add(key, do, format string, args ...any) {
	*p = append(*p, &Problem{key, fmt.Sprintf(format, args...), do})
}

func (p *problems) need(ok bool, key, do, says string) {
	if !ok {
		p.add(key, do, "%s", says)
	}
}

const inRange = "write a value within that range"

// number takes a plain number, which must be within a range.
func (p *problems) number(key string, v, low, high float64) {
	if !(v >= low && v <= high) {
		plain := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
		p.add(key, inRange, "%s: must be from %s to %s", plain(v), plain(low), plain(high))
	}
}

// figures are the keys of what mechanics names in its errors.
var figures = map[string]string{
	"outer diameter": "hidden.outer_diameter", "inner diameter": "hidden.inner_diameter", "mass": "hidden.mass",
	"bending stiffness": "hidden.bending_stiffness", "polyethylene share": "hidden.polyethylene_share", "bend radius": "hidden.kink_radius",
}

// figure takes an error of mechanics, of a figure whose key is given if it names none.
func (p *problems) figure(key string, err error) bool {
	if err == nil {
		return true
	}
	name, says, _ := strings.Cut(err.Error(), ": ")
	if known, ok := figures[name]; ok {
		key = known
	}
	p.add(key, inRange, "%s", says)
	return false
}

// span is what a figure may be.
type span[T q.Scalar] struct {
	unit      string
	low, high T
}

// within takes a quantity, which must be within a range that is told in a unit.
func within[T q.Scalar](p *problems, key string, v T, allowed span[T]) {
	p.figure(key, cable.Range[T]{Of: key, Unit: allowed.unit, Low: allowed.low, High: allowed.high}.Check(v))
}

// job takes what keeps a job from being advised on, which names its keys itself.
func (p *problems) job(err error) {
	for _, e := range Each(err) {
		key, says, _ := strings.Cut(e.Error(), ": ")
		p.add(key, "write it as in a trial's job", "%s", says)
	}
}

func (p problems) err() error { return errors.Join(p...) }

// Each returns the errors that were joined in one.
func Each(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()
	}
	if err == nil {
		return nil
	}
	return []error{err}
}
