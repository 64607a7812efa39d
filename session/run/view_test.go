package run

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

func at(w *writer, in float64, more ...func(*Point)) Point {
	p := Point{Mark: w.mark(time.Minute), Printed: q.Known(q.Length(1000 + in))}
	for _, change := range more {
		change(&p)
	}
	return p
}

func cableSpeed(v float64) func(*Point) {
	return func(p *Point) { p.Speed = q.Known(q.From[q.Speed](v, "m/min")) }
}

func cableWarm(v float64) func(*Point) {
	return func(p *Point) { p.CableTemperature = q.Known(fahrenheit(v)) }
}

func inletWarm(v float64) func(*Point) {
	return func(p *Point) { p.InletAirTemperature = q.Known(q.Temperature(v)) }
}

func airAt(v float64) func(*Point) {
	return func(p *Point) { p.AirPressure = q.Known(q.From[q.Pressure](v, "bar")) }
}

// Distance and speed come out of marks that count either way, in either unit.
//
// The figures are worked out by hand: 61 ft is 18.5928 m (NIST SP 811), a minute between.
func TestDistance(t *testing.T) {
	feet := func(v float64) q.Length { return q.From[q.Length](v, "ft") }
	for _, tt := range []struct {
		name               string
		start, first, next q.Length
		counts             Counts
		headIn, in         float64
		speed              float64 // m/min
	}{
		{"up in metres", 1417, 1437, 1467, CountsUp, 0, 50, 30},
		{"down in metres", 1417, 1397, 1367, CountsDown, 0, 50, 30},
		{"up in feet", feet(4650), feet(4650), feet(4711), CountsUp, 0, 18.5928, 18.5928},
		{"down, not said", 1417, 1397, 1387, 0, 0, 30, 10},
		{"up, not said, head in already", 10, 12, 20, 0, 7, 17, 8},
		{"past 0, down", 15, 10, 0, CountsDown, 0, 15, 10},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := newWriter(plan(t))
			w.run.Entries = []session.Entry{Start{Mark: w.mark(0), Printed: tt.start, HeadIn: q.Length(tt.headIn), Counts: tt.counts}}
			for _, mark := range []q.Length{tt.first, tt.next} {
				w.run.Entries = append(w.run.Entries, Point{Mark: w.mark(time.Minute), Printed: q.Known(mark)})
			}
			c := w.run.course()
			require.InDelta(t, tt.in, float64(c.now.In.Or(-1)), 1e-9)
			require.InDelta(t, tt.speed, q.In(c.now.Speed.Or(-1), "m/min"), 1e-9)
			require.False(t, c.now.Read)
		})
	}
}

// Only what changed is written; the rest carries on.
func TestCarriedOn(t *testing.T) {
	w := moving(t, plan(t))
	w.add(t, at(w, 20, cableWarm(43), inletWarm(12), airAt(8), cableSpeed(28)))
	w.add(t, at(w, 50))
	s := w.run.course().now
	require.Equal(t, "43 °F", q.Text(s.Cable.Or(0), "°F"))
	require.Equal(t, q.Temperature(12), s.Inlet.Or(0))
	require.Equal(t, q.Pressure(8e5), s.Air.Or(0))
	is, whole := s.Setting()
	require.True(t, whole)
	require.Equal(t, setting(6, 95), is, "from the read-back")
	require.InDelta(t, 30, q.In(s.Speed.Or(0), "m/min"), 1e-9, "a speed is of its moment: this one is of two marks")
}

func TestMarksThatCannotBe(t *testing.T) {
	for _, tt := range []struct {
		name  string
		marks []float64
		odd   string
		in    float64
	}{
		{"before the start", []float64{-20}, "the mark lies before the one at the start", 0},
		{"back", []float64{40, 20}, "the mark went back", 20},
		{"too fast", []float64{40, 900}, "the cable would have to be faster than any drive", 900},
	} {
		w := moving(t, plan(t))
		for _, m := range tt.marks {
			w.add(t, at(w, m))
		}
		v := NewModel(w.run.Plan).View(w.run, w.at)
		require.Equal(t, q.Length(tt.in), v.Now.In.Or(-1), tt.name)
		require.False(t, v.Now.Speed.Known(), tt.name)
		alert := alertOf(t, v, WrongMark)
		require.Contains(t, alert.Says, tt.odd)
	}
}

