package practice

import (
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// thin is an invented cable in an invented stub on an invented rig.
func thin() Rig {
	return Rig{
		Cable: Cable{
			OuterDiameter: 0.008, Mass: 0.055, Stiffness: 0.3, StiffnessTemperature: 20,
			PolyethyleneShare: 0.5, AxialStiffness: 150e3, KinkRadius: 0.040, Soundness: 0.30,
		},
		Duct: Duct{InnerDiameter: 0.026, StubLength: 3, RunUp: 1},
		Drive: Drive{
			ThrustPerSpeed: q.ForcePerReading{Value: 800, Unit: "m/s"},
			TractionPer:    0.008, MovingMass: 80,
		},
		Temperature: 5, FoldSpread: 0.06, SlipSpread: 0.04, Vary: 0.08,
	}
}

// gauges is what the crew of that rig knows of it.
func gauges() session.Trial {
	return session.Trial{
		Kind: session.Full, Policy: session.DefaultPolicy(), Started: time.Date(2026, 3, 4, 8, 0, 0, 0, time.UTC),
		Cable:      session.Cable{Make: "Northmoor", Type: "PT-48"},
		Duct:       session.Duct{Size: "32/26 mm"},
		Conditions: session.Conditions{CableTemperature: q.Known[q.Temperature](5), Unit: "°F"},
		Rig: session.Rig{
			PushControl: "belt speed", GripUnit: "psi", PushUnit: "ft/min",
			GripLimit:     q.Known(q.From[q.Pressure](40, "psi")),
			SpeedLimit:    q.Known(q.Reading{Value: float64(q.From[q.Speed](220, "ft/min")), Unit: "m/s"}),
			GripDivision:  q.Known(q.From[q.Pressure](1, "psi")),
			SpeedDivision: q.Known(q.Reading{Value: float64(q.From[q.Speed](5, "ft/min")), Unit: "m/s"}),
		},
	}
}

func lesson() Lesson {
	return Lesson{ID: "plain", Title: "Plain", Goal: "Find a setting.", Teaches: "That.", Job: gauges(), Rig: thin(),
		Pass: Pass{Ends: WithSetting, MostRisk: 0.10}}
}
