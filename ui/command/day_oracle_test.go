package command

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// The oracle judges what the program hands out. It is written from what the trade wants of
// a promise and from its own log of the day, never from what the engine reckons: it has its
// own numbers, its own reading of texts and its own table of polyethylene.

// dial is what the crew sets: psi, and ft/min where the push control reads a speed, else the
// control's own number.
type dial struct{ grip, speed float64 }

func (d dial) String() string { return fmt.Sprintf("%.4g psi, %.4g", d.grip, d.speed) }

// cableKey is what a fold counts for: the same cable in the same duct on the same rig.
type cableKey struct{ make, kind, duct, rig string }

// pushed is one push as the crew told it, with the temperature that was truly in force.
type pushed struct {
	dial
	outcome string // stall, slip, fold, void
	marked  bool
	at      float64 // °F
}

// proof is a trial, and the profile that came of it if one did.
type proof struct {
	id, of, kind  string
	key           cableKey
	reel          string
	pushes        []pushed
	since         int // the first push under the temperature in force
	saved, closed bool
	tablet        int
	set           dial
	accepted      time.Time
	most          dial          // the lowest of the limits of rig, crew and plan; 0 is none
	now           float64       // °F: what was said last of the cable
	state         map[int]state // by tablet, where somebody took a file in hand
}

// state is what became of a profile's file.
type state int

const (
	asSealed  state = iota
	broken          // a line was changed under its seal
	sealsOff        // sealed once, and is not any more
	byHand          // never sealed: written by hand
	uncertain       // came from elsewhere in a state the log does not follow
)

// hurt is a fold or a marked jacket in a run.
type hurt struct {
	run, of        string
	key            cableKey
	folded, marked bool
	dial
	at float64 // °F; NaN where nobody read it
}

// decision is what a supervisor laid down about a profile.
type decision struct {
	id, profile, action string
	on                  time.Time
}

// houseRules are those of one tablet.
type houseRules struct {
	coveredLn, checkLn         float64
	coveredF, checkF           float64 // °F, a difference
	shift, checkDays, testDays float64 // h, days
}

// usualRules are what a library without a rules file goes by: 7 °F and 8 % of stiffness, a
// shift of 12 h, 30 days, 365 days. Source: common practice, no source.
func usualRules() houseRules { return houseRules{0.08, 0.25, 7, 20, 12, 30, 365} }

// ledger is the oracle's log of the day.
type ledger struct {
	proofs map[string]*proof
	hurts  map[string]*hurt
	said   []decision
	rules  []houseRules      // by tablet
	known  []map[string]bool // by tablet: ids of trials, runs and decisions it has heard of
}

func newLedger(tablets int) *ledger {
	l := &ledger{proofs: map[string]*proof{}, hurts: map[string]*hurt{}}
	for range tablets + 1 { // the last one is the stick
		l.rules, l.known = append(l.rules, usualRules()), append(l.known, map[string]bool{})
	}
	return l
}

// promise is an answer of an exit that names a setting to install, check or run with.
type promise struct {
	exit   string
	tablet int
	id     string // of the profile, or of the trial under way
	set    dial
	at     float64   // °F: the cable it is asked for; NaN where it is not said
	top    float64   // °F: the warmest cable it is said to hold for; NaN
	until  time.Time // zero where it is not said
	now    time.Time
	most   dial // limits of today's job; 0 is none
	holds  bool // "covered": nothing more is to be done today
	lower  bool // a drop-to setting
	reel   string
	asks   bool // reel is the one today's job names
}

// finding is a broken invariant.
type finding struct{ key, says string }

