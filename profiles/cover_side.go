package profiles

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// side is what the rules compare of a profile or of today's job.
type side struct {
	id     string
	record Record        // with its later changes, without its entries
	trial  session.Trial // the same, in numbers
	whole  session.Trial // with its entries
	byHand bool          // written by hand, or by a version that did not seal
	from   q.Temperature // of the cable where it was proved

	cableMake, cableType, reel, lot, head, size, lining, ductLot, rig, belts, supply, surface name

	renewed  map[string]bool // keys changed later to what they were
	proved   time.Time       // when it was made
	root     time.Time       // when the trial it goes back to was made; zero is not known
	findings map[Finding]bool

	coldest, hottest q.Temperature  // at which the setting held: of the trial and its short checks
	hurts            []session.Hurt // of other trials, and of runs, of this cable, duct and rig
	expires          time.Time      // by a supervisor; zero is never
	looked           bool           // a supervisor has accepted the file as it is
	odd              string         // which of its times cannot be
	tooOther         []string       // why a short check could not take its profile's setting over
	carried          []string       // why its pushes do not carry its setting
	judged           bool           // by what the rule advises, too
	claimed          *claimed       // what may be promised of it; nil until asked
}

func newSide(r *Record) (*side, error) {
	now, renewed, err := r.current()
	if err != nil {
		return nil, err
	}
	trial, err := now.Trial()
	if err != nil {
		return nil, err
	}
	s := &side{id: r.ID, record: now, trial: trial, renewed: renewed, proved: now.Started}
	c, d, g := now.Cable, now.Duct, now.Rig
	s.cableMake, s.cableType, s.reel, s.lot, s.head = newName(c.Make), newName(c.Type), newName(c.Reel), newName(c.Lot), newName(c.Head)
	s.size, s.lining, s.ductLot = newName(d.Size), newName(d.Lining.String()), newName(d.Lot)
	s.rig, s.belts, s.supply, s.surface = newName(g.Name), newName(g.Belts), newName(g.Supply), newName(now.Conditions.Surface.String())
	if now.Setting != nil && !now.Setting.Accepted.IsZero() {
		s.proved = now.Setting.Accepted
	}
	s.from = s.temperature()
	if now.Setting != nil {
		if s.whole, err = r.Trial(); err != nil {
			return nil, err
		}
		s.from = s.whole.Proof(s.setting()).From.Or(s.temperature())
		s.odd = impossibleTimes(r, s.whole, clockSlack)
	}
	s.coldest, s.hottest = s.from, s.from
	return s, s.keyed()
}

// keyed returns what of a profile's key is missing, all at once.
func (s *side) keyed() error {
	var errs []error
	for _, key := range []struct{ name, value string }{
		{"cable.make", s.cableMake.folded}, {"cable.type", s.cableType.folded}, {"duct.size", s.size.folded},
		{"conditions.cable_temperature", s.record.Conditions.CableTemperature.text},
	} {
		if key.value == "" {
			errs = append(errs, fmt.Errorf("%s: missing: profiles are kept by it", key.name))
		}
	}
	return errors.Join(errs...)
}

// current returns the record as its later changes leave it, without entries, and which
// keys a change gave the value they had: something replaced by its like, or cleaned.
func (r *Record) current() (now Record, renewed map[string]bool, err error) {
	now, renewed, undone := *r, map[string]bool{}, r.undone()
	entries, err := r.ordered()
	if err != nil {
		return now, nil, err
	}
	for _, e := range entries {
		change, is := e.entry.(*Change)
		if !is || undone[*e.seq] {
			continue
		}
		before := now
		if now, err = now.changed(*change); err != nil {
			return now, nil, err
		}
		switch change.Key {
		case "rig.belts":
			renewed[change.Key] = SameName(before.Rig.Belts, now.Rig.Belts)
		case "rig.lead_in":
			was, is := before.Rig.LeadIn.value.Or(0), now.Rig.LeadIn.value.Or(0)
			renewed[change.Key] = was > 0 && math.Abs(float64(is-was)) <= rounding*float64(was)
		}
	}
	now.Answers, now.Attempts, now.Undos, now.Changes = nil, nil, nil, nil
	return now, renewed, nil
}

func (s *side) temperature() q.Temperature { return s.trial.Conditions.CableTemperature.Or(0) }

// warmest is the warmer of cable and inlet air.
func (s *side) warmest() q.Temperature {
	return max(s.temperature(), s.trial.Conditions.InletAirTemperature.Or(s.temperature()))
}

