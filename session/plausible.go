package session

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"brinkmark/session/push"
	q "brinkmark/session/quantity"
)

// A plausibility is what a value is held against when it is given: a value that does not
// go with it is asked for once more. None is refused for it: the crew sees the thing itself.
type plausibility struct {
	key    string
	wanted string // in words, with its figures
	source string
	odd    func(t Trial, text string) string // why it is odd, "" when it is not
}

// How far readings may lie apart before one of them is asked for once more.
const (
	thermometersApart q.Temperature = 15 // K; a reel in the sun beside a stub in the shade is within it
	underDayLow       q.Temperature = 10 // K; a clear night's radiation
	overDayHigh       q.Temperature = 25 // K; a black jacket or duct in the sun
	leastFill                       = 0.2
	mostFill                        = 0.9
	offBefore                       = 0.05 // of what the trial before measured: the rule for another trial
	boreOffSize                     = 0.12 // of the computed bore; walls may be 12 % thicker (ASTM D3035, from memory)
	coarsest                        = 0.2  // of the limit: five divisions are the least a ladder can be climbed in
	steepest                        = 0.1  // of the limit: a rung of grip pressure without a reason
	boldestStart                    = 0.25 // of the limit: a start of the push control without a reason
)

// plausibilities is every range a value of the job is held against, with its source.
var plausibilities = []plausibility{
	{"conditions.cable_temperature", "-30 to 50 °C", practice, within[q.Temperature]("-30 C", "50 C")},
	{"conditions.stub_temperature", "-30 to 60 °C", practice, within[q.Temperature]("-30 C", "60 C")},
	{"conditions.air_temperature", "-30 to 50 °C", practice, within[q.Temperature]("-30 C", "50 C")},
	{"conditions.day_low", "-40 to 40 °C", practice, within[q.Temperature]("-40 C", "40 C")},
	{"conditions.day_high", "-30 to 50 °C", practice, within[q.Temperature]("-30 C", "50 C")},
	{"conditions.cable_temperature", "within 15 K of stub and air", practice, besideThermometers},
	{"conditions.stub_temperature", "within 15 K of cable and air", practice, besideThermometers},
	{"conditions.air_temperature", "within 15 K of cable and stub", practice, besideThermometers},
	{"conditions.cable_temperature", "from 10 K under the day's low to 25 K over its high", practice, besideDay},
	{"conditions.stub_temperature", "from 10 K under the day's low to 25 K over its high", practice, besideDay},
	{"conditions.air_temperature", "from 10 K under the day's low to 25 K over its high", practice, besideDay},
	{"cable.outer_diameter", "1 to 40 mm", practice, within[q.Length]("1 mm", "40 mm")},
	{"cable.outer_diameter", "0.2 to 0.9 of the bore", practice, fillsDuct},
	{"cable.outer_diameter", "within 5 % of the trial before it", practice, asBefore(func(t Trial) q.Maybe[q.Length] { return t.Cable.OuterDiameter })},
	{"cable.mass", "1 to 2000 kg/km", practice, within[q.LinearDensity]("1 kg/km", "2000 kg/km")},
	{"cable.bending_stiffness", "0.001 to 50 N·m²", practice, within[q.Stiffness]("0.001 N m2", "50 N m2")},
	{"cable.stiffness_temperature", "-40 to 60 °C", practice, within[q.Temperature]("-40 C", "60 C")},
	{"cable.min_bend_radius", "5 to 50 diameters of the cable", practice, diameters(5, 50)},
	{"cable.kink_radius", "1 to 20 diameters of the cable", practice, diameters(1, 20)},
	{"cable.crush_limit", "100 to 10000 N/100mm", practice, within[q.LineLoad]("100 N/100mm", "10000 N/100mm")},
	{"duct.size", "a size whose bore is standard", "ASTM D3035 and ASTM F2160, from memory; metric sizes: " + practice, knownSize},
	{"duct.inner_diameter", "3 to 200 mm", practice, within[q.Length]("3 mm", "200 mm")},
	{"duct.inner_diameter", "within 12 % of what the size gives", "ASTM D3035, from memory: the wall's tolerance", fitsSize},
	{"duct.inner_diameter", "the cable fills 0.2 to 0.9 of it", practice, holdsCable},
	{"duct.inner_diameter", "within 5 % of the trial before it", practice, asBefore(func(t Trial) q.Maybe[q.Length] { return t.Duct.InnerDiameter })},
	{"rig.grip_limit", "5 to 200 psi: belt cylinders are fed from a compressor's air", practice, within[q.Pressure]("5 psi", "200 psi")},
	{"rig.grip_division", "up to a fifth of the limit", practice, gripDivides},
	{"rig.speed_limit", "a speed: 2 to 150 m/min; else up to 5000", practice, usualSpeed},
	{"rig.speed_division", "up to a fifth of the limit", practice, speedDivides},
	{"rig.gap", "1 to 500 mm", practice, within[q.Length]("1 mm", "500 mm")},
	{"limits.grip", "up to the rig's limit", "the job itself", underGripLimit},
	{"limits.speed", "up to the rig's limit", "the job itself", underSpeedLimit},
	{"limits.cable_budget", "0.5 to 100 m", practice, within[q.Length]("0.5 m", "100 m")},
	{"stub.length", "1 to 10 m", practice, within[q.Length]("1 m", "10 m")},
	{"stub.run_up", "0.1 to 10 m", practice, within[q.Length]("0.1 m", "10 m")},
	{"stub.run_up", "no longer than the stub", practice, insideStub},
}

