package profiles

import (
	"time"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// RunRecord is a run's record as it stands in its file: the plan it began with, so that it
// can be read alone, and the entries made since.
type RunRecord struct {
	Format  int       `toml:"format"`
	ID      string    `toml:"id,omitempty"`
	Kind    string    `toml:"kind"` // "run"
	Of      string    `toml:"of,omitempty"`
	Started time.Time `toml:"started,omitempty"`
	Checks  string    `toml:"checks,omitempty"` // the table of checks it is asked by

	People RunPeople  `toml:"people,omitempty"`
	Job    Job        `toml:"job,omitempty"`
	Cable  Cable      `toml:"cable,omitempty"`
	Duct   Duct       `toml:"duct,omitempty"`
	Rig    Rig        `toml:"rig,omitempty"`
	Plan   RunSetting `toml:"plan"`
	Gauge  RunGauge   `toml:"push_gauge,omitempty"`
	Route  RunRoute   `toml:"route,omitempty"`

	Air      ReachAir       `toml:"air,omitempty"` // from here on as in a reach file
	Friction ReachFriction  `toml:"friction,omitempty"`
	Push     ReachPush      `toml:"push,omitempty"`
	Waves    ReachWaves     `toml:"waves,omitempty"`
	Limits   ReachLimits    `toml:"limits,omitempty"`
	Sections []RouteSection `toml:"section,omitempty"`

	RunEntries
}

// RunEntries are the entries of a run, kind by kind; their numbers tell their order.
type RunEntries struct {
	Answers  []Answer     `toml:"answer,omitempty"`
	Provings []Proving    `toml:"proving,omitempty"`
	Dialled  []Dialled    `toml:"dialled,omitempty"`
	Starts   []RunStart   `toml:"start,omitempty"`
	Points   []RunPoint   `toml:"point,omitempty"`
	Stops    []RunStop    `toml:"stop,omitempty"`
	Restarts []RunRestart `toml:"restart,omitempty"`
	Ends     []RunEnd     `toml:"end,omitempty"`
	Closings []Closing    `toml:"closing,omitempty"`
	Undos    []Undo       `toml:"undo,omitempty"`
}

const runKind = "run"

// RunPeople are those who make the run.
type RunPeople struct {
	Operator string `toml:"operator,omitempty"`
	Watcher  string `toml:"watcher,omitempty"`
	FarEnd   string `toml:"far_end,omitempty"` // who stands there
	Trainee  bool   `toml:"trainee,omitempty"`
}

// RunSetting is what the profile says: the setting, what it holds for, and what the trial
// has tried.
type RunSetting struct {
	Grip             Quantity[q.Pressure]    `toml:"grip"`
	Speed            Reading                 `toml:"speed"`
	CableTemperature Quantity[q.Temperature] `toml:"cable_temperature,omitempty"` // in the trial
	CoveredUpTo      Quantity[q.Temperature] `toml:"covered_up_to,omitempty"`
	CoveredDownTo    Quantity[q.Temperature] `toml:"covered_down_to,omitempty"` // the coldest
	FoldedAt         Reading                 `toml:"folded_at,omitempty"`       // the lowest speed that folded, as far as it counts
	NoColderThan     Quantity[q.Temperature] `toml:"no_colder_than,omitempty"`  // below it a new trial is due
	GripTried        Quantity[q.Pressure]    `toml:"grip_tried,omitempty"`      // the highest that left the jacket clean
	GripStep         Quantity[q.Pressure]    `toml:"grip_step,omitempty"`
	DropTo           []DropTo                `toml:"drop_to,omitempty"`
	ByHand           bool                    `toml:"by_hand,omitempty"` // the profile was: see [Promise]
}

// RunGauge is a gauge that shows what the drive pushes while the cable moves. One in a unit
// of force needs no per_reading.
type RunGauge struct {
	Unit       string                  `toml:"unit,omitempty"`
	PerReading ForcePerReading         `toml:"per_reading,omitempty"`
	Offset     Quantity[q.ForceOffset] `toml:"offset,omitempty"`
	Division   Reading                 `toml:"division,omitempty"`
	Seal       Quantity[q.Force]       `toml:"seal,omitempty"` // what the seal round the cable takes, measured
}

// RunRoute names the route; its length stands for one that is not described.
type RunRoute struct {
	Name   string             `toml:"name,omitempty"`
	Length Quantity[q.Length] `toml:"length,omitempty"`
}

// Proving is the sheet of the day on the duct.
type Proving struct {
	Seq           int                  `toml:"seq,omitzero"`
	At            time.Time            `toml:"at,omitempty"`
	Mandrel       Quantity[q.Length]   `toml:"mandrel,omitempty"`
	MandrelLength Quantity[q.Length]   `toml:"mandrel_length,omitempty"`
	Passes        int                  `toml:"passes,omitzero"`
	HeldAt        Quantity[q.Pressure] `toml:"held_at,omitempty"`
	HeldFor       Span                 `toml:"held_for,omitempty"`
	Lost          Quantity[q.Pressure] `toml:"lost,omitempty"`
	FarEndClear   string               `toml:"far_end_clear,omitempty"` // who said so
	Note          string               `toml:"note,omitempty"`
}

// Dialled is the setting read back.
type Dialled struct {
	Seq                 int                     `toml:"seq,omitzero"`
	At                  time.Time               `toml:"at,omitempty"`
	Grip                Quantity[q.Pressure]    `toml:"grip"`
	Speed               Reading                 `toml:"speed"`
	CableTemperature    Quantity[q.Temperature] `toml:"cable_temperature,omitempty"`
	InletAirTemperature Quantity[q.Temperature] `toml:"inlet_air_temperature,omitempty"`
	By                  string                  `toml:"by,omitempty"`
	Reason              string                  `toml:"reason,omitempty"`
}

// RunStart is the head at the duct's mouth, or so far in.
type RunStart struct {
	Seq         int                  `toml:"seq,omitzero"`
	At          time.Time            `toml:"at,omitempty"`
	Mark        Quantity[q.Length]   `toml:"mark"` // the cable's print mark at the pointer
	HeadIn      Quantity[q.Length]   `toml:"head_in,omitempty"`
	Counts      run.Counts           `toml:"counts,omitempty"` // up or down, as the cable is paid in
	AirPressure Quantity[q.Pressure] `toml:"air_pressure,omitempty"`
	By          string               `toml:"by,omitempty"`
}

// RunPoint is a line of the log: what was read, and has changed.
type RunPoint struct {
	Seq                 int                     `toml:"seq,omitzero"`
	At                  time.Time               `toml:"at,omitempty"`
	Mark                Quantity[q.Length]      `toml:"mark,omitempty"`
	CableSpeed          Quantity[q.Speed]       `toml:"cable_speed,omitempty"`
	Grip                Quantity[q.Pressure]    `toml:"grip,omitempty"`
	Speed               Reading                 `toml:"speed,omitempty"` // the push control
	PushReading         Reading                 `toml:"push_reading,omitempty"`
	AirPressure         Quantity[q.Pressure]    `toml:"air_pressure,omitempty"`
	CableTemperature    Quantity[q.Temperature] `toml:"cable_temperature,omitempty"`
	InletAirTemperature Quantity[q.Temperature] `toml:"inlet_air_temperature,omitempty"`
	Slip                bool                    `toml:"slip,omitempty"`
	By                  string                  `toml:"by,omitempty"`
	Reason              string                  `toml:"reason,omitempty"`
	Note                string                  `toml:"note,omitempty"`
}

// RunStop is the cable at rest.
type RunStop struct {
	Seq     int                `toml:"seq,omitzero"`
	At      time.Time          `toml:"at,omitempty"`
	Mark    Quantity[q.Length] `toml:"mark,omitempty"`
	Reason  string             `toml:"reason"`
	Stalled bool               `toml:"stalled,omitempty"` // the drive gave up, the cable line held
	By      string             `toml:"by,omitempty"`
}

// RunRestart is the cable moving again.
type RunRestart struct {
	Seq  int                `toml:"seq,omitzero"`
	At   time.Time          `toml:"at,omitempty"`
	Mark Quantity[q.Length] `toml:"mark,omitempty"`
	By   string             `toml:"by,omitempty"`
}

// RunEnd is the cable arrived, or the run given up.
type RunEnd struct {
	Seq     int                `toml:"seq,omitzero"`
	At      time.Time          `toml:"at,omitempty"`
	Arrived bool               `toml:"arrived"`
	Mark    Quantity[q.Length] `toml:"mark,omitempty"`
	By      string             `toml:"by,omitempty"`     // who saw it at the far end
	Reason  string             `toml:"reason,omitempty"` // why it was given up
}

// Closing is what was found at the end.
type Closing struct {
	Seq         int                  `toml:"seq,omitzero"`
	At          time.Time            `toml:"at,omitempty"`
	Slack       Quantity[q.Length]   `toml:"slack,omitempty"`
	Loops       []Quantity[q.Length] `toml:"loops,omitempty"`
	Remainder   Quantity[q.Length]   `toml:"remainder,omitempty"` // on the reel
	StubRetired *bool                `toml:"stub_retired,omitempty"`
	Jacket      string               `toml:"jacket,omitempty"`
	Folds       int                  `toml:"folds,omitzero"`
	Damaged     bool                 `toml:"damaged,omitempty"`
	Note        string               `toml:"note,omitempty"`
}
