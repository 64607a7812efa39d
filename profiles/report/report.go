// Package report writes what brinkmark knows in forms other programs read.
//
// A quantity is {"value", "unit", "text"} with one unit for each kind, so that a
// reader never has to guess; text is what the crew sees. What is not known is null.
package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode"
	"unicode/utf16"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Quantity is one quantity in its standard unit.
type Quantity struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Text  string  `json:"text"`
}

// Setting is grip pressure and speed.
type Setting struct {
	Grip  Quantity `json:"grip"`
	Speed Quantity `json:"speed"`
}

// Range is the 5, 50 and 95 % values.
type Range struct {
	Low  Quantity `json:"low"`
	Mid  Quantity `json:"mid"`
	High Quantity `json:"high"`
}

// Advice is what to do next on a trial.
type Advice struct {
	Next             string   `json:"next"` // try, stop
	Setting          *Setting `json:"setting"`
	Reason           string   `json:"reason"`
	FoldChance       *float64 `json:"fold_chance"`
	FoldChanceHigh   *float64 `json:"fold_chance_high"`
	FoldChanceVaried *float64 `json:"fold_chance_varied"`
	SlipChance       *float64 `json:"slip_chance"`
	Attempts         int      `json:"attempts"`
	CableUsed        Quantity `json:"cable_used"`
	FoldSpeed        *Range   `json:"fold_speed"`
	FoldForce        *Range   `json:"fold_force"`
	EndedOn          *string  `json:"ended_on"` // fold, limit, enough, budget
	Warnings         []string `json:"warnings"`
}

// Of returns a quantity in the standard unit of its kind, with the text given.
func Of[T q.Scalar](v T, text string) Quantity {
	unit := q.Standard[T]()
	return Quantity{q.In(v, unit), unit, text}
}

// Reading returns a push control reading: a speed in its standard unit, any other
// in its own.
func Reading(rig session.Rig, v float64) Quantity {
	r := rig.Reading(v)
	if r.Unit == "m/s" {
		return Of(q.Speed(v), rig.ShowSpeed(v))
	}
	return Quantity{v, r.Unit, rig.ShowSpeed(v)}
}

// AdviceOn puts an outlook on a trial into its outside form.
func AdviceOn(t session.Trial, o session.Outlook) Advice {
	a := Advice{
		Next: "stop", Attempts: o.Attempts, CableUsed: Of(o.CableUsed, q.Text(o.CableUsed, "m")),
		FoldChance: known(o.FoldChance), FoldChanceHigh: known(o.FoldChanceHigh),
		FoldChanceVaried: known(o.FoldChanceVaried), SlipChance: known(o.SlipChance),
		Warnings: append([]string{}, o.Warnings...),
	}
	switch next := o.Next.(type) {
	case session.Try:
		a.Next, a.Reason = "try", next.Reason
	case session.Install:
		a.Reason, a.EndedOn = next.Reason, ended(next.EndedOn)
	case session.Refuse:
		a.Reason, a.EndedOn = next.Reason, ended(next.EndedOn)
	}
	if s, ok := session.SettingOf(o.Next); ok {
		a.Setting = &Setting{Of(s.Grip, t.Rig.ShowGrip(s.Grip)), Reading(t.Rig, s.Speed.Value)}
	}
	if r, ok := o.FoldSpeed.Get(); ok {
		a.FoldSpeed = &Range{Reading(t.Rig, r.Low.Value), Reading(t.Rig, r.Mid.Value), Reading(t.Rig, r.High.Value)}
	}
	if r, ok := o.FoldForce.Get(); ok {
		force := func(v q.Force) Quantity { return Of(v, q.Text(v, "N")) }
		a.FoldForce = &Range{force(r.Low), force(r.Mid), force(r.High)}
	}
	return a
}

// JSON writes any of these for a reader: indented, and with nothing in it that would do
// something to a terminal. What a terminal must not be given is escaped, so a reader gets
// it all.
func JSON(v any) ([]byte, error) {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil || !bytes.ContainsFunc(text, unshown) {
		return text, err
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		if !unshown(r) {
			b.WriteRune(r)
			continue
		}
		for _, unit := range utf16.AppendRune(nil, r) {
			fmt.Fprintf(&b, `\u%04x`, unit)
		}
	}
	return b.Bytes(), nil
}

func unshown(r rune) bool { return !unicode.IsPrint(r) && r != '\n' }

func ended(e session.End) *string {
	s := e.String()
	if s == "" {
		return nil
	}
	return &s
}

func known(m q.Maybe[float64]) *float64 {
	if v, ok := m.Get(); ok {
		return &v
	}
	return nil
}
