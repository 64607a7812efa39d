package ask

import (
	"fmt"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// customary reports whether the crew works in feet and degrees Fahrenheit, as its
// thermometer tells, or before that this tablet's option.
func (f Flow) customary() bool {
	if !f.Trial.Conditions.CableTemperature.Known() {
		return !f.Metric
	}
	return f.Trial.Conditions.Unit == "°F"
}

func (f Flow) length(l q.Length) string {
	if f.customary() {
		return q.Text(l, "ft")
	}
	return q.Text(l, "m")
}

// exampleOf is what a check's value looks like.
func exampleOf(c session.Check, customary bool) string {
	examples := map[session.Asked][2]string{
		session.AskLength:      {"40 mm", "1.5 in"},
		session.AskPressure:    {"0.4 bar", "6 psi"},
		session.AskTemperature: {"5 C", "41 F"},
		session.AskReading:     {"29 m/min", "95 ft/min"},
		session.AskText:        {"in words", "in words"},
	}
	pair := examples[c.Asks]
	switch c.Key {
	case "stub.run_up", "limits.cable_budget":
		pair = [2]string{"2 m", "7 ft"}
	case "cable.outer_diameter":
		pair = [2]string{"12.4 mm", "0.49 in"}
	case "duct.inner_diameter":
		pair = [2]string{"34.5 mm", "1.36 in"}
	}
	if customary {
		return pair[1]
	}
	return pair[0]
}

// readable reports why a text is no value of the kind a check asks for.
func readable(asks session.Asked, text string) error {
	var err error
	switch asks {
	case session.AskLength:
		_, err = q.Parse[q.Length](text)
	case session.AskPressure:
		_, err = q.Parse[q.Pressure](text)
	case session.AskTemperature:
		_, err = q.Parse[q.Temperature](text)
	case session.AskReading:
		_, err = q.ParseReading(text)
	case session.AskText:
		if strings.TrimSpace(text) == "" {
			err = fmt.Errorf("write a word or two")
		}
	}
	return err
}