// Odd says why a value given for a key of the record does not go with what is known, in
// whole sentences, "" when nothing speaks against it or it is no value at all. It is not
// compared with itself: the job may hold an older value of that key.
func (t Trial) Odd(key, text string) string {
	var why []string
	for _, p := range plausibilities {
		if p.key != key {
			continue
		}
		if said := p.odd(t.without(key), text); said != "" && !slices.Contains(why, said) {
			why = append(why, said)
		}
	}
	return strings.Join(why, " ")
}

// without is the trial before a temperature was read, so that it is held against others.
func (t Trial) without(key string) Trial {
	switch none := (q.Maybe[q.Temperature]{}); key {
	case "conditions.cable_temperature":
		t.Conditions.CableTemperature = none
	case "conditions.stub_temperature":
		t.Conditions.StubTemperature = none
	case "conditions.air_temperature":
		t.Conditions.AirTemperature = none
	}
	return t
}

func within[T q.Scalar](low, high string) func(Trial, string) string {
	return func(_ Trial, text string) string { return Outside[T](text, low, high) }
}

// Outside says which range a value is outside of, in the unit the value is in; "" when it
// is within, or is no value at all.
func Outside[T q.Scalar](text, low, high string) string {
	v, unit, ok := valueOf[T](text)
	least, err1 := q.Parse[T](low)
	most, err2 := q.Parse[T](high)
	if !ok || err1 != nil || err2 != nil || v >= least && v <= most {
		return ""
	}
	return fmt.Sprintf("Usual is from %s to %s.", about(least, unit), about(most, unit))
}

// valueOf reads a quantity and the unit it is written in.
func valueOf[T q.Scalar](text string) (v T, unit string, ok bool) {
	v, err := q.Parse[T](text)
	if err != nil {
		return v, "", false
	}
	unit, err = q.Unit[T](text)
	return v, unit, err == nil
}

// about writes a figure in three digits at most: one that was converted has no more.
func about[T q.Scalar](v T, unit string) string {
	x := q.In(v, unit)
	if math.Abs(x) < 1000 {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	}
	return q.Text(q.From[T](x, unit), unit)
}

// besideThermometers holds a temperature against what else was read on this site.
func besideThermometers(t Trial, text string) string {
	v, unit, ok := valueOf[q.Temperature](text)
	if !ok {
		return ""
	}
	var names, reads []string
	far := false
	for _, other := range []struct {
		name  string
		reads q.Maybe[q.Temperature]
	}{{"cable", t.Conditions.CableTemperature}, {"stub", t.Conditions.StubTemperature}, {"air", t.Conditions.AirTemperature}} {
		if is, known := other.reads.Get(); known {
			names, reads = append(names, other.name), append(reads, q.Text(is, unit))
			far = far || v-is > thermometersApart || is-v > thermometersApart
		}
	}
	switch {
	case !far:
		return ""
	case len(names) == 1:
		return capital(names[0]) + " reads " + reads[0] + "."
	}
	first, _, _ := strings.Cut(reads[0], " ")
	return fmt.Sprintf("%s and %s read %s and %s.", capital(names[0]), names[1], first, reads[1])
}

// besideDay holds a temperature against the air's low and high of the day.
func besideDay(t Trial, text string) string {
	v, unit, ok := valueOf[q.Temperature](text)
	low, known1 := t.Conditions.DayLow.Get()
	high, known2 := t.Conditions.DayHigh.Get()
	switch {
	case ok && known1 && v < low-underDayLow:
		return fmt.Sprintf("Today's low is %s.", q.Text(low, unit))
	case ok && known2 && v > high+overDayHigh:
		return fmt.Sprintf("Today's high is %s.", q.Text(high, unit))
	}
	return ""
}