// By the plan's speeds the time left is right for a run that goes as planned.
func TestArrival(t *testing.T) {
	p := plan(t)
	w := moving(t, p)
	for i := 1; i <= 5; i++ {
		w.add(t, at(w, 30*float64(i), cableSpeed(30))) // 0.5 m/s, the drive's
	}
	v := NewModel(p).View(w.run, w.at)
	require.InDelta(t, 1, v.Pace.Or(0), 0.01)
	require.InDelta(t, 0.4826, float64(v.Predicted.Or(0)), 1e-6) // the belts' 95 ft/min, NIST SP 811: under the reach's 0.5 m/s
	require.Equal(t, q.Length(1350), q.Length(math.Round(float64(v.Left.Or(0)))))
	eta, known := v.ETA.Get()
	require.True(t, known)
	require.InDelta(t, (1350 / 0.5), eta.Sub(w.at).Seconds(), 30, "at 0.5 m/s all the way, as the reach has it")

	p.Reach = q.Maybe[Worked]{}
	eta, known = NewModel(p).View(w.run, w.at).ETA.Get()
	require.True(t, known)
	require.InDelta(t, 1350/0.5, eta.Sub(w.at).Seconds(), 1, "without a reach: what is left over the speed now")

	w.add(t, Stop{Mark: w.mark(time.Minute), Reason: StopPlanned})
	require.False(t, NewModel(p).View(w.run, w.at).ETA.Known(), "it stands")
}

func TestTrend(t *testing.T) {
	p := plan(t)
	w := moving(t, p)
	for i := 1; i <= 8; i++ {
		w.add(t, at(w, 50*float64(i), cableSpeed(30-float64(i)))) // 1 m/min less every 50 m
	}
	v := NewModel(p).View(w.run, w.at)
	usual := 27.0 // the median of the first five, 29 to 25
	require.InDelta(t, 22/usual, v.Pace.Or(0), 1e-6)
	require.InDelta(t, -2/usual, v.Trend.Or(0), 1e-6, "per 100 m")
}

func TestPlace(t *testing.T) {
	p := plan(t)
	first := 1500.0 - 6*math.Pi/2
	for _, tt := range []struct {
		in      float64
		section int
		into    float64
	}{{0, 1, 0}, {100, 1, 100}, {first / 7, 1, first / 7}, {first/7 + 1, 2, 1}, {first/7 + math.Pi/2 + 5, 3, 5}, {1500, 13, first / 7}} {
		place := newMilestones(p.Route).at(q.Length(tt.in))
		require.Equal(t, tt.section, place.Section, "%v m", tt.in)
		require.InDelta(t, tt.into, float64(place.Into), 1e-3, "%v m", tt.in)
		require.False(t, place.Past)
	}
	place := newMilestones(p.Route).at(1600)
	require.True(t, place.Past)
	place = newMilestones(p.Route).at(100)
	require.Equal(t, "section 1, 100 m into its 213 m", place.Says("m"))
	w := moving(t, p)
	w.run.Plan.Route = reach.Route{}
	require.False(t, NewModel(w.run.Plan).View(w.run, w.at).Place.Known(), "of a route that is not described")
}