// polyethylene is its modulus at °F over that at 73.4 °F. Source: Plastics Pipe Institute,
// Handbook of Polyethylene Pipe, 2nd ed., ch. 3; from memory.
var polyethylene = [][2]float64{
	{-20, 2.54}, {-10, 2.36}, {0, 2.18}, {10, 2.00}, {20, 1.81}, {30, 1.65}, {40, 1.49}, {50, 1.32}, {60, 1.18},
	{73.4, 1.00}, {80, 0.93}, {90, 0.82}, {100, 0.73}, {110, 0.64}, {120, 0.58}, {130, 0.50}, {140, 0.43},
}

// stiffness is that modulus, and false outside the table.
func stiffness(f float64) (float64, bool) {
	for i := 1; i < len(polyethylene); i++ {
		a, b := polyethylene[i-1], polyethylene[i]
		if f >= a[0]-1e-6 && f <= b[0]+1e-6 {
			return a[1] + (b[1]-a[1])*(f-a[0])/(b[0]-a[0]), true
		}
	}
	return 0, false
}

// lnSofter is ln of how much stiffer the cable is at one temperature than at another.
func lnSofter(from, to float64) float64 {
	a, ok1 := stiffness(from)
	b, ok2 := stiffness(to)
	if !ok1 || !ok2 {
		return 0
	}
	return math.Log(a / b)
}

// warmest is up to which temperature a setting proved at one may be said to hold.
func (r houseRules) warmest(from float64) float64 {
	degrees, ln := min(r.coveredF, r.checkF), min(r.coveredLn, r.checkLn)
	top := from
	for ; top < from+degrees-1e-9 && lnSofter(from, top) <= ln; top += 0.01 {
	}
	return min(top, from+degrees)
}

const (
	forceShare   = 0.65 // of a change of stiffness reaches the fold: generous, as the weighing has it
	bandSlack    = 0.08 // ln of stiffness the covered band allows without a word
	underFold    = 0.90
	stallsNeeded = 3
	near         = 2e-3 // two texts in other units
	degreeSlack  = 0.6  // whole degrees are shown
)

// worth is what a fold at one temperature counts for at another: a warmer cable folds
// sooner; a colder one gets no credit.
func worth(speed, at, today float64) float64 {
	if math.IsNaN(at) || math.IsNaN(today) || today <= at {
		return speed
	}
	return speed * math.Exp(-forceShare*max(0, lnSofter(at, today)-bandSlack))
}

var (
	quantityText = regexp.MustCompile(`(-?\d+(?:\.\d+)?) ?(psi|bar|kPa|ft/min|m/min|m/s|notch|°F|°C)`)
	perUnit      = map[string]float64{"psi": 1, "bar": 14.50377, "kPa": 0.1450377, "ft/min": 1, "m/min": 3.28084, "m/s": 196.8504, "notch": 1, "°F": 1, "°C": 1.8}
	isPressure   = map[string]bool{"psi": true, "bar": true, "kPa": true}
)

// amount reads one quantity: psi, ft/min, °F.
func amount(text string) (v float64, unit string, ok bool) {
	m := quantityText.FindStringSubmatch(text)
	if m == nil {
		return math.NaN(), "", false
	}
	v, _ = strconv.ParseFloat(m[1], 64)
	if v *= perUnit[m[2]]; m[2] == "°C" {
		v += 32
	}
	return v, m[2], true
}

// degreesOf reads a temperature; NaN where there is none.
func degreesOf(text string) float64 {
	for _, m := range quantityText.FindAllString(text, -1) {
		if v, unit, _ := amount(m); unit == "°F" || unit == "°C" {
			return v
		}
	}
	return math.NaN()
}

// dialOf reads "6 psi, 95 ft/min" wherever it stands in a text.
func dialOf(text string) (d dial, ok bool) {
	var grip, speed bool
	for _, m := range quantityText.FindAllString(text, -1) {
		v, unit, _ := amount(m)
		switch {
		case isPressure[unit] && !grip:
			d.grip, grip = v, true
		case !isPressure[unit] && !strings.HasPrefix(unit, "°") && grip && !speed:
			d.speed, speed = v, true
		}
	}
	return d, grip && speed
}
