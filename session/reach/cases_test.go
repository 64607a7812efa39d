package reach

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// All of these figures are the reference program's.
func TestCases(t *testing.T) {
	for _, tt := range []struct {
		name                string
		reach, inlet, entry float64
		drive, available    float64
		flow, empty         float64
		end                 bool
	}{
		{"A", 1500, 7.538, 90.48, 98.02, 159.52, 1.3599, 2.6191, true},
		{"B", 1200, 6.488, 28.27, 34.76, 31.73, 0.0296, 0.1581, true},
		{"C", 2008.2, 58.54, 148.62, 207.15, 251.38, 2.5980, 4.7293, true},
		{"D", 216.95, 125.02, 54.98, 180.00, 125.02, 2.4789, 2.8680, false},
		{"E", 600, -0.165, 2.54, 2.38, 3.46, 0.0121, 0.0249, true},
		{"F", 1500, 31.33, 79.82, 111.15, 170.18, 1.2000, 2.6191, true},
		{"G", 813.31, 159.5, 90.48, 250.0, 159.52, 1.6825, 2.6191, false},
		{"H", 985.6, 41.5, 38.48, 80.0, 41.52, 0.0076, 0, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := found(t, jobOf(t, tt.name))
			require.Equal(t, tt.end, r.ReachesEnd)
			require.InDelta(t, tt.reach, float64(r.Reach), 0.06)
			require.InDelta(t, tt.inlet, float64(r.PushAtInlet), 0.05)
			require.InDelta(t, tt.entry, float64(r.Entry), 0.01)
			require.InDelta(t, tt.drive, float64(r.Drive), 0.05)
			require.InDelta(t, tt.available, float64(r.Available), 0.01)
			require.InDelta(t, tt.flow, float64(r.FreeAir)*60, 1e-4)
			if tt.empty > 0 {
				require.InDelta(t, tt.empty, float64(r.FreeAirEmpty)*60, 1e-4)
			}
			require.Equal(t, !tt.end, r.Stuck.Known())
			require.LessOrEqual(t, float64(r.Drive), math.Min(float64(jobOf(t, tt.name).Push.Safe), float64(jobOf(t, tt.name).Push.Drive)), "never more than the trial's push")
		})
	}
}

func TestPushAsTheHeadGoesOn(t *testing.T) {
	inf := math.Inf(1)
	for name, want := range map[string][4]float64{
		"A": {-20.734, -15.214, -3.288, 7.538}, "B": {-12.524, -6.124, -1.108, 6.488}, "C": {-12.932, 7.258, 30.180, 58.536},
		"E": {-0.951, -0.775, -0.421, -0.165}, "G": {-0.405, 60.370, inf, inf},
	} {
		b := balanceOf(t, jobOf(t, name))
		for i, want := range want {
			got, _ := b.required(b.pipe.length * float64(i+1) / 4)
			if math.IsInf(want, 1) {
				require.True(t, math.IsInf(got, 1), "%s locks", name)
				continue
			}
			require.InDelta(t, want, got, 1e-3, "reference program, %s at %d quarters", name, i+1)
		}
	}
	b := balanceOf(t, jobOf(t, "A"))
	push, _ := b.required(900)
	require.InDelta(t, -10.7025, push, 1e-4, "reference program and scipy: gauge for absolute gives -0.18, kg/m for N/m -53.56")
	run := b.run(900, 0)
	require.InDelta(t, 79.775, push+b.entry(run.air), 1e-3, "reference program")
	require.InDelta(t, 1.6300, float64(run.air.freeAir())*60, 1e-4, "reference program; a cable all the way would give 1.374")
	push, _ = balanceOf(t, jobOf(t, "D")).required(500)
	require.True(t, math.IsInf(push, 1), "locked, and no NaN")
}

