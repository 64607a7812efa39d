package show

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// reachSamples is how many samples a range is made from.
const reachSamples = 1000

// Reach is a run and how far it comes, to show.
type Reach struct {
	Run    profiles.Reach
	Result reach.Result
	spread reach.Range
	help   reach.Help
}

// ReadReach reads a reach file and works out how far the cable comes. The range takes a
// second or so; progress, which may be nil, is told how much of it is done. The same file
// gives the same figures every time.
func ReadReach(library *profiles.Library, from profiles.Source, progress func(done, of int)) (Reach, error) {
	run, err := library.ReadReach(from)
	if err != nil {
		return Reach{}, err
	}
	x, err := WorkOut(run, progress)
	if err != nil {
		return Reach{}, fmt.Errorf("%s: %w\n  mend it in the file", words.OneLine(from.Path), err)
	}
	return x, nil
}

// WorkOut works out how far the cable comes; the same on the command line and on screens.
func WorkOut(run profiles.Reach, progress func(done, of int)) (x Reach, err error) {
	x.Run = run
	if x.Result, err = reach.Find(run.Job); err != nil {
		return x, err
	}
	if x.help, err = reach.Advise(run.Job, run.Ratings); err != nil {
		return x, err
	}
	x.spread, err = reach.Spread(run.Job, run.Doubt, reachSamples, rand.New(rand.NewPCG(1, 2)), progress)
	x.spread = x.spread.Around(x.Result.Reach)
	return x, err
}

// ReachProgress returns a progress that writes one line over and over, for a terminal.
func ReachProgress(out io.Writer) func(done, of int) {
	told := -1
	return func(done, of int) {
		if part := 10 * done / max(1, of); part > told {
			told = part
			fmt.Fprintf(out, "\rworking out the range: %d %%", 10*part)
		}
		if done == of {
			fmt.Fprint(out, "\r\x1b[K")
		}
	}
}

// Code is the result as an exit code.
func (x Reach) Code() int {
	if x.Result.ReachesEnd {
		return 0
	}
	return 10
}

// Form is the result as other programs read it.
func (x Reach) Form() report.Reach { return report.ReachOf(x.Run, x.Result, x.spread, x.help) }

func (x Reach) length(l q.Length) string { return reach.LengthText(l, x.Run.Units.Length) }

// Force is a push in the unit of the run.
func (x Reach) Force(f q.Force) string { return reach.ForceText(f, x.Run.Units.Force) }

func (x Reach) flow(f q.FlowRate) string {
	return reach.FlowText(f, x.Run.Units.Flow)
}

// Verdict is the answer in one sentence.
func (x Reach) Verdict() string {
	r := x.Result
	stuck, isStuck := r.Stuck.Get()
	locks, isLocked := stuck.Locks.Get()
	safe := min(x.Run.Push.Safe, x.Run.Push.Drive)
	switch {
	case isStuck && stuck.Seal:
		return fmt.Sprintf("DOES NOT START: at the seal the air pushes back with %s, and the drive may give no more than %s.", x.Force(r.Entry), x.Force(safe))
	case isLocked && locks < r.End:
		return fmt.Sprintf("STOPS at %s of %s: the cable locks, and past %s no push helps.", x.length(r.Reach), x.length(r.End), x.length(locks))
	case isStuck:
		return fmt.Sprintf("STOPS at %s of %s: beyond it needs more push than %s.", x.length(r.Reach), x.length(r.End), x.Force(safe))
	case x.spread.EndShare < sure:
		return fmt.Sprintf("REACHES the end, %s, BUT NOT SURELY: in %.0f of 100 cases.", x.length(r.End), 100*x.spread.EndShare)
	}
	return fmt.Sprintf("REACHES the end, %s, with no more than %s.", x.length(r.End), x.Force(safe))
}

// sure is the share of cases that reach the end from which it is said without a but.
// Chosen here.
const sure = 0.9

