package reach

import (
	"cmp"
	"fmt"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Ratings are the pressures, gauge, that the parts of the air's way may bear by their
// makers. What is not known limits nothing, and is said.
type Ratings struct {
	Compressor, Hose, Coupling q.Maybe[q.Pressure]
	Duct                       q.Maybe[q.Pressure] // at 20 °C
	DuctTemperature            q.Maybe[q.Temperature]
}

// Lowest is the weakest link of the air's way.
type Lowest struct {
	Of       string // "compressor", "hose", "coupling" or "duct"
	Pressure q.Pressure
	Unknown  []string // parts whose rating is not known
}

// derating is by how much polyethylene duct keeps its rating when warm.
//
// Source: up to 40 °C the multipliers of EN 12201-1 (from memory), lower than those of AS/NZS
// 4130 (1.00, 0.94, 0.84, 0.76, 0.68 at 20 to 60 °C); above, the latter lowered in the same
// ratio as at 40 °C, derived here. They are for years of service, and so on the safe side.
var derating = []struct{ at, keeps float64 }{{20, 1}, {30, 0.87}, {40, 0.74}, {50, 0.67}, {60, 0.60}}

// hottestDuct is where the table ends: a duct hotter than this is to bear no air.
const hottestDuct q.Temperature = 60

var (
	ratingRange   = cable.Range[q.Pressure]{Of: "pressure rating", Unit: "bar", Low: 1e4, High: 100e5}
	ductTempRange = cable.Range[q.Temperature]{Of: "duct temperature", Unit: "°C", Low: -40, High: hottestDuct}
)

// Derating returns which part of its rating at 20 °C a polyethylene duct keeps. Colder than
// 20 °C it gains nothing. It returns an error outside −40 to 60 °C.
func Derating(at q.Temperature) (float64, error) {
	if err := ductTempRange.Check(at); err != nil {
		return 0, err
	}
	for i, row := range derating[1:] {
		if before := derating[i]; float64(at) <= row.at {
			part := (float64(at) - before.at) / (row.at - before.at)
			return before.keeps + max(0, part)*(row.keeps-before.keeps), nil
		}
	}
	return derating[len(derating)-1].keeps, nil
}

// Check returns a [FieldError] for a rating that cannot be meant.
func (r Ratings) Check() error {
	err := error(nil)
	for _, part := range r.parts() {
		if p, known := part.rating.Get(); known && err == nil {
			err = field("limits."+part.name, ratingRange.Check(p))
		}
	}
	if t, known := r.DuctTemperature.Get(); known {
		err = cmp.Or(err, field("limits.duct_temperature", ductTempRange.Check(t)))
	}
	return err
}

type part struct {
	name   string
	rating q.Maybe[q.Pressure]
}

func (r Ratings) parts() []part {
	return []part{{"compressor", r.Compressor}, {"hose", r.Hose}, {"coupling", r.Coupling}, {"duct", r.Duct}}
}

// Lowest returns the weakest link, false when no rating is known. The duct counts with what
// it keeps at its temperature; without one, with all of it.
func (r Ratings) Lowest() (Lowest, bool) {
	low, found := Lowest{}, false
	for _, part := range r.parts() {
		p, known := part.rating.Get()
		if !known {
			low.Unknown = append(low.Unknown, part.name)
			continue
		}
		if at, warm := r.DuctTemperature.Get(); warm && part.name == "duct" {
			if keeps, err := Derating(at); err == nil {
				p = q.Pressure(keeps * float64(p))
			}
		}
		if !found || p < low.Pressure {
			low.Of, low.Pressure, found = part.name, p, true
		}
	}
	return low, found
}

// The air's temperatures that are cautioned of.
//
// Source: common practice, no source.
const (
	warmAir  q.Temperature = 40 // wanted no warmer
	hotAir   q.Temperature = 60 // never warmer
	overDuct q.Temperature = 15 // warmer than the duct
)

// AirCautions says what is to be minded about the air's temperature and the ratings. show
// writes temperatures and pressures for the crew.
func (r Ratings) AirCautions(a Air, u Units) []string {
	var out []string
	temperature := func(t q.Temperature) string { return q.Text(t, u.Temperature) }
	switch duct, known := r.DuctTemperature.Get(); {
	case a.Temperature > hotAir:
		out = append(out, fmt.Sprintf("air of %s softens duct and cable: above %s never blow", temperature(a.Temperature), temperature(hotAir)))
	case a.Temperature > warmAir:
		out = append(out, fmt.Sprintf("air of %s is warm: cool it to %s or less", temperature(a.Temperature), temperature(warmAir)))
	case known && a.Temperature > duct+overDuct:
		out = append(out, "the air is more than 15 °C (27 °F) warmer than the duct: it drops water there and softens the cable; cool it and drain it")
	}
	low, found := r.Lowest()
	if !found {
		return append(out, "no pressure rating of compressor, hose, coupling or duct is given: never go above the lowest of them")
	}
	if a.Inlet > low.Pressure*(1+1e-9) {
		out = append(out, fmt.Sprintf("the inlet pressure is above what the %s bears here, %s: never", low.Of, q.Text(low.Pressure, u.Pressure)))
	}
	for _, name := range low.Unknown {
		out = append(out, "the rating of the "+name+" is not given: the lowest of all ratings counts")
	}
	if r.Duct.Known() && !r.DuctTemperature.Known() {
		out = append(out, "the duct's temperature is not given: a warm duct bears less than its rating")
	}
	return out
}
