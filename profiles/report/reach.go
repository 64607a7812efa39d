package report

import (
	"math"

	"brinkmark/profiles"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// Reach is how far a push carries the cable along a route. Figures are those with the
// head at Reach, pressures are gauge.
type Reach struct {
	ReachesEnd       bool         `json:"reaches_end"`
	Reach            Quantity     `json:"reach"`
	ReachRange       ReachRange   `json:"reach_range"`
	RouteLength      Quantity     `json:"route_length"`
	EndShare         float64      `json:"end_share"` // of the samples of the range that reach the end
	PushAtInlet      *Quantity    `json:"push_at_inlet"`
	EntryForce       Quantity     `json:"entry_force"`
	DriveForce       *Quantity    `json:"drive_force"`
	AvailablePush    Quantity     `json:"available_push"`
	NeededPush       *Quantity    `json:"needed_push"` // least safe push that reaches the end
	InletPressure    Quantity     `json:"inlet_pressure"`
	FreeAirWithCable Quantity     `json:"free_air_with_cable"`
	FreeAirEmpty     Quantity     `json:"free_air_empty"`
	Time             *Quantity    `json:"time"`
	Stuck            *ReachStuck  `json:"stuck"`
	Help             ReachHelp    `json:"help"`
	Profile          []ReachPoint `json:"profile"`
	Heads            []ReachHead  `json:"heads"`
	Inputs           []ReachInput `json:"inputs"` // what the range hangs on, the most first
	ForcesWorkedOut  int          `json:"forces_worked_out"`
	Notes            []string     `json:"notes"`
	Warnings         []string     `json:"warnings"`
}

// ReachRange is where 5 and 95 of 100 samples end.
type ReachRange struct {
	Low  Quantity `json:"low"`
	High Quantity `json:"high"`
}

// ReachStuck is where the cable stops short, and where its push is lost.
type ReachStuck struct {
	Head  Quantity    `json:"head"`
	Locks *Quantity   `json:"locks"` // head position beyond which no push helps
	Lost  []ReachLoss `json:"lost"`
}

// ReachLoss is the push lost in a section; below 0 the air or a slope gave more.
type ReachLoss struct {
	Section int      `json:"section"` // from 1
	From    Quantity `json:"from"`
	To      Quantity `json:"to"`
	Push    Quantity `json:"push"`
}

// ReachPoint is one place along the cable.
type ReachPoint struct {
	At       Quantity `json:"at"`
	Pressure Quantity `json:"pressure"`
	Push     Quantity `json:"push"`
}

// ReachHead is the push required for one position of the head, null where the cable locks.
type ReachHead struct {
	At        Quantity  `json:"at"`
	Required  *Quantity `json:"required"`
	Available Quantity  `json:"available"`
}

// ReachInput is what one figure's doubt alone does to the reach.
type ReachInput struct {
	Of   string   `json:"of"`
	Low  Quantity `json:"low"`
	High Quantity `json:"high"`
}

// ReachHelp is what would help; null where it does not, or cannot be told.
type ReachHelp struct {
	Friction       *float64  `json:"friction"`        // greatest coefficient that reaches the end
	PressureLimit  *Quantity `json:"pressure_limit"`  // the lowest rating of the air's way
	ReachAtLimit   *Quantity `json:"reach_at_limit"`  // with that pressure
	PressureNeeded *Quantity `json:"pressure_needed"` // least that reaches the end
	OtherEnd       Quantity  `json:"other_end"`       // reach from the far end
	SecondDrive    *Quantity `json:"second_drive"`    // where another drive helps most
	ReachOfBoth    *Quantity `json:"reach_of_both"`
}

// ReachOf puts a reach into its outside form.
func ReachOf(run profiles.Reach, r reach.Result, s reach.Range, h reach.Help) Reach {
	u := run.Units
	length := func(v q.Length) Quantity { return Of(v, reach.LengthText(v, u.Length)) }
	force := func(v q.Force) Quantity { return Of(v, reach.ForceText(v, u.Force)) }
	pressure := func(v q.Pressure) Quantity { return Of(v, q.Text(v, u.Pressure)) }
	flow := func(v q.FlowRate) Quantity { return Of(v, reach.FlowText(v, u.Flow)) }
	push, drive := force(r.PushAtInlet), force(r.Drive)
	out := Reach{
		ReachesEnd: r.ReachesEnd, Reach: length(r.Reach), ReachRange: ReachRange{length(s.Low), length(s.High)},
		RouteLength: length(r.End), EndShare: s.EndShare,
		PushAtInlet: &push, EntryForce: force(r.Entry), DriveForce: &drive, AvailablePush: force(r.Available),
		NeededPush: quantity(h.NeededPush, u.Force), InletPressure: pressure(r.Inlet),
		FreeAirWithCable: flow(r.FreeAir), FreeAirEmpty: flow(r.FreeAirEmpty), Time: minutes(r.Time),
		Help: helpOf(h, u), ForcesWorkedOut: r.Forces, Profile: []ReachPoint{}, Heads: []ReachHead{}, Inputs: []ReachInput{},
		Notes: append([]string{}, run.Notes...), Warnings: append([]string{}, run.Warnings(r)...),
	}
	if stuck, known := r.Stuck.Get(); known {
		out.Stuck = &ReachStuck{Head: length(stuck.Head), Locks: quantity(stuck.Locks, u.Length), Lost: []ReachLoss{}}
		for _, l := range r.Sections {
			out.Stuck.Lost = append(out.Stuck.Lost, ReachLoss{l.Section, length(l.From), length(l.To), force(l.Push)})
		}
	}
	for _, p := range r.Profile {
		out.Profile = append(out.Profile, ReachPoint{length(p.At), pressure(p.Pressure), force(p.Push)})
	}
	for _, p := range r.Heads {
		out.Heads = append(out.Heads, ReachHead{length(p.At), quantity(p.Required, u.Force), force(p.Available)})
	}
	for _, i := range s.Inputs {
		out.Inputs = append(out.Inputs, ReachInput{i.Of, length(i.Low), length(i.High)})
	}
	return out
}

func helpOf(h reach.Help, u reach.Units) ReachHelp {
	out := ReachHelp{Friction: known(h.Friction), OtherEnd: Of(h.OtherEnd.Reach, reach.LengthText(h.OtherEnd.Reach, u.Length))}
	if m, given := h.Pressure.Get(); given {
		limit, reached := Of(m.Limit, q.Text(m.Limit, u.Pressure)), Of(m.Reach, reach.LengthText(m.Reach, u.Length))
		out.PressureLimit, out.ReachAtLimit, out.PressureNeeded = &limit, &reached, quantity(m.Needed, u.Pressure)
	}
	if s, given := h.Second.Get(); given {
		at, both := Of(s.At, reach.LengthText(s.At, u.Length)), Of(s.Reach, reach.LengthText(s.Reach, u.Length))
		out.SecondDrive, out.ReachOfBoth = &at, &both
	}
	return out
}

// minutes is a time, which is no quantity of its own.
func minutes(m reach.Minutes) *Quantity {
	v := float64(m)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &Quantity{v, "min", profiles.MinutesText(m)}
}
