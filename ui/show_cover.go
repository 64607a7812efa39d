package ui

import (
	"fmt"
	"io"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// CoversHelp is what the covers command is and does.
const CoversHelp = `Compares a job with every profile of the library: does one hold today? The job
needs cable make, cable type, duct size and cable temperature; whatever else it
says is compared too. A supervisor's rules.toml in the library can tighten the
rules. FILE is a job in TOML; nothing is written.
Exit code 0: covered. 10: short check first. 11: a full trial is needed.
  brinkmark covers job.toml --json`

// Cover is a job's cover verdict, to show.
type Cover struct {
	profiles.Verdict
	warning string // of the job's file
}

// ReadCover reads a job's file and compares it with the profiles of a library.
func ReadCover(l *profiles.Library, path string, now time.Time) (Cover, error) {
	job, warning, err := profiles.ReadFile(path)
	if err != nil {
		return Cover{}, err
	}
	v, err := l.Cover(*job, now)
	if err != nil {
		return Cover{}, fmt.Errorf("%s: %w", path, err)
	}
	return Cover{v, warning}, nil
}

// Code is the verdict as an exit code.
func (c Cover) Code() int {
	return map[profiles.Effect]int{profiles.Covered: 0, profiles.ShortCheck: 10, profiles.Retest: 11}[c.Effect]
}

// Form is the verdict as other programs read it.
func (c Cover) Form() report.Cover { return report.CoverOf(c.Verdict) }

// fieldWords are the words in which the crew knows what is compared.
var fieldWords = map[string]string{
	"cable.make": "Cable make", "cable.type": "Cable type", "cable.outer_diameter": "Cable diameter", "cable.reel": "Reel", "cable.lot": "Cable lot", "cable.head": "Cable head",
	"duct.size": "Duct size", "duct.inner_diameter": "Inner diameter of the duct", "duct.lining": "Lining", "duct.lot": "Duct lot",
	"rig.name": "Rig", "rig.push_unit": "Push control", "rig.belts": "Belts", "rig.lead_in": "Lead-in piece", "rig.gap": "Gap", "rig.supply": "Supply",
	"conditions.surface": "Surface", "conditions.cable_temperature": "Temperature", "plan.speed": "Planned speed", "limits.speed": "Limits",
	"setting.accepted": "Age", "findings": "Found later", "profile": "Profiles",
}

var verdictWords = map[profiles.Effect][2]string{
	profiles.Covered:    {"COVERED: a profile holds for this job.", "Dial it, read it back aloud, and watch the temperature."},
	profiles.ShortCheck: {"SHORT CHECK first: a profile may hold for this job.", "Make three pushes on a plugged stub at 10 % above the setting. Three stalls pass it; anything else means a full trial."},
	profiles.Retest:     {"RETEST: no profile holds for this job.", "Make a full trial on a plugged stub."},
}

// Lines are the verdict for the job screen: what it is, what may be used, and every
// reason in short.
func (c Cover) Lines() []string {
	lines := []string{"Cover: " + c.Effect.String()}
	if s, known := c.Setting.Get(); known {
		lines[0] += ", " + c.usable(s)
	}
	for _, r := range c.Reasons {
		if r.Effect > profiles.Covered {
			lines = append(lines, fmt.Sprintf("  %s: %s (%s)", fieldWords[r.Field], r.Effect, beside(r)))
		}
	}
	if n := len(c.Unreadable); n > 0 {
		lines = append(lines, fmt.Sprintf("  %d more cannot be read: the covers command names them", n))
	}
	return lines
}

// CoverLines are the verdict for the job screen; none while the job lacks what profiles
// are kept by.
func CoverLines(c *profiles.Candidates, job profiles.Record, now time.Time) []string {
	v, err := c.Cover(job, now)
	if err != nil {
		return nil
	}
	return Cover{Verdict: v}.Lines()
}

// usable is the setting that may be used meanwhile.
func (c Cover) usable(s session.Setting) string {
	if s != c.Best.Setting {
		return fmt.Sprintf("meanwhile no more than the drop-to setting %s", c.Best.Show(s))
	}
	return "setting " + c.Best.Show(s)
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

// Show prints the verdict, what to do, every reason, and the other near profiles.
func (c Cover) Show(out io.Writer) {
	out = Printable(out)
	words := verdictWords[c.Effect]
	fmt.Fprintln(out, words[0])
	if c.Best != nil {
		say(out, 2, map[bool]string{true: "The nearest profile is ", false: "Profile "}[c.Effect == profiles.Retest]+describe(c.Best))
	}
	if s, known := c.Setting.Get(); known {
		say(out, 2, capital(c.usable(s))+".")
		if c.Effect == profiles.Covered {
			say(out, 2, "It holds for cable and inlet air up to "+session.WholeDegrees(c.CoveredUpTo, c.Thermometer)+".")
		}
	} else if c.Effect == profiles.ShortCheck {
		say(out, 2, "Outside the stiffness table no lower setting can be worked out: nothing may be used before the short check.")
	}
	say(out, 2, words[1])
	c.showDropTo(out)
	c.showReasons(out)
	c.showNear(out)
	fmt.Fprintln(out)
	say(out, 0, "Local codes, site rules and makers' instructions come first. Never a higher setting, and none between two profiles.")
}

func (c Cover) showDropTo(out io.Writer) {
	if len(c.DropTo) == 0 {
		return
	}
	fmt.Fprintln(out, "\nIf it gets warmer, no more than this until a short check:")
	for _, d := range c.DropTo {
		fmt.Fprintf(out, "  up to %s: %s\n", q.Text(d.UpTo, c.Thermometer), c.Best.Show(d.Setting))
	}
}

func (c Cover) showReasons(out io.Writer) {
	if len(c.Reasons) == 0 {
		fmt.Fprintln(out, "\nNothing that was compared differs.")
		return
	}
	fmt.Fprintln(out, "\nReasons:")
	for _, r := range c.Reasons {
		effect := r.Effect.String()
		if r.Effect == profiles.Covered {
			effect = "not compared"
		}
		say(out, 2, fmt.Sprintf("%s: %s. %s", fieldWords[r.Field], effect, capital(beside(r))+"."))
		say(out, 4, r.Why)
	}
}

// beside is what the profile says, and what the job does.
func beside(r profiles.Reason) string {
	switch {
	case r.Field == "profile":
		return "the job is " + r.Job
	case r.Field == "setting.accepted":
		return "proved " + either(r.Profile, "at a time not known") + ", now " + r.Job
	case r.Field == "findings":
		return r.Profile
	case r.Profile == "" && r.Job == "":
		return "not said on either side"
	}
	return "profile " + either(r.Profile, "not said") + ", today " + either(r.Job, "not said")
}

const mostNear = 10

func (c Cover) showNear(out io.Writer) {
	if len(c.Near) == 0 {
		return
	}
	fmt.Fprintln(out, "\nOther near profiles, with what differs:")
	for _, m := range c.Near[:min(len(c.Near), mostNear)] {
		say(out, 2, capital(m.Effect.String())+": "+describe(m))
		for _, r := range m.Reasons() {
			if r.Effect > profiles.Covered {
				alike := map[bool]string{true: " Written almost alike."}[r.Alike]
				say(out, 4, fmt.Sprintf("%s: %s. %s.%s", fieldWords[r.Field], r.Effect, capital(beside(r)), alike))
			}
		}
	}
	if more := len(c.Near) - mostNear; more > 0 {
		fmt.Fprintf(out, "  and %d more.\n", more)
	}
}

func describe(m *profiles.Match) string {
	made := "at a time not known"
	if !m.Made.IsZero() {
		made = m.Made.Format("2006-01-02 15:04")
	}
	return fmt.Sprintf("%s: %s, made %s, setting %s.", m.ID, m.Name(), made, m.Show(m.Setting))
}

// say prints a text, indented and broken into lines.
func say(out io.Writer, indent int, text string) {
	for _, line := range wrap(text, textWidth-indent) {
		fmt.Fprintln(out, strings.Repeat(" ", indent)+line)
	}
}
