package ask

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// openRecord is a record that was read to be looked at.
type openRecord struct {
	*profiles.Listed
	record  *profiles.Record // as written; nil when it cannot be read
	head    profiles.Record  // with its later changes
	flow    Flow             // over it, for the map
	seal    string           // what its seal says
	journal string           // what the seals of the trial's own journal say
	problem error            // why it cannot be read
	file    string           // inside the library

	reviewers []string // who may judge it
}

// record shows a record: what is against it, whether it is whole, what was found, and by
// whom; and asks for a decision.
func (p reviewPage) record() Question {
	o := p.one
	q := Question{ID: "review-one", Title: fmt.Sprintf("%s  %s: %s", stateWord(o.Listed), keyText(o.Listed), settingText(o.Listed))}
	if p.told != "" {
		q.Body = append(q.Body, "! "+p.told)
	}
	q.Body = append(q.Body, againstLines(o.Listed)...)
	q.Body = append(append(q.Body, strings.Split(o.seal, "\n")...), o.byWhom()...)
	if o.record != nil && o.record.Setting != nil {
		if o.HandsOutNothing() {
			q.Body = append(q.Body, "! "+nothingHead)
		}
		q.Body = append(q.Body, o.record.Setting.Lines...)
		for _, w := range o.record.Setting.Warnings {
			q.Body = append(q.Body, "! "+strings.TrimSuffix(words.Capital(w), ".")+".")
		}
	}
	for i := len(o.Actions) - 1; i >= 0; i-- {
		if a := o.Actions[i]; a.Action == profiles.Accept || a.Action == profiles.Expire { // the others are against it
			q.Body = append(q.Body, o.judgedLine(a))
		}
	}
	if o.record != nil {
		q.Choices = append(q.Choices, p.to(reviewPartsOf[0].label, p.at(reviewParts), Minor), p.to(reviewPartsOf[2].label, p.at(reviewParts+2), Minor))
	}
	q.Choices = append(q.Choices, p.to("More of it", p.at(reviewMore), Minor), p.back("To the list", p.at(reviewList), Minor))
	if p.after != "" {
		q.Choices = append(q.Choices, p.to("Next record", p.opening(p.after), Minor))
	}
	for _, d := range deedsFor(o) { // the last, so that all else keeps its digits when some are over
		next := p.at(d.asks)
		next.deed = deed{action: d.action}
		q.Choices = append(q.Choices, p.to(d.label, next.withReviewer(), Major))
	}
	return q
}

// nothingHead stands before what was written of a setting that nothing may be installed with.
const nothingHead = "Hands out nothing. What was written:"

func (o *openRecord) byWhom() []string {
	said := []string{}
	if !o.Made.IsZero() {
		said = append(said, o.Made.Format("Monday 2006-01-02 15:04"))
	}
	for _, part := range [][2]string{{"operator ", o.Operator}, {"watcher ", o.Watcher}, {"", o.Rig}, {"job ", o.Job}, {"", o.Site}, {"reel ", o.Reel}} {
		if part[1] != "" {
			said = append(said, part[0]+part[1])
		}
	}
	if o.Kind != "" {
		said = append(said, o.Kind+" trial")
	}
	if len(said) == 0 {
		return nil
	}
	return []string{words.Capital(strings.Join(said, ", ")) + "."}
}

// judgedLine is what a supervisor did.
func (o *openRecord) judgedLine(a profiles.Judged) string {
	line := fmt.Sprintf("%s, %s: %s%s", a.By, a.At.Format("2006-01-02 15:04"), deedWords[a.Action], onDay(a.Expires))
	if a.Note != "" {
		line += ". " + a.Note
	}
	if o.OwnTrial(a.By) != "" {
		line += " (own trial)"
	}
	if !a.Sealed {
		line += " (this entry was edited, or written by hand)"
	}
	return line
}

// onDay is a day after what happens on it, "" for none.
func onDay(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return " on " + t.Format(time.DateOnly)
}

// reviewPart is a page on a part of a record.
type reviewPart struct {
	label  string
	table  func(*openRecord) *draw.Table
	mapped bool
}

var reviewPartsOf = []reviewPart{
	{"Pushes on the map", (*openRecord).pushes, true},
	{"The pushes one by one", (*openRecord).pushes, false},
	{"What was answered", (*openRecord).answers, false},
	{"Cable, duct, rig and place", (*openRecord).facts, false},
	{"The files and their seals", (*openRecord).files, false},
}

