package command

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

// hose is what one cable in one duct on one rig really does. The crew does not know it.
type hose struct {
	fold float64 // ft/min, or the control's own number, at 60 °F
	slip float64 // speed per psi at which the belts break loose
	mark float64 // psi that marks the jacket
}

// spec is a job of the day: the record's keys as texts.
type spec struct {
	key    cableKey
	values [][2]string
	metric bool
	most   dial
	unit   string  // of its push control
	sun    float64 // °F the cable lies above the air
	reel   string
	base   *profiles.Record // made once
}

var rigsOfTheDay = map[string][][2]string{
	"Rig 2": {},
	"Rig 5": {{"rig.push_unit", "m/min"}, {"rig.grip_limit", "4 bar"}, {"rig.speed_limit", "66 m/min"}, {"rig.grip_division", "0.1 bar"}, {"rig.speed_division", "1 m/min"},
		{"ladder.grip_start", "0.3 bar"}, {"ladder.grip_step", "0.2 bar"}, {"ladder.speed_start", "12 m/min"}},
	"Rig 7": {{"rig.thrust_per_speed", "1300 N/(m/s)"}, {"rig.traction_per_grip", "8.0 N/kPa"}, {"rig.supply", "compressor 1"},
		{"rig.belt_length", "600 mm"}, {"rig.clamp_per_grip", "100 N/kPa"}},
	"Rig 9": {{"rig.push_control", "throttle"}, {"rig.push_unit", "notch"}, {"rig.speed_limit", "14 notch"}, {"rig.speed_division", "1 notch"}, {"ladder.speed_start", "2 notch"}},
}

// crushOfRig7 is where its belts reach the crush limit of the day's cables: 22 kN/m on 0.6 m,
// at 100 N/kPa.
const crushOfRig7 = "132 kPa"

// planJobs makes the day's jobs: few cables, ducts and rigs, so that they meet again.
func (d *day) planJobs() {
	cables, ducts := []string{"LT-96 loose tube", "LT-48 loose tube"}, []string{"1.25 in SDR 11", "40/33"}
	rigs := []string{"Rig 2", "Rig 5", "Rig 7", "Rig 9"}
	d.random.Shuffle(len(rigs), func(i, j int) { rigs[i], rigs[j] = rigs[j], rigs[i] })
	for range 2 + d.random.IntN(2) {
		key := cableKey{"Northmoor", pick(d, cables), pick(d, ducts[:1+d.random.IntN(2)]), pick(d, rigs[:2])}
		d.specs = append(d.specs, d.newSpec(key))
	}
	for range 2 { // the same again, another reel or lot
		again := d.newSpec(pick(d, d.specs).key)
		d.specs = append(d.specs, again)
	}
}

func (d *day) newSpec(key cableKey) spec {
	s := spec{key: key, metric: key.rig == "Rig 5", sun: 12 * d.random.Float64(), reel: pick(d, []string{"NM-1", "NM-1", "NM-1", "NM-1", "NM-1", "NM-1", "NM-2", "NM-2", ""})}
	set := func(key, text string) { s.values = append(s.values, [2]string{key, text}) }
	set("cable.make", key.make)
	set("cable.type", key.kind)
	set("duct.size", key.duct)
	set("rig.name", key.rig)
	set("cable.reel", s.reel)
	if key.duct == "40/33" {
		set("duct.inner_diameter", "33 mm")
	}
	s.values = append(s.values, rigsOfTheDay[key.rig]...)
	for _, row := range [][]string{{"cable.lot", "L1", "L1", "L1", "L2"}, {"duct.lot", "D1"}, {"rig.supply", "compressor 1", "compressor 1", "compressor 1", "unregulated"}, {"rig.lead_in", "300 mm"}} {
		if d.chance(0.93) {
			set(row[0], pick(d, row[1:]))
		}
	}
	of := map[string]struct {
		unit, grip, speed string
		most              dial
	}{
		"Rig 5": {"m/min", "1 bar", "27 m/min", dial{4 * perUnit["bar"], 66 * perUnit["m/min"]}}, "Rig 9": {"notch", "14 psi", "8 notch", dial{60, 14}},
	}[key.rig]
	if of.unit == "" {
		of.unit, of.grip, of.speed, of.most = "ft/min", "14 psi", "90 ft/min", dial{60, 220}
	}
	s.unit, s.most = of.unit, of.most
	if d.chance(0.2) {
		set("limits.grip", of.grip)
		s.most.grip, _, _ = amount(of.grip)
	}
	if d.chance(0.2) {
		set("limits.speed", of.speed)
		s.most.speed, _, _ = amount(of.speed)
	}
	if d.chance(0.6) {
		set("cable.bending_stiffness", "")
	}
	if _, known := d.cables[fmt.Sprint(key)]; !known {
		share := 1.0 // of the usual numbers
		if s.unit == "notch" {
			share = 0.09
		}
		d.cables[fmt.Sprint(key)] = hose{share * (45 + 80*d.random.Float64()), share * (8 + 12*d.random.Float64()), 10 + 40*d.random.Float64()}
	}
	s.base = d.baseOf(s)
	return s
}