func TestPushAlongTheRoute(t *testing.T) {
	j := jobOf(t, "A")
	b := balanceOf(t, j)
	for _, tt := range []struct{ x, pressure, push float64 }{{1291.0, 3.4932, -36.085}, {933.0, 5.5990, -31.275}, {574.9, 7.1060, -16.085}} {
		cut := *b
		cut.pieces = nil
		for _, p := range b.pieces { // a joint there makes the march stop at it
			if p.from < tt.x && tt.x < p.to {
				require.Zero(t, p.curvature())
				before, after := p, p
				before.to, after.from = tt.x, tt.x
				cut.pieces = append(cut.pieces, before, after)
				continue
			}
			cut.pieces = append(cut.pieces, p)
		}
		r := cut.run(1500, 0)
		got := math.NaN()
		r.march(1500, 1500, func(x, push float64) {
			if x == tt.x {
				got = push
			}
		})
		require.InDelta(t, tt.push, got, 0.02, "reference program; it prints its place to 0.1 m")
		near(t, tt.pressure*1e5, r.air.pressure(tt.x), 1e-4, "reference program")
	}
}

func TestContactAndPolicy(t *testing.T) {
	for _, tt := range []struct {
		name                      string
		compensated, coiling, not float64
	}{{"D", 228.8, 266.9, 467.1}, {"G", 824.0, 1002.5, 1435.2}, {"H", 1020.4, 1047.3, 1082.5}} {
		j := jobOf(t, tt.name)
		b := balanceOf(t, j)
		at, _ := b.reach(b.compensated)
		require.InDelta(t, tt.compensated, at, 0.1, "reference program")
		require.InDelta(t, tt.compensated, float64(found(t, j).Compensated), 3, "worked out roughly")
		j.Contact = ContactWhenCoils
		require.InDelta(t, tt.coiling, float64(found(t, j).Reach), 1, "reference program, whose steps of 4 m blur where the contact sets in")
		j.Contact = ContactNever
		require.InDelta(t, tt.not, float64(found(t, j).Reach), 0.1, "reference program")
	}
}

// Where it stops is not where the push is lost.
func TestWhereThePushIsLost(t *testing.T) {
	r := found(t, jobOf(t, "G"))
	require.InDelta(t, 136.8, float64(r.Sections[0].Push), 0.1, "reference program: the first straight, not the head")
	sum := 0.0
	for _, s := range r.Sections {
		sum += float64(s.Push)
	}
	require.InDelta(t, float64(r.PushAtInlet), sum, 1e-6, "the losses of all sections are the push")
	require.Greater(t, r.Sections[0].Push, 10*r.Sections[len(r.Sections)-1].Push)

	b := balanceOf(t, jobOf(t, "G"))
	push, _ := b.required(787.5)
	require.InDelta(t, 98.4, push, 0.1, "reference program: lock-up is abrupt")
	from, known := r.SteepFrom.Get()
	require.True(t, known, "warned of")
	require.Less(t, float64(from), 790.0, "in time")
	require.Greater(t, float64(from), 600.0, "but not all along")
}

func TestPeaksInMidRoute(t *testing.T) {
	b := balanceOf(t, jobOf(t, "C"))
	peak, _ := b.required(1908)
	require.InDelta(t, 64.53, peak, 0.01, "reference program")
	j := jobOf(t, "C")
	j.Push.Safe = 148.62 + 62 // less than the peak, more than the end needs
	r := found(t, j)
	require.False(t, r.ReachesEnd, "the last position would fit, but the head never gets there")
	require.Less(t, float64(r.Reach), 1908.0)

	f := balanceOf(t, jobOf(t, "F"))
	peak, _ = f.required(1387.5)
	require.InDelta(t, 33.91, peak, 0.02, "reference program")
	j = jobOf(t, "F")
	j.Push.Safe = 111.6 // the drive at the end needs 111.15
	require.False(t, found(t, j).ReachesEnd)
	near(t, 112.2, balanceOf(t, jobOf(t, "F")).need(), 5e-3, "the peak and the seal there")
}