// part shows one part of a record, and leads to the next.
func (p reviewPage) part() Question {
	i := int(p.step - reviewParts)
	of := reviewPartsOf[i]
	q := Question{ID: "review-part", Title: of.label + ": " + keyText(p.one.Listed), Table: of.table(p.one)}
	if of.mapped {
		q.ID, q.Of = "review-map", &p.one.flow
		q.Help = append([]string{"X is the setting that was advised; a push at the same place is under it. The next page lists all of them."}, reviewWhy...)
	}
	if i+1 < len(reviewPartsOf) {
		q.Choices = append(q.Choices, p.to("Next: "+words.LowerFirst(reviewPartsOf[i+1].label), p.at(p.step+1), Major))
	}
	q.Choices = append(q.Choices, p.back("To the record", p.at(reviewOne), Major))
	return q
}

// more leads to all there is of a record.
func (p reviewPage) more() Question {
	q := Question{ID: "review-more", Title: "What of it?", Body: []string{keyText(p.one.Listed) + ": " + settingText(p.one.Listed)}}
	if p.one.record != nil {
		for _, i := range []int{1, 3, 4} {
			q.Choices = append(q.Choices, p.to(reviewPartsOf[i].label, p.at(reviewParts+reviewStep(i)), Major))
		}
		q.Choices = append(q.Choices, p.to("Compare it with another", p.at(reviewPick), Major))
	} else {
		q.Choices = append(q.Choices, p.to(reviewPartsOf[4].label, p.at(reviewParts+4), Major))
	}
	if _, _, _, known := p.one.Setting(); known {
		next := p.at(reviewTrend)
		next.pair = cablePair{p.one.Make, p.one.Type, p.one.Size}
		q.Choices = append(q.Choices, p.to("Setting against temperature", next, Major))
	}
	q.Choices = append(q.Choices, p.back("To the record", p.at(reviewOne), Major))
	return q
}

// pushes lists every push, also those taken back. One that was only written again with what
// was found later, such as the cable a fold cost, is one push.
func (o *openRecord) pushes() *draw.Table {
	t := &draw.Table{Head: []string{"", "at", "setting", "outcome", "noted"}}
	gone := map[int]int{} // by what entry
	for _, u := range o.record.Undos {
		gone[u.Drops] = u.Seq
	}
	all, n := o.record.Attempts, 0
	for i, a := range all {
		by, taken := gone[a.Seq]
		if taken && i+1 < len(all) && all[i+1].Seq == by+1 && saysMore(all[i+1], a) {
			continue
		}
		n++
		noted := pushNotes(a)
		if taken {
			noted = append([]string{"TAKEN BACK"}, noted...)
		}
		at := ""
		if !a.At.IsZero() {
			at = a.At.Format("15:04:05")
		}
		t.Add(a.Outcome == session.Fold || a.JacketDamage, fmt.Sprint(n), at, words.Join(a.Grip.String(), a.Speed.String()), strings.ToUpper(a.Outcome.String()), strings.Join(noted, "; "))
	}
	return t
}

// saysMore reports whether an attempt is the one before it, with more said of it.
func saysMore(again, before profiles.Attempt) bool {
	for _, v := range []struct{ was, is string }{
		{before.CableUsed.String(), again.CableUsed.String()}, {before.StallReading.String(), again.StallReading.String()},
	} {
		if v.was != "" && v.was != v.is {
			return false
		}
	}
	return again.Outcome == before.Outcome && again.Grip == before.Grip && again.Speed == before.Speed &&
		again.VoidReason == before.VoidReason && (again.JacketDamage || !before.JacketDamage)
}

// pushNotes are what was noted of a push beside its outcome.
func pushNotes(a profiles.Attempt) []string {
	var said []string
	say := func(when bool, text string) {
		if when {
			said = append(said, text)
		}
	}
	say(a.JacketDamage, "! jacket marked")
	say(a.VoidReason != "", a.VoidReason)
	if a.BeltsTurning != nil && a.LineMoved != nil {
		said = append(said, words.YesNo(*a.BeltsTurning, "belts turning", "belts stopped")+", "+words.YesNo(*a.LineMoved, "line moved", "line held"))
	}
	say(a.StallReading.String() != "", "stall reading "+a.StallReading.String())
	say(a.CableTemperature.String() != "", "cable "+a.CableTemperature.String())
	say(a.FreshEnd, "fresh end")
	say(!strings.HasPrefix(cmp.Or(a.CableUsed.String(), "0 "), "0 "), "used "+a.CableUsed.String())
	say(a.Note != "", a.Note)
	return said
}

