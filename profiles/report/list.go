package report

import (
	"encoding/csv"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
)

// List is a supervisor's list: exceptions first.
type List struct {
	Profiles   []ListedProfile `json:"profiles"`
	Unreadable []string        `json:"unreadable"` // trials and reviews
	Weeks      []ListedWeek    `json:"weeks"`
	Warnings   []string        `json:"warnings"`
}

// ListedProfile is one profile of a list.
type ListedProfile struct {
	ID         string            `json:"id"`
	File       string            `json:"file"`
	Key        ListedKey         `json:"key"`
	Setting    *Setting          `json:"setting"`
	State      string            `json:"state"` // new, accepted, queried, expired, withdrawn
	Exceptions []ListedException `json:"exceptions"`
	Nothing    bool              `json:"hands_out_nothing"` // it is not to be installed with
	Kind       string            `json:"kind"`
	Made       *string           `json:"made"`
	Reel       string            `json:"reel"`
	Rig        string            `json:"rig"`
	Operator   string            `json:"operator"`
	Watcher    string            `json:"watcher"`
	Job        string            `json:"job"`
	Site       string            `json:"site"`
	Actions    []ListedAction    `json:"actions"`
	Expires    *string           `json:"expires"` // the earliest a supervisor set
}

// ListedKey is what a profile is kept by.
type ListedKey struct {
	Make        string    `json:"cable_make"`
	Type        string    `json:"cable_type"`
	Temperature *Quantity `json:"cable_temperature"`
	Size        string    `json:"duct_size"`
}

// ListedException is one thing that is the matter.
type ListedException struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// ListedAction is what a supervisor did.
type ListedAction struct {
	Action  string  `json:"action"`
	By      string  `json:"by"`
	At      *string `json:"at"`
	Note    string  `json:"note"`
	Expires *string `json:"expires"`
	Own     bool    `json:"own_trial"` // by its operator or watcher
}

// ListedWeek are the totals of one crew with one rig in one week.
type ListedWeek struct {
	Monday            string   `json:"monday"`
	Crew              string   `json:"crew"`
	Rig               string   `json:"rig"`
	Trials            int      `json:"trials"`
	Pushes            int      `json:"pushes"`
	Cable             Quantity `json:"cable"`
	OverridesPerTrial float64  `json:"overrides_per_trial"`
	SkippedPerTrial   float64  `json:"skipped_checks_per_trial"`
}

// ReviewJSON puts the profiles and weeks of a review, as filtered and sorted, into their
// outside form, with all that cannot be read.
func ReviewJSON(v profiles.Review, list []*profiles.Listed, weeks []profiles.Week) List {
	out := List{Profiles: []ListedProfile{}, Unreadable: []string{}, Weeks: []ListedWeek{}, Warnings: []string{}}
	for _, p := range list {
		out.Profiles = append(out.Profiles, listed(p))
	}
	for _, err := range v.Unreadable {
		out.Unreadable = append(out.Unreadable, err.Error())
	}
	for _, w := range weeks {
		cable := q.From[q.Length](w.Cable, "m")
		out.Weeks = append(out.Weeks, ListedWeek{w.Monday.Format(time.DateOnly), w.Crew, w.Rig, w.Trials, w.Pushes, Of(cable, q.Text(cable, "m")), w.OverridesPerTrial(), w.SkippedPerTrial()})
	}
	return out
}

func listed(p *profiles.Listed) ListedProfile {
	out := ListedProfile{
		ID: p.ID, File: p.Path, Key: ListedKey{Make: p.Make, Type: p.Type, Size: p.Size}, State: string(p.Stands),
		Exceptions: []ListedException{}, Nothing: p.HandsOutNothing(), Kind: p.Kind, Made: timeOrNull(p.Made), Reel: p.Reel, Rig: p.Rig,
		Operator: p.Operator, Watcher: p.Watcher, Job: p.Job, Site: p.Site, Actions: []ListedAction{},
	}
	if grip, speed, temperature, known := p.Setting(); known {
		t := Of(temperature, p.Temperature)
		out.Key.Temperature = &t
		reading := Quantity{speed.Value, speed.Unit, p.Speed}
		if speed.Unit == "m/s" {
			reading = Of(q.Speed(speed.Value), p.Speed)
		}
		out.Setting = &Setting{Of(grip, p.Grip), reading}
	}
	for _, e := range p.Exceptions {
		out.Exceptions = append(out.Exceptions, ListedException{e.Kind.String(), e.Says()})
	}
	if at := p.Expires(); !at.IsZero() {
		out.Expires = timeOrNull(at)
	}
	for _, a := range p.Actions {
		out.Actions = append(out.Actions, ListedAction{string(a.Action), a.By, timeOrNull(a.At), a.Note, timeOrNull(a.Expires), p.OwnTrial(a.By) != ""})
	}
	return out
}

