package ask

import (
	"fmt"
	"slices"
	"strconv"

	"brinkmark/ui/draw"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

func frictionText(mu float64) string { return strconv.FormatFloat(mu, 'f', -1, 64) }

// result says how far the cable comes, and leads to the pictures.
func (p reachPage) result() Question {
	w := p.worked
	question := Question{ID: "reach-result", Title: w.Verdict(), Help: append(slices.Clone(reachWhy), w.Notes()...)}
	for _, text := range w.Run.Warnings(w.Result) {
		question.Body = append(question.Body, "! "+words.Capital(text)+".")
	}
	question.Body = append(append(question.Body, w.InBrief()...), "A guide, no promise: friction is never known well.")
	for i, picture := range reachPicturesOf {
		question.Choices = append(question.Choices, p.to(picture.label, p.at(reachPictures+reachStep(i)), Major))
	}
	if p.record != nil && p.file == "" {
		file := p.run
		question.Choices = append(question.Choices, Choice{Label: "Start the run record with this", Do: func(f Flow) (Flow, Effect) { return f, p.record(file) }})
	}
	if len(w.plans) > 0 {
		question.Choices = append(question.Choices, p.to("An \"enough\" trial for this route", p.at(reachEnough), Minor))
	}
	if p.before != nil {
		again := *p.before
		again.worked = nil
		question.Choices = append(question.Choices, p.to("Back one answer", again, Minor))
	}
	return question
}

// enough offers trials that prove the push this route needs, and no more.
func (p reachPage) enough() Question {
	w := p.worked
	question := Question{ID: "reach-enough", Title: "An \"enough\" trial for this route", Help: append([]string{
		"Such a trial climbs to a quarter above its plan and no further, so it folds less cable than a full one.",
		"It installs with its plan at most, even if more is proved."}, reachWhy...)}
	question.Body = []string{fmt.Sprintf("The setting gives %s; this route needs less. The plan is by the rig card's pull test, rounded up to a division.", w.Force(min(w.Run.Push.Safe, w.Run.Push.Drive)))}
	for _, plan := range w.plans {
		question.Body = append(question.Body, fmt.Sprintf("With friction %s: %s, so %s, %s.", frictionText(plan.friction), w.Force(show.Raised(plan.push, w.Run.Units.Force)), plan.plan.Grip, plan.plan.Speed))
		job := plan.job
		question.Choices = append(question.Choices, Choice{Label: fmt.Sprintf("Begin it: %s, %s", plan.plan.Grip, plan.plan.Speed), Do: func(f Flow) (Flow, Effect) { return f, Begin{Job: job} }})
	}
	if w.doubt != "" {
		question.Body = append(question.Body, "! "+w.doubt)
	}
	question.Choices = append(question.Choices, p.to("To the result", *p.before, Minor))
	return question
}

// reachPicture is a page of the result that is drawn, or said in words.
type reachPicture struct {
	label string
	lines func(show.Reach, int, int) []string // nil for words
	words func(show.Reach) []string
}

var reachPicturesOf = []reachPicture{
	{"Push needed, and what there is", func(x show.Reach, w, h int) []string { return draw.PlotHeads(x.Result, x.Run.Units, w, h) }, nil},
	{"Push and pressure along the cable", func(x show.Reach, w, h int) []string { return draw.PlotAlong(x.Result, x.Run.Units, w, h) }, nil},
	{"The route from above and from the side", func(x show.Reach, w, h int) []string {
		return draw.PlotRoute(x.Run.Route, x.Stops(), x.Run.Units, w, h)
	}, nil},
	{"Where push is lost, and what helps", nil, show.Reach.Losses},
}

// picture is one page of the result.
func (p reachPage) picture() Question {
	i := int(p.step - reachPictures)
	of := reachPicturesOf[i]
	question := Question{ID: "reach-picture", Title: of.label, Help: reachWhy}
	if x := p.worked.Reach; of.lines != nil {
		question.Picture = func(w, h int) []string { return of.lines(x, w, h) }
	} else {
		question.Body = of.words(x)
	}
	next := p.ReachFlow
	if next.step++; i < len(reachPicturesOf)-1 {
		question.Choices = append(question.Choices, p.to("Next: "+words.LowerFirst(reachPicturesOf[i+1].label), next, Major))
	}
	question.Choices = append(question.Choices, p.to("To the result", *p.before, Major))
	return question
}
