package run

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	q "brinkmark/session/quantity"
)

// The pressure test of a duct that counts as passed.
//
// Source: 10 bar held for 2 min, with a loss of no more than 0.5 bar/min, a public-sector
// engineering specification, India (TEC, duct laying). No open standard was found to give a
// figure; what the duct's maker prints comes first.
const (
	holdPressure q.Pressure = 10e5
	holdTime                = 2 * time.Minute
	holdLoss                = 0.5e5 // Pa a minute
	leaked                  = 0.9   // of the pressure: no rate can be told from what is all but gone; common practice, no source
)

// mandrelGap is by how much a proving mandrel is thinner than the bore: a quarter of an inch.
//
// Source: section 33 82 00 of a public university's construction specification, United States,
// 2025, which also wants it 16 in long. It is one owner's; no open standard was found.
var mandrelGap, mandrelLength = q.From[q.Length](0.25, "in"), q.From[q.Length](16, "in")

// Judged is a proving sheet beside the published figures.
type Judged struct {
	Passed q.Maybe[bool] // the pressure test; not known when it was not the published one
	Lines  []string
}

// Judge compares a proving sheet with the published figures, in numbers.
func (p Plan) Judge(s Proving) Judged {
	var j Judged
	if line := p.mandrel(s); line != "" {
		j.Lines = append(j.Lines, line)
	}
	if s.Passes > 0 {
		j.Lines = append(j.Lines, fmt.Sprintf("Swab and mandrel went through %s.", times(s.Passes)))
	}
	p.hold(s, &j)
	if strings.TrimSpace(s.FarEndClear) == "" {
		j.Lines = append(j.Lines, "Nobody is named who said clear at the far end.")
	}
	return j
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (p Plan) mandrel(s Proving) string {
	mandrel, known := s.Mandrel.Get()
	if !known {
		return "No mandrel is written down: size and roundness of the duct are not proved."
	}
	unit := p.diameterUnit()
	bore, known := p.Bore.Get()
	if !known || bore <= 0 {
		return fmt.Sprintf("Mandrel %s; the bore is not known.", gaugeText(mandrel, unit))
	}
	line := fmt.Sprintf("Mandrel %s is %.0f %% of the bore, %s.", gaugeText(mandrel, unit), 100*float64(mandrel/bore), gaugeText(bore, unit))
	switch {
	case mandrel > bore:
		line += " It is wider than the bore: measure both again."
	case mandrel < bore-mandrelGap*(1+rounding) && bore > 2*mandrelGap:
		line += fmt.Sprintf(" A thin one proves little: one owner's figure is %s under the bore.", gaugeText(mandrelGap, unit))
	}
	if long, known := s.MandrelLength.Get(); known && long < mandrelLength*(1-rounding) {
		line += fmt.Sprintf(" One owner wants it %s long.", gaugeText(mandrelLength, unit))
	}
	return line
}

func (p Plan) diameterUnit() string { return cmp.Or(p.Units.Diameter, "mm") }

// hold judges the pressure test.
func (p Plan) hold(s Proving, j *Judged) {
	say := func(format string, args ...any) { j.Lines = append(j.Lines, fmt.Sprintf(format, args...)) }
	at, known1 := s.HeldAt.Get()
	lost, known2 := s.Lost.Get()
	held, known3 := s.HeldFor.Get()
	if !known1 || !known2 || !known3 || held <= 0 || at <= 0 {
		say("No pressure test is written down in full: whether the duct is tight is not known.")
		return
	}
	unit := p.pressureUnit()
	if lost >= at*leaked { // how fast it went is not known: it may have been gone at once
		j.Passed = q.Known(false)
		say("It lost %s of the %s it was held at: the duct leaks. Find the leak.", gaugeText(lost, unit), gaugeText(at, unit))
		return
	}
	rate := float64(lost) / held.Minutes()
	say("It lost %s in %s at %s: %s a minute.", gaugeText(lost, unit), minutes(held), gaugeText(at, unit), gaugeText(q.Pressure(rate), unit))
	switch {
	case rate > holdLoss*(1+rounding):
		j.Passed = q.Known(false)
		say("That is more than %s a minute, the published figure for %s: find the leak.", gaugeText(q.Pressure(holdLoss), unit), gaugeText(holdPressure, unit))
	case at < holdPressure*(1-rounding) || held < holdTime:
		say("The published figure is for %s held %s: at less it proves less. The pressure printed by the duct's maker comes first.", gaugeText(holdPressure, unit), minutes(holdTime))
	default:
		j.Passed = q.Known(true)
		say("No more than %s a minute, the published figure.", gaugeText(q.Pressure(holdLoss), unit))
	}
}

func (p Plan) pressureUnit() string { return cmp.Or(p.Units.Pressure, "bar") }

func minutes(d time.Duration) string {
	if d < time.Minute {
		return fmt.Sprintf("%.0f s", d.Seconds())
	}
	return strconv.FormatFloat(math.Round(d.Minutes()*10)/10, 'f', -1, 64) + " min"
}

// gaugeText writes a figure with no more digits than a gauge is read to: three, or all before
// the point. A conversion has made up the rest.
func gaugeText[T q.Length | q.Pressure](v T, unit string) string {
	x := q.In(v, unit)
	if size := math.Abs(x); size >= 100 {
		x = math.Round(x)
	} else {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	}
	return q.Text(q.From[T](x, unit), unit)
}
