package ui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	q "brinkmark/session/quantity"
)

func frictionText(mu float64) string { return strconv.FormatFloat(mu, 'f', -1, 64) }

// result says how far the cable comes, and leads to the pictures.
func (p reachPage) result() Question {
	w := p.worked
	question := Question{ID: "reach-result", Title: w.Verdict(), Help: append(slices.Clone(reachWhy), w.notes()...)}
	figures := []figure{w.air(), w.time(), w.ranges()}
	for _, f := range figures {
		question.Body = append(question.Body, f.name+": "+f.value+".")
	}
	for _, text := range w.run.Warnings(w.result) {
		question.Body = append(question.Body, "! "+capital(text)+".")
	}
	question.Body = append(question.Body, "A guide, no promise: friction is never known well.")
	for i, picture := range reachPicturesOf {
		question.Choices = append(question.Choices, p.to(picture.label, p.at(reachPictures+reachStep(i)), major))
	}
	if p.record != nil && p.file == "" {
		file := p.run
		question.Choices = append(question.Choices, Choice{Label: "Start the run record with this", do: func(f Flow) (Flow, Effect) { return f, p.record(file) }})
	}
	if len(w.plans) > 0 {
		question.Choices = append(question.Choices, p.to("An \"enough\" trial for this route", p.at(reachEnough), minor))
	}
	if p.before != nil {
		again := *p.before
		again.worked = nil
		question.Choices = append(question.Choices, p.to("Back one answer", again, minor))
	}
	return question
}

// notes are where figures come from that were not entered.
func (x Reach) notes() []string {
	var lines []string
	for _, n := range x.run.Notes {
		lines = append(lines, capital(n)+".")
	}
	return lines
}

// enough offers trials that prove the push this route needs, and no more.
func (p reachPage) enough() Question {
	w := p.worked
	question := Question{ID: "reach-enough", Title: "An \"enough\" trial for this route", Help: append([]string{
		"Such a trial climbs to a quarter above its plan and no further, so it folds less cable than a full one.",
		"It installs with its plan at most, even if more is proved."}, reachWhy...)}
	question.Body = []string{fmt.Sprintf("The setting gives %s; this route needs less. The plan is by the rig card's pull test, rounded up to a division.", w.force(min(w.run.Push.Safe, w.run.Push.Drive)))}
	for _, plan := range w.plans {
		question.Body = append(question.Body, fmt.Sprintf("With friction %s: %s, so %s, %s.", frictionText(plan.friction), w.force(raised(plan.push, w.run.Units.Force)), plan.plan.Grip, plan.plan.Speed))
		job := plan.job
		question.Choices = append(question.Choices, Choice{Label: fmt.Sprintf("Begin it: %s, %s", plan.plan.Grip, plan.plan.Speed), do: func(f Flow) (Flow, Effect) { return f, Begin{Job: job} }})
	}
	if w.doubt != "" {
		question.Body = append(question.Body, "! "+w.doubt)
	}
	question.Choices = append(question.Choices, p.to("To the result", *p.before, minor))
	return question
}

// reachPicture is a page of the result that is drawn, or said in words.
type reachPicture struct {
	label string
	lines func(Reach, int, int) []string // nil for words
	words func(Reach) []string
}

var reachPicturesOf = []reachPicture{
	{"Push needed, and what there is", func(x Reach, w, h int) []string { return PlotHeads(x.result, x.run.Units, w, h) }, nil},
	{"Push and pressure along the cable", func(x Reach, w, h int) []string { return PlotAlong(x.result, x.run.Units, w, h) }, nil},
	{"The route from above and from the side", func(x Reach, w, h int) []string { return PlotRoute(x.run.Route, x.stops(), x.run.Units, w, h) }, nil},
	{"Where the push is lost, and what would help", nil, Reach.losses},
}

// stops is where the cable stops short of the far end.
func (x Reach) stops() q.Maybe[q.Length] {
	if x.result.ReachesEnd {
		return q.Maybe[q.Length]{}
	}
	return q.Known(x.result.Reach)
}

// losses says where the push goes and what would carry the cable further.
func (x Reach) losses() []string {
	var lines []string
	if heading, sections := x.lost(); len(sections) > 0 {
		lines = append(append(lines, heading), sections...)
	}
	if help := x.helpful(); len(help) > 0 {
		lines = append(append(lines, helpHeading), help...)
	}
	f := x.push()
	return append(lines, f.name+": "+f.value+". "+f.meaning)
}

// picture is one page of the result.
func (p reachPage) picture() Question {
	i := int(p.step - reachPictures)
	of := reachPicturesOf[i]
	question := Question{ID: "reach-picture", Title: of.label, Help: reachWhy}
	if x := p.worked.Reach; of.lines != nil {
		question.picture = func(w, h int) []string { return of.lines(x, w, h) }
	} else {
		question.Body = of.words(x)
	}
	next := p.ReachFlow
	if next.step++; i < len(reachPicturesOf)-1 {
		question.Choices = append(question.Choices, p.to("Next: "+lowerFirst(reachPicturesOf[i+1].label), next, major))
	}
	question.Choices = append(question.Choices, p.to("To the result", *p.before, major))
	return question
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// drawReachPicture draws a picture over the ways on.
func (m *model) drawReachPicture(c *canvas, r rect) {
	rest := m.headline(c, r)
	above := m.buttons(c, rest, max(rest.h-5, 0))
	lines := m.question.picture(above.w, above.h)
	if lines == nil {
		lines = []string{"Too small to draw here."}
	}
	c.picture(above, lines)
}

// Sizes of a picture line by line.
const plainPictureWidth, plainPictureHeight = 76, 18

// showPicture draws a question's picture in characters.
func (p *Plain) showPicture(q Question) {
	if q.picture == nil {
		return
	}
	for _, line := range q.picture(plainPictureWidth, plainPictureHeight) {
		p.say("  " + line)
	}
}