// bore is the duct's inner diameter: measured, or as its size gives it.
func (t Trial) bore() (q.Length, string, bool) {
	if is, known := t.Duct.InnerDiameter.Get(); known {
		return is, "The duct's bore is", true
	}
	is, _, err := push.InnerDiameter(t.Duct.Size)
	return is, "By its size the duct's bore is", err == nil
}

func fillsDuct(t Trial, text string) string {
	v, unit, ok := valueOf[q.Length](text)
	bore, says, known := t.bore()
	if !ok || !known || v >= leastFill*bore && v <= mostFill*bore {
		return ""
	}
	return fmt.Sprintf("%s %s.", says, about(bore, unit))
}

func holdsCable(t Trial, text string) string {
	v, unit, ok := valueOf[q.Length](text)
	cable, known := t.Cable.OuterDiameter.Get()
	if !ok || !known || cable >= leastFill*v && cable <= mostFill*v {
		return ""
	}
	return fmt.Sprintf("The cable is %s thick.", about(cable, unit))
}

// asBefore holds what is measured against the trial that this one begins from.
func asBefore(of func(Trial) q.Maybe[q.Length]) func(Trial, string) string {
	return func(t Trial, text string) string {
		if t.Before == nil {
			return ""
		}
		v, unit, ok := valueOf[q.Length](text)
		was, known := of(*t.Before).Get()
		if !ok || !known || math.Abs(float64(v-was)) <= offBefore*float64(was) {
			return ""
		}
		return fmt.Sprintf("The trial before it had %s.", about(was, unit))
	}
}

func fitsSize(t Trial, text string) string {
	v, unit, ok := valueOf[q.Length](text)
	bore, _, err := push.InnerDiameter(t.Duct.Size)
	if !ok || err != nil || math.Abs(float64(v/bore)-1) <= boreOffSize {
		return ""
	}
	return fmt.Sprintf("By its size, %s, it is %s.", t.Duct.Size, about(bore, unit))
}

func knownSize(_ Trial, text string) string {
	if _, _, err := push.InnerDiameter(text); err == nil {
		return ""
	}
	return "No size is known by this name, so that the bore must be measured. Results are kept under it."
}

// diameters holds a radius against the cable's diameter, where that is known.
func diameters(least, most q.Length) func(Trial, string) string {
	return func(t Trial, text string) string {
		v, unit, ok := valueOf[q.Length](text)
		thick, known := t.Cable.OuterDiameter.Get()
		if !ok || !known || v >= least*thick && v <= most*thick {
			return ""
		}
		return fmt.Sprintf("The cable is %s thick; usual is from %.0f to %.0f times that.", about(thick, unit), float64(least), float64(most))
	}
}

func gripDivides(t Trial, text string) string {
	v, unit, ok := valueOf[q.Pressure](text)
	limit, known := t.Rig.GripLimit.Get()
	if !ok || !known || v <= coarsest*limit*(1+ties) {
		return ""
	}
	return fmt.Sprintf("The grip pressure goes up to %s: a ladder needs finer steps.", q.Text(limit, unit))
}

func speedDivides(t Trial, text string) string {
	v, err := q.ParseReading(text)
	limit, known := t.Rig.SpeedLimit.Get()
	if err != nil || !known || v.Unit != limit.Unit || v.Value <= coarsest*limit.Value*(1+ties) {
		return ""
	}
	return fmt.Sprintf("The %s goes up to %s: a ladder needs finer steps.", t.Rig.Control(), t.Rig.ShowSpeed(limit.Value))
}

// mostGraduated is more than the gauge of a push control reads in a unit of its own, be it 300 bar
// or 3000 psi.
//
// Source: common practice, no source.
const mostGraduated = 5000

func usualSpeed(t Trial, text string) string {
	switch v, err := q.ParseReading(text); {
	case err != nil:
		return ""
	case v.Unit != "m/s" && math.Abs(v.Value) > mostGraduated:
		return fmt.Sprintf("Hardly a gauge goes up to %s.", text)
	case v.Unit != "m/s":
		return ""
	}
	return within[q.Speed]("2 m/min", "150 m/min")(t, text)
}

func underGripLimit(t Trial, text string) string {
	v, unit, ok := valueOf[q.Pressure](text)
	limit, known := t.Rig.GripLimit.Get()
	if !ok || !known || v <= limit*(1+ties) {
		return ""
	}
	return fmt.Sprintf("The rig's limit is %s, and it stays.", q.Text(limit, unit))
}

