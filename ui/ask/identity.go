package ask

import (
	"strings"

	"brinkmark/profiles"
)

// identity are the values by which a later job tells whether it is the same as this one, in the
// order in which they are asked. What is not said is never the same: it asks for a short check.
var identity = []string{
	"cable.reel", "cable.lot", "cable.head", "cable.outer_diameter", "duct.lining", "duct.inner_diameter", "duct.lot",
	"rig.name", "rig.belts", "rig.lead_in", "rig.gap", "rig.supply", "conditions.surface",
}

// picks are what is usually said of some of them.
var picks = map[string][]string{
	"cable.lot": {"none printed"}, "duct.lot": {"none printed"}, "cable.head": {"cap", "bare"},
	"duct.lining": {"smooth", "ribbed", "lubricated"}, "conditions.surface": {"dry", "wet", "dusty"},
	"rig.supply": {"own pump, regulated", "site supply, unregulated"},
}

// comparedAsked is how far the questions about them have come.
type comparedAsked struct {
	reel bool // it was asked, and left out
	on   bool // the others are asked, too
	next int  // a place in identity
}

// unsaid are those that the job does not say.
func (f Flow) unsaid() []jobField {
	var list []jobField
	for _, key := range identity {
		if field := fieldByKey(key); field.read(f.Record) == "" {
			list = append(list, field)
		}
	}
	return list
}

// unsaidLine says what is not said, and what it costs.
func (f Flow) unsaidLine() string {
	var names []string
	for _, field := range f.unsaid() {
		names = append(names, strings.ToLower(field.ask))
	}
	if len(names) == 0 {
		return ""
	}
	return "Not said: " + strings.Join(names, ", ") + ". A later job then asks for a short check."
}

// comparedQuestion asks for the reel, always, and for the rest once that is wanted.
func (f Flow) comparedQuestion() (q Question, open bool) {
	if f.site != nil { // practice is compared with nothing
		return q, false
	}
	if f.Record.Cable.Reel == "" && !f.compare.reel && !f.compare.on {
		q = f.fieldQuestion("cable.reel", func(f Flow) Flow {
			f = f.at(stepFirst)
			f.compare.reel = true
			return f
		})
		q.Body = append(q.Body, "Each reel was wound and stored in its own way. Left out, a later job asks for a short check.")
		return q, true
	}
	if !f.compare.on {
		return q, false
	}
	for n := f.compare.next; n < len(identity); n++ {
		if fieldByKey(identity[n]).read(f.Record) != "" {
			continue
		}
		f.compare.next = n
		return f.fieldQuestion(identity[n], func(f Flow) Flow {
			f = f.at(stepFirst)
			f.compare.next = n + 1
			return f
		}), true
	}
	return q, false
}

// sayCompared asks for all that is not said, one after the other.
func sayCompared(f Flow) (Flow, Effect) {
	f = f.at(stepFirst)
	f.compare = comparedAsked{reel: true, on: true}
	return f, None{}
}

// picked are the choices that say a value by a press.
func (f Flow) picked(key string, then func(Flow) Flow) []Choice {
	var choices []Choice
	for _, text := range picks[key] {
		next, err := f.Record.With(key, text)
		if err != nil {
			continue
		}
		choices = append(choices, Choice{Label: text, Do: func(f Flow) (Flow, Effect) { return then(f), ReplaceJob{next} }})
	}
	return choices
}

// comparedFields are their rows in [jobFields], but for those that stand there anyway.
var comparedFields = []jobField{
	{"cable.lot", "Cable lot", alike("L 88"), false, func(r profiles.Record) string { return r.Cable.Lot }},
	{"cable.head", "Cable end: cap or head", alike("cap"), false, func(r profiles.Record) string { return r.Cable.Head }},
	{"duct.lining", "Lining of the duct", alike("smooth"), false, func(r profiles.Record) string { return r.Duct.Lining.String() }},
	{"duct.lot", "Duct lot", alike("D 12"), false, func(r profiles.Record) string { return r.Duct.Lot }},
	{"rig.belts", "Belt set", alike("set B"), false, func(r profiles.Record) string { return r.Rig.Belts }},
	{"rig.lead_in", "Bore of the lead-in piece", [2]string{"0.5 in", "13 mm"}, false, func(r profiles.Record) string { return r.Rig.LeadIn.String() }},
	{"rig.gap", "Gap from belts to duct mouth", [2]string{"1.5 in", "40 mm"}, false, func(r profiles.Record) string { return r.Rig.Gap.String() }},
	{"rig.supply", "Supply of the drive", alike("own pump, regulated"), false, func(r profiles.Record) string { return r.Rig.Supply }},
	{"conditions.surface", "Jacket: dry, wet or dusty", alike("dry"), false, func(r profiles.Record) string { return r.Conditions.Surface.String() }},
}