func timeOrNull(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := t.Format(time.RFC3339)
	return &s
}

var reviewColumns = []string{"id", "state", "exceptions", "cable make", "cable type", "duct size", "cable temperature", "grip pressure", "speed",
	"kind", "made", "reel", "rig", "operator", "watcher", "job", "site", "exception texts", "file",
	"cable temperature (°C)", "grip pressure (kPa)", "push control", "push control unit", "expires"}

// ReviewCSV writes the profiles of a review for a spreadsheet: a line each, the
// exceptions in one cell, and the key's and setting's numbers again in units that can be
// sorted. What else cannot be read has a line with its file in place of a key.
func ReviewCSV(w io.Writer, list []*profiles.Listed, unreadable []error) error {
	rows := [][]string{reviewColumns}
	for _, p := range list {
		form := listed(p)
		var kinds, texts []string
		for _, e := range form.Exceptions {
			kinds, texts = append(kinds, e.Kind), append(texts, e.Text)
		}
		row := []string{p.ID, form.State, strings.Join(kinds, "; "), p.Make, p.Type, p.Size, p.Temperature, p.Grip, p.Speed,
			p.Kind, text(form.Made), p.Reel, p.Rig, p.Operator, p.Watcher, p.Job, p.Site, strings.Join(texts, "; "), p.Path}
		if set := form.Setting; set != nil {
			row = append(row, number(form.Key.Temperature.Value), number(set.Grip.Value), number(set.Speed.Value), set.Speed.Unit)
		}
		row = append(row, make([]string, len(reviewColumns)-1-len(row))...)
		rows = append(rows, append(row, text(form.Expires)))
	}
	for _, err := range unreadable {
		row := make([]string, len(reviewColumns))
		row[1], row[2], row[17] = "unreadable", profiles.Unreadable.String(), err.Error()
		rows = append(rows, row)
	}
	return writeCells(csv.NewWriter(w), rows)
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// WeeksCSV writes the weekly totals for a spreadsheet.
func WeeksCSV(w io.Writer, weeks []profiles.Week) error {
	rows := [][]string{{"week from", "crew", "rig", "trials", "pushes", "cable used (m)", "overrides per trial", "skipped checks per trial"}}
	for _, k := range weeks {
		rows = append(rows, []string{k.Monday.Format(time.DateOnly), k.Crew, k.Rig, strconv.Itoa(k.Trials), strconv.Itoa(k.Pushes),
			strconv.FormatFloat(k.Cable, 'f', 1, 64), strconv.FormatFloat(k.OverridesPerTrial(), 'f', 2, 64), strconv.FormatFloat(k.SkippedPerTrial(), 'f', 2, 64)})
	}
	return writeCells(csv.NewWriter(w), rows)
}

func writeCells(out *csv.Writer, rows [][]string) error {
	for _, row := range rows {
		for i := range row {
			row[i] = cell(row[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

var (
	formula  = regexp.MustCompile(`^\s*[=+\-@]`)
	negative = regexp.MustCompile(`^-[0-9.]+( [^0-9+*/()=@-]*)?$`)
)

// cell is a text that a spreadsheet takes for a text, and never for a formula.
func cell(s string) string {
	s = printable(s)
	if formula.MatchString(s) && !negative.MatchString(s) {
		return "'" + s
	}
	return s
}

// printable is a text without what could change how the rest of it shows.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsPrint(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return -1
	}, s)
}
