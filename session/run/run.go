// Package run is the record of a real installation as plain data, and pure functions of it.
//
// A [Run] holds the plan it began with and every entry made since: the duct proved, the
// setting read back, the log of the run, its stops, and what was found at the end. From that
// record alone
//
//   - [Run.Refuses] says why an entry may not follow;
//   - [Model.View] says where the run stands: the stage, the checks that are open, the
//     distance in, the speed, what is to be minded now;
//   - [Model.Forecast] gives a new reach from the friction that the run has shown.
//
// Nothing is stored that can be derived, and an entry that was taken back is as if it had
// never been made. The drive is not connected to anything: all is what the crew reads.
package run

import (
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Run is everything known of one run: its plan, and the entries in the order they were made.
type Run struct {
	Of      string // the id of the profile it installs with
	Started time.Time
	Checks  string // the table of checks it is asked by: see [CheckTable]
	People  People
	Plan    Plan
	Entries []session.Entry
}

// People are those who make the run.
type People struct {
	Operator, Watcher string
	FarEnd            string // who stands there
	Trainee           bool
}

// Crew are the people at the drive.
func (p People) Crew() session.Crew { return session.Crew{Operator: p.Operator, Watcher: p.Watcher} }

// Plan is what a run begins with, so that its record can be read alone.
type Plan struct {
	Name    string          // of cable and duct, to show
	Rig     session.Rig     // in whose units settings are shown
	Setting session.Setting // the profile's; nothing above it without a reason

	MadeAt      q.Maybe[q.Temperature] // of the cable in the trial
	CoveredUpTo q.Maybe[q.Temperature] // the warmest cable or inlet air the setting holds for
	DownTo      q.Maybe[q.Temperature] // the coldest; below it the belts may slip
	Least       q.Maybe[q.Temperature] // below it not even a short check could carry the setting
	Folds       q.Maybe[q.Reading]     // the lowest speed that folded: no name and no reason goes there
	DropTo      []session.DropTo       // lower settings for warmer cable, the coolest first
	ByHand      bool                   // the profile was written by hand: nobody can tell whether it was changed since
	Ended       string                 // why the profile holds for nothing any more, by what is known since
	GripTried   q.Maybe[q.Pressure]    // the highest grip pressure that left the jacket clean in the trial
	GripStep    q.Pressure             // a rung of grip pressure in the trial

	Gauge   q.Maybe[PushGauge]
	Bore    q.Maybe[q.Length] // of the duct
	Length  q.Maybe[q.Length] // of the route
	Route   reach.Route       // without sections where it is not described
	Reach   q.Maybe[Worked]
	Ratings reach.Ratings
	Units   reach.Units
}

// Worked is the reach that was worked out before the run.
type Worked struct {
	Job   reach.Job
	Doubt reach.Doubt
}

// PushGauge is a gauge that shows what the drive pushes while the cable moves.
//
//	F = t·g + F₀
//
// g is the reading, t the force gained per one of its unit, F₀ the force at a reading of 0.
type PushGauge struct {
	PerReading q.ForcePerReading
	Offset     q.Force
	Division   q.Maybe[q.Reading] // the smallest step one can read
	Seal       q.Force            // what the seal round the cable was measured to take; 0 is not measured
}

// Force returns what a reading says the drive gives, and false when it is in another unit.
func (g PushGauge) Force(r q.Reading) (q.Force, bool) {
	return q.Force(g.PerReading.Value*r.Value) + g.Offset, r.Unit == g.PerReading.Unit
}

// division is the force of the gauge's smallest step in N, 0 when it is not known.
func (g PushGauge) division() float64 {
	if d, known := g.Division.Get(); known && d.Unit == g.PerReading.Unit {
		return g.PerReading.Value * d.Value
	}
	return 0
}