func underSpeedLimit(t Trial, text string) string {
	v, err := q.ParseReading(text)
	limit, known := t.Rig.SpeedLimit.Get()
	if err != nil || !known || v.Unit != limit.Unit || v.Value <= limit.Value*(1+ties) {
		return ""
	}
	return fmt.Sprintf("The rig's limit is %s, and it stays.", t.Rig.ShowSpeed(limit.Value))
}

func insideStub(t Trial, text string) string {
	v, unit, ok := valueOf[q.Length](text)
	stub, known := t.Stub.Length.Get()
	if !ok || !known || v <= stub*(1+ties) {
		return ""
	}
	return fmt.Sprintf("The stub is %s long.", about(stub, unit))
}

// OddCutOff says why a length of cable cut off after a push is odd, "" when it is not: a
// fold spoils cable, and no more than run-up, stub and a few metres can have folded.
//
// Source: common practice, no source.
func (t Trial) OddCutOff(o Outcome, text string) string {
	v, unit, ok := valueOf[q.Length](text)
	most := 2*(t.Stub.Length.Or(3)+t.Stub.RunUp.Or(2)) + 2
	switch {
	case ok && o == Fold && v <= 0:
		return "What folded is spoiled for good, and the next push would be made with it."
	case ok && v > most:
		return fmt.Sprintf("Stub and run-up are %s together.", about(t.Stub.Length.Or(3)+t.Stub.RunUp.Or(2), unit))
	}
	return ""
}

// aboveZero are what the keys are called that no trial can be reckoned from when they are
// zero, and what to do instead.
var aboveZero = map[string]string{
	"rig.grip_limit": "no limit to climb to", "rig.speed_limit": "no limit to climb to",
	"limits.grip": "no limit to climb to", "limits.speed": "no limit to climb to",
	"rig.grip_division": "no step one can set", "rig.speed_division": "no step one can set",
	"ladder.grip_start": "no push", "ladder.grip_step": "no step", "ladder.speed_start": "no push",
	"plan.grip": "no setting", "plan.speed": "no setting",
	"cable.outer_diameter": "no diameter", "duct.inner_diameter": "no diameter", "cable.mass": "no mass",
	"cable.bending_stiffness": "no stiffness", "cable.min_bend_radius": "no radius", "cable.kink_radius": "no radius",
	"cable.crush_limit": "no limit", "stub.length": "no stub", "stub.run_up": "no run-up",
}

// Nothing returns why a value of zero is refused for a key, or nil: nothing could be
// reckoned from it.
func Nothing(key, text string) error {
	is := aboveZero[key]
	number := strings.TrimSpace(text)
	if end := strings.IndexFunc(number, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) }); end >= 0 {
		number = number[:end]
	}
	if v, err := strconv.ParseFloat(number, 64); is == "" || err != nil || v != 0 {
		return nil
	}
	return fmt.Errorf("%s is %s: read it once more, or leave it out", clip(text), is)
}

// steepLadder returns what is wrong with a ladder that goes up faster than the usual one,
// nil where a reason is on record.
//
// Source: common practice, no source.
func (t Trial) steepLadder() []error {
	if t.Ladder.Reason != "" || t.Kind == ShortCheck {
		return nil
	}
	var errs []error
	g, d := t.gripDial(), t.speedDial()
	most := max(g.limit*steepest, 2*g.division)
	grip := func(key string, v q.Maybe[q.Pressure]) {
		if p, known := v.Get(); known && float64(p) > most*(1+ties) {
			errs = append(errs, fmt.Errorf("%s: %s is more than a tenth of the limit, %s: make it %s or less, or say why (ladder.reason)",
				key, t.Rig.ShowGrip(p), t.Rig.ShowGrip(q.Pressure(g.limit)), t.Rig.ShowGrip(q.Pressure(g.down(most)))))
		}
	}
	grip("ladder.grip_step", t.Ladder.GripStep)
	grip("ladder.grip_start", t.Ladder.GripStart)
	bold := max(d.limit*boldestStart, d.division)
	if v, known := t.Ladder.SpeedStart.Get(); known && v.Unit == t.Rig.readingUnit() && v.Value > bold*(1+ties) {
		errs = append(errs, fmt.Errorf("ladder.speed_start: %s is more than a quarter of the limit, %s: make it %s or less, or say why (ladder.reason)",
			t.Rig.ShowSpeed(v.Value), t.Rig.ShowSpeed(d.limit), t.Rig.ShowSpeed(d.down(bold))))
	}
	return errs
}

// Steep reports whether the ladder goes up faster than the usual one and nobody said why.
func (t Trial) Steep() bool { return len(t.positive()) == 0 && len(t.steepLadder()) > 0 }

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }
