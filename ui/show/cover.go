package show

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	"brinkmark/ui/words"
)

// Cover is a job's cover verdict, to show.
type Cover struct {
	profiles.Verdict
	warning string // of the job's file
	now     time.Time
	Problem error  // why there is no verdict
	none    string // said of a library that is not there
}

// NoLibrary says that a library is not there.
func NoLibrary(l *profiles.Library) string {
	return fmt.Sprintf("there is no library at %s: nothing is read from it, and the first answer makes one", l.Where())
}

// ReadCover reads a job's file and compares it with the profiles of a library.
func ReadCover(l *profiles.Library, from profiles.Source, now time.Time) (Cover, error) {
	job, warning, err := from.Record()
	if err != nil {
		return Cover{}, err
	}
	v, err := l.Cover(*job, now)
	if err != nil {
		return Cover{}, fmt.Errorf("%s: %w", words.OneLine(from.Path), err)
	}
	c := Cover{Verdict: passedOver(v), warning: warning, now: now}
	if l.Missing() {
		c.none = NoLibrary(l)
	}
	return c, nil
}

// passedOver does not say of a library that it has no profile while some could not be read.
func passedOver(v profiles.Verdict) profiles.Verdict {
	if n := len(v.Unreadable); v.Best == nil && n > 0 {
		v.Reasons[0].Why = fmt.Sprintf("Of this cable in this duct, or near to it, the library has none that can be used; %d %s passed over.", n, words.YesNo(n == 1, "was", "were"))
	}
	return v
}

// Code is the verdict as an exit code.
func (c Cover) Code() int {
	return map[profiles.Effect]int{profiles.Covered: 0, profiles.ShortCheck: 10, profiles.Retest: 11}[c.Effect]
}

// Form is the verdict as other programs read it.
func (c Cover) Form() report.Cover {
	form := report.CoverOf(c.Verdict)
	form.Warnings = append(form.Warnings, words.NotEmpty(c.warning, c.none)...)
	for _, err := range c.Unreadable {
		form.Warnings = append(form.Warnings, "passed over: "+err.Error())
	}
	return form
}

// fieldWords are the words in which the crew knows what is compared.
var fieldWords = map[string]string{
	"cable.make": "Cable make", "cable.type": "Cable type", "cable.outer_diameter": "Cable diameter", "cable.reel": "Reel", "cable.lot": "Cable lot", "cable.head": "Cable head",
	"duct.size": "Duct size", "duct.inner_diameter": "Inner diameter of the duct", "duct.lining": "Lining", "duct.lot": "Duct lot",
	"rig.name": "Rig", "rig.push_unit": "Push control", "rig.belts": "Belts", "rig.lead_in": "Lead-in piece", "rig.gap": "Gap", "rig.supply": "Supply",
	"conditions.surface": "Surface", "conditions.cable_temperature": "Temperature", "plan.speed": "Planned speed", "limits.speed": "Limits",
	"setting.accepted": "Age", "setting": "Setting", "times": "Times", "seal": "Seal", "findings": "Found later", "profile": "Profiles",
}

// VerdictWords say a verdict as a title.
var VerdictWords = map[profiles.Effect][2]string{
	profiles.Covered:    {"COVERED: a profile holds for this job.", "Dial it, read it back aloud, and watch the temperature."},
	profiles.ShortCheck: {"SHORT CHECK first: a profile may hold for this job.", "Make three pushes on a plugged stub at 10 % above the setting. Three stalls pass it; anything else means a full trial."},
	profiles.Retest:     {"RETEST: no profile holds for this job.", "Make a full trial on a plugged stub."},
}

// mostNearLines is how many other profiles the job screen names.
const mostNearLines = 3

// Lines are the verdict for the job screen: what it is, what may be used, every reason in
// short, and the other near profiles with what differs.
func (c *Cover) Lines() []string {
	switch {
	case c == nil:
		return nil
	case c.Problem != nil:
		return []string{"! " + c.Problem.Error()}
	}
	lines := []string{"Cover: " + c.Effect.String()}
	if c.Best == nil {
		lines[0] = "Cover: no profile of this cable yet: a full trial"
		if n := len(c.Unreadable); n > 0 {
			lines[0] = "Cover: no profile of this cable that can be used: a full trial"
		}
	} else if s, known := c.Setting.Get(); known {
		lines[0] += ", " + c.usable(s)
	}
	if c.Best != nil && c.Effect == profiles.Covered {
		lines = append(lines, cmp.Or(DueLine(c.Job, c.CoveredUpTo, c.now), "  for cable and inlet air up to "+session.WholeDegrees(c.CoveredUpTo, c.Thermometer)))
	}
	var unsaid []string
	for _, r := range c.Reasons {
		switch {
		case r.Effect == profiles.Covered || c.Best == nil:
		case r.Unsaid():
			unsaid = append(unsaid, strings.ToLower(fieldWords[r.Field]))
		default:
			lines = append(lines, fmt.Sprintf("  %s: %s (%s)", fieldWords[r.Field], r.Effect, beside(r)))
		}
	}
	if len(unsaid) > 0 {
		lines = append(lines, "  Not said on either side: short check ("+strings.Join(unsaid, ", ")+")")
	}
	if len(c.Reasons) > 0 && c.Reasons[0].Field == "cable.make" {
		lines = append(lines, "  "+c.Reasons[0].Why) // the same diameter looks like the same cable
	}
	for _, m := range c.Near[:min(len(c.Near), mostNearLines)] {
		lines = append(lines, "  Near: "+nearLine(m))
	}
	if more := len(c.Near) + c.Further - mostNearLines; more > 0 {
		lines = append(lines, fmt.Sprintf("  and %d more near profiles", more))
	}
	if n := len(c.Unreadable); n > 0 {
		lines = append(lines, fmt.Sprintf("  %d more cannot be read: the covers command names them", n))
	}
	return lines
}

// nearLine is another near profile with what differs, in a line.
func nearLine(m *profiles.Match) string {
	var differs []string
	for _, r := range m.Reasons() {
		if r.Effect > profiles.Covered {
			differs = append(differs, strings.ToLower(fieldWords[r.Field]))
		}
	}
	return fmt.Sprintf("%s: %s (%s)", m.Name(), m.Effect, cmp.Or(strings.Join(differs, ", "), "nothing differs"))
}

func madeOn(m *profiles.Match) string {
	if m.Made.IsZero() {
		return "at a time not known"
	}
	return m.Made.Format("2006-01-02 15:04")
}

// CoverOf is the verdict on a job; nil while the job lacks what profiles are kept by.
func CoverOf(c *profiles.Candidates, job profiles.Record, now time.Time) *Cover {
	v, err := c.Cover(job, now)
	if err != nil {
		return nil
	}
	return &Cover{Verdict: passedOver(v), now: now}
}

// usable is the setting that may be used meanwhile.
func (c Cover) usable(s session.Setting) string {
	if s != c.Best.Setting {
		return fmt.Sprintf("meanwhile no more than the drop-to setting, %s", c.Best.Named(s))
	}
	return "setting: " + c.Best.Named(s)
}

// Tell names what could not be read of the job and the library.
func (c Cover) Tell(out io.Writer) {
	if c.warning != "" {
		fmt.Fprintln(out, "brinkmark: "+c.warning)
	}
	for _, err := range c.Unreadable {
		fmt.Fprintf(out, "brinkmark: passed over: %v\n", err)
	}
}

// said is a line of text, indented; an empty one parts two blocks.
type said struct {
	indent int
	text   string
}

// Show prints the verdict, what to do, every reason, the other near profiles, and the
// tag for the lid.
func (c Cover) Show(out io.Writer) {
	out = words.Printable(out)
	fmt.Fprintln(out, VerdictWords[c.Effect][0])
	for _, line := range c.said() {
		for _, part := range words.Wrap(line.text, TextWidth-line.indent) {
			fmt.Fprintln(out, strings.Repeat(" ", line.indent)+part)
		}
	}
}

// Page is what [Cover.Show] prints below its first line, for a page of the screens. The
// tag has a page of its own there.
func (c Cover) Page() []string {
	var lines []string
	for _, line := range append(c.verdict(), c.details()...) {
		if line.text != "" {
			lines = append(lines, strings.Repeat(" ", line.indent)+line.text)
		}
	}
	return lines
}

func (c Cover) said() []said {
	lines := append(c.verdict(), c.details()...)
	if c.Best != nil && c.Effect == profiles.Covered {
		lines = append(lines, said{}, said{0, "Tag for the lid, to copy by hand:"})
		for _, line := range c.Tag().Lines() {
			lines = append(lines, said{2, line})
		}
	}
	return append(lines, said{}, said{0, "Local codes, site rules and makers' instructions come first. Never a higher setting, and none between two profiles."})
}