// answers lists what was answered: first what was skipped or wrong, then the rest in its
// order.
func (o *openRecord) answers() *draw.Table {
	t := &draw.Table{Head: []string{"at", "asked", "answer", "by"}}
	gone := map[int]bool{}
	for _, u := range o.record.Undos {
		gone[u.Drops] = true
	}
	for _, odd := range []bool{true, false} {
		for _, a := range o.record.Answers {
			asked, answer, wrong := answerWords(a)
			if gone[a.Seq] {
				answer, wrong = "TAKEN BACK: "+answer, false
			}
			if wrong != odd {
				continue
			}
			if wrong {
				answer = "! " + answer
			}
			at := ""
			if !a.At.IsZero() {
				at = a.At.Format("15:04:05")
			}
			t.Add(wrong, at, asked, answer, a.By)
		}
	}
	return t
}

// answerWords say what was asked and answered, and whether that was skipped or wrong.
func answerWords(a profiles.Answer) (asked, answer string, wrong bool) {
	answer = cmp.Or(words.Join(a.State, a.Value), "answered")
	c, known := session.CheckByID(a.Item)
	if known {
		asked, wrong = c.Ask, !c.Right(a.State, a.Value)
	} else {
		asked = strings.ReplaceAll(a.Item, "-", " ")
	}
	if a.State == session.CautionsRead {
		answer = fmt.Sprintf("%s: %d", a.State, len(strings.Fields(a.Value)))
	}
	if a.SkipReason != "" {
		answer, wrong = "skipped: "+a.SkipReason, true
	}
	return asked, answer, wrong
}

// facts are the job as it stood at the end, and what was changed on the way.
func (o *openRecord) facts() *draw.Table {
	t := &draw.Table{Head: []string{"", ""}}
	add := func(name, value string) {
		if value != "" {
			t.Add(false, words.Capital(name), value)
		}
	}
	for _, c := range o.record.Changes {
		value := fmt.Sprintf("%s at %s", c.Value, c.At.Format("15:04"))
		t.Add(true, "Changed: "+keyWords(c.Key), strings.TrimSuffix(value+": "+c.Reason, ": "))
	}
	for _, f := range recordFacts(o.head) {
		add(f[0], f[1])
	}
	return t
}

// recordFacts are the values of a job, each with its name.
func recordFacts(r profiles.Record) [][2]string {
	var facts [][2]string
	for _, f := range jobFields {
		facts = append(facts, [2]string{keyWords(f.key), f.read(r)})
	}
	return append(facts, [][2]string{
		{"cable lot", r.Cable.Lot}, {"cable print legend", r.Cable.PrintLegend}, {"cable head", r.Cable.Head},
		{"duct lining", r.Duct.Lining.String()}, {"duct lot", r.Duct.Lot},
		{"air temperature", r.Conditions.AirTemperature.String()}, {"inlet air temperature", r.Conditions.InletAirTemperature.String()}, {"surface", r.Conditions.Surface.String()},
		{"belts", r.Rig.Belts}, {"lead-in piece", r.Rig.LeadIn.String()}, {"gap", r.Rig.Gap.String()}, {"supply", r.Rig.Supply}, {"gauges", strings.Join(r.Rig.GaugeIDs, ", ")},
		{"trainee", words.YesNo(r.People.Trainee, "yes", "")}, {"job number", r.Job.Number}, {"site", r.Job.Site},
	}...)
}

// files says where a record is, whether it is as it was written, and who has judged it.
func (o *openRecord) files() *draw.Table {
	t := &draw.Table{Head: []string{"", ""}}
	t.Add(false, "Record", o.ID)
	t.Add(false, "File", o.file)
	t.Add(strings.HasPrefix(o.seal, "!"), "Its seal", strings.TrimPrefix(o.seal, "! "))
	t.Add(strings.HasPrefix(o.journal, "!"), "The trial's journal", strings.TrimPrefix(o.journal, "! "))
	for _, a := range o.Actions {
		t.Add(false, "Review", o.judgedLine(a))
	}
	if len(o.Actions) == 0 {
		t.Add(false, "Review", "none so far")
	}
	return t
}
