package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// pick asks which record the open one is compared with: the nearest in temperature of the
// same cable and duct, or any from the list.
func (p reviewPage) pick() Question {
	o := p.one
	question := Question{ID: "review-pick", Title: "Compare with which?", Body: []string{"This one: " + keyText(o.Listed) + ": " + settingText(o.Listed) + "."}}
	near := slices.DeleteFunc(p.view.Trend(o.Make, o.Type, o.Size), func(l *profiles.Listed) bool { return l.ID == o.ID })
	_, _, at, _ := o.Setting()
	off := func(l *profiles.Listed) float64 {
		if o.disagreesWith(l.ID) {
			return -1
		}
		_, _, t, _ := l.Setting()
		return math.Abs(float64(t - at))
	}
	slices.SortStableFunc(near, func(a, b *profiles.Listed) int { return cmp.Compare(off(a), off(b)) })
	picking := p.ReviewFlow
	picking.picking = true
	for _, l := range near[:min(len(near), someShown)] {
		label := fmt.Sprintf("%s, %s: %s, %s", l.Temperature, cmp.Or(l.Rig, "no rig named"), settingText(l), l.Made.Format("2006-01-02"))
		if o.disagreesWith(l.ID) {
			label = "! Disagrees: " + label
		}
		question.Choices = append(question.Choices, p.to(label, picking.opening(l.ID), Major))
	}
	list := p.at(reviewList)
	list.picking = true
	question.Choices = append(question.Choices, p.to("Any other, from the list", list, Minor), p.back("To the record", p.at(reviewOne), Minor))
	return question
}

// disagreesWith reports whether another record found something else.
func (o *openRecord) disagreesWith(id string) bool {
	return slices.ContainsFunc(o.Exceptions, func(e profiles.Exception) bool {
		return e.Kind == profiles.Disagrees && strings.HasPrefix(e.Detail, id)
	})
}

// compare shows two records side by side, what differs first.
func (p reviewPage) compare() Question {
	question := Question{ID: "review-compare", Title: "Side by side: what differs first"}
	question.Table = compared(p.one, p.second)
	swap := p.opening(p.other)
	question.Choices = []Choice{p.to("With another", p.at(reviewPick), Major), p.to("Open the second one", swap, Major), p.back("To the record", p.at(reviewOne), Major)}
	return question
}

// besides are what two records say of the same, each with its name.
func besides(a, b *openRecord) [][3]string {
	var rows [][3]string
	facts, others := foundFacts(a), foundFacts(b)
	for i, f := range facts {
		rows = append(rows, [3]string{f[0], f[1], others[i][1]})
	}
	return rows
}

// foundFacts are what a trial found, and on what.
func foundFacts(o *openRecord) [][2]string {
	s := cmp.Or(o.record.Setting, &profiles.Setting{})
	setting := settingText(o.Listed)
	if o.HandsOutNothing() {
		setting = nothingHead + " " + setting
	}
	facts := [][2]string{{"setting", setting}, {"advised", words.Join(s.AdvisedGrip.String(), s.AdvisedSpeed.String())}, {"holds up to", s.CoveredUpTo.String()}}
	lowest, pushes := q.Maybe[q.Reading]{}, o.flow.Trial.Attempts()
	for _, a := range pushes {
		if least, seen := lowest.Get(); a.Outcome == session.Fold && (!seen || a.Setting.Speed.Value < least.Value) {
			lowest = q.Known(a.Setting.Speed)
		}
	}
	folded := "none seen"
	if least, seen := lowest.Get(); seen {
		folded = o.flow.Trial.Rig.ShowSpeed(least.Value)
	}
	facts = append(facts, [2]string{"lowest fold", folded}, [2]string{"pushes", fmt.Sprint(len(pushes))})
	return append(facts, recordFacts(o.head)...)
}

// compared puts two records side by side.
func compared(a, b *openRecord) *draw.Table {
	t := &draw.Table{Head: []string{"", "this one", "the other"}}
	var alike [][2]string
	add := func(name, x, y string) {
		switch {
		case x == y && x != "":
			alike = append(alike, [2]string{name, x})
		case x != y:
			t.Add(false, name, cmp.Or(x, "-"), cmp.Or(y, "-"))
		}
	}
	add("state", stateWord(a.Listed), stateWord(b.Listed))
	add("made", a.Made.Format("2006-01-02 15:04"), b.Made.Format("2006-01-02 15:04"))
	add("things against it", fmt.Sprint(len(a.Exceptions)), fmt.Sprint(len(b.Exceptions)))
	for _, row := range besides(a, b) {
		add(row[0], row[1], row[2])
	}
	if len(alike) > 0 {
		t.Add(true, "The same in both:")
	}
	for _, row := range alike {
		t.Add(false, row[0], row[1])
	}
	return t
}
