package show

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	"brinkmark/session/cable"
	"brinkmark/session/push"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// Expectation is a job and what mechanics expects of it, in the crew's units.
type Expectation struct {
	Trial session.Trial
	Units report.Units
	push.Expected
	Job push.Job
}

// NewExpectation works out what mechanics expects of a job. Its errors are those of
// [session.Expect].
func NewExpectation(r profiles.Record, t session.Trial) (Expectation, error) {
	e, err := session.Expect(t)
	if err != nil {
		return Expectation{}, err
	}
	job, err := t.PushJob()
	return Expectation{t, report.UnitsOf(r), e, job}, err
}

// ReadExpectation reads a job's file and works out what mechanics expects of it.
func ReadExpectation(from profiles.Source) (Expectation, error) {
	record, warning, err := from.Record()
	if err != nil {
		return Expectation{}, err
	}
	trial, err := record.Trial()
	if err != nil {
		return Expectation{}, err
	}
	x, err := NewExpectation(*record, trial)
	if err != nil {
		return Expectation{}, fmt.Errorf("%s: %w\n  mend it in the file", words.OneLine(from.Path), err)
	}
	if warning != "" {
		x.Warnings = append(x.Warnings, warning)
	}
	return x, nil
}

// Form is the expectation as other programs read it.
func (x Expectation) Form() report.Expectation { return report.ExpectationOf(x.Expected, x.Units) }

// Figure is one figure as a foreman reads it.
type Figure struct{ Name, Value, Meaning, Source string }

const (
	TextWidth  = 76
	textIndent = 4
	pictureTop = 32 // lines: the bore is then 5 of them
)

// Show prints every figure with what it means and where it comes from, the warnings,
// and the picture.
func (x Expectation) Show(out io.Writer) {
	out = words.Printable(out)
	c := x.Trial.Cable
	fmt.Fprintf(out, "%s in %s, cable at %s\n\n", cmp.Or(words.Join(c.Make, c.Type), "Cable"), cmp.Or(x.Trial.Duct.Size, "duct"), x.temperature(x.Trial.Conditions.CableTemperature))
	for _, f := range x.figures() {
		fmt.Fprintf(out, "%s: %s\n", f.Name, f.Value)
		Paragraph(out, f.Meaning+" ["+f.Source+"]")
	}
	fmt.Fprintln(out)
	for _, line := range words.Wrap(x.settled(), TextWidth) {
		fmt.Fprintln(out, line)
	}
	for _, w := range x.Warnings {
		for i, line := range words.Wrap(words.Capital(w)+".", TextWidth-2) {
			fmt.Fprintln(out, []string{"! ", "  "}[min(i, 1)]+line)
		}
	}
	if picture := draw.Picture(x.Expected, x.Job, TextWidth, pictureTop); len(picture) > 0 {
		fmt.Fprintf(out, "\n%s\n", strings.Join(picture, "\n"))
	}
}

// Paragraph prints a text indented, broken into lines.
func Paragraph(out io.Writer, text string) {
	for _, line := range words.Wrap(text, TextWidth-textIndent) {
		fmt.Fprintln(out, strings.Repeat(" ", textIndent)+line)
	}
}

func (x Expectation) figures() []Figure {
	return []Figure{
		x.fill(), x.clearance(), x.stiffness(),
		{"Snakes from", x.force(x.SnakingLoad), "The push at which a long level run of it begins to bend from side to side. It does no harm.",
			"2·√(EI·w/r) of stiffness, weight and clearance; Dawson & Paslay 1984"},
		{"Coiled from", x.force(x.HelixLoad), "The push at which it has wound itself against the wall of a long duct. It still does no harm, but friction now eats push fast.",
			"3.66·√(EI·w/r); Wu & Juvkam-Wold 1993"},
		{"Bend limit", x.force(x.BendLimitLoad), "The push that winds the coil down to the least bend radius under load" + x.radius(x.Job.MinBendRadius) + ". Above it the cable is bent more than it should be.",
			"derived here from the helix at any slope, not published; radius as given in the job"},
		x.foldLimit(), x.doubling(),
		{"Grip ceiling", Text(x.GripCeiling, x.Units.Pressure), "The grip pressure at which the belts squeeze the jacket as hard as its crush limit allows. Grooved or short belts reach it sooner.",
			"crush limit · belt length / clamp force per grip pressure; the limit is that of a flat plate test, IEC 60794-1-21 method E3"},
	}
}

