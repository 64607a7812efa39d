package ask

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session/cable"
	"brinkmark/ui/show"
	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// DroopReading is a droop as it was written down. Turned and Temperature may be empty.
type DroopReading struct{ Overhang, Drop, Turned, Mass, Temperature string }

// DroopResult is what a droop tells, and the units to say it in.
type DroopResult struct {
	cable.Bending
	Units       report.Units
	Temperature q.Maybe[q.Temperature]
}

// Solve works the reading out. Its errors name the figure, the value and the range.
// The temperature must be one at which polyethylene is tabled, since the stiffness
// could not be carried from any other.
func (d DroopReading) Solve() (DroopResult, error) {
	droop, err := d.droop()
	if err != nil {
		return DroopResult{}, err
	}
	result := DroopResult{Units: d.units()}
	if d.Temperature != "" {
		t, err := named[q.Temperature]("temperature", d.Temperature)
		if err != nil {
			return DroopResult{}, err
		}
		if _, err := cable.Multiplier(t); err != nil {
			return DroopResult{}, err
		}
		result.Temperature = q.Known(t)
	}
	result.Bending, err = droop.Solve()
	return result, err
}

func (d DroopReading) droop() (cable.Droop, error) {
	var droop cable.Droop
	var err error
	if droop.Overhang, err = named[q.Length]("overhang", d.Overhang); err != nil {
		return droop, err
	}
	if droop.Drop, err = drop("drop", d.Drop); err != nil {
		return droop, err
	}
	if droop.Mass, err = named[q.LinearDensity]("mass", d.Mass); err != nil || d.Turned == "" {
		return droop, err
	}
	turned, err := drop("drop turned", d.Turned)
	droop.Turned = q.Known(turned)
	return droop, err
}

// units are those of the ruler's system.
func (d DroopReading) units() report.Units {
	system := q.Metric
	ruler, _ := q.Unit[q.Length](d.Overhang)
	if ruler == "in" || ruler == "ft" {
		system = q.Customary
	}
	thermometer, _ := q.Unit[q.Temperature](d.Temperature)
	return report.Units{Stiffness: q.Preferred[q.Stiffness](system), Temperature: cmp.Or(thermometer, "°C"), Length: ruler}
}

func named[T q.Scalar](of, text string) (T, error) {
	v, err := q.Parse[T](text)
	if err != nil {
		return v, fmt.Errorf("%s: %w", of, err)
	}
	return v, nil
}

// drop reads a drop, which is negative where a turned end rises above the clamp.
func drop(of, text string) (q.Length, error) {
	for _, minus := range []string{"-", "−"} {
		if risen, rises := strings.CutPrefix(text, minus); rises {
			v, err := named[q.Length](of, risen)
			return -v, err
		}
	}
	return named[q.Length](of, text)
}

// Stiffness is the bending stiffness as a record keeps it.
func (r DroopResult) Stiffness() string { return q.Text(r.Bending.Stiffness, r.Units.Stiffness) }

// ReadAt is the temperature it was read at as a record keeps it, empty when unknown.
func (r DroopResult) ReadAt() string {
	if !r.Temperature.Known() {
		return ""
	}
	return show.Text(r.Temperature, r.Units.Temperature)
}

func (r DroopResult) misread() string { return fmt.Sprintf("%.2g %%", 100*r.ErrorPerMM) }

// Form is the result as other programs read it.
func (r DroopResult) Form() report.Droop { return report.DroopOf(r.Bending, r.Units) }

// Show prints what the droop tells, and the lines to put into the record.
func (r DroopResult) Show(out io.Writer) {
	out = words.Printable(out)
	for _, f := range []show.Figure{
		{Name: "Bending stiffness", Value: r.Stiffness(), Meaning: "How hard the cable is to bend.", Source: "weight · overhang³ over the load whose exact shape has these drops; the heavy elastica of Bickley 1934, from memory, solved here"},
		{Name: "Set radius", Value: show.Text(r.SetRadius, r.Units.Length), Meaning: "How tightly the reel has left it bent. It takes two drops to tell.", Source: "solved together with the stiffness, derived here"},
		{Name: "A drop misread by 1 mm", Value: r.misread(), Meaning: "So far wrong would the stiffness be.", Source: "from the same shape"},
		{Name: "Read at", Value: cmp.Or(r.ReadAt(), show.NotKnown), Meaning: "A warmer cable is softer; with the temperature the figure can be carried to another day.", Source: "as given"},
	} {
		fmt.Fprintf(out, "%s: %s\n", f.Name, f.Value)
		show.Paragraph(out, f.Meaning+" ["+f.Source+"]")
	}
	for _, w := range r.Warnings {
		for i, line := range words.Wrap(words.Capital(w)+".", show.TextWidth-2) {
			fmt.Fprintln(out, []string{"! ", "  "}[min(i, 1)]+line)
		}
	}
	fmt.Fprintf(out, "\nFor the record:\n  [cable]\n  bending_stiffness = %q\n", r.Stiffness())
	if at := r.ReadAt(); at != "" {
		fmt.Fprintf(out, "  stiffness_temperature = %q\n", at)
	} else {
		fmt.Fprintf(out, "  stiffness_temperature: read the cable's temperature and write it here\n")
	}
}

