package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"brinkmark/profiles"
	"brinkmark/session"
)

//go:embed sheet.html
var sheetText string

// sheetPage is read when the first sheet is asked for: no start of the program waits for it.
var sheetPage = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("sheet").Funcs(template.FuncMap{"join": strings.Join}).Parse(sheetText))
})

// SheetOf is what a hand-over sheet is made from.
type SheetOf struct {
	Profile *profiles.Record
	Listed  *profiles.Listed // where it stands in the review; nil when not known
	Holds   profiles.Holds   // what may be installed with, or why nothing
	Printed time.Time
	Run     []string // lines on the run made with it, if any
}

// Sheet writes a profile as one HTML page for people without the program: nothing is
// fetched, it prints on one or two sheets of A4 or Letter, and it needs no colours.
// Whatever stands in the record is shown as text. It is an error if the record is no
// profile.
func Sheet(w io.Writer, of SheetOf) error {
	if of.Profile == nil || of.Profile.Setting == nil {
		return fmt.Errorf("no sheet: this record has no install setting\n  name a profile")
	}
	s, err := newSheet(of)
	if err != nil {
		return err
	}
	return sheetPage().Execute(w, s)
}

// sheet is all that the page shows, as printable text.
type sheet struct {
	Title, Grip, Speed, Control string
	State                       string
	Stop                        string // why it is not to be used
	Lines, Warnings             []string
	Key, Facts                  []labelled
	UpTo, CheckDue, Expires     string
	Until                       string // without a check
	DropTo                      [][2]string
	Rules                       []sheetRule
	Exceptions, Actions         []string
	Map                         *sheetMap
	Attempts                    []sheetAttempt
	Checks                      []sheetCheck
	Changes                     []string
	People                      []labelled
	Run, Cautions               []string
	ID, Printed                 string
}

type labelled struct{ Label, Text string }

type sheetRule struct{ When, What string }

type sheetAttempt struct {
	N                                           int
	At, Grip, Speed, Outcome, Seen, Used, Notes string
}

type sheetCheck struct {
	Ask, State, By string
	Odd            bool // skipped, or not right
}

func newSheet(of SheetOf) (*sheet, error) {
	r, err := of.Profile.AsChanged()
	if err != nil {
		return nil, err
	}
	t, err := of.Profile.Trial()
	if err != nil {
		return nil, err
	}
	set := r.Setting
	s := &sheet{
		Title: printable(strings.Join([]string{r.Cable.Make, r.Cable.Type, r.Duct.Size}, ", ")),
		Grip:  printable(of.Holds.Grip), Speed: printable(of.Holds.Speed), Control: printable(t.Rig.PushControl),
		Warnings: printables(set.Warnings),
		UpTo:     printable(of.Holds.UpTo), CheckDue: clock(of.Holds.CheckDue), Rules: rules(of.Holds.Asks),
		ID: printable(r.ID), Printed: clock(of.Printed), Run: printables(of.Run),
	}
	if s.Control == "" {
		s.Control = "push control"
	}
	for _, d := range of.Holds.DropTo {
		s.DropTo = append(s.DropTo, [2]string{printable(d.UpTo), printable(d.Setting)})
	}
	s.describe(r)
	s.stand(of.Listed)
	switch {
	case len(of.Holds.Why) > 0 && s.Stop == "":
		s.Stop = printable(strings.Join(of.Holds.Why, " "))
	case s.Grip == "" && s.Stop == "":
		s.Stop = "it holds for nothing"
	}
	if s.Stop == "" {
		s.Lines = printables(set.Lines)
		if of.Holds.Until.Year() >= firstYear {
			s.Until = of.Holds.Until.Format("15:04 on 2006-01-02")
		}
	}
	if of.Holds.ByHand {
		s.Warnings = append(s.Warnings, "written by hand, or by a version that did not seal")
	}
	if s.Map = newSheetMap(t, set.Speed.String(), set.Grip.String()); s.Map != nil {
		s.Map.Set = s.Stop == ""
	}
	s.history(of.Profile, t)
	for _, when := range []session.Moment{session.BeforeTrial, session.CarryingOver, session.BeforeAir, session.DuringRun} {
		for _, c := range session.Cautions(when) {
			if when != session.BeforeTrial || c.ID == "local-first" || c.ID == "no-air-on-plug" {
				s.Cautions = append(s.Cautions, c.Say)
			}
		}
	}
	return s, nil
}

// describe fills in what the record says of cable, duct, rig and people.
func (s *sheet) describe(r profiles.Record) {
	add := func(to *[]labelled, label string, texts ...string) {
		if text := printable(strings.TrimSpace(strings.Join(texts, " "))); text != "" {
			*to = append(*to, labelled{label, text})
		}
	}
	s.Key = []labelled{
		{"Cable make", printable(r.Cable.Make)}, {"Cable type", printable(r.Cable.Type)},
		{"Cable temperature", printable(r.Conditions.CableTemperature.String())}, {"Duct size", printable(r.Duct.Size)},
	}
	f := &s.Facts
	add(f, "Reel", r.Cable.Reel)
	add(f, "Lot", r.Cable.Lot)
	add(f, "Print legend", r.Cable.PrintLegend)
	add(f, "Cable diameter", r.Cable.OuterDiameter.String())
	add(f, "Cable head", r.Cable.Head)
	add(f, "Duct bore, lining", r.Duct.InnerDiameter.String(), r.Duct.Lining.String())
	add(f, "Duct lot", r.Duct.Lot)
	add(f, "Air", r.Conditions.AirTemperature.String())
	add(f, "Jacket", r.Conditions.Surface.String())
	add(f, "Rig", r.Rig.Name)
	add(f, "Belts", r.Rig.Belts)
	add(f, "Lead-in piece", r.Rig.LeadIn.String())
	add(f, "Gap", r.Rig.Gap.String())
	add(f, "Supply", r.Rig.Supply)
	add(f, "Gauges", strings.Join(r.Rig.GaugeIDs, ", "))
	add(f, "Job", r.Job.Number)
	add(f, "Site", r.Job.Site)
	p := &s.People
	add(p, "Operator", r.People.Operator)
	add(p, "Watcher", r.People.Watcher)
	if r.People.Trainee {
		*p = append(*p, labelled{"Trainee", "yes"})
	}
	add(p, "Kind of trial", r.Kind.String())
	add(p, "Begun", clock(r.Started))
	add(p, "Accepted", clock(r.Setting.Accepted))
}

