package lessons

import (
	"errors"
	"fmt"

	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

// rig reads the hidden rig.
func (h hidden) rig(r *reader) practice.Rig {
	const in = "hidden."
	thrust, err := q.ParseForcePerReading(h.ThrustPerSpeed)
	if err != nil {
		r.fail(in+"thrust_per_speed", err)
	}
	gauge := maybe[q.Pressure](r, in+"gauge_per_kilonewton", h.GaugePerKilonewton)
	if per, ok := gauge.Get(); ok {
		gauge = q.Known(per / 1000)
	}
	return practice.Rig{
		Cable: practice.Cable{
			OuterDiameter:        needed[q.Length](r, in+"outer_diameter", h.OuterDiameter),
			Mass:                 needed[q.LinearDensity](r, in+"mass", h.Mass),
			Stiffness:            needed[q.Stiffness](r, in+"bending_stiffness", h.BendingStiffness),
			StiffnessTemperature: needed[q.Temperature](r, in+"stiffness_temperature", h.StiffnessTemperature),
			PolyethyleneShare:    h.PolyethyleneShare,
			AxialStiffness:       needed[q.Force](r, in+"axial_stiffness", h.AxialStiffness),
			KinkRadius:           needed[q.Length](r, in+"kink_radius", h.KinkRadius),
			Soundness:            h.Soundness,
		},
		Duct: practice.Duct{
			InnerDiameter: needed[q.Length](r, in+"inner_diameter", h.InnerDiameter),
			StubLength:    needed[q.Length](r, in+"stub_length", h.StubLength),
			RunUp:         needed[q.Length](r, in+"run_up", h.RunUp),
		},
		Drive: practice.Drive{
			ThrustPerSpeed: thrust,
			ThrustOffset:   maybe[q.ForceOffset](r, in+"thrust_offset", h.ThrustOffset).Or(0),
			Relief:         maybe[q.Force](r, in+"relief", h.Relief),
			TractionPer:    needed[q.ForcePerPressure](r, in+"traction_per_grip", h.TractionPerGrip),
			TractionOffset: maybe[q.ForceOffset](r, in+"traction_offset", h.TractionOffset).Or(0),
			MovingMass:     h.MovingKilograms,
			MarksAt:        maybe[q.Pressure](r, in+"marks_at", h.MarksAt),
			GaugePerPush:   gauge,
		},
		Temperature: needed[q.Temperature](r, in+"cable_temperature", h.CableTemperature),
		WarmPerPush: h.WarmPerPush, FoldSpread: h.FoldSpread, SlipSpread: h.SlipSpread, Vary: h.Vary,
	}
}

// of reads a trouble. A size is a part of one, or a length, force or pressure where
// its kind is one of those.
func (t trouble) of(r *reader, key string) practice.Trouble {
	kind, known := practice.TroubleNamed(t.Kind)
	if !known {
		r.fail(key+".kind", fmt.Errorf("%q is not known; use one of %q", clip(t.Kind), practice.TroubleNames()))
	}
	from := t.From
	if from == 0 {
		from = 1
	}
	return practice.Trouble{Kind: kind, From: from, Size: t.size(r, key+".size", kind)}
}

func (t trouble) size(r *reader, key string, kind practice.TroubleKind) float64 {
	text, isText := t.Size.(string)
	part, isPart := t.Size.(float64)
	switch unit := kind.SizeUnit(); {
	case unit == "" && t.Size == nil:
		return 0
	case unit == "part" && isPart:
		return part
	case unit == "m" && isText:
		return float64(needed[q.Length](r, key, text))
	case unit == "N" && isText:
		return float64(needed[q.Force](r, key, text))
	case unit == "Pa" && isText:
		return float64(needed[q.Pressure](r, key, text))
	}
	r.fail(key, errors.New(`a part is written as 0.6, anything else as text with its unit, such as "150 N"`))
	return 0
}

func (p pass) of(r *reader) practice.Pass {
	ends, known := practice.Anyhow, true
	if p.Ends != "" {
		ends, known = practice.EndsNamed(p.Ends)
	}
	if !known {
		r.fail("pass.ends", fmt.Errorf("%q is not known; use setting, refusal or anyhow", clip(p.Ends)))
	}
	out := practice.Pass{Ends: ends, MustRead: p.MustRead, MustMark: p.MustMark, MostWrong: p.MostWrong, MostRisk: p.MostRisk}
	for _, name := range p.MustFind {
		kind, known := practice.TroubleNamed(name)
		if !known {
			r.fail("pass.must_find", fmt.Errorf("%q is not known; use one of %q", clip(name), practice.TroubleNames()))
		}
		out.MustFind = append(out.MustFind, kind)
	}
	return out
}

func (n *run) of(r *reader) *practice.Run {
	if n == nil {
		return nil
	}
	return &practice.Run{
		Length: needed[q.Length](r, "run.length", n.Length), Friction: n.Friction,
		Speed: needed[q.Speed](r, "run.speed", n.Speed), Harder: needed[q.Speed](r, "run.harder", n.Harder),
		SnagAt: needed[q.Length](r, "run.snag_at", n.SnagAt),
	}
}
