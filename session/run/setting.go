package run

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"brinkmark/session"
	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Warmth is how today's temperature stands to the trial's.
type Warmth int

// The warmths, the mildest first.
const (
	Unread  Warmth = iota + 1 // no temperature, or the plan says nothing of it
	InBand                    // the profile's setting holds
	Colder                    // below the band: the setting may be used, the belts may slip
	Warmer                    // above the band: a drop-to setting
	TooWarm                   // above all of them: no setting
	TooCold                   // so cold that only a new trial would tell: no setting
	Held                      // in the band again, and dropped to a lower setting in this run
	Ended                     // no setting, for what is known of the profile since
)

// How far two settings or temperatures may differ and still be one, having been written in
// other units.
const (
	rounding        = 0.001
	degreesRounding = 0.01 // °C
)

// Allowed is the highest setting the plan has for the warmer of cable and inlet air. It is
// the profile's, or lower, and not known where even a short check could not confirm one.
func (p Plan) Allowed(warmest q.Maybe[q.Temperature]) (q.Maybe[session.Setting], Warmth) {
	if p.Ended != "" {
		return q.Maybe[session.Setting]{}, Ended
	}
	now, read := warmest.Get()
	upTo, known := p.CoveredUpTo.Get()
	if !read || !known {
		return q.Known(p.Setting), Unread
	}
	if now <= upTo+degreesRounding {
		switch {
		case p.colderThan(p.Least, now, session.CheckedBand()):
			return q.Maybe[session.Setting]{}, TooCold
		case p.colderThan(p.DownTo, now, session.CoveredBand()):
			return q.Known(p.Setting), Colder
		}
		return q.Known(p.Setting), InBand
	}
	for _, d := range p.DropTo {
		if now <= d.UpTo+degreesRounding && d.Setting.Speed.Unit == p.Setting.Speed.Unit {
			d.Setting.Grip = min(d.Setting.Grip, p.Setting.Grip)
			d.Setting.Speed.Value = min(d.Setting.Speed.Value, p.Setting.Speed.Value)
			return q.Known(d.Setting), Warmer
		}
	}
	return q.Maybe[session.Setting]{}, TooWarm
}

// colderThan reports whether a temperature is below a limit of the plan; of an older record that
// does not say it, below the usual band.
func (p Plan) colderThan(limit q.Maybe[q.Temperature], now q.Temperature, usual session.Band) bool {
	if least, written := limit.Get(); written {
		return now < least-degreesRounding
	}
	return p.coldBeyond(now, usual)
}

// coldBeyond reports whether a temperature is colder than the trial's by more than a band.
func (p Plan) coldBeyond(now q.Temperature, b session.Band) bool {
	from, known := p.MadeAt.Get()
	if !known || now >= from-degreesRounding {
		return false
	}
	if from-now > b.Degrees+degreesRounding {
		return true
	}
	was, err1 := cable.Multiplier(from)
	is, err2 := cable.Multiplier(now)
	return err1 == nil && err2 == nil && math.Log(is/was) > b.LogRatio*(1+rounding)
}

// warmer is the warmer of cable and inlet air, as far as either is known.
func warmer(cable, air q.Maybe[q.Temperature]) q.Maybe[q.Temperature] {
	a, known1 := cable.Get()
	b, known2 := air.Get()
	switch {
	case known1 && known2:
		return q.Known(max(a, b))
	case known1:
		return cable
	}
	return air
}

func endedSays(why string) string {
	return "The profile of this run holds for nothing any more. " + why
}

// Tightened is the plan under what is promised of its profile by now: rules may be tighter than
// when the run began, and more may be known. Nothing of it grows.
func (p Plan) Tightened(by session.Promise) Plan {
	p.Setting.Grip = min(p.Setting.Grip, by.Setting.Grip)
	if p.Setting.Speed.Unit == by.Setting.Speed.Unit {
		p.Setting.Speed.Value = min(p.Setting.Speed.Value, by.Setting.Speed.Value)
	}
	if upTo, known := p.CoveredUpTo.Get(); known {
		p.CoveredUpTo = q.Known(min(upTo, by.UpTo))
	}
	if at, known := by.Folds.Get(); known && (!p.Folds.Known() || p.Folds.Or(at).Value > at.Value) {
		p.Folds = by.Folds
	}
	p.DownTo, p.Least = q.Known(max(p.DownTo.Or(by.DownTo), by.DownTo)), q.Known(max(p.Least.Or(by.Least), by.Least))
	var rows []session.DropTo
	for _, d := range p.DropTo {
		if now, some := by.At(d.UpTo); some && now.Speed.Unit == d.Setting.Speed.Unit {
			d.Setting.Speed.Value = min(d.Setting.Speed.Value, now.Speed.Value)
			rows = append(rows, d)
		}
	}
	p.DropTo = rows
	return p
}

// ReadBack is a dialled setting beside what is allowed now.
type ReadBack struct {
	Dialled session.Setting
	Allowed q.Maybe[session.Setting] // not known when it is too warm for any
	Warmth  Warmth
	Until   string // when it is warmer: until when the lower setting stays
	Above   bool   // harder than allowed, in either
	Folds   bool   // where it folded
	Named   bool   // who and why are given
	Lines   []string
}

// ReadBack compares a read-back with what is allowed at its place in the record: at its
// temperatures, or at those read last before it, and after a slip with the rung more. A
// read-back without a number comes after all of it.
func (r Run) ReadBack(d Dialled) ReadBack {
	c := &course{plan: r.Plan}
	for _, e := range r.standing() {
		if d.Seq > 0 && e.Number() >= d.Seq {
			break
		}
		c.take(e)
	}
	c.warmth(d.At, d.CableTemperature, d.InletAirTemperature)
	return c.readBack(d)
}