// stand fills in where the profile stands with the supervisors.
func (s *sheet) stand(p *profiles.Listed) {
	s.State = "not known"
	if p == nil {
		return
	}
	s.State = string(p.Stands)
	if at := p.Expires(); !at.IsZero() {
		s.Expires = "A supervisor lets it expire: it covers nothing from " + clock(at) + " on."
	}
	if p.Stands == profiles.StandsExpired || p.Stands == profiles.StandsWithdrawn {
		s.Stop = s.State + " by a supervisor"
	}
	for _, e := range p.Exceptions {
		if e.Kind == profiles.EditedSinceSealed {
			s.Stop = e.Kind.Says()
		}
		s.Exceptions = append(s.Exceptions, printable(e.Says()))
	}
	for _, a := range p.Actions {
		line := fmt.Sprintf("%s, %s: %s", a.By, clock(a.At), a.Action)
		if !a.Expires.IsZero() {
			line += " on " + clock(a.Expires)
		}
		if a.Note != "" {
			line += ", " + a.Note
		}
		if p.OwnTrial(a.By) != "" {
			line += " (own trial)"
		}
		if !a.Sealed {
			line += " (this entry was edited, or written by hand)"
		}
		s.Actions = append(s.Actions, printable(line))
	}
}

// history fills in pushes, checks and changes. What was taken back is left out.
func (s *sheet) history(r *profiles.Record, t session.Trial) {
	written := map[int]profiles.Attempt{}
	for _, a := range r.Attempts {
		written[a.Seq] = a
	}
	for i, a := range t.Attempts() {
		w := written[a.Seq]
		row := sheetAttempt{N: i + 1, Grip: w.Grip.String(), Speed: w.Speed.String(), Outcome: a.Outcome.String(), Used: w.CableUsed.String()}
		if !a.At.IsZero() {
			row.At = a.At.Format("15:04:05")
		}
		row.Seen = strings.Join(seen(w), ", ")
		row.Notes = strings.Trim(strings.Join([]string{a.VoidReason, a.Note}, "; "), "; ")
		row.Grip, row.Speed, row.Used, row.Seen, row.Notes = printable(row.Grip), printable(row.Speed), printable(row.Used), printable(row.Seen), printable(row.Notes)
		s.Attempts = append(s.Attempts, row)
	}
	last := map[string]session.Answer{}
	for _, a := range t.Answers() {
		last[a.Item] = a
	}
	for _, table := range [][]session.Check{session.Checks(), session.DueCarryOver(session.CheckLog{}, time.Time{})} {
		for _, c := range table {
			if a, ok := last[c.ID]; ok {
				s.Checks = append(s.Checks, newSheetCheck(c, a))
			}
		}
	}
	for _, c := range t.Changes() {
		s.Changes = append(s.Changes, printable(fmt.Sprintf("%s: %s (%s) %s", keyWords(c.Key), c.Value, c.Reason, clock(c.At))))
	}
}

// keyWords says a record's key to people: "rig.lead_in" as "rig lead in".
func keyWords(key string) string {
	return strings.NewReplacer("conditions.", "", "people.", "", ".", " ", "_", " ").Replace(key)
}

func newSheetCheck(c session.Check, a session.Answer) sheetCheck {
	out := sheetCheck{Ask: c.Ask, State: printable(strings.Trim(a.State+", "+a.Value, ", ")), By: printable(a.By), Odd: !c.Right(a.State, a.Value)}
	if a.SkipReason != "" {
		out.State, out.Odd = "skipped: "+printable(a.SkipReason), true
	}
	return out
}

// seen is what was noted of a push beside its outcome.
func seen(a profiles.Attempt) []string {
	var said []string
	if a.BeltsTurning != nil {
		said = append(said, map[bool]string{true: "belts turning", false: "belts stopped"}[*a.BeltsTurning])
	}
	if a.LineMoved != nil {
		said = append(said, map[bool]string{true: "line moved", false: "line held"}[*a.LineMoved])
	}
	if text := a.StallReading.String(); text != "" {
		said = append(said, "stall reading "+text)
	}
	if a.JacketDamage {
		said = append(said, "JACKET DAMAGE")
	}
	if text := a.CableTemperature.String(); text != "" {
		said = append(said, "cable "+text)
	}
	if a.FreshEnd {
		said = append(said, "fresh end")
	}
	return said
}

// rules are when the setting has to be checked or tried anew.
func rules(asks []profiles.CoverRule) []sheetRule {
	list := []sheetRule{{When: "New trial, if another or changed"}, {When: "Short check first, if another or changed"}}
	for _, asked := range asks {
		rule := &list[0]
		if asked.Effect == profiles.ShortCheck {
			rule = &list[1]
		}
		if rule.What != "" {
			rule.What += "; "
		}
		rule.What += asked.Says
	}
	return slices.DeleteFunc(list, func(r sheetRule) bool { return r.What == "" })
}

func printables(list []string) []string {
	var out []string
	for _, s := range list {
		out = append(out, printable(s))
	}
	return out
}

func clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2006-01-02 15:04 -07:00")
}