// DroopFlow leads through a droop, step by step, up to the two values for the record.
// It is a value: an answer makes the next one.
type DroopFlow struct {
	step    droopStep
	reading DroopReading
	metric  bool
	before  string // what the measurement before this one gave
	weighed bool   // the mass was asked for here, so the record lacks it
}

type droopStep int

const (
	droopLevel droopStep = iota + 1
	droopMass
	droopOverhang
	droopWait
	droopDrop
	droopTurn
	droopTurned
	droopTemperature
	droopResult
)

// NewDroopFlow starts a droop for a job, whose mass and cable temperature it takes.
func NewDroopFlow(r profiles.Record, metric bool) DroopFlow {
	return DroopFlow{step: droopLevel, metric: metric, weighed: r.Cable.Mass.String() == "",
		reading: DroopReading{Mass: r.Cable.Mass.String(), Temperature: r.Conditions.CableTemperature.String()}}
}

// Result is what was measured, once every reading is there.
func (d DroopFlow) Result() (DroopResult, error) { return d.reading.Solve() }

// Done reports whether the last step is reached.
func (d DroopFlow) Done() bool { return d.step == droopResult }

// Question asks the present step. put keeps the droop in the flow for the next one.
func (d DroopFlow) Question(put func(Flow, DroopFlow) Flow) Question {
	if d.step == droopResult {
		return d.resultQuestion(put)
	}
	s := droopSteps[d.step]
	question := Question{ID: s.id, Title: s.title, Body: s.body, Help: droopHelp}
	if d.before != "" && d.step == droopDrop {
		question.Body = append([]string{"Last time: " + d.before}, question.Body...)
	}
	if s.take != nil {
		question.Enter = &Entering{Label: s.label, Example: s.example(d.metric), Take: func(f Flow, text string) (Flow, Effect, error) {
			next, err := s.take(d, text)
			if err != nil {
				return f, None{}, err
			}
			return put(f, next.on()), None{}, nil
		}}
	}
	if s.done != "" {
		question.Choices = append(question.Choices, Choice{Label: s.done, Do: func(f Flow) (Flow, Effect) { return put(f, d.on()), None{} }})
	}
	if s.skip != "" {
		question.Choices = append(question.Choices, Choice{Label: s.skip, Rank: Minor, Do: func(f Flow) (Flow, Effect) { return put(f, d.past()), None{} }})
	}
	question.Choices = append(question.Choices, Choice{Label: "Stop measuring; nothing is kept", Do: GoTo(stepFirst), Rank: Minor})
	return question
}

// on is the next step that is needed.
func (d DroopFlow) on() DroopFlow {
	d.step++
	known := d.step == droopMass && d.reading.Mass != "" || d.step == droopOverhang && d.before != "" ||
		d.step == droopTemperature && d.reading.Temperature != ""
	if known {
		return d.on()
	}
	return d
}

// past leaves the present step out: no turning over, no temperature.
func (d DroopFlow) past() DroopFlow {
	if d.step == droopTurn {
		d.step = droopTurned
	}
	return d.on()
}

// again measures anew with the same clamp and overhang, for comparison.
func (d DroopFlow) again() DroopFlow {
	if r, err := d.Result(); err == nil {
		d.before = r.Stiffness()
	}
	d.reading.Drop, d.reading.Turned, d.step = "", "", droopWait
	return d
}

// Changes are the job's values that the droop gives, by their keys.
func (d DroopFlow) Changes() ([][2]string, error) {
	r, err := d.Result()
	if err != nil {
		return nil, err
	}
	changes := [][2]string{{"cable.bending_stiffness", r.Stiffness()}, {"cable.stiffness_temperature", r.ReadAt()}}
	if d.weighed {
		changes = append(changes, [2]string{"cable.mass", d.reading.Mass})
	}
	return changes, nil
}

// keep puts the values into the job.
func (d DroopFlow) keep(f Flow) (Flow, Effect) {
	changes, err := d.Changes()
	record := f.Record
	for _, c := range changes {
		if err == nil {
			record, err = record.With(c[0], c[1])
		}
	}
	if err != nil {
		panic("ui: a droop that was solved does not fit its record: " + err.Error())
	}
	return f.at(stepFirst), ReplaceJob{record}
}