// Show prints the verdict, what it takes, the range, where the push is lost, what would
// help, and what to mind.
func (x Reach) Show(out io.Writer) {
	out = words.Printable(out)
	spell(out, 0, x.Verdict())
	if x.Run.Name != "" {
		spell(out, 2, x.Run.Name)
	}
	fmt.Fprintln(out)
	for _, f := range []Figure{x.air(), x.time(), x.push(), x.ranges()} {
		fmt.Fprintf(out, "%s: ", f.Name)
		lines := words.Wrap(f.Value, TextWidth-len(f.Name)-2)
		fmt.Fprintln(out, strings.Join(lines, "\n  "))
		if f.Meaning != "" {
			Paragraph(out, f.Meaning)
		}
	}
	x.showLost(out)
	x.showHelp(out)
	x.showWarnings(out)
	for _, lines := range [][]string{draw.PlotHeads(x.Result, x.Run.Units, TextWidth, 14), draw.PlotAlong(x.Result, x.Run.Units, TextWidth, 14)} {
		if len(lines) > 0 {
			fmt.Fprintf(out, "\n%s\n", strings.Join(lines, "\n"))
		}
	}
}

// InBrief are the figures that a crew decides by, a line each.
func (x Reach) InBrief() []string {
	var lines []string
	for _, f := range []Figure{x.ranges(), x.air(), x.time()} {
		lines = append(lines, f.Name+": "+f.Value+".")
	}
	return lines
}

func (x Reach) air() Figure {
	r := x.Result
	f := Figure{Name: "Air", Value: fmt.Sprintf("%s of free air with the duct empty, %s at the end of the run, at %s",
		x.flow(r.FreeAirEmpty), x.flow(r.FreeAir), q.Text(r.Inlet, x.Run.Units.Pressure))}
	f.Meaning = "Free air at 20 °C (68 °F) and sea level, about 15 % either way. The compressor must give the first figure to hold the pressure from the start."
	return f
}

func (x Reach) time() Figure {
	f := Figure{Name: "Time", Value: profiles.MinutesText(x.Result.Time) + " without a stop"}
	if top := x.topSpeed(); float64(x.Result.SpeedAtReach) < 0.999*float64(top) {
		f.Meaning = fmt.Sprintf("At the end it does %s.", q.Text(x.Result.SpeedAtReach, x.Run.Units.Speed))
		if !x.Result.ReachesEnd {
			f.Meaning = "Up to where it only crawls: a falling speed is the sign that it will stop."
		}
	}
	return f
}

func (x Reach) topSpeed() q.Speed { return x.Run.Push.TopSpeed }

func (x Reach) push() Figure {
	r := x.Result
	at := "at the end"
	if !r.ReachesEnd {
		at = "where it stops"
	}
	f := Figure{Name: "Push", Value: fmt.Sprintf("%s the drive gives %s of the %s it may have", words.Capital(at), x.Force(r.Drive), x.Force(min(x.Run.Push.Safe, x.Run.Push.Drive)))}
	if r.Drive < 0 {
		f.Value = fmt.Sprintf("%s the drive must hold back with %s", words.Capital(at), x.Force(-r.Drive))
	}
	f.Meaning = fmt.Sprintf("At the seal the air pushes back with %s; the cable behind it needs %s.", x.Force(r.Entry), x.Force(r.PushAtInlet))
	if r.PushAtInlet < 0 {
		f.Meaning = fmt.Sprintf("At the seal the air pushes back with %s; behind it the air pulls with %s.", x.Force(r.Entry), x.Force(-r.PushAtInlet))
	}
	if need, known := x.help.NeededPush.Get(); known && r.ReachesEnd {
		most := min(Raised(need, x.Run.Units.Force), x.Run.Push.Safe, x.Run.Push.Drive) // rounded up, but not past what there is
		f.Meaning += fmt.Sprintf(" The hardest place needs %s%s; an \"enough\" trial may plan for that.", x.Force(most), x.reading(need))
	}
	return f
}