func TestSpeed(t *testing.T) {
	for _, tt := range []struct {
		name        string
		head, speed float64
	}{{"B", 600, 1}, {"B", 1200, 0.8554}, {"D", 200, 1}, {"D", 215, 0.01954}, {"G", 400, 1}, {"G", 700, 0.7449}, {"G", 780, 0.2008}, {"G", 810, 0.01938}} {
		require.InDelta(t, tt.speed, balanceOf(t, jobOf(t, tt.name)).fastest(tt.head), 0.003, "reference program, %s at %v m", tt.name, tt.head)
	}
	for name, want := range map[string]float64{"A": 25.0, "B": 20.0, "C": 34.5, "E": 10.0, "F": 25.3} {
		near(t, want, float64(found(t, jobOf(t, name)).Time), 0.02, "reference program, %s", name)
	}
	for name, want := range map[string]float64{"D": 7.5, "G": 20.7, "H": 19.0} {
		near(t, want, float64(found(t, jobOf(t, name)).Time), 0.2, "reference program, %s; where it sticks the time depends on how long one waits", name)
	}
}

// heldOut is a run worked out by an independent program, and what it found.
type heldOut struct {
	Name        string           `json:"name"`
	Diameter    float64          `json:"outer_diameter_mm"`
	Mass        float64          `json:"mass_kg_per_m"`
	Stiffness   float64          `json:"stiffness_N_m2"`
	Bore        float64          `json:"inner_diameter_mm"`
	Inlet       float64          `json:"inlet_bar_gauge"`
	Friction    float64          `json:"friction"`
	Safe        float64          `json:"safe_N"`
	Drive       float64          `json:"drive_N"`
	Waves       []float64        `json:"waves_m"`
	FreeAir     *float64         `json:"free_air_m3_per_min"`
	Temperature float64          `json:"temperature_C"`
	Ambient     float64          `json:"ambient_Pa"`
	Contact     string           `json:"contact"`
	Sections    []heldOutSection `json:"sections"`
	Want        struct {
		Length float64 `json:"length_m"`
		Reach  float64 `json:"reach_m"`
		Flow   float64 `json:"free_air_m3_per_min"`
		Empty  float64 `json:"free_air_empty_m3_per_min"`
	} `json:"want"`
}

type heldOutSection struct {
	Length *float64 `json:"length_m"`
	Slope  float64  `json:"slope_deg"`
	Bend   float64  `json:"bend_deg"`
	Radius float64  `json:"radius_m"`
	Plane  string   `json:"plane"`
}

// job is the same as this project takes it.
func (c heldOut) job(t *testing.T) Job {
	t.Helper()
	var all []Section
	for _, s := range c.Sections {
		if s.Length != nil {
			all = append(all, Straight{q.Length(*s.Length), q.Angle(s.Slope * degree)})
			continue
		}
		all = append(all, Bend{q.Angle(s.Bend * degree), q.Length(s.Radius), map[string]Plane{"level": Level, "up": Up, "down": Down}[s.Plane]})
	}
	j := Job{
		Cable: Cable{q.Length(c.Diameter / 1000), q.LinearDensity(c.Mass), q.Stiffness(c.Stiffness)}, Bore: q.Length(c.Bore / 1000),
		Air:      Air{Inlet: bar(c.Inlet), Temperature: q.Temperature(c.Temperature), Ambient: q.Pressure(c.Ambient)},
		Friction: c.Friction, Push: Push{q.Force(c.Safe), q.Force(c.Drive), 0}, Route: route(t, all...),
	}
	if c.Waves != nil {
		j.Waves = waves(c.Waves[0], c.Waves[1])
	}
	if c.FreeAir != nil {
		j.Air.FreeAir = q.Known(q.From[q.FlowRate](*c.FreeAir, "m³/min"))
	}
	if c.Contact == "when it coils" {
		j.Contact = ContactWhenCoils
	}
	return j
}