// verdict is what may be used, what to do, and last of which profile that is.
func (c Cover) verdict() []said {
	var lines []said
	if s, known := c.Setting.Get(); known {
		lines = append(lines, said{2, words.Capital(c.usable(s)) + "."})
		if c.Effect == profiles.Covered {
			lines = append(lines, said{2, "It holds for cable and inlet air up to " + session.WholeDegrees(c.CoveredUpTo, c.Thermometer) + "."})
			if due := DueLine(c.Job, c.CoveredUpTo, c.now); due != "" {
				lines = append(lines, said{2, due})
			}
		}
	} else if c.Effect == profiles.ShortCheck {
		lines = append(lines, said{2, "Outside the stiffness table no lower setting can be worked out: nothing may be used before the short check."})
	}
	lines = append(lines, said{2, VerdictWords[c.Effect][1]})
	if len(c.DropTo) > 0 {
		lines = append(lines, said{}, said{0, "If it gets warmer, no more than this until a short check:"})
	}
	for _, d := range c.DropTo {
		lines = append(lines, said{2, fmt.Sprintf("up to %s: %s", session.WholeDegrees(d.UpTo, c.Thermometer), c.Best.Named(d.Setting))})
	}
	if c.Best != nil {
		which := map[bool]string{true: "The nearest profile is ", false: "Profile "}[c.Effect == profiles.Retest]
		if s, known := c.Setting.Get(); known && s == c.Best.Setting { // it stands above
			which += fmt.Sprintf("%s, made %s, id %s.", c.Best.Name(), madeOn(c.Best), c.Best.ID)
		} else {
			which += describe(c.Best)
		}
		lines = append(lines, said{}, said{2, which}) // indented: no text from a file begins a line
	}
	return lines
}

// mostNear is how many other profiles are shown in full.
const mostNear = 10

// details are every reason, and the other near profiles with theirs.
func (c Cover) details() []said {
	lines := []said{{}, {0, "Reasons:"}}
	if len(c.Reasons) == 0 {
		lines[1].text = "Nothing that was compared differs."
	}
	for _, r := range c.Reasons {
		effect := r.Effect.String()
		if r.Effect == profiles.Covered && (r.Profile == "" || r.Job == "") {
			effect = "not compared"
		}
		lines = append(lines, said{2, fmt.Sprintf("%s: %s. %s", fieldWords[r.Field], effect, words.Capital(beside(r))+".")}, said{4, r.Why})
	}
	if len(c.Near) > 0 {
		lines = append(lines, said{}, said{0, "Other near profiles, with what differs:"})
	}
	for _, m := range c.Near[:min(len(c.Near), mostNear)] {
		lines = append(lines, said{2, words.Capital(m.Effect.String()) + ": " + describe(m)})
		for _, r := range m.Reasons() {
			alike := map[bool]string{true: " Written almost alike."}[r.Alike]
			line := said{4, fmt.Sprintf("%s: %s. %s.%s", fieldWords[r.Field], r.Effect, words.Capital(beside(r)), alike)}
			if r.Effect > profiles.Covered && line != lines[len(lines)-1] { // several may be against a setting
				lines = append(lines, line)
			}
		}
	}
	if more := len(c.Near) + c.Further - mostNear; more > 0 {
		lines = append(lines, said{2, fmt.Sprintf("and %d more.", more)})
	}
	return lines
}

// beside is what the profile says, and what the job does.
func beside(r profiles.Reason) string {
	switch {
	case r.Field == "profile":
		return "the job is " + r.Job
	case r.Field == "setting.accepted":
		return "proved " + cmp.Or(r.Profile, "at a time not known") + ", now " + r.Job
	case r.Field == "setting": // which one is not said: it is not to be installed with
		return "what was written does not hold"
	case r.Field == "findings" || r.Field == "times":
		return r.Profile
	case r.Field == "seal":
		return "written by hand"
	case r.Profile == "" && r.Job == "":
		return "not said on either side"
	}
	return "profile " + cmp.Or(r.Profile, "not said") + ", today " + cmp.Or(r.Job, "not said")
}

func describe(m *profiles.Match) string {
	if m.Effect == profiles.Retest { // it is not to be installed with
		return fmt.Sprintf("%s, made %s, id %s.", m.Name(), madeOn(m), m.ID)
	}
	return fmt.Sprintf("%s, made %s, setting: %s, id %s.", m.Name(), madeOn(m), m.Named(m.Setting), m.ID)
}
