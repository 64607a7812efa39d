package profiles

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/profiles/store"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/session/run"
)

// longestRun is longer than any run takes: what lasts longer was timed by two clocks. Common
// practice, no source: a day, or with a night's stop two.
const longestRun = 7 * 24 * time.Hour

// Lines tell a run to somebody who was not there: a heading, how it went, what was harder than
// allowed, and what was found. now is for times that are still running.
func (r *RunRecord) Lines(now time.Time) []string {
	engine, err := r.Engine()
	if err != nil {
		return []string{fmt.Sprintf("Run of %s: cannot be read.", r.Started.Format(time.DateOnly))}
	}
	v := run.NewModel(engine.Plan).View(engine, now)
	unit := engine.Plan.Units.Length // the crew thinks in what the cable is printed in
	lines := []string{r.heading(v, unit)}
	minutes, ended := v.Moving.Round(time.Minute), v.End.Known()
	switch {
	case ended && max(v.Moving, v.Stood) > longestRun:
		lines = append(lines, fmt.Sprintf("How long it moved and stood nobody can tell: the clock was wrong; %s.", counted(len(v.Stops), "stop")))
	case ended && minutes > 0:
		lines = append(lines, fmt.Sprintf("Moving %d min, standing %d min, %s.", int(minutes.Minutes()), int(v.Stood.Round(time.Minute).Minutes()), counted(len(v.Stops), "stop")))
	}
	for _, s := range v.Stops {
		line := "Stop: " + s.Reason
		if in, known := s.In.Get(); known {
			line += " at " + reach.LengthText(in, unit)
		}
		if p, known := s.Place.Get(); known {
			line += ", " + p.Says(unit)
		}
		lines = append(lines, line+".")
	}
	for _, o := range v.Overrides {
		who := strings.TrimSpace(o.By)
		if !o.Named() {
			who = "nobody named, or no reason"
		} else {
			who += ": " + o.Reason
		}
		lines = append(lines, fmt.Sprintf("OVERRIDE: %s where %s was allowed (%s).", o.Dialled, o.Allowed, who))
	}
	if v.Folded {
		lines = append(lines, "THE CABLE FOLDED. This profile needs a new trial.")
	}
	if v.Damaged {
		lines = append(lines, "JACKET DAMAGE. This profile needs a new trial.")
	}
	if v.Friction.Kind == run.Fitted {
		lines = append(lines, v.Friction.Says)
	}
	return append(lines, r.closingLines()...)
}

func (r *RunRecord) heading(v run.View, unit string) string {
	line := fmt.Sprintf("Run of %s", r.Started.Format("2006-01-02 15:04"))
	if r.Route.Name != "" {
		line += ", " + r.Route.Name
	}
	in, known := v.Now.In.Get()
	end, ended := v.End.Get()
	switch {
	case ended && end.Arrived && known:
		line += ": arrived, " + reach.LengthText(in, unit) + " in"
	case ended && end.Arrived:
		line += ": arrived"
	case ended && known:
		line += ": given up at " + reach.LengthText(in, unit) + " (" + end.Reason + ")"
	case ended:
		line += ": given up (" + end.Reason + ")"
	case known:
		line += ": not finished, " + reach.LengthText(in, unit) + " in"
	default:
		line += ": not begun"
	}
	return line + "."
}

func counted(n int, of string) string {
	if n == 1 {
		return "1 " + of
	}
	return fmt.Sprintf("%d %ss", n, of)
}

// closingLines are what was found at the end, as written.
func (r *RunRecord) closingLines() []string {
	undone := dropped(r.Undos)
	var lines []string
	for _, c := range r.Closings {
		if undone[c.Seq] {
			continue
		}
		lines = nil // the last one counts
		add := func(label, text string) {
			if text != "" {
				lines = append(lines, label+": "+text+".")
			}
		}
		loops := make([]string, len(c.Loops))
		for i, l := range c.Loops {
			loops[i] = l.String()
		}
		add("Slack", c.Slack.String())
		add("Loops", strings.Join(loops, ", "))
		add("Left on the reel", c.Remainder.String())
		add("Jacket", c.Jacket)
		if c.StubRetired != nil {
			add("Stub retired", map[bool]string{true: "yes", false: "no"}[*c.StubRetired])
		}
		add("Note", c.Note)
	}
	return lines
}