var exampleOfDay = func() func() []byte {
	var text []byte
	return func() []byte {
		if text == nil {
			text, _ = os.ReadFile("../../testdata/jobs/example.toml")
		}
		return text
	}
}()

// job is a spec as a record, at the temperature it is now; with further keys changed.
func (d *day) job(s spec, changes ...[2]string) profiles.Record {
	job := *s.base
	for _, c := range append([][2]string{{cableTemperature, d.shown(s, d.cableIs(s))}}, changes...) {
		next, err := job.With(c[0], c[1])
		require.NoError(d.t, err, c)
		job = next
	}
	return job
}

// baseOf is a spec as a record. Units that go together are changed together.
func (d *day) baseOf(s spec) *profiles.Record {
	text := string(exampleOfDay())
	for _, c := range append(append([][2]string{}, s.values...), [2]string{"conditions.stub_temperature", ""}, [2]string{"conditions.air_temperature", ""}) {
		block, name, _ := strings.Cut(c[0], ".")
		head := "[" + block + "]\n"
		at := strings.Index(text, "\n"+head) + 1
		end := strings.Index(text[at+1:], "\n[") + at + 2
		if end <= at+1 {
			end = len(text)
		}
		part := regexp.MustCompile(`(?m)^`+name+` = .*\n`).ReplaceAllString(text[at:end], "")
		if c[1] != "" {
			part = strings.Replace(part, head, head+name+" = \""+c[1]+"\"\n", 1)
		}
		text = text[:at] + part + text[end:]
	}
	r, err := profiles.Parse("job", []byte(text))
	require.NoError(d.t, err, text)
	return r
}

// airIs is the air of the hour, coldest at six and warmest at fourteen.
func (d *day) airIs() float64 {
	h := float64(d.now.Hour()) + float64(d.now.Minute())/60
	return d.base + 12*(1-math.Cos((h-6)/8*math.Pi))
}

func (d *day) cableIs(s spec) float64 { return d.airIs() + s.sun }

// shown is a temperature as that crew's thermometer shows it.
func (d *day) shown(s spec, f float64) string {
	if s.metric {
		return fmt.Sprintf("%.0f °C", (f-32)/1.8)
	}
	return fmt.Sprintf("%.0f °F", f)
}

// happens is what a push does.
func (d *day) happens(s spec, set dial) (outcome string, marked bool) {
	h := d.cables[fmt.Sprint(s.key)]
	folds := h.fold * math.Exp(forceShare*-lnSofter(60, d.cableIs(s))+0.08*d.random.NormFloat64())
	slips := h.slip * set.grip * math.Exp(0.06*d.random.NormFloat64())
	marked = set.grip > h.mark && d.chance(0.6)
	switch {
	case min(set.speed, slips) >= folds:
		return "fold", marked
	case set.speed > slips:
		return "slip", marked
	}
	return "stall", marked
}
