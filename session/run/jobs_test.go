package run

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// The plans are invented. Nothing in them is a recommendation.

var began = time.Date(2026, 5, 14, 7, 42, 0, 0, time.FixedZone("", -5*3600))

const degree = math.Pi / 180

// plan is a lubricated run of 1500 m with six bends, and a drive with a pull test and a push
// gauge in bar.
func plan(t testing.TB) Plan {
	t.Helper()
	straight := reach.Straight{Length: q.Length((1500 - 6*math.Pi/2) / 7)}
	var all []reach.Section
	for range 6 {
		all = append(all, straight, reach.Bend{Angle: 90 * degree, Radius: 1})
	}
	route, err := reach.NewRoute(append(all, straight))
	require.NoError(t, err)
	job := reach.Job{
		Cable: reach.Cable{OuterDiameter: 0.012, Mass: 0.115, Stiffness: 2}, Bore: 0.026, Friction: 0.10, Route: route,
		Air:   reach.Air{Inlet: 8e5, Temperature: 15, Ambient: reach.StandardAmbient},
		Push:  reach.Push{Safe: 250, Drive: 300, TopSpeed: 0.5},
		Waves: q.Known(reach.Waves{Amplitude: 0.05, Period: 10}),
	}
	require.NoError(t, job.Check())
	rig := session.Rig{
		Name: "Rig 2", PushControl: "belt speed", GripUnit: "psi", PushUnit: "ft/min",
		GripLimit: q.Known(q.From[q.Pressure](60, "psi")), SpeedLimit: q.Known(reading(220)),
		ThrustPerSpeed: q.Known(q.ForcePerReading{Value: 500, Unit: "m/s"}), TractionPerGrip: q.Known(q.ForcePerPressure(0.006)),
	}
	return Plan{
		Name: "Northmoor, LT-96 loose tube, 1 in duct", Rig: rig, Setting: setting(6, 95),
		MadeAt: q.Known(fahrenheit(41)), CoveredUpTo: q.Known(fahrenheit(47)),
		DropTo:    []session.DropTo{{UpTo: fahrenheit(51), Setting: setting(6, 85)}, {UpTo: fahrenheit(61), Setting: setting(6, 70)}},
		GripTried: q.Known(q.From[q.Pressure](10, "psi")), GripStep: q.From[q.Pressure](2, "psi"),
		Gauge:  q.Known(PushGauge{PerReading: q.ForcePerReading{Value: 10, Unit: "bar"}, Division: q.Known(q.Reading{Value: 0.5, Unit: "bar"})}),
		Bore:   q.Known[q.Length](0.026),
		Length: q.Known(route.Length()), Route: route, Reach: q.Known(Worked{job, reach.UsualDoubt(0.10)}),
		Units: reach.Units{Length: "m", Diameter: "mm", Force: "N", Pressure: "bar", Flow: "m³/min", Temperature: "°F", Speed: "ft/min"},
	}
}

func reading(feet float64) q.Reading {
	return q.Reading{Value: float64(q.From[q.Speed](feet, "ft/min")), Unit: "m/s"}
}

func setting(psi, feet float64) session.Setting {
	return session.Setting{Grip: q.From[q.Pressure](psi, "psi"), Speed: reading(feet)}
}

func fahrenheit(v float64) q.Temperature { return q.From[q.Temperature](v, "°F") }

// writer makes entries one after another, each a minute after the last unless told.
type writer struct {
	run Run
	at  time.Time
}

func newWriter(p Plan) *writer {
	return &writer{Run{Started: began, Checks: CheckTable(), People: People{Operator: "AB", FarEnd: "EF"}, Plan: p}, began}
}

func (w *writer) mark(after time.Duration) session.Mark {
	w.at = w.at.Add(after)
	return session.Mark{Seq: w.run.LastNumber() + 1, At: w.at}
}

// add writes an entry that must be allowed.
func (w *writer) add(t testing.TB, e session.Entry) {
	t.Helper()
	require.NoError(t, w.run.Refuses(e))
	w.run.Entries = append(w.run.Entries, e)
}

func (w *writer) answer(t testing.TB, item, state string) {
	t.Helper()
	w.add(t, session.Answer{Mark: w.mark(20 * time.Second), Item: item, State: state})
}

// right answers every check that is open.
func (w *writer) right(t testing.TB) {
	t.Helper()
	for _, c := range w.run.Due(w.at) {
		w.answer(t, c.ID, c.States[0])
	}
}

// moving brings a run to where the cable moves, its mark at 1000 m.
func moving(t testing.TB, p Plan) *writer {
	t.Helper()
	w := newWriter(p)
	w.right(t)
	w.add(t, Proving{Mark: w.mark(time.Minute), Mandrel: q.Known[q.Length](0.02), Passes: 2, FarEndClear: "EF"})
	w.answer(t, ItemProved, DuctProved)
	w.right(t)
	w.add(t, Dialled{Mark: w.mark(time.Minute), Setting: p.Setting, CableTemperature: q.Known(fahrenheit(42))})
	w.add(t, Start{Mark: w.mark(time.Minute), Printed: 1000, Counts: CountsUp, AirPressure: q.Known[q.Pressure](8e5)})
	return w
}

// simulation is how a simulated run goes: its friction, the noise of its gauge in N, a reading
// every so many metres until the head is so far in.
type simulation struct {
	mu, noise, every, until float64
	seed                    uint64
}

// simulated makes a run of which the friction is known: the push by the forward model with a
// gauge's noise, read to its division.
func simulated(t testing.TB, p Plan, s simulation) Run {
	t.Helper()
	w := moving(t, p)
	gauge := p.Gauge.Or(PushGauge{})
	job := p.Reach.Or(Worked{}).Job
	course, err := reach.NewCourse(job)
	require.NoError(t, err)
	source := rand.New(rand.NewPCG(s.seed, 1))
	const speed = 0.45
	for in := s.every; in <= s.until; in += s.every {
		m := session.Mark{Seq: w.run.LastNumber() + 1, At: w.at.Add(time.Duration(in / speed * 1e9))}
		push, ok := course.Drive(reach.Moment{Head: q.Length(in), Speed: speed, Inlet: 8e5, Temperature: 15}, s.mu).Get()
		if !ok {
			break
		}
		read := (float64(push+gauge.Seal) + s.noise*source.NormFloat64() - float64(gauge.Offset)) / gauge.PerReading.Value
		if d, known := gauge.Division.Get(); known {
			read = math.Round(read/d.Value) * d.Value
		}
		w.run.Entries = append(w.run.Entries, Point{
			Mark: m, Printed: q.Known(q.Length(1000 + math.Round(in))), Speed: q.Known[q.Speed](speed),
			Push: q.Known(q.Reading{Value: max(read, 0), Unit: gauge.PerReading.Unit}), AirPressure: q.Known[q.Pressure](8e5),
		})
	}
	return w.run
}

func seeded() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

func trueReach(t testing.TB, p Plan, mu float64) float64 {
	t.Helper()
	j := p.Reach.Or(Worked{}).Job
	j.Friction = mu
	r, err := reach.Find(j)
	require.NoError(t, err)
	return float64(r.Reach)
}
