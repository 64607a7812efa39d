package profiles

import (
	"slices"
	"time"

	"github.com/oklog/ulid/v2"

	"brinkmark/session"
)

// SaidToday returns the answers of a crew, in the other trials and runs it began here on a day,
// that the cautions of the site were read. What was edited or damaged answers for nothing, and
// what cannot be read was not said.
func (l *Library) SaidToday(day time.Time, crew session.Crew, but string) []session.Happened {
	var said []session.Happened
	trials, _ := l.trialIDs()
	for _, id := range onDay(trials, day, but) {
		r, warning, err := l.readRecord(trialName(id))
		if err != nil || warning != "" {
			continue
		}
		if t, err := r.Trial(); err == nil && t.People.Crew().Same(crew) {
			said = append(said, t.ReadOnSite()...)
		}
	}
	runs, _ := l.recordIDs("runs")
	for _, id := range onDay(runs, day, but) {
		r, warning, err := l.readRun(runName(id))
		if err != nil || warning != "" {
			continue
		}
		if engine, err := r.Engine(); err == nil && engine.People.Crew().Same(crew) {
			said = append(said, engine.ReadOnSite()...)
		}
	}
	return said
}

// onDay are the other ids, newest first, that were given on a day, as its clock has it.
func onDay(ids []string, day time.Time, but string) []string {
	ids = ids[:min(len(ids), recent)]
	y, m, d := day.Date()
	return slices.DeleteFunc(slices.Clone(ids), func(id string) bool {
		at := ulid.Time(ulid.MustParseStrict(id).Time()).In(day.Location())
		ay, am, ad := at.Date()
		return id == but || ay != y || am != m || ad != d
	})
}
