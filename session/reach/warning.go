package reach

import (
	"fmt"
	"math"

	q "brinkmark/session/quantity"
)

// Units are those in which the crew is shown figures.
type Units struct {
	Length, Diameter, Force, Pressure, Flow, Temperature, Speed string
}

// Warnings are what to mind about a result, in the crew's words.
func (r Result) Warnings(j Job, u Units) []string {
	var out []string
	warn := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	length := func(l q.Length) string { return LengthText(l, u.Length) }
	force := func(f q.Force) string { return ForceText(f, u.Force) }
	if r.AirShort {
		warn("the compressor cannot hold the inlet pressure with the duct empty: it needs %s of free air and gives %s; the pressure is taken as what it can hold",
			FlowText(r.FreeAirEmpty, u.Flow), q.Text(j.Air.FreeAir.Or(0), u.Flow))
	}
	if back, known := r.HoldBack.Get(); known {
		warn("with the head at %s the air pulls harder than the cable needs: the drive must hold it back with up to %s; never let it run free", length(back.At), force(back.Force))
	}
	if from, known := r.SteepFrom.Get(); known {
		warn("from %s on more cable costs over five times the push that its weight alone would: slow down there, and stop when the speed falls", length(from))
	}
	if safe := min(j.Push.Safe, j.Push.Drive); r.Hardest.Push > safe {
		warn("the push in the cable is greatest at %s: %s, more than the safe push, though the drive gives less", length(r.Hardest.At), force(r.Hardest.Push))
	}
	if r.Compensated > r.Reach+1 {
		warn("a drive that also made up for the push of the seal would come to %s; not to be done: the moment the air is lost, all that push would be in the cable", length(r.Compensated))
	}
	if r.Choked {
		warn("the air leaves the duct as fast as it can: a short duct passes no more air at any pressure far above this")
	}
	if r.UncertainFlow {
		warn("the air is between smooth and turbulent flow: the figures for air may be off by a quarter")
	}
	return append(out, j.Route.Warnings...)
}

// LengthText writes a length along a route as anybody measures it: tenths of the unit up to
// a hundred, then whole ones.
func LengthText(l q.Length, unit string) string { return rounded(l, unit, 100) }

// ForceText writes a push: tenths of the unit up to twenty, then whole ones.
func ForceText(f q.Force, unit string) string { return rounded(f, unit, 20) }

func rounded[T q.Scalar](v T, unit string, tenthsTo float64) string {
	x := q.In(v, unit)
	if math.Abs(x) < tenthsTo {
		return q.Text(q.From[T](math.Round(x*10)/10, unit), unit)
	}
	return q.Text(q.From[T](math.Round(x), unit), unit)
}

// FlowText writes a flow of air in two digits, which is what an estimate of it is worth.
func FlowText(f q.FlowRate, unit string) string {
	v := q.In(f, unit)
	if v == 0 {
		return q.Text(f, unit)
	}
	digit := math.Pow(10, math.Floor(math.Log10(v))-1)
	return q.Text(q.From[q.FlowRate](math.Round(v/digit)*digit, unit), unit)
}
