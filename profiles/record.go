package profiles

import (
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Format is the record format this version writes. Older ones stay readable.
const Format = 1

// Record is a trial's record as it stands in its file. A profile is the same
// record with its [Setting].
type Record struct {
	Format  int          `toml:"format"`
	ID      string       `toml:"id,omitempty"`
	Kind    session.Kind `toml:"kind,omitzero"`
	Of      string       `toml:"of,omitempty"`
	Earlier string       `toml:"earlier,omitempty"`
	Policy  string       `toml:"policy,omitempty"`
	Checks  string       `toml:"checks,omitempty"` // the table of checks it was asked by
	Started time.Time    `toml:"started,omitempty"`

	People     People     `toml:"people,omitempty"`
	Job        Job        `toml:"job,omitempty"`
	Cable      Cable      `toml:"cable,omitempty"`
	Duct       Duct       `toml:"duct,omitempty"`
	Conditions Conditions `toml:"conditions,omitempty"`
	Rig        Rig        `toml:"rig,omitempty"`
	Limits     Limits     `toml:"limits,omitempty"`
	Plan       Plan       `toml:"plan,omitempty"`
	Ladder     Ladder     `toml:"ladder,omitempty"`
	Stub       Stub       `toml:"stub,omitempty"`

	Entries

	Setting *Setting `toml:"setting,omitempty"`
}

// Entries are those of a trial, kind by kind; their numbers tell their order.
type Entries struct {
	Answers  []Answer  `toml:"answer,omitempty"`
	Attempts []Attempt `toml:"attempt,omitempty"`
	Undos    []Undo    `toml:"undo,omitempty"`
	Changes  []Change  `toml:"change,omitempty"`
}

// People are those who make the trial.
type People struct {
	Operator string `toml:"operator,omitempty"`
	Watcher  string `toml:"watcher,omitempty"`
	Trainee  bool   `toml:"trainee,omitempty"`
}

// Job is the work the cable is for.
type Job struct {
	Number string `toml:"number,omitempty"`
	Site   string `toml:"site,omitempty"`
}

// Cable is the cable under trial.
type Cable struct {
	Make                 string                    `toml:"make,omitempty"`
	Type                 string                    `toml:"type,omitempty"`
	Reel                 string                    `toml:"reel,omitempty"`
	Lot                  string                    `toml:"lot,omitempty"`
	PrintLegend          string                    `toml:"print_legend,omitempty"`
	OuterDiameter        Quantity[q.Length]        `toml:"outer_diameter,omitempty"`
	Mass                 Quantity[q.LinearDensity] `toml:"mass,omitempty"`
	BendingStiffness     Quantity[q.Stiffness]     `toml:"bending_stiffness,omitempty"`
	StiffnessTemperature Quantity[q.Temperature]   `toml:"stiffness_temperature,omitempty"`
	PolyethyleneShare    *float64                  `toml:"polyethylene_share,omitempty"`
	AxialStiffness       Quantity[q.Force]         `toml:"axial_stiffness,omitempty"`
	MinBendRadius        Quantity[q.Length]        `toml:"min_bend_radius,omitempty"`
	KinkRadius           Quantity[q.Length]        `toml:"kink_radius,omitempty"`
	CrushLimit           Quantity[q.LineLoad]      `toml:"crush_limit,omitempty"`
	Head                 string                    `toml:"head,omitempty"`
}

// Duct is the duct the stub was cut from.
type Duct struct {
	Size          string             `toml:"size,omitempty"`
	InnerDiameter Quantity[q.Length] `toml:"inner_diameter,omitempty"`
	Lining        session.Lining     `toml:"lining,omitzero"`
	Lot           string             `toml:"lot,omitempty"`
}

// Conditions are those the trial is made in.
type Conditions struct {
	CableTemperature    Quantity[q.Temperature] `toml:"cable_temperature,omitempty"`
	StubTemperature     Quantity[q.Temperature] `toml:"stub_temperature,omitempty"`
	AirTemperature      Quantity[q.Temperature] `toml:"air_temperature,omitempty"`
	InletAirTemperature Quantity[q.Temperature] `toml:"inlet_air_temperature,omitempty"`
	DayLow              Quantity[q.Temperature] `toml:"day_low,omitempty"`  // of the air today,
	DayHigh             Quantity[q.Temperature] `toml:"day_high,omitempty"` // by the weather report
	Surface             session.Surface         `toml:"surface,omitzero"`
}

// Rig is the drive and its gauges.
type Rig struct {
	Name            string                       `toml:"name,omitempty"`
	Belts           string                       `toml:"belts,omitempty"`
	LeadIn          Quantity[q.Length]           `toml:"lead_in,omitempty"`
	Gap             Quantity[q.Length]           `toml:"gap,omitempty"`
	Supply          string                       `toml:"supply,omitempty"`
	GaugeIDs        []string                     `toml:"gauge_ids,omitempty"`
	PushControl     string                       `toml:"push_control,omitempty"`
	PushUnit        string                       `toml:"push_unit,omitempty"`
	GripLimit       Quantity[q.Pressure]         `toml:"grip_limit,omitempty"`
	SpeedLimit      Reading                      `toml:"speed_limit,omitempty"`
	GripDivision    Quantity[q.Pressure]         `toml:"grip_division,omitempty"`
	SpeedDivision   Reading                      `toml:"speed_division,omitempty"`
	TractionPerGrip Quantity[q.ForcePerPressure] `toml:"traction_per_grip,omitempty"`
	TractionOffset  Quantity[q.ForceOffset]      `toml:"traction_offset,omitempty"`
	ThrustPerSpeed  ForcePerReading              `toml:"thrust_per_speed,omitempty"`
	ThrustOffset    Quantity[q.ForceOffset]      `toml:"thrust_offset,omitempty"`
	BeltLength      Quantity[q.Length]           `toml:"belt_length,omitempty"`
	ClampPerGrip    Quantity[q.ForcePerPressure] `toml:"clamp_per_grip,omitempty"`
}

// Limits are the operator's own.
type Limits struct {
	Grip        Quantity[q.Pressure] `toml:"grip,omitempty"`
	Speed       Reading              `toml:"speed,omitempty"`
	CableBudget Quantity[q.Length]   `toml:"cable_budget,omitempty"`
}

// Plan is the setting an enough trial must reach or a short check repeats.
type Plan struct {
	Grip  Quantity[q.Pressure] `toml:"grip,omitempty"`
	Speed Reading              `toml:"speed,omitempty"`
}

// Ladder is where the climb starts.
type Ladder struct {
	GripStart  Quantity[q.Pressure] `toml:"grip_start,omitempty"`
	GripStep   Quantity[q.Pressure] `toml:"grip_step,omitempty"`
	SpeedStart Reading              `toml:"speed_start,omitempty"`
	Reason     string               `toml:"reason,omitempty"` // why it is steeper than usual
}

// Stub is the short plugged scrap of duct.
type Stub struct {
	Length Quantity[q.Length] `toml:"length,omitempty"`
	RunUp  Quantity[q.Length] `toml:"run_up,omitempty"`
}

// Answer is a reply to one question of the flow.
type Answer struct {
	Seq        int       `toml:"seq,omitzero"`
	At         time.Time `toml:"at,omitempty"`
	Item       string    `toml:"item"`
	State      string    `toml:"state,omitempty"`
	Value      string    `toml:"value,omitempty"`
	SkipReason string    `toml:"skip_reason,omitempty"`
	By         string    `toml:"by,omitempty"`
}

// Attempt is one push onto the plug.
type Attempt struct {
	Seq              int                     `toml:"seq,omitzero"`
	At               time.Time               `toml:"at,omitempty"`
	Grip             Quantity[q.Pressure]    `toml:"grip"`
	Speed            Reading                 `toml:"speed"`
	Outcome          session.Outcome         `toml:"outcome"`
	BeltsTurning     *bool                   `toml:"belts_turning,omitempty"`
	LineMoved        *bool                   `toml:"line_moved,omitempty"`
	StallReading     Reading                 `toml:"stall_reading,omitempty"`
	JacketDamage     bool                    `toml:"jacket_damage,omitempty"`
	VoidReason       string                  `toml:"void_reason,omitempty"`
	CableTemperature Quantity[q.Temperature] `toml:"cable_temperature,omitempty"`
	FreshEnd         bool                    `toml:"fresh_end,omitempty"`
	CableUsed        Quantity[q.Length]      `toml:"cable_used,omitempty"`
	Note             string                  `toml:"note,omitempty"`
}

// Undo takes an earlier entry back.
type Undo struct {
	Seq   int       `toml:"seq,omitzero"`
	At    time.Time `toml:"at,omitempty"`
	Drops int       `toml:"drops"`
}

// Change is a later change of a value of the job.
type Change struct {
	Seq    int       `toml:"seq,omitzero"`
	At     time.Time `toml:"at,omitempty"`
	Key    string    `toml:"key"`
	Value  string    `toml:"value"`
	Reason string    `toml:"reason,omitempty"`
	// Corrects says that the cable's temperature before was never so: the pushes made under it
	// were made at this one.
	Corrects bool `toml:"corrects,omitempty"`
}

// Setting is a profile's recommendation as it was given, and what was accepted.
type Setting struct {
	Grip             Quantity[q.Pressure]    `toml:"grip"`  // accepted
	Speed            Reading                 `toml:"speed"` // accepted
	AdvisedGrip      Quantity[q.Pressure]    `toml:"advised_grip"`
	AdvisedSpeed     Reading                 `toml:"advised_speed"`
	EndedOn          string                  `toml:"ended_on,omitempty"`
	Reason           string                  `toml:"reason,omitempty"`
	Lines            []string                `toml:"lines,omitempty"`
	Warnings         []string                `toml:"warnings,omitempty"`
	FoldChance       *float64                `toml:"fold_chance,omitempty"`
	FoldChanceHigh   *float64                `toml:"fold_chance_high,omitempty"`
	FoldChanceVaried *float64                `toml:"fold_chance_varied,omitempty"`
	SlipChance       *float64                `toml:"slip_chance,omitempty"`
	CoveredUpTo      Quantity[q.Temperature] `toml:"covered_up_to,omitempty"`
	DropTo           []DropTo                `toml:"drop_to,omitempty"`
	CheckDue         time.Time               `toml:"check_due,omitempty"` // by the air of that day, when its low and high were given
	Accepted         time.Time               `toml:"accepted,omitempty"`
}

// DropTo is a lower setting for a warmer cable.
type DropTo struct {
	UpTo  Quantity[q.Temperature] `toml:"up_to"`
	Grip  Quantity[q.Pressure]    `toml:"grip"`
	Speed Reading                 `toml:"speed"`
}
