package session

import (
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

// onSite is a job as it stands after its thermometers were read.
func onSite() Trial {
	return Trial{
		Kind:       Full,
		Cable:      Cable{OuterDiameter: q.Known(q.From[q.Length](12.4, "mm"))},
		Duct:       Duct{Size: "1.25 in SDR 11", InnerDiameter: q.Known(q.From[q.Length](34.5, "mm"))},
		Conditions: Conditions{StubTemperature: q.Known(q.From[q.Temperature](51, "°F")), AirTemperature: q.Known(q.From[q.Temperature](52, "°F")), Unit: "°F"},
		Rig: Rig{PushControl: "belt speed", GripUnit: "psi", PushUnit: "ft/min", GripLimit: q.Known(q.From[q.Pressure](60, "psi")),
			SpeedLimit: q.Known(q.Reading{Value: float64(q.From[q.Speed](220, "ft/min")), Unit: "m/s"})},
		Stub: Stub{Length: q.Known(q.Length(3))},
	}
}

// Values that were once taken without a word, beside such as must never be asked again:
// ordinary ones of a trade where a cable is 4 to 25 mm thick, a duct 8 to 50 mm wide and a
// drive's belts are squeezed with a compressor's air. Common practice, no source.
func TestOddValues(t *testing.T) {
	for _, row := range []struct{ key, text, says string }{
		{"conditions.cable_temperature", "460 °F", "Usual is from -22 °F to 122 °F. Stub and air read 51 and 52 °F."},
		{"conditions.cable_temperature", "85 F", "Stub and air read 51 and 52 °F."},
		{"conditions.cable_temperature", "30 C", "Stub and air read 10.56 and 11.11 °C."},
		{"conditions.cable_temperature", "58 F", ""},
		{"conditions.cable_temperature", "41 F", ""},
		{"conditions.air_temperature", "5 F", "Stub reads 51 °F."},
		{"conditions.stub_temperature", "75 F", ""}, // in the sun
		{"cable.outer_diameter", "11 in", "Usual is from 0.0394 in to 1.57 in. The duct's bore is 1.36 in."},
		{"cable.outer_diameter", "0.49 in", ""},
		{"cable.outer_diameter", "33 mm", "The duct's bore is 34.5 mm."},
		{"cable.outer_diameter", "8 mm", ""},
		{"duct.inner_diameter", "0.48 in", "By its size, 1.25 in SDR 11, it is 1.36 in. The cable is 0.488 in thick."},
		{"duct.inner_diameter", "1.36 in", ""},
		{"duct.inner_diameter", "34 mm", ""},
		{"duct.size", "banana", "No size is known by this name, so that the bore must be measured. Results are kept under it."},
		{"duct.size", "40/33", ""},
		{"duct.size", "1-1/4 in SDR11", ""},
		{"rig.grip_limit", "6000 psi", "Usual is from 5 psi to 200 psi."},
		{"rig.grip_limit", "60 psi", ""},
		{"rig.grip_limit", "4 bar", ""},
		{"rig.grip_division", "30 psi", "The grip pressure goes up to 60 psi: a ladder needs finer steps."},
		{"rig.grip_division", "1 psi", ""},
		{"rig.speed_division", "100 ft/min", "The belt speed goes up to 220 ft/min: a ladder needs finer steps."},
		{"rig.speed_division", "5 ft/min", ""},
		{"rig.speed_limit", "2200 ft/min", "Usual is from 6.56 ft/min to 492 ft/min."},
		{"rig.speed_limit", "2400 psi", ""},
		{"limits.grip", "70 psi", "The rig's limit is 60 psi, and it stays."},
		{"stub.run_up", "700 ft", "Usual is from 0.328 ft to 32.8 ft. The stub is 9.84 ft long."},
		{"stub.run_up", "4 m", "The stub is 3 m long."},
		{"stub.run_up", "2 m", ""},
		{"cable.make", "Northmoor", ""},
		{"stub.run_up", "two metres", ""}, // no value at all
	} {
		require.Equal(t, row.says, onSite().Odd(row.key, row.text), "%s %s", row.key, row.text)
	}
}

// A reading is held against the others, never against what it replaces.
func TestOddIsNotAgainstItself(t *testing.T) {
	job := onSite()
	job.Conditions.CableTemperature = q.Known(q.From[q.Temperature](85, "°F"))
	require.Empty(t, job.Odd("conditions.cable_temperature", "52 F"))
}

func TestOddBesideTheDay(t *testing.T) {
	job := onSite()
	job.Conditions = Conditions{DayLow: q.Known(q.From[q.Temperature](41, "°F")), DayHigh: q.Known(q.From[q.Temperature](78, "°F"))}
	require.Equal(t, "Today's low is 41 °F.", job.Odd("conditions.cable_temperature", "14 F"))
	require.Equal(t, "Today's high is 25.56 °C.", job.Odd("conditions.stub_temperature", "58 C"))
	require.Empty(t, job.Odd("conditions.stub_temperature", "110 F"), "a black duct in the sun")
}

// Every range says what it is and where it comes from, and knows its key.
func TestEveryRangeHasASource(t *testing.T) {
	for _, p := range plausibilities {
		require.NotEmpty(t, p.wanted, p.key)
		require.NotEmpty(t, p.source, p.key)
	}
}

func TestZeroIsRefused(t *testing.T) {
	require.EqualError(t, Nothing("rig.grip_division", "0 psi"), "0 psi is no step one can set: read it once more, or leave it out")
	require.Error(t, Nothing("cable.crush_limit", "0.0 N/100mm"))
	require.NoError(t, Nothing("conditions.cable_temperature", "0 C"))
	require.NoError(t, Nothing("rig.grip_division", "0.1 bar"))
	require.NoError(t, Nothing("rig.speed_division", "1 notch"))
}

func TestOddCutOff(t *testing.T) {
	job := onSite()
	require.NotEmpty(t, job.OddCutOff(Fold, "0 ft"))
	require.Empty(t, job.OddCutOff(Slip, "0 ft"))
	require.Empty(t, job.OddCutOff(Fold, "1.5 m"))
	require.Equal(t, "Stub and run-up are 16.4 ft together.", job.OddCutOff(Fold, "400 ft"))
}

// ladderOf is a job with a ladder of its own.
func ladderOf(start, step, speed string) Trial {
	job := onSite()
	job.Cable.Make, job.Cable.Type, job.Policy = "M", "T", DefaultPolicy()
	job.Conditions.CableTemperature = q.Known(q.From[q.Temperature](50, "°F"))
	if p, err := q.Parse[q.Pressure](start); err == nil {
		job.Ladder.GripStart = q.Known(p)
	}
	if p, err := q.Parse[q.Pressure](step); err == nil {
		job.Ladder.GripStep = q.Known(p)
	}
	if v, err := q.ParseReading(speed); err == nil {
		job.Ladder.SpeedStart = q.Known(v)
	}
	return job
}

// The first push is never above a rung of the usual ladder, a tenth of the limit, unless
// the record says why; a trial that has pushed goes on as it began.
func TestSteepLadder(t *testing.T) {
	for _, row := range []struct{ start, step, speed, says string }{
		{"", "60 psi", "", "ladder.grip_step: 60 psi is more than a tenth of the limit, 60 psi: make it 6 psi or less, or say why (ladder.reason)"},
		{"20 psi", "2 psi", "", "ladder.grip_start: 20 psi is more than a tenth"},
		{"", "", "200 ft/min", "ladder.speed_start: 200 ft/min is more than a quarter of the limit, 220 ft/min: make it 55 ft/min or less"},
		{"4 psi", "2 psi", "40 ft/min", ""},
		{"6 psi", "6 psi", "", ""},
		{"", "", "", ""},
	} {
		job := ladderOf(row.start, row.step, row.speed)
		if row.says == "" {
			require.NoError(t, job.Advisable())
			try, pushing := Decide(job).(Try)
			require.True(t, pushing)
			require.LessOrEqual(t, q.In(try.Setting.Grip, "psi"), 6.0001)
			continue
		}
		require.ErrorContains(t, job.Advisable(), row.says)
		require.True(t, job.Steep())

		said := job
		said.Ladder.Reason = "the belts do not close under 20 psi"
		require.NoError(t, said.Advisable())

		old := job
		old.Entries = []Entry{Attempt{Mark: Mark{Seq: 1}, Setting: Setting{q.From[q.Pressure](4, "psi"), q.Reading{Value: 0.2, Unit: "m/s"}}, Outcome: Stall}}
		require.NoError(t, old.Advisable())
		require.Contains(t, View(old).Warnings, "the ladder goes up in larger rungs or from a higher start than usual, and nobody said why")
	}
}

// Two numbers in one unit are told apart by name, in the crew's word.
func TestNamedSetting(t *testing.T) {
	rig := Rig{PushControl: "motor pressure", GripUnit: "bar", PushUnit: "bar", SpeedLimit: q.Known(q.Reading{Value: 100, Unit: "bar"})}
	s := Setting{q.Pressure(1e5), rig.Reading(15)}
	require.Equal(t, "grip pressure 1 bar, motor pressure 15 bar", rig.Named(s))
	rig.PushControl = ""
	require.Equal(t, "grip pressure 1 bar, push control 15 bar", rig.Named(s))
}

// What a short check measures is held against the trial it checks: another cable is told while it
// can still be put right.
func TestOddBesideTheTrialBefore(t *testing.T) {
	before, check := onSite(), onSite()
	before.Cable.OuterDiameter = q.Known(q.From[q.Length](0.5, "in"))
	require.Empty(t, check.Odd("cable.outer_diameter", "0.4 in"))
	check.Before = &before
	require.Equal(t, "The trial before it had 0.5 in.", check.Odd("cable.outer_diameter", "0.4 in"))
	require.Empty(t, check.Odd("cable.outer_diameter", "0.52 in"))
}
