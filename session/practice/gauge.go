package practice

import (
	"cmp"
	"fmt"
	"math"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// ReadDrive reads the gauge of a drive's motor as one can: in the unit of the rig's
// gauges, to a division of them, and to a whole unit where that is finer.
func ReadDrive(p q.Pressure, rig session.Rig) q.Reading {
	step := driveStep(rig)
	return q.Reading{Value: rounded(math.Round(q.In(p, rig.GripUnit)/step) * step), Unit: rig.GripUnit}
}

// driveStep is the least one can read off that gauge, in its unit.
func driveStep(rig session.Rig) float64 {
	division := q.In(rig.GripStep(), rig.GripUnit)
	if !(division > 0) {
		return 1
	}
	return math.Min(division, 1)
}

// misread says what is wrong with a stall reading that was written down; "" where it is
// the gauge's to a division, or none was written.
func (t Truth) misread(written q.Maybe[q.Reading]) string {
	got, known := written.Get()
	shown, gauge := t.StallReading.Get()
	if !known || !gauge {
		return ""
	}
	if got.Unit == shown.Unit && math.Abs(got.Value-shown.Value) <= t.gaugeStep*1.001 {
		return ""
	}
	text := got.Text(cmp.Or(map[string]string{"m/s": "m/min"}[got.Unit], got.Unit))
	if p, err := q.Parse[q.Pressure](text); err == nil && math.Abs(q.In(p, shown.Unit)-shown.Value) <= t.gaugeStep*1.001 {
		return ""
	}
	return fmt.Sprintf("As stall reading %s was written down; the drive gauge stood at %s.", text, shown.Text(shown.Unit))
}