// readBack compares a read-back with what is allowed now.
func (c *course) readBack(d Dialled) ReadBack {
	p, warmest := c.plan, warmer(c.now.Cable, c.now.Inlet)
	b := ReadBack{Dialled: d.Setting, Named: named(d.By, d.Reason), Folds: p.folds(d.Setting)}
	b.Allowed, b.Warmth = c.allowed()
	allowed, some := b.Allowed.Get()
	if !some {
		b.Above = true
		if b.Warmth == Ended {
			b.Lines = append(b.Lines, endedSays(p.Ended))
			return b
		}
		if b.Warmth == TooCold {
			b.Lines = append(b.Lines, fmt.Sprintf("Cable and air at %s are colder than a short check could carry the setting: a new trial is due.", p.temperature(warmest)))
			return b
		}
		b.Lines = append(b.Lines, fmt.Sprintf("Cable or air at %s is too warm for any setting of this profile: a new trial is due before any further push.", p.temperature(warmest)))
		return b
	}
	if b.Warmth == Warmer {
		b.Until = untilChecked(c.started)
		b.Lines = append(b.Lines, fmt.Sprintf("At %s no more than %s, lower than the profile's %s, %s.", p.temperature(warmest), p.Rig.Named(allowed), p.Rig.Named(p.Setting), untilChecked(c.started)))
	}
	if b.Warmth == Held {
		b.Until = untilChecked(true)
		b.Lines = append(b.Lines, fmt.Sprintf("It was warmer in this run: no more than %s, lower than the profile's %s, %s.", p.Rig.Named(allowed), p.Rig.Named(p.Setting), untilChecked(true)))
	}
	b.Above = p.above(d.Setting, allowed)
	b.Lines = append(b.Lines, p.compare("Grip pressure", float64(d.Setting.Grip), float64(allowed.Grip), func(v float64) string { return p.Rig.ShowGrip(q.Pressure(v)) }))
	if d.Setting.Speed.Unit == allowed.Speed.Unit {
		b.Lines = append(b.Lines, p.compare(p.control(), d.Setting.Speed.Value, allowed.Speed.Value, p.Rig.ShowSpeed))
	}
	if b.Warmth == Unread {
		b.Lines = append(b.Lines, "No temperature was read, or the profile has no band: whether it is too warm cannot be said.")
	}
	return b
}

// folds reports whether a setting is as hard as one that folded.
func (p Plan) folds(s session.Setting) bool {
	at, known := p.Folds.Get()
	return known && at.Unit == s.Speed.Unit && s.Speed.Value >= at.Value*(1-rounding)
}

// control is the crew's word for the push control, to begin a sentence with.
func (p Plan) control() string {
	word := cmp.Or(p.Rig.PushControl, "push control")
	first, size := utf8.DecodeRuneInString(word)
	return string(unicode.ToUpper(first)) + word[size:]
}

// compare names in numbers how one gauge stands to what is allowed.
func (p Plan) compare(name string, is, allowed float64, show func(float64) string) string {
	switch {
	case is > allowed*(1+rounding):
		return fmt.Sprintf("%s: %s dialled, %s allowed: %s too high.", name, show(is), show(allowed), show(is-allowed))
	case is < allowed*(1-rounding):
		return fmt.Sprintf("%s: %s dialled, %s allowed: %s lower, which may be used.", name, show(is), show(allowed), show(allowed-is))
	}
	return fmt.Sprintf("%s: %s, as it should be.", name, show(is))
}

// Lower is the lower of two settings of one rig in either of its two: who turns down never turns
// anything up.
func Lower(a, b session.Setting) session.Setting {
	a.Grip, a.Speed.Value = min(a.Grip, b.Grip), min(a.Speed.Value, b.Speed.Value)
	return a
}

// above reports whether a setting is harder than another in either of its two.
func (p Plan) above(is, allowed session.Setting) bool {
	return is.Grip > allowed.Grip*(1+rounding) || is.Speed.Unit != allowed.Speed.Unit || is.Speed.Value > allowed.Speed.Value*(1+rounding)
}

func (p Plan) temperature(t q.Maybe[q.Temperature]) string {
	v, known := t.Get()
	if !known {
		return "a temperature not known"
	}
	return q.Text(v, cmp.Or(p.Units.Temperature, "°C"))
}

func named(by, reason string) bool {
	return strings.TrimSpace(by) != "" && strings.TrimSpace(reason) != ""
}

// refusesAbove asks who and why of a setting above what is allowed.
func (p Plan) refusesAbove(b ReadBack) error {
	switch {
	case b.Folds:
		return fmt.Errorf("%s: this cable folded at %s or less: nobody can order that\n  dial what is allowed", p.Rig.Named(b.Dialled), p.Rig.ShowSpeed(p.Folds.Or(q.Reading{}).Value))
	case !b.Above || b.Named:
		return nil
	}
	return errors.New(strings.Join(b.Lines, " ") + "\n  dial what is allowed; or write down who decided otherwise, and why")
}

// refusesPoint asks who and why where the log has a setting above what is allowed.
func (r Run) refusesPoint(pt Point) error {
	if !pt.Grip.Known() && !pt.Control.Known() || named(pt.By, pt.Reason) {
		return nil
	}
	c := r.with(pt).course()
	if n := len(c.overrides); n > 0 && c.overrides[n-1].Seq == pt.Seq {
		return fmt.Errorf("%s is above what is allowed now, %s\n  dial what is allowed; or write down who decided otherwise, and why", c.overrides[n-1].Dialled, c.overrides[n-1].Allowed)
	}
	return nil
}
