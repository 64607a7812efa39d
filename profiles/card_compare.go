package profiles

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
)

// NearName returns the known name that a typed one may be meant for: one that differs
// in a letter or two and in no digit. Nothing is near to a name that is known itself.
func NearName(typed string, known []string) (near string, ok bool) {
	mine := newName(typed)
	for _, k := range known {
		other := newName(k)
		if mine.same(other) {
			return "", false
		}
		if !ok && mine.alike(other) {
			near, ok = k, true
		}
	}
	return near, ok
}

// KnownName reports whether a typed name is a known one, in whatever spelling.
func KnownName(typed string, known []string) bool {
	return slices.ContainsFunc(known, func(k string) bool { return newName(k).same(newName(typed)) })
}

// Complete returns a job whose cable or duct, of which no more than the names is known,
// has what else stands on the card of that name. Of two cards that fit it takes none.
func (c Cards) Complete(job Record) Record {
	cable, duct := job.Cable, job.Duct
	if bare := (Cable{Make: cable.Make, Type: cable.Type, Reel: cable.Reel, Lot: cable.Lot, PrintLegend: cable.PrintLegend}); cable == bare {
		for _, known := range c.Cables {
			if sameCard(known, cable) {
				cable = known
				cable.Make, cable.Type = bare.Make, bare.Type
				cable.Reel, cable.Lot, cable.PrintLegend = bare.Reel, bare.Lot, bare.PrintLegend
				break
			}
		}
	}
	var fit []Duct
	for _, known := range c.Ducts {
		if newName(known.Size).same(newName(duct.Size)) {
			fit = append(fit, known)
		}
	}
	if bare := (Duct{Size: duct.Size, Lot: duct.Lot}); duct == bare && len(fit) == 1 {
		duct = fit[0]
		duct.Size, duct.Lot = bare.Size, bare.Lot
	}
	job.Cable, job.Duct = cable, duct
	return job
}

// cardValue is one value of a card.
type cardValue struct {
	key   string // "cable.mass"
	value reflect.Value
}

// known reports whether the value is given.
func (v cardValue) known() bool { return !v.value.IsZero() }

// text is the value as it is written.
func (v cardValue) text() string {
	switch x := v.value.Interface().(type) {
	case *float64:
		return fmt.Sprint(*x)
	case []string:
		return strings.Join(x, " ")
	case []Role:
		words := make([]string, len(x))
		for i, r := range x {
			words[i] = string(r)
		}
		return strings.Join(words, " ")
	default:
		return fmt.Sprint(x)
	}
}

// values returns the values of a card, in the order of its file.
func values(c card) []cardValue { return fields(reflect.ValueOf(c), c.table()) }

func fields(v reflect.Value, table string) []cardValue {
	all := make([]cardValue, v.NumField())
	for i := range all {
		tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
		all[i] = cardValue{table + "." + tag, v.Field(i)}
	}
	return all
}

// filled returns a card with what another of its kind knows beyond it, and whether
// the two together can stand on one card.
func filled(c, from card) (card, bool) {
	both := reflect.New(reflect.TypeOf(c)).Elem()
	both.Set(reflect.ValueOf(c))
	for i := range both.NumField() {
		if both.Field(i).IsZero() {
			both.Field(i).Set(reflect.ValueOf(from).Field(i))
		}
	}
	all := both.Interface().(card)
	if p, ok := all.(Person); ok {
		all = p.with(from.(Person))
	}
	return all, readable(all)
}

// numbered is a value that is a number with a unit, however it is written.
type numbered interface {
	number() (value float64, unit string)
}

func (v Quantity[T]) number() (float64, string) { x, _ := v.value.Get(); return float64(x), "" }
func (v Reading) number() (float64, string)     { x, _ := v.value.Get(); return x.Value, x.Unit }
func (v ForcePerReading) number() (float64, string) {
	x, _ := v.value.Get()
	return x.Value, x.Unit
}

// sameValue reports whether two values of a key are one: names as names are compared,
// quantities by what they amount to in whatever unit, to the four digits shown.
func sameValue(a, b cardValue) bool {
	const rounding = 5e-4
	x, ok := a.value.Interface().(numbered)
	if !ok {
		return newName(a.text()).same(newName(b.text()))
	}
	v, unit := x.number()
	w, other := b.value.Interface().(numbered).number()
	return unit == other && math.Abs(v-w) <= rounding*max(math.Abs(v), math.Abs(w))
}
