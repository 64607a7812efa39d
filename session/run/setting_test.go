package run

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// The read-back names in numbers how the gauges differ from what is allowed now. The band and
// the lower settings are the plan's own; 7 °F and the stiffness of polyethylene are those of
// [session.CoveredBand].
func TestReadBack(t *testing.T) {
	for _, tt := range []struct {
		name      string
		dialled   session.Setting
		cable     float64 // °F; 0 is not read
		inlet     float64
		warmth    Warmth
		above     bool
		wantLines []string
	}{
		{"as it should be", setting(6, 95), 42, 0, InBand, false, []string{"Grip pressure: 6 psi, as it should be.", "Belt speed: 95 ft/min, as it should be."}},
		{"too hard", setting(8, 100), 42, 0, InBand, true, []string{"Grip pressure: 8 psi dialled, 6 psi allowed: 2 psi too high.", "Belt speed: 100 ft/min dialled, 95 ft/min allowed: 5 ft/min too high."}},
		{"lower", setting(6, 80), 42, 0, InBand, false, []string{"Grip pressure: 6 psi, as it should be.", "Belt speed: 80 ft/min dialled, 95 ft/min allowed: 15 ft/min lower, which may be used."}},
		{"warm, not dropped", setting(6, 95), 50, 0, Warmer, true, []string{"At 50 °F no more than grip pressure 6 psi, belt speed 85 ft/min, lower than the profile's grip pressure 6 psi, belt speed 95 ft/min, until a short check.", "Grip pressure: 6 psi, as it should be.", "Belt speed: 95 ft/min dialled, 85 ft/min allowed: 10 ft/min too high."}},
		{"warm, dropped", setting(6, 85), 50, 0, Warmer, false, nil},
		{"the air is the warmer", setting(6, 85), 42, 60, Warmer, true, []string{"At 60 °F no more than grip pressure 6 psi, belt speed 70 ft/min, lower than the profile's grip pressure 6 psi, belt speed 95 ft/min, until a short check.", "Grip pressure: 6 psi, as it should be.", "Belt speed: 85 ft/min dialled, 70 ft/min allowed: 15 ft/min too high."}},
		{"too warm for any", setting(2, 20), 62, 0, TooWarm, true, []string{"Cable or air at 62 °F is too warm for any setting of this profile: a new trial is due before any further push."}},
		{"no temperature", setting(6, 95), 0, 0, Unread, false, []string{"Grip pressure: 6 psi, as it should be.", "Belt speed: 95 ft/min, as it should be.", "No temperature was read, or the profile has no band: whether it is too warm cannot be said."}},
		{"colder than the band", setting(6, 95), 33, 0, Colder, false, nil},
		{"just in the band", setting(6, 95), 35, 0, InBand, false, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := Dialled{Setting: tt.dialled}
			if tt.cable != 0 {
				d.CableTemperature = q.Known(fahrenheit(tt.cable))
			}
			if tt.inlet != 0 {
				d.InletAirTemperature = q.Known(fahrenheit(tt.inlet))
			}
			b := Run{Plan: plan(t)}.ReadBack(d)
			require.Equal(t, tt.warmth, b.Warmth)
			require.Equal(t, tt.above, b.Above)
			if tt.wantLines != nil {
				require.Equal(t, tt.wantLines, b.Lines)
			}
		})
	}
}

// A read-back without a temperature goes by the one read last.
func TestReadBackCarriesTheTemperature(t *testing.T) {
	w := beforeAir(t)
	w.right(t)
	w.add(t, Dialled{Mark: w.mark(0), Setting: setting(6, 85), CableTemperature: q.Known(fahrenheit(50))})
	require.ErrorContains(t, w.run.Refuses(Dialled{Mark: w.mark(0), Setting: setting(6, 95)}), "Belt speed: 95 ft/min dialled, 85 ft/min allowed")
	require.NoError(t, w.run.Refuses(Dialled{Mark: w.mark(0), Setting: setting(6, 95), By: "AB", Reason: "shade in ten minutes"}))
	require.NoError(t, w.run.Refuses(Dialled{Mark: w.mark(0), Setting: setting(6, 95), CableTemperature: q.Known(fahrenheit(44))}))
}

// No lower setting of a plan is ever above the profile's own, whatever the file says.
func TestDropToNeverRaises(t *testing.T) {
	p := plan(t)
	p.DropTo = []session.DropTo{{UpTo: fahrenheit(61), Setting: setting(9, 120)}}
	most, warmth := p.Allowed(q.Known(fahrenheit(55)))
	require.Equal(t, Warmer, warmth)
	require.Equal(t, p.Setting, most.Or(session.Setting{}))
}

