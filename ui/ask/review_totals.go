package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// others leads to what is about more than one record.
func (p reviewPage) others() Question {
	question := Question{ID: "review-other", Title: "Which page?"}
	question.Choices = []Choice{
		p.to("Totals by week", p.at(reviewWeeks), Major),
		p.to("Setting against temperature", p.at(reviewPairs), Major),
	}
	if n := len(p.view.Unreadable); n > 0 {
		question.Choices = append(question.Choices, p.to(fmt.Sprintf("%s that cannot be read", words.Count(n, "file")), p.at(reviewUnread), Major))
	}
	question.Choices = append(question.Choices, p.back("To the list", p.at(reviewList), Minor), goingHome(Minor))
	if p.who != "" {
		nobody := p.at(reviewList)
		nobody.who = ""
		question.Choices = append(question.Choices, p.to("Not "+p.who+": ask anew", nobody, Minor))
	}
	return question
}

// unreadable lists the trials and reviews that cannot be read.
func (p reviewPage) unreadable() Question {
	question := Question{ID: "review-unread", Title: fmt.Sprintf("%s that cannot be read", words.Count(len(p.view.Unreadable), "file")),
		Choices: []Choice{p.back("To the list", p.at(reviewList), Major)}}
	for _, err := range p.view.Unreadable {
		question.Body = append(question.Body, strings.Split("! "+err.Error(), "\n")...)
	}
	return question
}

// weeks shows the totals of one week, by crew or by rig.
func (p reviewPage) weeks() Question {
	all := p.view.Weeks()
	var mondays []time.Time
	for _, w := range all {
		if len(mondays) == 0 || !mondays[len(mondays)-1].Equal(w.Monday) {
			mondays = append(mondays, w.Monday)
		}
	}
	question := Question{ID: "review-weeks", Title: "Totals by week: there is no trial yet"}
	if len(mondays) > 0 {
		monday := mondays[p.page]
		question.Title = "Week from " + monday.Format("Monday 2006-01-02") + words.YesNo(p.byRig, ", by rig", ", by crew")
		question.Body = []string{"Overrides and skipped checks are the mean of a trial."}
		question.Table = p.weekTable(all, monday)
		question.Help = []string{"A crew is its operator. All trials count, with and without a profile.", "Overrides are settings accepted other than advised, skipped are checks left out, both per trial."}
		by := p.ReviewFlow
		by.byRig = !by.byRig
		question.Choices = append(question.Choices, p.to(words.YesNo(p.byRig, "By crew", "By rig"), by, Major))
	}
	if p.page+1 < len(mondays) {
		before := p.ReviewFlow
		before.page++
		question.Choices = append(question.Choices, p.to("The week before", before, Major))
	}
	if p.page > 0 {
		later := p.ReviewFlow
		later.page--
		question.Choices = append(question.Choices, p.to("The week after", later, Major))
	}
	question.Choices = append(question.Choices, p.back("Back", p.at(reviewOther), Major))
	return question
}

// weekTable sums one week by crew or by rig, the most trials first, and all of it.
func (p reviewPage) weekTable(all []profiles.Week, monday time.Time) *draw.Table {
	sums, order := map[string]*profiles.Week{}, []string{}
	sum := profiles.Week{}
	for _, w := range all {
		if !w.Monday.Equal(monday) {
			continue
		}
		name := strings.TrimSpace(words.YesNo(p.byRig, w.Rig, w.Crew))
		folded := strings.ToLower(name)
		if sums[folded] == nil {
			sums[folded] = &profiles.Week{Crew: cmp.Or(name, "not named")}
			order = append(order, folded)
		}
		for _, to := range []*profiles.Week{sums[folded], &sum} {
			to.Trials, to.Pushes, to.Cable = to.Trials+w.Trials, to.Pushes+w.Pushes, to.Cable+w.Cable
			to.Overrides, to.Skipped = to.Overrides+w.Overrides, to.Skipped+w.Skipped
		}
	}
	slices.SortStableFunc(order, func(a, b string) int {
		return cmp.Or(cmp.Compare(sums[b].Trials, sums[a].Trials), strings.Compare(a, b))
	})
	t := &draw.Table{Head: []string{words.YesNo(p.byRig, "rig", "crew"), "trials", "pushes", "cable used", "overrides", "skipped"}}
	add := func(name string, w profiles.Week, strong bool) {
		t.Add(strong, name, fmt.Sprint(w.Trials), fmt.Sprint(w.Pushes), p.cable(w.Cable), fmt.Sprintf("%.1f", w.OverridesPerTrial()), fmt.Sprintf("%.1f", w.SkippedPerTrial()))
	}
	for _, name := range order {
		add(sums[name].Crew, *sums[name], false)
	}
	if len(order) > 1 {
		add("all", sum, true)
	}
	return t
}

// cable is a length of cable used up, in whole units of the tablet's.
func (p reviewPage) cable(metres float64) string {
	unit := words.YesNo(p.metric, "m", "ft")
	return fmt.Sprintf("%.0f %s", q.In(q.From[q.Length](metres, "m"), unit), unit)
}

// cablePair is a cable and a duct it was tried in.
type cablePair struct{ cableMake, cableType, size string }

// pairs asks which cable and duct the trend is of, those with the most records first.
func (p reviewPage) pairs() Question {
	question := Question{ID: "review-pairs", Title: "Which cable and duct?"}
	of := map[string]cablePair{}
	counted := valuesOf(p.view.Profiles, func(l *profiles.Listed) []string {
		if _, _, _, known := l.Setting(); !known {
			return nil
		}
		text := words.Join(l.Make, l.Type, l.Size)
		folded := strings.ToLower(strings.TrimSpace(text))
		if _, seen := of[folded]; !seen {
			of[folded] = cablePair{l.Make, l.Type, l.Size}
		}
		return []string{text}
	})
	var all []Choice
	for _, v := range counted {
		next := p.at(reviewTrend)
		next.id, next.one, next.pair = "", nil, of[strings.ToLower(v.text)]
		all = append(all, p.to(fmt.Sprintf("%s (%d)", v.text, v.records), next, Major))
	}
	if len(all) == 0 {
		question.Title = "No record has a temperature and a setting"
	}
	question = p.someOf(question, all)
	question.Choices = append(question.Choices, p.back("Back", p.at(reviewOther), Minor))
	return question
}

// trend shows the settings of one cable and duct over temperature.
func (p reviewPage) trend() Question {
	t := newTrend(p.view.Trend(p.pair.cableMake, p.pair.cableType, p.pair.size), p.one, p.metric)
	question := Question{ID: "review-trend", Title: "Setting against temperature: " + words.Join(p.pair.cableMake, p.pair.cableType, p.pair.size), Help: []string{
		"Each mark is the setting of a record at the temperature of its trial. Two rigs cannot be compared by their readings.",
		"A colder cable is stiffer and stands a harder push, so the marks of one rig should fall to the right. One far off the others of its rig wants a look.",
		"Never take a setting between two records, and never above one.",
	}}
	question.Picture = func(w, h int) []string { return draw.PlotTrend(t, w, h) }
	question.Body = t.Notes
	back := p.back("Back", p.at(reviewOther), Major)
	if p.one != nil {
		back = p.back("To the record", p.at(reviewOne), Major)
	}
	question.Choices = append(question.Choices, back)
	return question
}