// runRow puts what a run says into its row of the index.
func runRow(from summed, r *row) error {
	record, engine, err := parseRun(from.path, []byte(from.text))
	if err != nil {
		return err
	}
	name := r.id
	if record.ID != "" {
		r.id = record.ID
	}
	r.kind, r.of, r.started = runKind, record.Of, timeText(record.Started)
	r.make, r.cable, r.duct, r.temperature = record.Cable.Make, record.Cable.Type, record.Duct.Size, record.Plan.CableTemperature.text
	r.reel, r.rig, r.operator, r.watcher = record.Cable.Reel, record.Rig.Name, record.People.Operator, record.People.Watcher
	r.number, r.site = record.Job.Number, record.Job.Site
	r.grip, r.speed = record.Plan.Grip.text, record.Plan.Speed.text
	in := engine.In()
	r.cableUsed = q.In(in.Or(0), "m")
	r.overrides, r.pushes = len(engine.Overrides()), engine.StopCount()
	r.folded, r.damaged = engine.Hurt()
	r.hurts = packHurts(hurtsOf(engine))
	r.closed, r.arrived = engine.Closed(), engine.Arrived()
	odd := runExceptions(engine, r.sealed)
	if from.flaw.Edited {
		odd = append(odd, Exception{EditedSinceSealed, from.flaw.Says})
	}
	if record.ID != "" && record.ID != name {
		odd = append(odd, Exception{WrongName, record.ID})
	}
	r.exceptions = packExceptions(odd)
	return nil
}

// runExceptions are what a run shows by itself that a supervisor has to see, the worst first.
func runExceptions(r run.Run, sealed bool) []Exception {
	var list []Exception
	say := func(when bool, k ExceptionKind, detail string) {
		if when {
			list = append(list, Exception{k, detail})
		}
	}
	folded, damaged := r.Hurt()
	say(folded, FoldInRun, "")
	say(damaged, DamageInRun, "")
	say(r.HurtTakenBack(), HurtTakenBack, "")
	open, left := r.OpenKillers(), r.LeftOut()
	say(len(open) > 0, KillerOpen, strings.Join(open, ", "))
	say(len(left) > 0, CheckSkipped, strings.Join(left, ", "))
	for _, o := range r.Overrides() {
		detail := fmt.Sprintf("%s where %s was allowed", o.Dialled, o.Allowed)
		if o.Named() {
			detail += ", by " + o.By + ": " + o.Reason
		} else {
			detail += ", and nobody says who decided it, or why"
		}
		say(true, OverrideInRun, detail)
	}
	say(!sealed, NotSealed, "")
	return list
}

// run is the row as it is listed.
func (r *row) run(in store.Store) RunSummary {
	return RunSummary{
		ID: r.id, Of: r.of, Path: r.where(in), name: r.name(), Cable: strings.TrimSpace(r.make + " " + r.cable), Duct: r.duct, Operator: r.operator, Rig: r.rig,
		Job: r.number, Site: r.site, Began: when(r.started), In: q.Length(r.cableUsed), Overrides: r.overrides, Stops: r.pushes,
		Folded: r.folded, Damaged: r.damaged, Closed: r.closed, Arrived: r.arrived, Exceptions: unpackExceptions(r.exceptions),
	}
}

// findRuns tells profiles what runs made with them have shown.
func (v *Review) findRuns(runs []*row) {
	byID := v.byID()
	for _, r := range runs {
		if r.problem != nil {
			continue
		}
		say := func(when bool, k ExceptionKind, detail string) {
			for _, p := range byID[r.of] {
				if when {
					p.Exceptions = append(p.Exceptions, Exception{k, detail})
				}
			}
		}
		at := "run " + r.id
		if began := when(r.started); !began.IsZero() {
			at += ", " + began.Format(time.DateOnly)
		}
		say(r.folded, FoldInRun, at)
		say(r.damaged, DamageInRun, at)
		say(slices.Contains(unpackExceptions(r.exceptions), Exception{HurtTakenBack, ""}), HurtTakenBack, at)
		say(r.overrides > 0, OverrideInRun, fmt.Sprintf("%s: %s", at, counted(r.overrides, "time")))
	}
}

// identifyRun reads a run strictly, for an exchange.
func identifyRun(at, _ string, data []byte, r *exchangedRecord) (id string, err error) {
	record, engine, err := parseRun(at, data)
	if err != nil {
		return "", err
	}
	if r.open = !engine.Closed(); r.open {
		r.fold, r.mark = engine.Hurt()
	}
	return record.ID, nil
}