func TestHeldOutRoutes(t *testing.T) {
	var held struct {
		Cases []heldOut `json:"cases"`
	}
	text, err := os.ReadFile(filepath.FromSlash("../../testdata/reach/held_out.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &held))
	require.GreaterOrEqual(t, len(held.Cases), 12)
	for _, c := range held.Cases {
		t.Run(c.Name, func(t *testing.T) {
			r := found(t, c.job(t))
			near(t, c.Want.Length, float64(r.End), 1e-9, "length of the route")
			near(t, c.Want.Reach, float64(r.Reach), 0.002, "independent program")
			near(t, c.Want.Flow, float64(r.FreeAir)*60, 0.002, "independent program")
			near(t, c.Want.Empty, float64(r.FreeAirEmpty)*60, 0.002, "independent program")
			t.Logf("reach %.2f m against %.2f m, air %.4f against %.4f m³/min", float64(r.Reach), c.Want.Reach, float64(r.FreeAir)*60, c.Want.Flow)
		})
	}
}

// longest returns the greatest length a straight route can have and be reached.
func longest(t testing.TB, j Job) float64 {
	low, high := 20.0, 5000.0
	for high-low > 0.5 {
		middle := (low + high) / 2
		j.Route = straight(t, middle)
		if passes(j) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// Lengths that were published, with inputs that were not and are assumed: it is plausible,
// and proves no more.
func TestPublishedLengths(t *testing.T) {
	j := Job{Cable{0.0096, 1 / gravity, 1}, 0.026, air(8), 0.25, Push{200, 300, 0}, q.Maybe[Waves]{}, straight(t, 100), ContactAlways}
	const published = 800 // m, "up to"
	for _, tt := range []struct{ mu, ei, want float64 }{{0.25, 1, 686}, {0.25, 0.5, 657}, {0.25, 3, 756}, {0.20, 1, 859}, {0.30, 1, 571}} {
		j.Friction, j.Cable.Stiffness = tt.mu, q.Stiffness(tt.ei)
		got := longest(t, j)
		near(t, tt.want, got, 5e-3, "reference program")
		near(t, published, got, 0.30, "Griffioen, J. Lightwave Technol. 7(2) (1989) 297, abstract: up to 800 m in 26 mm; cable, friction and pressure assumed")
	}
	j.Friction, j.Cable.Stiffness = 0.25, 1
	const p1 = 9.01325e5
	alone := math.Pi * 0.0096 * 0.026 * (p1*p1 - 101325.0*101325.0) / (8 * 0.25 * 1 * p1)
	near(t, 348.9, alone, 1e-3, "closed form")
	near(t, 2, longest(t, j)/alone, 0.05, "history by Griffioen et al. 2021, abstract: push amply doubles the length")
}

// What the stuck head of case G gains or loses by.
func TestSensitivity(t *testing.T) {
	base := float64(found(t, jobOf(t, "G")).Reach)
	for _, tt := range []struct {
		name   string
		change func(*Job)
		want   float64 // percent
	}{
		{"friction -10 %", func(j *Job) { j.Friction *= 0.9 }, 27.4},
		{"friction +10 %", func(j *Job) { j.Friction *= 1.1 }, -21.0},
		{"pressure -1 bar", func(j *Job) { j.Air.Inlet = bar(7) }, -20.9},
		{"pressure +1 bar", func(j *Job) { j.Air.Inlet = bar(9) }, 20.4},
		{"mass +10 %", func(j *Job) { j.Cable.Mass *= 1.1 }, -19.7},
		{"stiffness -30 %", func(j *Job) { j.Cable.Stiffness *= 0.7 }, -3.7},
		{"stiffness +30 %", func(j *Job) { j.Cable.Stiffness *= 1.3 }, 2.4},
		{"safe push -20 %", func(j *Job) { j.Push.Safe *= 0.8 }, -2.4},
		{"safe push +20 %", func(j *Job) { j.Push.Safe *= 1.2 }, 1.3},
		{"duct 0.5 mm narrower", func(j *Job) { j.Bore -= 0.0005 }, -0.5},
		{"never coiled", func(j *Job) { j.Contact = ContactNever }, 76.5},
	} {
		j := jobOf(t, "G")
		tt.change(&j)
		require.InDelta(t, tt.want, 100*(float64(found(t, j).Reach)/base-1), 0.25, "reference program: %s", tt.name)
	}
	smooth, rough := balanceOf(t, jobOf(t, "A")), balanceOf(t, jobOf(t, "A"))
	rough.pipe.roughness = 10e-6
	a, _ := smooth.required(1500)
	b, _ := rough.required(1500)
	require.InDelta(t, a, b, 0.01, "the roughness does not matter to the longest run: what pulls is the fall of pressure")
}