func temperatureText(s *side) string {
	c := s.record.Conditions
	if s.record.Setting == nil && s.warmest() > s.temperature() {
		return "inlet air " + c.InletAirTemperature.text
	}
	if s.record.Setting != nil && s.from < s.temperature()-degreesRounding {
		return session.WholeDegrees(s.from, s.trial.Conditions.Unit) + ", proved there"
	}
	return c.CableTemperature.text
}

func (s *side) setting() session.Setting {
	grip, _ := s.record.Setting.Grip.value.Get()
	speed, _ := s.record.Setting.Speed.value.Get()
	return session.Setting{Grip: grip, Speed: speed}
}

func (s *side) settingText() string {
	return s.record.Setting.Grip.text + ", " + s.record.Setting.Speed.text
}

func speedText(s *side) string {
	if s.record.Setting != nil {
		return s.record.Setting.Speed.text
	}
	return s.record.Plan.Speed.text
}

// limitText is a profile's setting, or a job's lowest limits.
func limitText(s *side) string {
	if s.record.Setting != nil {
		return s.settingText()
	}
	var said []string
	for _, text := range []string{s.record.Limits.Grip.text, s.record.Rig.GripLimit.text, s.record.Limits.Speed.text, s.record.Rig.SpeedLimit.text} {
		if text != "" {
			said = append(said, text)
		}
	}
	return strings.Join(said, ", ")
}

func (s *side) when() string {
	if s.proved.IsZero() {
		return ""
	}
	return s.proved.Format("2006-01-02 15:04")
}

func (s *side) found() string {
	var all []string
	for f := Withdrawn; f <= Asked; f++ {
		if s.findings[f] {
			all = append(all, f.String())
		}
	}
	return strings.Join(all, ", ")
}

// name is a name in the form in which names are compared: without case and spacing,
// and sizes in it without their unit.
type name struct {
	said, folded string
	sizes        []float64 // m, in order
	digits       string    // of folded
}

var (
	sizeInName = regexp.MustCompile(`(?:(\d+)[ -])?(\d+)/(\d+) ?(mm|cm|inches|inch|in\b|")|(\d+(?:\.\d+)?) ?(mm|cm|inches|inch|in\b|")`)
	fractions  = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4")
)

func newName(said string) name {
	n := name{said: said}
	text := strings.ToLower(said)
	if !strings.ContainsAny(text, "0123456789") {
		n.folded = fold(text)
		return n
	}
	text = strings.Join(strings.Fields(fractions.Replace(text)), " ")
	n.folded = fold(sizeInName.ReplaceAllStringFunc(text, func(found string) string {
		m := sizeInName.FindStringSubmatch(found)
		number, unit := m[5], m[4]+m[6]
		if number == "" {
			whole, _ := strconv.Atoi("0" + m[1])
			top, _ := strconv.Atoi(m[2])
			bottom, _ := strconv.Atoi(m[3])
			if unit == "mm" || unit == "cm" || top >= bottom {
				return strings.TrimSuffix(found, unit) // outer and inner diameter: "40/33 mm"
			}
			number = strconv.FormatFloat(float64(whole)+float64(top)/float64(bottom), 'f', -1, 64)
		}
		v, _ := strconv.ParseFloat(number, 64)
		if unit == `"` {
			unit = "in"
		}
		n.sizes = append(n.sizes, q.In(q.From[q.Length](v, unit), "m"))
		return "⌀"
	}))
	n.digits = digitsOf(n.folded)
	return n
}

// sizeRounding is how far a size in a name may be off for having been converted.
const sizeRounding = 0.002

func (n name) same(o name) bool { return n.folded == o.folded && n.near(o, sizeRounding) }

func (n name) near(o name, part float64) bool {
	return slices.EqualFunc(n.sizes, o.sizes, func(a, b float64) bool { return math.Abs(a-b) <= part*max(a, b) })
}

// alike reports whether two names that are not the same may be one, written wrongly. Other
// digits make another name: they are how types are told apart.
func (n name) alike(o name) bool {
	const short, slips = 5, 2
	if n.digits != o.digits || n.same(o) || !n.near(o, 0.01) {
		return false
	}
	a, b := []rune(n.folded), []rune(o.folded)
	if min(len(a), len(b)) < short || max(len(a), len(b))-min(len(a), len(b)) > slips {
		return false
	}
	return distance(a, b) <= min(slips, len(a)/4)
}

func digitsOf(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s)
}

// distance is how many letters must be put in, taken out, changed or swapped with the
// next to make one text of the other.
func distance(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range b {
		rows[0][j+1] = j + 1
	}
	for i := range a {
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			rows[i+1][j+1] = min(rows[i][j+1]+1, rows[i+1][j]+1, rows[i][j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				rows[i+1][j+1] = min(rows[i+1][j+1], rows[i-1][j-1]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