func (x Expectation) fill() Figure {
	_, bore, _ := x.Trial.Bore() // known, or there were no figures
	u := x.Units.Diameter
	return Figure{"Fill", fmt.Sprintf("%.0f %% of the bore by diameter, %.0f %% by area", 100*x.FillByDiameter, 100*x.FillByArea),
		"How much of the duct the cable takes up.",
		fmt.Sprintf("outer diameter %s as given in the job; inner diameter %s, %s", q.Text(x.Job.OuterDiameter, u), q.Text(x.Job.InnerDiameter, u), bore)}
}

func (x Expectation) clearance() Figure {
	return Figure{"Clearance", q.Text(x.Clearance, x.Units.Diameter),
		"How far the cable can move from the middle of the duct. In a bigger duct it winds tighter at the same push, and folds sooner.",
		"half of inner less outer diameter"}
}

func (x Expectation) stiffness() Figure {
	f := Figure{"Bending stiffness", Text(x.BendingStiffness, x.Units.Stiffness),
		"How hard it is to bend. A cable half as stiff folds at half the push; warmth softens it.", ""}
	given, known := x.Job.Stiffness.Get()
	switch now, _ := x.BendingStiffness.Get(); {
	case !known:
		f.Source = "a droop measures it: \"brinkmark droop --help\" says how"
	case now != given:
		f.Source = fmt.Sprintf("%s at %s, carried to %s by a polyethylene share of %.0f %%; multipliers of the Plastics Pipe Institute handbook, from memory",
			q.Text(given, x.Units.Stiffness), x.temperature(x.Job.StiffnessTemperature), x.temperature(x.Job.CableTemperature), 100*x.Job.PolyethyleneShare.Or(0))
	default:
		f.Source = "as given in the job, measured at " + x.temperature(x.Job.StiffnessTemperature)
	}
	return f
}

func (x Expectation) foldLimit() Figure {
	f := Figure{"Fold limit", NotKnown, "The push at which it is expected to fold or kink.", "derived here from the helix at any slope, not published"}
	limit, known := x.FoldLimit.Get()
	if !known {
		return f
	}
	u := x.Units.Force
	if high, known := limit.High.Get(); known {
		f.Value = fmt.Sprintf("about %s, from %s to %s", q.Text(limit.Mid, u), q.Text(limit.Low, u), q.Text(high, u))
		f.Meaning += " Of a hundred such cables five would fold below the lower figure, and five only above the upper."
		f.Source += "; kink radius" + x.radius(x.Job.KinkRadius) + " as given in the job; the range is an assumption"
	} else {
		f.Value = fmt.Sprintf("about %s, from %s; how high is not known", q.Text(limit.Mid, u), q.Text(limit.Low, u))
		f.Source += "; kink radius guessed as 5 outer diameters, the lower figure from 10; the range is an assumption"
	}
	f.Meaning += x.byTheCard(limit)
	return f
}

// byTheCard is where the drive gives the fold limit, once the rig card says how.
func (x Expectation) byTheCard(limit push.FoldRange) string {
	low, known1 := x.reading(limit.Low)
	mid, known2 := x.reading(limit.Mid)
	if !known1 || !known2 {
		return ""
	}
	return fmt.Sprintf(" By the rig card the drive gives the lower figure %s, and the middle one %s.", low, mid)
}