// What is worked out has no more digits than a gauge is read to.
func TestProvingSheetInOtherUnits(t *testing.T) {
	p := plan(t)
	p.Units.Pressure, p.Units.Diameter = "psi", "in"
	bar := func(v float64) q.Maybe[q.Pressure] { return q.Known(q.From[q.Pressure](v, "bar")) }
	mm := func(v float64) q.Maybe[q.Length] { return q.Known(q.From[q.Length](v, "mm")) }
	require.Equal(t, []string{
		"Mandrel 0.591 in is 58 % of the bore, 1.02 in. A thin one proves little: one owner's figure is 0.25 in under the bore. One owner wants it 16 in long.",
		"It lost 5.8 psi in 2 min at 145 psi: 2.9 psi a minute.",
		"No more than 7.25 psi a minute, the published figure.",
	}, p.Judge(Proving{Mandrel: mm(15), MandrelLength: mm(200), HeldAt: bar(10), HeldFor: q.Known(2 * time.Minute), Lost: bar(0.4), FarEndClear: "EF"}).Lines)
}

// The figures of the pressure test are the published ones: see the constants.
func TestProvingSheet(t *testing.T) {
	bar := func(v float64) q.Maybe[q.Pressure] { return q.Known(q.From[q.Pressure](v, "bar")) }
	mm := func(v float64) q.Maybe[q.Length] { return q.Known(q.From[q.Length](v, "mm")) }
	for _, tt := range []struct {
		name   string
		sheet  Proving
		passed q.Maybe[bool]
		says   []string
	}{
		{"tight", Proving{Mandrel: mm(20), Passes: 2, HeldAt: bar(10), HeldFor: q.Known(2 * time.Minute), Lost: bar(0.6), FarEndClear: "EF"}, q.Known(true),
			[]string{"Mandrel 20 mm is 77 % of the bore, 26 mm.", "Swab and mandrel went through 2 times.", "It lost 0.6 bar in 2 min at 10 bar: 0.3 bar a minute.", "No more than 0.5 bar a minute, the published figure."}},
		{"just at the figure", Proving{Mandrel: mm(20), HeldAt: bar(10), HeldFor: q.Known(2 * time.Minute), Lost: bar(1), FarEndClear: "EF"}, q.Known(true), nil},
		{"leaking", Proving{Mandrel: mm(20), Passes: 1, HeldAt: bar(10), HeldFor: q.Known(3 * time.Minute), Lost: bar(1.8), FarEndClear: "EF"}, q.Known(false),
			[]string{"Mandrel 20 mm is 77 % of the bore, 26 mm.", "Swab and mandrel went through once.", "It lost 1.8 bar in 3 min at 10 bar: 0.6 bar a minute.", "That is more than 0.5 bar a minute, the published figure for 10 bar: find the leak."}},
		{"held at less", Proving{Mandrel: mm(20), HeldAt: bar(6), HeldFor: q.Known(2 * time.Minute), Lost: bar(0.2), FarEndClear: "EF"}, q.Maybe[bool]{},
			[]string{"Mandrel 20 mm is 77 % of the bore, 26 mm.", "It lost 0.2 bar in 2 min at 6 bar: 0.1 bar a minute.", "The published figure is for 10 bar held 2 min: at less it proves less. The pressure printed by the duct's maker comes first."}},
		{"held for seconds", Proving{Mandrel: mm(20), HeldAt: bar(10), HeldFor: q.Known(30 * time.Second), Lost: bar(0), FarEndClear: "EF"}, q.Maybe[bool]{},
			[]string{"Mandrel 20 mm is 77 % of the bore, 26 mm.", "It lost 0 bar in 30 s at 10 bar: 0 bar a minute.", "The published figure is for 10 bar held 2 min: at less it proves less. The pressure printed by the duct's maker comes first."}},
		{"nothing written", Proving{}, q.Maybe[bool]{},
			[]string{"No mandrel is written down: size and roundness of the duct are not proved.", "No pressure test is written down in full: whether the duct is tight is not known.", "Nobody is named who said clear at the far end."}},
		{"a thin mandrel", Proving{Mandrel: mm(15), MandrelLength: mm(200), FarEndClear: "EF"}, q.Maybe[bool]{},
			[]string{"Mandrel 15 mm is 58 % of the bore, 26 mm. A thin one proves little: one owner's figure is 6.35 mm under the bore. One owner wants it 406 mm long.", "No pressure test is written down in full: whether the duct is tight is not known."}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := plan(t).Judge(tt.sheet)
			require.Equal(t, tt.passed, j.Passed)
			if tt.says != nil {
				require.Equal(t, tt.says, j.Lines)
			}
		})
	}
}

// Where the cable folded no name and no reason lets a setting be dialled.
func TestNobodyOrdersAFold(t *testing.T) {
	r := Run{Plan: plan(t)}
	r.Plan.Folds = q.Known(reading(130))
	for speed, says := range map[float64]string{120: "", 130: "this cable folded at 130 ft/min or less: nobody can order that"} {
		b := r.ReadBack(Dialled{Setting: setting(6, speed), CableTemperature: q.Known(fahrenheit(42)), By: "QS", Reason: "ordered by the supervisor"})
		err := r.Plan.refusesAbove(b)
		if says == "" {
			require.NoError(t, err)
		} else {
			require.ErrorContains(t, err, says)
		}
	}
}