func (d DroopFlow) resultQuestion(put func(Flow, DroopFlow) Flow) Question {
	again := Choice{Label: "Measure again", Do: func(f Flow) (Flow, Effect) { return put(f, d.again()), None{} }, Rank: Minor}
	stop := Choice{Label: "Leave it; nothing is kept", Do: GoTo(stepFirst), Rank: Minor}
	r, err := d.Result()
	if err != nil {
		return Question{ID: "droop-result", Title: "These readings give no stiffness", Body: []string{words.Capital(err.Error()) + "."}, Help: droopHelp, Choices: []Choice{again, stop}}
	}
	question := Question{ID: "droop-result", Title: "Bending stiffness " + r.Stiffness(), Help: droopHelp,
		Body: []string{
			"A drop misread by 1 mm makes it " + r.misread() + " wrong.",
			"Set radius from the reel: " + show.Text(r.SetRadius, r.Units.Length),
			"Read at: " + cmp.Or(r.ReadAt(), show.NotKnown),
		},
		Choices: []Choice{{Label: "Keep it for this job", Do: d.keep}, again, stop}}
	if d.before != "" {
		question.Body = append(question.Body, "Last time: "+d.before)
	}
	for _, w := range r.Warnings {
		question.Body = append(question.Body, "! "+words.Capital(w)+".")
	}
	return question
}

// droopAsk is how one step is asked.
type droopAsk struct {
	id, title string
	body      []string
	label     string
	examples  [2]string // metric, customary
	done      string    // the step is an act, and this says it is done
	skip      string
	take      func(DroopFlow, string) (DroopFlow, error)
}

func (a droopAsk) example(metric bool) string {
	if metric {
		return a.examples[0]
	}
	return a.examples[1]
}

// droopSteps are the steps in words, in their order.
var droopSteps = map[droopStep]droopAsk{
	droopLevel: {id: "droop-level", title: "Clamp the cable level, its end hanging free",
		body: []string{"A straight piece, cut square, clamped flat along a hand's length at the table's edge.", "A level on the clamped part. Out of wind and sun; leave it until it is as warm as its surroundings."},
		done: "Clamped, level, hanging free"},
	droopMass: {id: "droop-mass", title: "What does the cable weigh?", body: []string{"The data sheet has it, or weigh a measured piece."},
		label: "Mass per length", examples: [2]string{"118 kg/km", "79 lb/1000 ft"},
		take: func(d DroopFlow, text string) (DroopFlow, error) {
			d.reading.Mass = text
			v, err := named[q.LinearDensity]("mass", text)
			if err == nil {
				err = cable.MassRange.Check(v)
			}
			return d, err
		}},
	droopOverhang: {id: "droop-overhang", title: "How much hangs out of the clamp?", body: []string{"From the clamp's edge along the cable to its end.", "Choose it so that the end drops by 10 % to 50 % of it."},
		label: "Overhang", examples: [2]string{"1 m", "40 in"},
		take: func(d DroopFlow, text string) (DroopFlow, error) {
			d.reading.Overhang = text
			_, err := named[q.Length]("overhang", text)
			return d, err
		}},
	droopWait: {id: "droop-wait", title: "Hold the end up, let go, wait 30 seconds", body: []string{"Let go gently and count 30 seconds: the jacket goes on giving way, so every drop is read at the same time."},
		done: "30 seconds are over"},
	droopDrop: {id: "droop-drop", title: "How far has the end dropped?", body: []string{"From the clamp's height down to the middle of the end."},
		label: "Drop", examples: [2]string{"250 mm", "10 in"},
		take: func(d DroopFlow, text string) (DroopFlow, error) {
			d.reading.Drop, d.reading.Turned = text, ""
			v, err := drop("drop", text)
			if err == nil && v >= 0 {
				_, err = d.Result()
			}
			return d, err
		}},
	droopTurn: {id: "droop-turn", title: "Turn the cable half round and let go again", body: []string{"The same overhang, clamped level again. What was on top is now below.", "Hold the end up, let go gently, count the same 30 seconds."},
		done: "Turned; 30 seconds are over", skip: "It cannot be turned: go on with one drop"},
	droopTurned: {id: "droop-turned", title: "How far has it dropped now?", body: []string{"With a minus if the end stands above the clamp."},
		label: "Drop after turning", examples: [2]string{"180 mm", "7 in"},
		take: func(d DroopFlow, text string) (DroopFlow, error) {
			d.reading.Turned = text
			_, err := d.Result()
			return d, err
		}},
	droopTemperature: {id: "droop-temperature", title: "How warm is the cable?", body: []string{"The jacket's temperature where it was measured, not the weather's."},
		label: "Cable temperature", examples: [2]string{"5 C", "41 F"}, skip: "No thermometer here",
		take: func(d DroopFlow, text string) (DroopFlow, error) {
			d.reading.Temperature = text
			_, err := d.Result()
			return d, err
		}},
}

var droopHelp = []string{
	"A cable that hangs under its own weight shows how stiff it is: the stiffer, the less it drops.",
	"The reel leaves a bend in the cable. Turned half round the bend works the other way, so two drops tell the two apart.",
	"The jacket softens as it warms and gives way with time: note the temperature, and read after the same 30 seconds.",
	"Mind the end of a springy cable when it is let go.",
}
