package lessons

import (
	"cmp"
	"fmt"

	"brinkmark/profiles"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// hidden is the rig as it is.
type hidden struct {
	OuterDiameter        profiles.Quantity[q.Length]           `toml:"outer_diameter,omitempty"`
	Mass                 profiles.Quantity[q.LinearDensity]    `toml:"mass,omitempty"`
	BendingStiffness     profiles.Quantity[q.Stiffness]        `toml:"bending_stiffness,omitempty"`
	StiffnessTemperature profiles.Quantity[q.Temperature]      `toml:"stiffness_temperature,omitempty"`
	PolyethyleneShare    float64                               `toml:"polyethylene_share"`
	AxialStiffness       profiles.Quantity[q.Force]            `toml:"axial_stiffness,omitempty"`
	KinkRadius           profiles.Quantity[q.Length]           `toml:"kink_radius,omitempty"`
	Soundness            float64                               `toml:"soundness"`
	InnerDiameter        profiles.Quantity[q.Length]           `toml:"inner_diameter,omitempty"`
	StubLength           profiles.Quantity[q.Length]           `toml:"stub_length,omitempty"`
	RunUp                profiles.Quantity[q.Length]           `toml:"run_up,omitempty"`
	ThrustPerSpeed       profiles.ForcePerReading              `toml:"thrust_per_speed,omitempty"`
	ThrustOffset         profiles.Quantity[q.ForceOffset]      `toml:"thrust_offset,omitempty"`
	Relief               profiles.Quantity[q.Force]            `toml:"relief,omitempty"`
	TractionPerGrip      profiles.Quantity[q.ForcePerPressure] `toml:"traction_per_grip,omitempty"`
	TractionOffset       profiles.Quantity[q.ForceOffset]      `toml:"traction_offset,omitempty"`
	MovingKilograms      float64                               `toml:"moving_kilograms"`
	MarksAt              profiles.Quantity[q.Pressure]         `toml:"marks_at,omitempty"`
	GaugePerKilonewton   profiles.Quantity[q.Pressure]         `toml:"gauge_per_kilonewton,omitempty"`
	CableTemperature     profiles.Quantity[q.Temperature]      `toml:"cable_temperature,omitempty"`
	CelsiusPerPush       float64                               `toml:"celsius_per_push"`
	FoldSpread           float64                               `toml:"fold_spread"`
	SlipSpread           float64                               `toml:"slip_spread"`
	Vary                 float64                               `toml:"vary"`
}

// rig is what the file tells of the rig.
func (h hidden) rig(r *reader) practice.Rig {
	thrust, known := h.ThrustPerSpeed.Value().Get()
	r.need(known, "hidden.thrust_per_speed")
	gauge := h.GaugePerKilonewton.Value()
	if per, ok := gauge.Get(); ok {
		gauge = q.Known(per / 1000)
	}
	return practice.Rig{
		Cable: practice.Cable{
			OuterDiameter:        needed(r, "hidden.outer_diameter", h.OuterDiameter),
			Mass:                 needed(r, "hidden.mass", h.Mass),
			Stiffness:            needed(r, "hidden.bending_stiffness", h.BendingStiffness),
			StiffnessTemperature: needed(r, "hidden.stiffness_temperature", h.StiffnessTemperature),
			PolyethyleneShare:    h.PolyethyleneShare,
			AxialStiffness:       needed(r, "hidden.axial_stiffness", h.AxialStiffness),
			KinkRadius:           needed(r, "hidden.kink_radius", h.KinkRadius),
			Soundness:            h.Soundness,
		},
		Duct: practice.Duct{
			InnerDiameter: needed(r, "hidden.inner_diameter", h.InnerDiameter),
			StubLength:    needed(r, "hidden.stub_length", h.StubLength),
			RunUp:         needed(r, "hidden.run_up", h.RunUp),
		},
		Drive: practice.Drive{
			ThrustPerSpeed: thrust,
			ThrustOffset:   h.ThrustOffset.Value().Or(0),
			Relief:         h.Relief.Value(),
			TractionPer:    needed(r, "hidden.traction_per_grip", h.TractionPerGrip),
			TractionOffset: h.TractionOffset.Value().Or(0),
			MovingMass:     h.MovingKilograms,
			MarksAt:        h.MarksAt.Value(),
			GaugePerPush:   gauge,
		},
		Temperature: needed(r, "hidden.cable_temperature", h.CableTemperature),
		WarmPerPush: h.CelsiusPerPush, FoldSpread: h.FoldSpread, SlipSpread: h.SlipSpread, Vary: h.Vary,
	}
}

// trouble is something wrong with the rig. Its size is a part of one, or a text with
// a unit where its kind is a length, a force or a pressure.
type trouble struct {
	Kind practice.TroubleKind `toml:"kind"`
	From int                  `toml:"from"`
	Size any                  `toml:"size"`
}

func (t trouble) of(r *reader, key string) practice.Trouble {
	out := practice.Trouble{Kind: t.Kind, From: cmp.Or(t.From, 1)}
	if t.Kind != 0 {
		out.Size = t.size(r, key)
	}
	return out
}

func (t trouble) size(r *reader, key string) float64 {
	part, isPart := t.Size.(float64)
	text, isText := t.Size.(string)
	var size float64
	var err error
	switch unit := t.Kind.SizeUnit(); {
	case unit == "" && t.Size == nil:
	case unit == "part" && isPart:
		size = part
	case unit == "m" && isText:
		size, err = number[q.Length](text)
	case unit == "N" && isText:
		size, err = number[q.Force](text)
	case unit == "Pa" && isText:
		size, err = number[q.Pressure](text)
	default:
		err = fmt.Errorf("this is no size of the trouble %q", t.Kind)
	}
	if err != nil {
		r.fail(key+".size", err.Error(), `write a part as 0.6, anything else as text with its unit, such as "150 N"`)
	}
	return size
}

func number[T q.Scalar](text string) (float64, error) {
	v, err := q.Parse[T](text)
	return float64(v), err
}

// run is a run to be watched.
type run struct {
	Length   profiles.Quantity[q.Length] `toml:"length,omitempty"`
	Friction float64                     `toml:"friction"`
	Speed    profiles.Quantity[q.Speed]  `toml:"speed,omitempty"`
	Harder   profiles.Quantity[q.Speed]  `toml:"harder,omitempty"`
	SnagAt   profiles.Quantity[q.Length] `toml:"snag_at,omitempty"`
}

func (n *run) of(r *reader) *practice.Run {
	if n == nil {
		return nil
	}
	return &practice.Run{
		Length: needed(r, "run.length", n.Length), Friction: n.Friction,
		Speed: needed(r, "run.speed", n.Speed), Harder: needed(r, "run.harder", n.Harder),
		SnagAt: needed(r, "run.snag_at", n.SnagAt),
	}
}
