package ask

import (
	"fmt"
	"strconv"
	"strings"

	"brinkmark/profiles"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// reachEntry is a figure that is typed: how to ask for it, and where it goes.
type reachEntry struct {
	id, title, label string
	examples         [2]string // customary and metric
	body             []string
	without          string // the choice of going on without it, where one may
	withoutRank      Rank
	take             func(ReachFlow, string) (ReachFlow, error)
}

// figureOfRun takes a figure by its name in a reach file, judged before the others are known.
func figureOfRun[T q.Scalar](name string, to func(*ReachFlow) *profiles.Quantity[T]) func(ReachFlow, string) (ReachFlow, error) {
	_, word, _ := strings.Cut(name, ".")
	word = strings.ReplaceAll(word, "_", " ")
	return func(r ReachFlow, text string) (ReachFlow, error) {
		v, err := named[T](word, text)
		if err != nil {
			return r, err
		}
		if err := reach.CheckFigure(name, float64(v)); err != nil {
			return r, err
		}
		written, err := profiles.NewQuantity[T](text)
		*to(&r) = written
		return r, err
	}
}

// reachEntries are the questions that are answered by typing.
var reachEntries = map[reachStep]reachEntry{
	reachLength: {id: "reach-length", title: "How long is this straight?", label: "Length", examples: [2]string{"680 ft", "207 m"},
		take: figureOfRun("section.length", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.part.Length })},
	reachRadius: {id: "reach-radius", title: "What is the bend's radius?", label: "Radius", examples: [2]string{"4 ft", "1.2 m"}, body: []string{"Of the middle. A 90 degree sweep goes one radius on, one aside."},
		take: figureOfRun("section.radius", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.part.Radius })},
	reachName: {id: "reach-name", title: "What shall this route be called?", label: "Name of the route", examples: [2]string{"Mill Lane to Weir", "Mill Lane to Weir"}, body: []string{"It is saved under this name, to pick next time."}, without: "Go on without keeping it", withoutRank: Minor,
		take: func(r ReachFlow, text string) (ReachFlow, error) { r.name = text; return r, nil }},
	reachSafe: {id: "reach-safe", title: "Which push does the trial allow? Never enter more.", label: "Push", examples: [2]string{"54 lbf", "240 N"}, body: []string{
		"By pull test, at the trial's setting. More folds the cable."},
		take: figureOfRun("push.safe", func(r *ReachFlow) *profiles.Quantity[q.Force] { return &r.run.Push.Safe })},
	reachDiameter: {id: "reach-diameter", title: "What is the cable's diameter?", label: "Diameter", examples: [2]string{"0.49 in", "12.4 mm"},
		take: figureOfRun("cable.outer_diameter", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.run.Cable.OuterDiameter })},
	reachMass: {id: "reach-mass", title: "What is the cable's mass per length?", label: "Mass per length", examples: [2]string{"79 lb/1000 ft", "118 kg/km"},
		take: figureOfRun("cable.mass", func(r *ReachFlow) *profiles.Quantity[q.LinearDensity] { return &r.run.Cable.Mass })},
	reachStiffness: {id: "reach-stiffness", title: "What is the cable's bending stiffness?", label: "Bending stiffness", examples: alike("1.9 N m2"), body: []string{"From the data sheet, or by a droop: \"brinkmark droop\"."},
		take: figureOfRun("cable.bending_stiffness", func(r *ReachFlow) *profiles.Quantity[q.Stiffness] { return &r.run.Cable.BendingStiffness })},
	reachBore: {id: "reach-bore", title: "What is the duct's inner diameter?", label: "Inner diameter", examples: [2]string{"1.36 in", "34.5 mm"}, body: []string{"Measured, at the narrowest."},
		take: figureOfRun("duct.inner_diameter", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.run.Duct.InnerDiameter })},
	reachAmplitude: {id: "reach-amplitude", title: "How high is a wave, from its middle to a crest?", label: "Half its height", examples: [2]string{"2 in", "50 mm"},
		take: figureOfRun("waves.amplitude", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.run.Waves.Amplitude })},
	reachPeriod: {id: "reach-period", title: "How far is it from crest to crest?", label: "Crest to crest", examples: [2]string{"33 ft", "10 m"},
		take: figureOfRun("waves.period", func(r *ReachFlow) *profiles.Quantity[q.Length] { return &r.run.Waves.Period })},
	reachInlet: {id: "reach-inlet", title: "Which air pressure at the duct's mouth? Never above the lowest rating.", label: "Gauge pressure", examples: [2]string{"130 psi", "9 bar"}, body: []string{
		"At the duct's mouth, blowing. Warm parts bear less."},
		take: figureOfRun("air.inlet_pressure", func(r *ReachFlow) *profiles.Quantity[q.Pressure] { return &r.run.Air.InletPressure })},
	reachAirWarmth: {id: "reach-air", title: "How warm is the air in the duct?", label: "Air temperature", examples: [2]string{"64 F", "18 C"}, body: []string{"Behind the cooler, where it goes in."},
		take: figureOfRun("air.temperature", func(r *ReachFlow) *profiles.Quantity[q.Temperature] { return &r.run.Air.Temperature })},
	reachFreeAir: {id: "reach-compressor", title: "How much free air does the compressor deliver?", label: "Free air", examples: [2]string{"185 cfm", "5.2 m3/min"},
		body: []string{"As on its plate. Too little, and the pressure meant cannot be held."}, without: "Not known: enough for that pressure", withoutRank: Major,
		take: figureOfRun("air.free_air", func(r *ReachFlow) *profiles.Quantity[q.FlowRate] { return &r.run.Air.FreeAir })},
	reachTopSpeed: {id: "reach-speed", title: "How fast will the drive push at most?", label: "Speed", examples: [2]string{"150 ft/min", "45 m/min"},
		body: []string{"Never faster than the trial. It gives the time, not the reach."}, without: "Not known: the time is then a guess", withoutRank: Major,
		take: figureOfRun("push.top_speed", func(r *ReachFlow) *profiles.Quantity[q.Speed] { return &r.run.Push.TopSpeed })},
}

