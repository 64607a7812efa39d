package ask

import (
	"brinkmark/profiles"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// rating is what one part of the air's way bears: what the crew calls it, where it is
// typed, and what it is so far.
type rating struct {
	of    string
	at    reachStep
	value func(profiles.ReachLimits) string
}

var ratings = []rating{
	{"Compressor", reachCompressorRating, func(l profiles.ReachLimits) string { return l.Compressor.String() }},
	{"Hose", reachHoseRating, func(l profiles.ReachLimits) string { return l.Hose.String() }},
	{"Coupling", reachCouplingRating, func(l profiles.ReachLimits) string { return l.Coupling.String() }},
	{"Duct", reachDuctRating, func(l profiles.ReachLimits) string { return l.Duct.String() }},
	{"Duct's warmth", reachDuctWarmth, func(l profiles.ReachLimits) string { return l.DuctTemperature.String() }},
}

// ratings asks what the parts of the air's way bear, in any order, as far as it is known.
func (p reachPage) ratings() Question {
	question := Question{ID: "reach-ratings", Title: "How much pressure may each part bear?", Help: append([]string{
		"The lowest of them caps the pressure. Without one no more pressure is ever advised.",
		"A duct's rating is for 20 C (68 F). Warm duct bears less: at 40 C (104 F) about three quarters."}, reachWhy...)}
	open := ""
	for _, r := range ratings {
		if value := r.value(p.run.Limits); value != "" {
			question.Body = append(question.Body, r.of+": "+value+".")
		} else if open != "" {
			open += ", " + words.LowerFirst(r.of)
		} else {
			open = "Not given: " + words.LowerFirst(r.of)
		}
	}
	if open != "" {
		question.Body = append(question.Body, open+".")
	}
	question.Choices = append(question.Choices, p.to("That is all that is known", p.next(), Major))
	for _, r := range ratings {
		question.Choices = append(question.Choices, p.to(r.of, p.at(r.at), Minor))
	}
	return question
}

// ratingEntries are the questions for the figures of [ratings].
func ratingEntries() map[reachStep]reachEntry {
	onPlate := []string{"As printed on it, or on its plate."}
	bears := [2]string{"230 psi", "16 bar"}
	pressure := func(id, title, name string, to func(*ReachFlow) *profiles.Quantity[q.Pressure]) reachEntry {
		return reachEntry{id: id, title: title, label: "Highest gauge pressure", examples: bears, body: onPlate, take: figureOfRun("limits."+name, to)}
	}
	return map[reachStep]reachEntry{
		reachCompressorRating: pressure("reach-rating-compressor", "What is the compressor's highest pressure?", "compressor",
			func(r *ReachFlow) *profiles.Quantity[q.Pressure] { return &r.run.Limits.Compressor }),
		reachHoseRating: pressure("reach-rating-hose", "How much may the hose bear?", "hose",
			func(r *ReachFlow) *profiles.Quantity[q.Pressure] { return &r.run.Limits.Hose }),
		reachCouplingRating: pressure("reach-rating-coupling", "How much may the weakest coupling bear?", "coupling",
			func(r *ReachFlow) *profiles.Quantity[q.Pressure] { return &r.run.Limits.Coupling }),
		reachDuctRating: pressure("reach-rating-duct", "How much may the duct bear at 20 C (68 F)?", "duct",
			func(r *ReachFlow) *profiles.Quantity[q.Pressure] { return &r.run.Limits.Duct }),
		reachDuctWarmth: {id: "reach-duct-warmth", title: "How warm is the duct at its warmest?", label: "Duct temperature", examples: [2]string{"86 F", "30 C"},
			body: []string{"Above ground in the sun it is far warmer than buried."},
			take: figureOfRun("limits.duct_temperature", func(r *ReachFlow) *profiles.Quantity[q.Temperature] { return &r.run.Limits.DuctTemperature })},
	}
}