// reading is where the push control must stand for a push, once a rig card says so.
func (x Reach) reading(f q.Force) string {
	plan, known := x.Run.Plan.Get()
	if !known {
		return ""
	}
	at, within := plan.Reading(f)
	if !within {
		return ", more than this rig can"
	}
	return ", at " + at + " by the rig card"
}

// inputWords are what a crew can do about a figure in doubt.
var inputWords = map[string][2]string{
	"friction":  {"friction", "pull a piece of the cable through a piece of the duct, or fit it to the push seen early in the run"},
	"pressure":  {"the pressure at the duct's mouth", "read a gauge there, with the air flowing"},
	"mass":      {"the cable's mass", "weigh a metre of it"},
	"stiffness": {"the cable's stiffness", "\"brinkmark droop\" tells it from a ruler"},
	"waves":     {"how the duct lies", "look at it where it is open, or ask those who laid it"},
	"contact":   {"how a pushed cable bears against the wall", "no measurement before the run tells it"},
}

func (x Reach) ranges() Figure {
	s := x.spread
	text := func(l q.Length) string {
		if l >= x.Result.End {
			return "the end"
		}
		return x.length(l)
	}
	f := Figure{Name: "Range", Value: fmt.Sprintf("from %s to %s, likely %s; %.0f of 100 cases reach the end", text(s.Low), text(s.High), text(s.Likely), 100*s.EndShare)}
	if s.Low >= x.Result.End {
		f.Value = fmt.Sprintf("the end; %.0f of 100 cases reach it", 100*s.EndShare)
	}
	widest := slices.IndexFunc(s.Inputs, func(i reach.Influence) bool { return i.Of != "contact" })
	if widest >= 0 && s.Inputs[widest].Width() > 0 {
		i := s.Inputs[widest]
		f.Meaning = fmt.Sprintf("It hangs most on %s: that alone makes it %s to %s. To narrow it: %s.", inputWords[i.Of][0], text(i.Low), text(i.High), inputWords[i.Of][1])
	}
	return f
}

const mostLost = 5

// lost are the sections that cost most push with the head at the reach, below a heading;
// none where none does.
func (x Reach) lost() (heading string, lines []string) {
	sections := slices.Clone(x.Result.Sections)
	sections = slices.DeleteFunc(sections, func(l reach.Loss) bool { return l.Push <= 0 })
	slices.SortStableFunc(sections, func(a, b reach.Loss) int { return int(math.Copysign(1, float64(b.Push-a.Push))) })
	heading = "Where the push is lost"
	if stuck, known := x.Result.Stuck.Get(); known {
		heading += fmt.Sprintf(", with the head stuck at %s", x.length(stuck.Head))
	}
	for _, l := range sections[:min(len(sections), mostLost)] {
		lines = append(lines, fmt.Sprintf("section %-4d %s to %s: %s", l.Section, x.length(l.From), x.length(l.To), x.Force(l.Push)))
	}
	if more := len(sections) - mostLost; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more that cost less", more))
	}
	return heading + ":", lines
}

func (x Reach) showLost(out io.Writer) {
	heading, lines := x.lost()
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(out, "\n%s\n", heading)
	for _, line := range lines {
		fmt.Fprintln(out, "  "+line)
	}
}

func (x Reach) showWarnings(out io.Writer) {
	fmt.Fprintln(out)
	for _, note := range x.Run.Notes {
		spell(out, 0, words.Capital(note)+".")
	}
	spell(out, 0, "All of this is worked out from the figures given: a guide, no promise. Local codes, site rules and makers' instructions come first.")
	for _, w := range x.Run.Warnings(x.Result) {
		for i, line := range words.Wrap(words.Capital(w)+".", TextWidth-2) {
			fmt.Fprintln(out, []string{"! ", "  "}[min(i, 1)]+line)
		}
	}
}

// spell prints a text, indented and broken into lines.
func spell(out io.Writer, indent int, text string) {
	for _, line := range words.Wrap(text, TextWidth-indent) {
		fmt.Fprintln(out, strings.Repeat(" ", indent)+line)
	}
}
