package ask

import (
	"cmp"
	"fmt"

	"brinkmark/profiles"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// mandrel begins the duct's day sheet. What a sheet before it says is offered again.
func (p runPage) mandrel() Question {
	without := p.to("No mandrel went through", p.at(runPasses), Minor)
	question := p.pad("run-mandrel", "Which mandrel went through? Its diameter", Entering{Label: "Diameter", Example: p.mandrelExample(), Now: p.lastProving().Mandrel.String()}, without,
		func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runMandrelLength, func(d *runDraft, v profiles.Quantity[q.Length]) { d.proving.Mandrel = v })
			return p.unlessOdd(text, p.engine.Plan.OddMandrel(text), next), err
		})
	question.Body = []string{"One owner wants it a quarter of an inch thinner than the bore."}
	if bore, known := p.engine.Plan.Bore.Get(); known {
		question.Body = []string{fmt.Sprintf("Bore %s; one owner wants it a quarter of an inch thinner.", q.Text(bore, p.diameterUnit()))}
	}
	if len(p.record.Provings) > 0 {
		question.Body = append([]string{"! Before each shot the far end says clear anew; before each test both ends are capped and tied, nobody near."}, question.Body...)
	}
	question.Choices = append(question.Choices, p.to("No proving sheet today", p.at(runNoSheet), Minor))
	return question
}

func (p runPage) diameterUnit() string { return cmp.Or(p.engine.Plan.Units.Diameter, "mm") }

// mandrelExample is a mandrel of the size one owner wants, as an example only.
func (p runPage) mandrelExample() string {
	bore, known := p.engine.Plan.Bore.Get()
	if gap := q.From[q.Length](0.25, "in"); known && bore > 2*gap {
		return q.Text(bore-gap, p.diameterUnit())
	}
	return words.YesNo(p.customary(), "1.1 in", "28 mm")
}

// lastProving is the sheet made before in this run, if one was.
func (p runPage) lastProving() profiles.Proving {
	if n := len(p.record.Provings); n > 0 {
		return p.record.Provings[n-1]
	}
	return profiles.Proving{}
}

func (p runPage) mandrelLength() Question {
	return p.pad("run-mandrel-length", "How long is the mandrel?", Entering{Label: "Length", Example: words.YesNo(p.customary(), "16 in", "400 mm"), Now: p.lastProving().MandrelLength.String()},
		p.to("Not measured", p.at(runPasses), Minor), func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runPasses, func(d *runDraft, v profiles.Quantity[q.Length]) { d.proving.MandrelLength = v })
			return p.unlessOdd(text, p.engine.Plan.OddMandrelLength(text), next), err
		})
}

func (p runPage) passes() Question {
	question := Question{ID: "run-passes", Counts: true, Title: "How often did swab and mandrel go through?", Body: []string{"Until a swab comes out clean and dry."}}
	for n, label := range []string{"Not at all", "Once", "Twice", "Three times", "Four times or more"} {
		next := p.at(runHeldAt)
		next.draft.proving.Passes = n
		if n == 0 && p.engine.SwabbedClean() {
			next = p.unlessOdd("not at all", "The last swab is said to have come out clean and dry.", next)
		}
		question.Choices = append(question.Choices, p.to(label, next, Major))
	}
	return question
}

func (p runPage) heldAt() Question {
	question := p.pad("run-held", "Which pressure was the shut duct held at?", Entering{Label: "Gauge pressure", Example: words.YesNo(p.customary(), "145 psi", "10 bar"), Now: p.lastProving().HeldAt.String()},
		p.to("No pressure was held", p.at(runSaidClear), Minor), func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runHeldFor, func(d *runDraft, v profiles.Quantity[q.Pressure]) { d.proving.HeldAt = v })
			return p.unlessOdd(text, p.engine.Plan.OddHeld(text), next), err
		})
	question.Body = []string{"The maker's print and the owner's figure come first."}
	return question
}

func (p runPage) heldFor() Question {
	question := Question{ID: "run-held-for", Title: "For how long?"}
	span := func(text string) (RunFlow, error) {
		v, err := profiles.NewSpan(text)
		next := p.at(runLost)
		next.draft.proving.HeldFor = v
		return next, err
	}
	for _, text := range []string{"2 min", "5 min", "10 min"} {
		next, _ := span(text)
		question.Choices = append(question.Choices, p.to(text, next, Major))
	}
	question.Enter = p.pad("", "", Entering{Label: "Another time", Example: "90 s"}, Choice{}, span).Enter
	return question
}

func (p runPage) lost() Question {
	at := p.draft.proving.HeldAt
	unit, err := q.Unit[q.Pressure](at.String())
	if err != nil {
		unit = "bar"
	}
	next := p.at(runSaidClear)
	next.draft.proving.Lost = asWritten[q.Pressure]("0 " + unit)
	return p.pad("run-lost", fmt.Sprintf("How much did it lose in %s?", p.draft.proving.HeldFor), Entering{Label: "Lost", Example: words.YesNo(unit == "bar", "0.4 bar", "6 psi"), Now: "0 " + unit, Step: words.YesNo(unit == "bar", "0.1 bar", "1 "+unit)},
		p.to("Nothing that shows", next, Minor), func(text string) (RunFlow, error) {
			next, err := taken(p.RunFlow, text, runSaidClear, func(d *runDraft, v profiles.Quantity[q.Pressure]) { d.proving.Lost = v })
			return p.unlessOdd(text, p.engine.Plan.OddLost(text, at.String()), next), err
		})
}

// saidClear asks who spoke for the far end, and writes the sheet.
func (p runPage) saidClear() Question {
	sheet := func(who string) RunFlow {
		done := p.draft.proving
		done.FarEndClear = who
		return p.writing(done)
	}
	question := p.pad("run-said-clear", "Who said clear at the far end, before each shot?", Entering{Label: "Name", Example: "initials will do"}, Choice{}, func(text string) (RunFlow, error) { return sheet(text), nil })
	rest := question.Choices
	question.Choices = nil
	if who := p.record.People.FarEnd; who != "" {
		question.Choices = append(question.Choices, p.to(who, sheet(who), Major))
	}
	question.Choices = append(question.Choices, p.to("Nobody is named", sheet(""), majorIf(p.record.People.FarEnd == "")))
	question.Choices = append(question.Choices, rest...)
	return question
}

func majorIf(first bool) Rank {
	if first {
		return Major
	}
	return Minor
}

// noSheet leaves the proving out; that stays said.
func (p runPage) noSheet() Question {
	left := func(reason string) RunFlow {
		a := p.answer(run.ItemProved, "left out", "")
		a.SkipReason = reason
		return p.writing(a)
	}
	question := p.pad("run-no-sheet", "Why is the duct not proved?", Entering{Label: "Reason in your words", Example: "sheet of the duct crew"}, Choice{}, func(text string) (RunFlow, error) { return left(text), nil })
	question.Body = []string{"It stays on record that this run went into a duct nobody proved today."}
	rest := question.Choices
	question.Choices = nil
	for _, reason := range []string{"proved before, by the duct's own sheet", "the owner does not allow it", "proved in part only, as written"} {
		question.Choices = append(question.Choices, p.to(reason, left(reason), Major))
	}
	question.Choices = append(question.Choices, rest...)
	return question
}