// entry asks for a figure.
func (p reachPage) entry(e reachEntry) Question {
	question := Question{ID: e.id, Title: e.title, Body: e.body, Help: reachWhy}
	question.Enter = &Entering{Label: e.label, Example: p.example(e.examples), Take: func(f Flow, text string) (Flow, Effect, error) {
		next, err := e.take(p.ReachFlow, text)
		if err != nil {
			return f, None{}, err
		}
		return f, p.turn(p.after(next)), nil
	}}
	if e.without != "" {
		question.Choices = append(question.Choices, p.to(e.without, p.next(), e.withoutRank))
	}
	return question
}

// after is where a typed figure leads: the next part of a row of the table, or the next
// open question.
func (p reachPage) after(next ReachFlow) ReachFlow {
	switch p.step {
	case reachLength:
		return next.at(reachSlope)
	case reachRadius:
		return next.at(reachSide)
	case reachCompressorRating, reachHoseRating, reachCouplingRating, reachDuctRating, reachDuctWarmth:
		return next.at(reachRatings)
	}
	return next.next()
}

var reachWhy = []string{
	"How far the cable comes is worked out from these figures: a guide, no promise.",
	"Friction is the least known of them. Read the range, not the middle.",
	"Local codes, site rules and makers' instructions come first.",
}

func (p reachPage) whichSetting() Question {
	question := Question{ID: "reach-setting", Title: "Whose push?", Help: reachWhy, Body: []string{"The push is that of a trial's setting, by the pull test on its rig card."}}
	for _, s := range p.offers.settings {
		next := p.withProfile(s.profile)
		label := fmt.Sprintf("%s, %s: %s", s.profile.Setting.Grip, s.profile.Setting.Speed, words.Join(s.profile.Cable.Type, s.profile.Duct.Size, s.profile.Rig.Name))
		question.Choices = append(question.Choices, p.to(label, next.next(), Major))
	}
	question.Choices = append(question.Choices, p.to("Another: I know the push", p.next(), Major))
	return question
}