// Whatever is written down, in whatever order, nothing is NaN, no distance is below 0, and
// the same record gives the same view, kept model or new; and an entry that is taken back
// leaves the view that was before it.
func TestViewProperties(t *testing.T) {
	p := plan(t)
	kept := NewModel(p)
	for seed := range uint64(40) {
		source := rand.New(rand.NewPCG(seed, 3))
		w := moving(t, p)
		w.run.Entries = w.run.Entries[:len(w.run.Entries)-source.IntN(2)]
		for range 30 {
			e := anyEntry(w, source)
			if w.run.Refuses(e) != nil {
				continue
			}
			before := kept.View(w.run, w.at)
			w.run.Entries = append(w.run.Entries, e)
			v := kept.View(w.run, w.at)
			sound(t, v)
			require.Equal(t, v, NewModel(p).View(w.run, w.at))
			undo := session.Undo{Mark: w.mark(0), Drops: e.Number()}
			if w.run.Refuses(undo) != nil {
				continue
			}
			undone := w.run
			undone.Entries = append(append([]session.Entry{}, w.run.Entries...), undo)
			require.Equal(t, before, kept.View(undone, e.When()), "seed %d, %+v", seed, e)
		}
	}
}

func anyEntry(w *writer, source *rand.Rand) session.Entry {
	m := w.mark(time.Duration(source.IntN(400)-20) * time.Second)
	mark := func() q.Maybe[q.Length] {
		if source.IntN(4) == 0 {
			return q.Maybe[q.Length]{}
		}
		return q.Known(q.Length(900 + 1800*source.Float64()))
	}
	switch source.IntN(12) {
	case 0:
		return Stop{Mark: m, Printed: mark(), Reason: StopReasons()[source.IntN(9)], Stalled: source.IntN(2) == 0}
	case 1:
		return Restart{Mark: m, Printed: mark()}
	case 2:
		return session.Answer{Mark: m, Item: "far-end-clear", State: "says clear"}
	case 3:
		return Dialled{Mark: m, Setting: setting(float64(1+source.IntN(12)), float64(20+source.IntN(100))), By: "AB", Reason: "x"}
	case 4:
		if source.IntN(20) == 0 {
			return End{Mark: m, Arrived: true, Printed: mark()}
		}
		return Start{Mark: m, Printed: 1000, Counts: Counts(source.IntN(3))}
	}
	pt := Point{Mark: m, Printed: mark(), Slip: source.IntN(10) == 0, By: "AB", Reason: "x"}
	maybe := func(do func()) {
		if source.IntN(2) == 0 {
			do()
		}
	}
	maybe(func() { pt.Speed = q.Known(q.Speed(2 * source.Float64())) })
	maybe(func() { pt.Push = q.Known(q.Reading{Value: 40 * source.Float64(), Unit: "bar"}) })
	maybe(func() { pt.AirPressure = q.Known(q.Pressure(20e5 * source.Float64())) })
	maybe(func() { pt.CableTemperature = q.Known(q.Temperature(-20 + 90*source.Float64())) })
	maybe(func() { pt.InletAirTemperature = q.Known(q.Temperature(-20 + 90*source.Float64())) })
	maybe(func() { pt.Grip = q.Known(q.From[q.Pressure](14*source.Float64(), "psi")) })
	maybe(func() { pt.Control = q.Known(reading(150 * source.Float64())) })
	return pt
}

// sound goes through all numbers of a view.
func sound(t *testing.T, v View) {
	t.Helper()
	require.GreaterOrEqual(t, float64(v.Now.In.Or(0)), 0.0)
	require.GreaterOrEqual(t, float64(v.Left.Or(0)), 0.0)
	require.GreaterOrEqual(t, v.Moving, time.Duration(0))
	require.GreaterOrEqual(t, v.Stood, time.Duration(0))
	for _, s := range v.Log {
		require.GreaterOrEqual(t, float64(s.In.Or(0)), 0.0)
		require.GreaterOrEqual(t, float64(s.Speed.Or(0)), 0.0)
	}
	finite(t, reflect.ValueOf(v), "view")
}

func finite(t *testing.T, v reflect.Value, where string) {
	switch v.Kind() {
	case reflect.Float64:
		require.False(t, math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0), where)
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return
		}
		for i := range v.NumField() {
			finite(t, v.Field(i), where+"."+v.Type().Field(i).Name)
		}
	case reflect.Slice:
		for i := range v.Len() {
			finite(t, v.Index(i), fmt.Sprintf("%s[%d]", where, i))
		}
	}
}