// reading is where the push control must stand for a push, by the rig card.
func (x Expectation) reading(f q.Force) (string, bool) {
	rig := x.Trial.Rig
	per, known1 := rig.ThrustPerSpeed.Get()
	most, known2 := rig.SpeedLimit.Get()
	if !known1 || !known2 || per.Unit != most.Unit || !(per.Value > 0) {
		return "", false
	}
	at := math.Max(0, (float64(f)-float64(rig.ThrustOffset.Or(0)))/per.Value)
	if at > most.Value {
		return "only beyond the control's limit", true
	}
	return "at " + rig.ShowSpeed(at), true
}

func (x Expectation) doubling() Figure {
	f := Figure{"Doubling back", "no room for it", "Past the fold limit it kinks where it lies.", "geometry: two legs need 2 outer diameters, three 2.15"}
	switch {
	case x.CanDoubleBack && push.RoomForThree(x.Job.OuterDiameter, x.Job.InnerDiameter):
		f.Value, f.Meaning = "there is room", "Past the fold limit it can fold back on itself."
	case x.CanDoubleBack:
		f.Value, f.Meaning = "only just room", "Past the fold limit it can fold back on itself, and jam."
	}
	return f
}

// settled says what these figures are not.
func (x Expectation) settled() string {
	const guide = "All of this is a straight, elastic cable without friction: a guide. The trial on the stub is the proof."
	if x.Trial.Rig.ThrustPerSpeed.Known() {
		return "These pushes are forces in the cable at the drive. " + guide
	}
	return "These pushes are forces in the cable at the drive. Without a pull test on the rig card nobody knows which reading gives which force: none of them is a setting. " + guide
}

// NotKnown stands for a figure that cannot be given.
const NotKnown = "not known"

// Text is a quantity in a unit, or that it is not known.
func Text[T q.Scalar](m q.Maybe[T], unit string) string {
	if v, known := m.Get(); known {
		return q.Text(v, unit)
	}
	return NotKnown
}

func (x Expectation) force(m q.Maybe[q.Force]) string { return Text(m, x.Units.Force) }

func (x Expectation) temperature(m q.Maybe[q.Temperature]) string {
	if !m.Known() {
		return "a temperature " + NotKnown
	}
	return Text(m, x.Units.Temperature)
}

// radius is how large a radius is, or nothing when that is not known.
func (x Expectation) radius(m q.Maybe[q.Length]) string {
	if !m.Known() {
		return ""
	}
	return " of " + Text(m, x.Units.Diameter)
}

// Lines are the figures for the job screen. Without a pull test on the rig card a
// push is not known as a force, and none is shown.
func (x Expectation) Lines() []string {
	lines := []string{x.foldLine(), "Grip ceiling: " + Text(x.GripCeiling, x.Units.Pressure)}
	least := Text(x.Job.MinBendRadius, x.Units.Diameter)
	if usual, _, err := cable.OutsidePlant.Radii(x.Job.OuterDiameter); err == nil && least == NotKnown {
		least = "not given; 20 outer diameters is usual outdoors: " + q.Text(usual, x.Units.Diameter)
	}
	return append(lines, "Least bend radius under load: "+least, "Doubling back: "+x.doubling().Value,
		fmt.Sprintf("Fill: %.0f %% by diameter, %.0f %% by area; clearance %s", 100*x.FillByDiameter, 100*x.FillByArea, q.Text(x.Clearance, x.Units.Diameter)))
}

func (x Expectation) foldLine() string {
	limit, known := x.FoldLimit.Get()
	low, carded := x.reading(limit.Low)
	mid, _ := x.reading(limit.Mid)
	switch {
	case !known:
		return "Fold limit: not known; a droop tells the bending stiffness"
	case !carded:
		return "Fold limit: a force only; a pull test makes it a reading"
	}
	return fmt.Sprintf("Fold limit: %s as a force, expected %s; in a weak cable %s", q.Text(limit.Mid, x.Units.Force), mid, low)
}
