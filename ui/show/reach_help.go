package show

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
)

// remedy is one thing that would help, and how far the cable then comes.
type remedy struct {
	to   q.Length
	text string
}

const helpHeading = "What would help, worked out one by one:"

// helpful says what would carry the cable further, the most first, each with a sign of
// whether it does; nothing where it reaches the end.
func (x Reach) helpful() []string {
	if x.Result.ReachesEnd {
		return nil
	}
	remedies := x.remedies()
	slices.SortStableFunc(remedies, func(a, b remedy) int { return cmp.Compare(b.to, a.to) })
	var lines []string
	for _, r := range remedies {
		lines = append(lines, map[bool]string{true: "+ ", false: "- "}[r.to > x.Result.Reach+1]+r.text)
	}
	return lines
}

func (x Reach) showHelp(out io.Writer) {
	lines := x.helpful()
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(out, "\n%s\n", helpHeading)
	for _, text := range lines {
		for i, line := range words.Wrap(text[2:], TextWidth-4) {
			fmt.Fprintln(out, "  "+[]string{text[:2], "  "}[min(i, 1)]+line)
		}
	}
}

func (x Reach) remedies() []remedy {
	return slices.Concat(x.slippery(), x.morePressure(), x.otherEnd(), x.secondDrive(), x.morePush())
}

// comes says how far.
func (x Reach) comes(to q.Length) string {
	switch {
	case to >= x.Result.End:
		return "to the end"
	case to > x.Result.Reach+1:
		return "to " + x.length(to)
	}
	return "to " + x.length(to) + ", no further than now"
}

func (x Reach) slippery() []remedy {
	mu, known := x.help.Friction.Get()
	if !known {
		return []remedy{{0, "Lubricant alone does not carry it to the end."}}
	}
	return []remedy{{x.Result.End, fmt.Sprintf("Lubricant that brings the friction coefficient to %v or less (now %v): to the end.", math.Floor(mu*1000)/1000, x.Run.Friction)}}
}

func (x Reach) morePressure() []remedy {
	low, rated := x.Run.Ratings.Lowest()
	limit := func() string {
		return fmt.Sprintf("%s, which is all the %s bears here", q.Text(low.Pressure, x.Run.Units.Pressure), low.Of)
	}
	more, known := x.help.Pressure.Get()
	needed, enough := more.Needed.Get()
	switch {
	case !rated:
		return []remedy{{0, "More pressure: not worked out, since no rating of compressor, hose, coupling or duct is given."}}
	case !known:
		return []remedy{{0, "More pressure: none to be had beyond " + limit() + "."}}
	case enough:
		return []remedy{{x.Result.End, fmt.Sprintf("More pressure: with %s to the end; never above %s.", q.Text(Raised(needed, x.Run.Units.Pressure), x.Run.Units.Pressure), limit())}}
	}
	return []remedy{{more.Reach, fmt.Sprintf("More pressure: %s with %s.", x.comes(more.Reach), limit())}}
}

// Raised rounds up what is needed, to two digits and a half.
func Raised[T q.Scalar](v T, unit string) T {
	x := q.In(v, unit)
	if !(x > 0) {
		return v
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1) / 2
	return q.From[T](math.Ceil(x/step-1e-9)*step, unit)
}

func (x Reach) otherEnd() []remedy {
	o := x.help.OtherEnd
	return []remedy{{o.Reach, "From the other end, with the same drive and air: " + x.comes(o.Reach) + "."}}
}

func (x Reach) secondDrive() []remedy {
	s, known := x.help.Second.Get()
	switch {
	case !known:
		return nil
	case s.ReachesEnd:
		return []remedy{{s.Reach, fmt.Sprintf("A second drive with its own air at %s, or anywhere from %s to %s: to the end.", x.length(s.At), x.length(s.From), x.length(s.To))}}
	}
	return []remedy{{s.Reach, fmt.Sprintf("A second drive with its own air at %s: %s.", x.length(s.At), x.comes(s.Reach))}}
}

func (x Reach) morePush() []remedy {
	need, known := x.help.NeededPush.Get()
	if !known {
		return []remedy{{0, "More push alone does not carry it to the end, however much."}}
	}
	return []remedy{{x.Result.End, fmt.Sprintf("A push of %s%s: to the end, if a trial proves that the cable stands it.", x.Force(Raised(need, x.Run.Units.Force)), x.reading(need))}}
}

// Notes are where figures come from that were not entered.
func (x Reach) Notes() []string {
	var lines []string
	for _, n := range x.Run.Notes {
		lines = append(lines, words.Capital(n)+".")
	}
	return lines
}

// Stops is where the cable stops short of the far end.
func (x Reach) Stops() q.Maybe[q.Length] {
	if x.Result.ReachesEnd {
		return q.Maybe[q.Length]{}
	}
	return q.Known(x.Result.Reach)
}

// Losses says where the push goes and what would carry the cable further.
func (x Reach) Losses() []string {
	var lines []string
	if heading, sections := x.lost(); len(sections) > 0 {
		lines = append(append(lines, heading), sections...)
	}
	if help := x.helpful(); len(help) > 0 {
		lines = append(append(lines, helpHeading), help...)
	}
	f := x.push()
	return append(lines, f.Name+": "+f.Value+". "+f.Meaning)
}