func (p reachPage) whichCable() Question {
	question := Question{ID: "reach-cable", Title: "Which cable?", Help: reachWhy}
	for _, c := range p.offers.cards.Cables[:min(len(p.offers.cards.Cables), cardsShown)] {
		next := p.ReachFlow
		next.run.Cable = c
		question.Choices = append(question.Choices, p.to(words.Join(c.Type, c.Make), next.withCable().next(), Major))
	}
	question.Choices = append(question.Choices, p.to("Another: diameter, mass and stiffness", p.next(), Major))
	return question
}

func (p reachPage) whichDuct() Question {
	question := Question{ID: "reach-duct", Title: "Which duct?", Help: reachWhy}
	for _, d := range p.offers.cards.Ducts[:min(len(p.offers.cards.Ducts), cardsShown)] {
		next := p.ReachFlow
		next.run.Duct = d
		question.Choices = append(question.Choices, p.to(d.Size, next.withDuct().next(), Major))
	}
	question.Choices = append(question.Choices, p.to("Another: its inner diameter", p.next(), Major))
	return question
}

func (p reachPage) lie() Question {
	straight := p.ReachFlow
	straight.passed[reachAmplitude], straight.passed[reachPeriod] = true, true
	return Question{ID: "reach-lie", Title: "How does the duct lie between its bends?", Help: reachWhy,
		Body:    []string{"Waves from side to side cost push all the way; short ones most."},
		Choices: []Choice{p.to("As straight as it is drawn", straight.next(), Major), p.to("In waves", p.next(), Major)}}
}

// usualFriction are coefficients to begin from when none was measured.
//
// Source: from memory, for polyethylene on polyethylene; the middle is ours. A limit of 0.06
// for a permanently lubricated duct is one of the laboratory, and more is met in use.
var usualFriction = []struct {
	of                string
	middle, low, high float64
}{
	{"Lubricated", 0.10, 0.05, 0.15},
	{"Dry, clean", 0.27, 0.20, 0.35},
	{"Old or dusty", 0.35, 0.30, 0.45},
}

func (p reachPage) friction() Question {
	question := Question{ID: "reach-friction", Title: "Which friction between cable and duct?", Help: reachWhy,
		Body: []string{"From memory. One measured on this pair is better: type it; it counts as known to a fifth either way."}}
	for _, u := range usualFriction {
		next := p.ReachFlow
		next.run.Friction = profiles.ReachFriction{Coefficient: &u.middle, Low: &u.low, High: &u.high}
		question.Choices = append(question.Choices, p.to(fmt.Sprintf("%s: %.2f, from %.2f to %.2f", u.of, u.middle, u.low, u.high), next.next(), Major))
	}
	question.Enter = &Entering{Label: "Friction coefficient, measured", Example: "0.12", Take: func(f Flow, text string) (Flow, Effect, error) {
		mu, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil {
			return f, None{}, fmt.Errorf("friction coefficient: %q is no number: such as 0.12", text)
		}
		if err := reach.CheckFriction(mu); err != nil {
			return f, None{}, err
		}
		next := p.ReachFlow
		next.run.Friction = profiles.ReachFriction{Coefficient: &mu}
		return f, p.turn(next.next()), nil
	}}
	return question
}

func (p reachPage) whichRoute() Question {
	question := Question{ID: "reach-route", Title: "Which route?", Body: append([]string{"From the drive to the far end, in straights and bends."}, p.offers.notes...), Help: append([]string{
		"A route that was entered is kept, to pick from here. A reach file in the library's folder \"reach\" has all of a run.",
		"A spreadsheet in the library's folder \"routes\" is offered too: \"brinkmark reach --help\" says how it looks."}, reachWhy...)}
	question.Choices = append(question.Choices, p.to("Enter a route", p.at(reachTable), Major))
	room := cardsShown
	for _, c := range p.offers.routes[:min(len(p.offers.routes), room)] {
		next := p.ReachFlow
		next.run.Route.Card, next.run.Sections = c.Name, nil
		next.passed[reachTable], next.passed[reachName] = true, true
		question.Choices = append(question.Choices, p.to(c.Name, next.next(), Major))
		room--
	}
	for _, file := range p.offers.files[:min(len(p.offers.files), room)] {
		next := p.at(reachResult)
		next.file = file
		question.Choices = append(question.Choices, p.to("All of it from a file: "+file, next, Major))
	}
	return question
}
