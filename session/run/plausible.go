package run

import (
	"fmt"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// What a figure of a run is held against when it is given: one that does not go with it is
// asked for once more, and none is refused for it. All of it is common practice, no source,
// but where the run's own plan says it.
const (
	aheadOfBelts = 1.1
	pastRoute    = 1.2
)

// jumpOfTemperature is since the last reading, or since the trial, in K.
const jumpOfTemperature q.Temperature = 20

// usual are the ranges of figures the plan says nothing of.
var usual = map[string][2]string{
	"temperature":    {"-30 C", "60 C"},
	"air":            {"0 bar", "16 bar"}, // of blowing
	"speed":          {"0 m/min", "150 m/min"},
	"mandrel":        {"3 mm", "200 mm"},
	"mandrel length": {"50 mm", "2 m"},
	"held":           {"0 bar", "25 bar"},
	"route":          {"5 m", "15 km"},
	"reel":           {"0 m", "15 km"},
	"loop":           {"0 m", "200 m"},
}

func outside[T q.Scalar](of, text string) string {
	return session.Outside[T](text, usual[of][0], usual[of][1])
}

// OddTemperature says why a temperature of the cable does not go with what was read before,
// "" when it does. So do all functions of this kind, each in whole sentences.
func (p Plan) OddTemperature(text string, last q.Maybe[q.Temperature]) string {
	why := []string{outside[q.Temperature]("temperature", text)}
	v, err := q.Parse[q.Temperature](text)
	was, says := last, "It was %s before."
	if !was.Known() {
		was, says = p.MadeAt, "In the trial it was %s."
	}
	if is, known := was.Get(); err == nil && known && (v-is > jumpOfTemperature || is-v > jumpOfTemperature) {
		unit, _ := q.Unit[q.Temperature](text)
		why = append(why, fmt.Sprintf(says, q.Text(is, unit)))
	}
	return strings.TrimSpace(strings.Join(why, " "))
}

// OddAirTemperature is about the air at the duct's mouth.
func (p Plan) OddAirTemperature(text string) string {
	return outside[q.Temperature]("temperature", text)
}

// OddAir is about the air's pressure: never above what the weakest part bears.
func (p Plan) OddAir(text string) string {
	v, err := q.Parse[q.Pressure](text)
	if low, found := p.Ratings.Lowest(); err == nil && found && v > low.Pressure*(1+rounding) {
		unit, _ := q.Unit[q.Pressure](text)
		return fmt.Sprintf("The %s bears %s here, never more: shut the air if it is so.", low.Of, gaugeText(low.Pressure, unit))
	}
	return outside[q.Pressure]("air", text)
}

// OddCableSpeed is about the cable's speed: it cannot outrun the belts that push it.
func (p Plan) OddCableSpeed(text string, belts q.Maybe[q.Reading]) string {
	v, err := q.Parse[q.Speed](text)
	b, known := belts.Get()
	if err == nil && known && b.Unit == "m/s" && float64(v) > aheadOfBelts*b.Value {
		return fmt.Sprintf("The belts run at %s, and no cable outruns them: unless air draws it out of the drive, one of the two is misread.", p.Rig.ShowSpeed(b.Value))
	}
	return outside[q.Speed]("speed", text)
}

// OddGrip is about a grip pressure that was read.
func (p Plan) OddGrip(text string) string {
	v, err := q.Parse[q.Pressure](text)
	if limit, known := p.Rig.GripLimit.Get(); err == nil && known && v > limit*(1+rounding) {
		return fmt.Sprintf("The drive's limit is %s.", p.Rig.ShowGrip(limit))
	}
	return ""
}

// OddControl is about a reading of the push control.
func (p Plan) OddControl(text string) string {
	v, err := q.ParseReading(text)
	if limit, known := p.Rig.SpeedLimit.Get(); err == nil && known && v.Unit == limit.Unit && v.Value > limit.Value*(1+rounding) {
		return fmt.Sprintf("The drive's limit is %s.", p.Rig.ShowSpeed(limit.Value))
	}
	return ""
}

// OddMandrel is about a mandrel that is said to have gone through.
func (p Plan) OddMandrel(text string) string {
	v, err := q.Parse[q.Length](text)
	if bore, known := p.Bore.Get(); err == nil && known && bore > 0 {
		if v > bore {
			unit, _ := q.Unit[q.Length](text)
			return fmt.Sprintf("The bore is %s: nothing wider goes through.", gaugeText(bore, unit))
		}
		return ""
	}
	return outside[q.Length]("mandrel", text)
}

// OddMandrelLength is about a mandrel's length.
func (p Plan) OddMandrelLength(text string) string { return outside[q.Length]("mandrel length", text) }

// OddHeld is about the pressure a shut duct was held at.
func (p Plan) OddHeld(text string) string {
	v, err := q.Parse[q.Pressure](text)
	if most, known := p.Ratings.Duct.Get(); err == nil && known && v > most*(1+rounding) {
		unit, _ := q.Unit[q.Pressure](text)
		return fmt.Sprintf("The duct bears %s at 20 °C (68 °F), less when warm.", gaugeText(most, unit))
	}
	return outside[q.Pressure]("held", text)
}

// OddLost is about what was lost of a pressure.
func (p Plan) OddLost(text, held string) string {
	lost, err1 := q.Parse[q.Pressure](text)
	at, err2 := q.Parse[q.Pressure](held)
	switch {
	case err1 != nil || err2 != nil || lost < at*(1-rounding):
		return ""
	case lost > at*(1+rounding):
		return fmt.Sprintf("It was held at %s: no more can be lost.", held)
	}
	return fmt.Sprintf("It was held at %s: then nothing is left, and that is a leak.", held)
}

// OddInside is about a length of cable said to be in the duct.
func (p Plan) OddInside(text string) string {
	v, err := q.Parse[q.Length](text)
	if route, known := p.Length.Get(); err == nil && known && v > route {
		unit, _ := q.Unit[q.Length](text)
		return fmt.Sprintf("The route is %s long.", gaugeText(route, unit))
	}
	return ""
}

// OddMark is about a print mark, after another.
func (p Plan) OddMark(text string, last q.Maybe[q.Length]) string {
	v, err := q.Parse[q.Length](text)
	was, known1 := last.Get()
	route, known2 := p.Length.Get()
	if err != nil || !known1 || !known2 || (v-was <= pastRoute*route && was-v <= pastRoute*route) {
		return ""
	}
	unit, _ := q.Unit[q.Length](text)
	return fmt.Sprintf("The last mark was %s, and the route is %s long.", q.Text(was, unit), gaugeText(route, unit))
}

// OddRoute is about a route's length.
func OddRoute(text string) string { return outside[q.Length]("route", text) }

// OddReel is about what is left on a reel.
func OddReel(text string) string { return outside[q.Length]("reel", text) }

// OddLoop is about slack and loops.
func OddLoop(text string) string { return outside[q.Length]("loop", text) }
