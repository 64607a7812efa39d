package ask

import (
	"bytes"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/show"

	q "brinkmark/session/quantity"
)

// droopOn answers a droop's questions: a text is typed where one may be, else the
// choice that begins with it is taken.
func droopOn(t *testing.T, d DroopFlow, answers ...string) DroopFlow {
	t.Helper()
	put := func(f Flow, next DroopFlow) Flow { d = next; return f }
	for _, a := range answers {
		question := d.Question(put)
		if question.Enter != nil && a[0] >= '-' && a[0] <= '9' {
			_, effect, err := question.Enter.Take(Flow{}, a)
			require.NoError(t, err, question.ID)
			require.Equal(t, None{}, effect)
			continue
		}
		_, effect := chosen(t, question, a)(Flow{})
		require.Equal(t, None{}, effect)
	}
	return d
}

func chosen(t *testing.T, question Question, label string) func(Flow) (Flow, Effect) {
	t.Helper()
	for _, c := range question.Choices {
		if strings.HasPrefix(c.Label, label) {
			return c.Do
		}
	}
	t.Fatalf("%s offers no %q", question.ID, label)
	return nil
}

func keepPut(f Flow, _ DroopFlow) Flow { return f }

func jobRecord(t *testing.T, text string) profiles.Record {
	t.Helper()
	r, err := profiles.Parse("job.toml", []byte("format = 1\n"+text))
	require.NoError(t, err)
	return *r
}

const weighedJob = "[cable]\nmass = \"110 kg/km\"\n[conditions]\ncable_temperature = \"41 F\"\n"

func TestDroopFlow(t *testing.T) {
	record := jobRecord(t, weighedJob)
	d := NewDroopFlow(record, true)
	require.Equal(t, "droop-level", d.Question(keepPut).ID)
	d = droopOn(t, d, "Clamped", "1 m", "30 seconds", "443.18 mm", "Turned", "-0.34 mm")
	require.True(t, d.Done(), "mass and temperature are the job's")
	question := d.Question(keepPut)
	require.Equal(t, "Bending stiffness 0.5394 N·m²", question.Title, "derived here: the load is 2")
	require.Contains(t, question.Body, "Set radius from the reel: 2 m")
	require.Contains(t, question.Body[0], "misread by 1 mm makes it 0.5 % wrong")

	_, effect := chosen(t, question, "Keep it")(Flow{Record: record})
	kept := effect.(ReplaceJob).Record
	require.Equal(t, "0.5394 N·m²", kept.Cable.BendingStiffness.String())
	require.Equal(t, "41 °F", kept.Cable.StiffnessTemperature.String())
	require.Equal(t, "110 kg/km", kept.Cable.Mass.String())
}

func TestDroopFlowAsksWhatTheJobLacks(t *testing.T) {
	record := jobRecord(t, "")
	d := droopOn(t, NewDroopFlow(record, true), "Clamped", "110 kg/km", "1 m", "30 seconds", "250 mm", "It cannot be turned", "No thermometer")
	require.True(t, d.Done())
	question := d.Question(keepPut)
	require.Equal(t, "Bending stiffness 0.5121 N·m²", question.Title, "derived here: 1 m of 110 kg/km dropping 250 mm")
	require.Contains(t, question.Body, "Read at: not known")
	require.Contains(t, question.Body[len(question.Body)-1], "! The set from the reel is not taken out")

	_, effect := chosen(t, question, "Keep it")(Flow{Record: record})
	kept := effect.(ReplaceJob).Record
	require.Equal(t, "110 kg/km", kept.Cable.Mass.String(), "it was asked for, so it is kept")
	require.Empty(t, kept.Cable.StiffnessTemperature.String())

	warm := droopOn(t, NewDroopFlow(record, true), "Clamped", "110 kg/km", "1 m", "30 seconds", "250 mm", "Turned", "250 mm", "23 C")
	r, err := warm.Result()
	require.NoError(t, err)
	require.Equal(t, "23 °C", r.ReadAt())
}

func TestDroopFlowAgain(t *testing.T) {
	d := droopOn(t, NewDroopFlow(jobRecord(t, weighedJob), true), "Clamped", "1 m", "30 seconds", "250 mm", "Turned", "250 mm", "Measure again")
	require.Equal(t, "droop-wait", d.Question(keepPut).ID, "the same overhang")
	d = droopOn(t, d, "30 seconds")
	require.Contains(t, d.Question(keepPut).Body[0], "Last time: 0.5121 N·m²")
	d = droopOn(t, d, "260 mm", "Turned", "255 mm")
	require.Contains(t, d.Question(keepPut).Body, "Last time: 0.5121 N·m²")
}

// A wrong reading is asked again where it was made, with what is allowed.
func TestDroopFlowRefuses(t *testing.T) {
	record := jobRecord(t, "")
	mass := droopOn(t, NewDroopFlow(record, true), "Clamped")
	overhang := droopOn(t, mass, "110 kg/km")
	dropped := droopOn(t, overhang, "1 m", "30 seconds")
	turned := droopOn(t, dropped, "800 mm", "Turned")
	warm := droopOn(t, droopOn(t, dropped, "250 mm", "Turned"), "250 mm")
	for _, tt := range []struct {
		at         DroopFlow
		text, want string
	}{
		{mass, "0 kg/km", "mass: 0 kg/km: must be from 0.1 kg/km to 50000 kg/km"},
		{mass, "heavy", `mass: "heavy" is not a mass per length`},
		{overhang, "1", `overhang: "1" is not a length: no unit`},
		{dropped, "1.2 m", "drop: 1200 mm: must be from 20 mm to 800 mm, 2 % to 80 % of the overhang"},
		{turned, "-600 mm", "no cable of one stiffness and one set hangs so"},
		{turned, "-2 m", "drop turned: -2000 mm: must be from -600 mm to 800 mm"},
		{warm, "200 F", "temperature: 200 °F: must be from -20 °F to 140 °F"},
	} {
		question := tt.at.Question(keepPut)
		_, effect, err := question.Enter.Take(Flow{}, tt.text)
		require.ErrorContains(t, err, tt.want, question.ID)
		require.Equal(t, None{}, effect)
	}
}

// A reading that fits nothing is said, and can only be measured again or left.
func TestDroopFlowWithoutResult(t *testing.T) {
	d := droopOn(t, NewDroopFlow(jobRecord(t, weighedJob), true), "Clamped", "1 m", "30 seconds", "-10 mm", "It cannot be turned")
	question := d.Question(keepPut)
	require.Equal(t, "These readings give no stiffness", question.Title)
	require.Len(t, question.Choices, 2)
	_, err := d.Changes()
	require.ErrorContains(t, err, "drop: -10 mm: must be from 20 mm")
}

// Every step says what to do, fits a small screen's line, and can be left.
func TestDroopStepsAreWhole(t *testing.T) {
	record := jobRecord(t, weighedJob)
	for step := droopLevel; step < droopResult; step++ {
		d := NewDroopFlow(record, false)
		d.step = step
		question := d.Question(keepPut)
		require.LessOrEqual(t, lipgloss.Width(question.Title), 58, question.ID)
		require.NotEmpty(t, question.Body, question.ID)
		require.NotEmpty(t, question.Help, question.ID)
		flow, effect := chosen(t, question, "Stop measuring")(Flow{Record: record})
		require.Equal(t, None{}, effect)
		require.Equal(t, record, flow.Record)
		if question.Enter != nil {
			require.NotEmpty(t, question.Enter.Example)
		}
	}
}

func TestDroopUnits(t *testing.T) {
	for _, tt := range []struct{ overhang, temperature, stiffness string }{
		{"1 m", "", "N·m²"}, {"40 in", "", "lbf·in²"}, {"3 ft", "5 C", "lbf·in²"}, {"1 m", "41 F", "N·m²"},
	} {
		r, err := DroopReading{Overhang: tt.overhang, Drop: "250 mm", Mass: "110 kg/km", Temperature: tt.temperature}.Solve()
		require.NoError(t, err)
		require.Equal(t, tt.stiffness, r.Units.Stiffness)
		read, err := q.Parse[q.Stiffness](r.Stiffness())
		require.NoError(t, err, "a record reads what it is told to keep")
		require.InEpsilon(t, float64(r.Bending.Stiffness), float64(read), 1e-3)
	}
}

func TestShowDroopFits(t *testing.T) {
	r, err := DroopReading{Overhang: "1 m", Drop: "250 mm", Mass: "110 kg/km"}.Solve()
	require.NoError(t, err)
	var out bytes.Buffer
	r.Show(&out)
	for _, line := range strings.Split(out.String(), "\n") {
		require.LessOrEqual(t, lipgloss.Width(line), show.TextWidth, line)
	}
	require.Contains(t, out.String(), "read the cable's temperature and write it here")
}

func FuzzDroopReading(f *testing.F) {
	f.Add("1 m", "443.18 mm", "-0.34 mm", "110 kg/km", "41 F")
	f.Add("40 in", "10 in", "", "79 lb/1000 ft", "")
	f.Add("1 m", "−3 mm", "--3 mm", "0 kg/km", "200 C")
	f.Fuzz(func(t *testing.T, overhang, dropped, turned, mass, temperature string) {
		r, err := DroopReading{overhang, dropped, turned, mass, temperature}.Solve()
		if err != nil {
			return
		}
		_, err = q.Parse[q.Stiffness](r.Stiffness())
		require.NoError(t, err)
		if at := r.ReadAt(); at != "" {
			_, err = q.Parse[q.Temperature](at)
			require.NoError(t, err)
		}
	})
}
