package profiles

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/problem"
	"brinkmark/session/reach"
)

func reachExample(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash("../testdata/jobs/reach_example.toml"))
	require.NoError(t, err)
	return string(text)
}

func reachLibrary(t testing.TB) *Library {
	t.Helper()
	l, err := libraryIn(filepath.Join(t.TempDir(), "library"), time.Now, nil)
	require.NoError(t, err)
	return l
}

// readReach reads a reach file of a text, beside the other files named.
func readReach(t testing.TB, l *Library, text string, beside ...string) (Reach, error) {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i+1 < len(beside); i += 2 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, beside[i]), []byte(beside[i+1]), 0o666))
	}
	path := filepath.Join(dir, "run.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	r, err := readReachNamed(l, path)
	if err != nil {
		require.NotContains(t, err.Error(), "\x1b")
	}
	return r, err
}

func TestReadReach(t *testing.T) {
	r, err := readReach(t, reachLibrary(t), reachExample(t))
	require.NoError(t, err)
	require.InDelta(t, 0.0124, float64(r.Cable.OuterDiameter), 1e-12)
	require.InDelta(t, 0.118, float64(r.Cable.Mass), 1e-12)
	require.InDelta(t, 1.9, float64(r.Cable.Stiffness), 1e-12)
	require.InDelta(t, 0.0345, float64(r.Bore), 1e-12)
	require.InDelta(t, 9e5, float64(r.Air.Inlet), 1e-6)
	require.InDelta(t, 5.2/60, float64(r.Air.FreeAir.Or(0)), 1e-12)
	require.InDelta(t, 101325, float64(r.Air.Ambient), 1e-9)
	require.InDelta(t, 0.13, r.Friction, 0)
	require.InDelta(t, 0.10, r.Doubt.FrictionLow, 0)
	require.InDelta(t, 0.17, r.Doubt.FrictionHigh, 0)
	require.Equal(t, reach.Push{Safe: 240, Drive: 320, TopSpeed: 1}, r.Push)
	w, known := r.Waves.Get()
	require.True(t, known)
	require.InDelta(t, 0.05, float64(w.Amplitude), 1e-12)
	require.Equal(t, 9, r.Route.Sections())
	require.InDelta(t, 310+420+180+260+390+1.2*3.14159265+1*(3.14159265/4+3.14159265/2), float64(r.Route.Length()), 1e-6)
	require.Equal(t, reach.Units{Length: "m", Diameter: "mm", Force: "N", Pressure: "bar", Flow: "m³/min", Temperature: "°C", Speed: "m/min"}, r.Units)
	low, known := r.Ratings.Lowest()
	require.True(t, known)
	require.Equal(t, "compressor", low.Of)

	// without the drive's limit the safe push is the limit; without the bore the size tells it
	text := strings.Replace(reachExample(t), "drive_limit = \"320 N\"\n", "", 1)
	text = strings.Replace(text, "inner_diameter = \"34.5 mm\"\n", "", 1)
	r, err = readReach(t, reachLibrary(t), text)
	require.NoError(t, err)
	require.Equal(t, r.Push.Safe, r.Push.Drive)
	require.InDelta(t, 1.358*0.0254, float64(r.Bore), 1e-9, "ASTM D3035 from memory: 1.660 in less twice 0.151 in")
	require.Contains(t, strings.Join(r.Notes, "; "), "bore of the duct by its size")
}

func TestReachFileErrors(t *testing.T) {
	for _, tt := range []struct{ name, old, new, want string }{
		{"unknown key", "coefficient = 0.13", "coeficient = 0.13", ":18:14: friction.coeficient: this key is not known\n  check its spelling, or take the line out"},
		{"no format", "format = 1", "", ": format: 0 is not known to this version, which reads 1\n  write \"format = 1\" on the first line"},
		{"missing mass", "mass = \"118 kg/km\"\n", "", "cable.mass: missing\n"},
		{"missing friction", "coefficient = 0.13", "", "friction.coefficient: missing\n"},
		{"missing push", "safe = \"240 N\"", "", "push.safe: missing\n"},
		{"push twice", "safe = \"240 N\"", "safe = \"240 N\"\nprofile = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"", "both a safe push and a profile"},
		{"no such profile", "safe = \"240 N\"", "profile = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"", ":22:11: push.profile: the library has no profile 01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"},
		{"hostile profile", "safe = \"240 N\"", "profile = \"../../x\"", "is no profile's id"},
		{"cable larger than the duct", "outer_diameter = \"12.4 mm\"", "outer_diameter = \"36 mm\"", ":12:18: duct.inner_diameter: inner diameter: 34.5 mm: must be from 36.1 mm"},
		{"absolute pressure", "inlet_pressure = \"9 bar\"", "inlet_pressure = \"10 bar abs\"", "unknown unit \"bar abs\"; use psi, kPa, bar, MPa, Pa or hPa\n  pressures are gauge pressures without a word for it"},
		{"gauge given as absolute", "temperature = \"18 °C\"", "temperature = \"18 °C\"\nambient_pressure = \"0 bar\"", ":17:20: air.ambient_pressure: ambient pressure, absolute: 0 kPa: must be from 40 kPa to 120 kPa\n  write the absolute pressure of the air outside"},
		{"too much pressure", "inlet_pressure = \"9 bar\"", "inlet_pressure = \"90 bar\"", ":14:18: air.inlet_pressure: inlet pressure: 90 bar: must be from 0 bar to 25 bar"},
		{"negative length", "length = \"310 m\"", "length = \"-310 m\"", "section.length: \"-310 m\" is not a length: must be from 0"},
		{"no unit", "length = \"310 m\"", "length = \"310\"", "\"310\" is not a length: no unit"},
		{"zero length", "length = \"310 m\"", "length = \"0 m\"", ":34:10: section[0].length: length: 0 m: must be from 0.01 m"},
		{"steep", "slope = \"1.5 deg\"", "slope = \"120 deg\"", ":40:9: section[2].slope: slope: 120 deg: must be from -90 deg to 90 deg"},
		{"bend without a radius", "bend = \"45 deg\"\nradius = \"1 m\"", "bend = \"45 deg\"", "section[3].radius: missing: a bend has a radius"},
		{"tight bend", "radius = \"1.2 m\"", "radius = \"30 mm\"", ":37:10: section[1].radius: radius: 30 mm: must be at least the inner diameter, 34.5 mm"},
		{"neither", "length = \"180 m\"", "", "section[4].length: missing: a straight has a length, a bend has a bend and a radius"},
		{"plane", "bend = \"45 deg\"", "bend = \"45 deg\"\nplane = \"sideways\"", "section[3].plane: \"sideways\" is none: write left, right, up, down, or level"},
		{"half the waves", "period = \"10 m\"\n", "", "waves: amplitude and period go together"},
		{"friction the wrong way", "low = 0.10", "low = 0.2", ":19:7: friction.low: 0.2 does not go with the coefficient 0.13"},
		{"rating", "hose = \"14 bar\"", "hose = \"1400 bar\"", "limits.hose: pressure rating: 1400 bar"},
		{"route twice", "[limits]", "[route]\ncsv = \"route.csv\"\n[limits]", "the route is given twice"},
		{"hostile", "make = \"Northmoor\"", "make = \"Northmoor\"\n\"\\u001b[2J\" = 1", "this key is not known"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := reachExample(t)
			require.Contains(t, text, tt.old)
			_, err := readReach(t, reachLibrary(t), strings.Replace(text, tt.old, tt.new, 1))
			require.ErrorContains(t, err, tt.want)
			var bad *problem.FileError
			require.ErrorAs(t, err, &bad)
			require.NotEmpty(t, bad.Hint)
		})
	}
	_, err := readReachNamed(reachLibrary(t), filepath.Join(t.TempDir(), "none.toml"))
	require.Error(t, err)
}

const routeText = "length,slope,bend,radius,plane\n# as walked\n310 m,,,,\n,,90 deg,1.2 m,\n420 m,1.5 deg,,,\n,,45 deg,1 m,level\n\n180 m\n,,90 deg,1.2 m\n260 m,-2 deg\n,,90 deg,1 m\n390 m\n"

func TestRouteFromCSV(t *testing.T) {
	inline, err := readReach(t, reachLibrary(t), reachExample(t))
	require.NoError(t, err)
	head, _, _ := strings.Cut(reachExample(t), "[[section]]")
	for name, csv := range map[string]string{
		"units in cells":    routeText,
		"tabs":              "length\tslope\tbend\tradius\tplane\n310 m\n\t\t90 deg\t1.2 m\n420 m\t1.5 deg\n\t\t45 deg\t1 m\tlevel\n180 m\n\t\t90 deg\t1.2 m\n260 m\t-2 deg\n\t\t90 deg\t1 m\n390 m\n",
		"quoted semicolons": "\"length\";\"slope\";bend;radius;plane\n\"310 m\"\n;;\"90 deg\";1.2 m\n420 m;1.5 deg\n;;45 deg;1 m;level\n180 m\n;;90 deg;1.2 m\n260 m;-2 deg\n;;90 deg;1 m\n390 m\n",
		"units in headings": "length (m);slope deg;bend [deg];radius m;plane\n310\n;;90;1.2\n420;1.5\n;;45;1;LEVEL\n180\n;;90;1.2\n260;-2\n;;90;1\n390\n",
	} {
		r, err := readReach(t, reachLibrary(t), head+"[route]\ncsv = \"route.csv\"\n", "route.csv", csv)
		require.NoError(t, err, name)
		require.Equal(t, inline.Route, r.Route, name)
	}

	l := reachLibrary(t)
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "routes"), 0o777))
	_, sections, _ := strings.Cut(reachExample(t), "[[section]]")
	card := "format = 1\n[route]\nname = \"Mill Lane\"\n[[section]]" + sections
	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), "routes", "mill-lane.toml"), []byte(card), 0o666))
	r, err := readReach(t, l, head+"[route]\ncard = \"mill lane\"\n")
	require.NoError(t, err)
	require.Equal(t, inline.Route, r.Route)
	_, err = readReach(t, l, head+"[route]\ncard = \"Hill Lane\"\n")
	require.ErrorContains(t, err, "route.card: the library has no route of this name")
	_, err = readReach(t, l, head+"[route]\ncsv = \"../route.csv\"\n")
	require.ErrorContains(t, err, "is no file beside this one")
	_, err = readReach(t, l, head)
	require.ErrorContains(t, err, "section: there is none")
}

func TestBadRouteCSV(t *testing.T) {
	_, err := ParseRouteCSV("r.csv", []byte("length,slope,bend,radius,plane\n310 m\n,,90 deg\n-5 m\n12 parsecs\n,,10 deg,1 m,sideways\n40 m,,,,,surplus\n7 m,,3 deg\n"))
	require.Error(t, err)
	for _, want := range []string{
		"r.csv:3: radius: missing: a bend has a radius", "r.csv:4: length: \"-5 m\" is not a length", "r.csv:5: length: \"12 parsecs\" is not a length: unknown unit",
		"r.csv:6: plane: \"sideways\" is none", "r.csv:7: \"surplus\" stands below no heading", "r.csv:8: bend: a part is straight or a bend",
	} {
		require.ErrorContains(t, err, want, "every bad line is named")
	}
	require.NotContains(t, err.Error(), "r.csv:2")
	for text, want := range map[string]string{
		"":                                    "no sections in it",
		"310 m\n":                             "no line of headings",
		"length,colour\n310 m,red\n":          "no line of headings, or one that is not known",
		"length,length\n1 m,2 m\n":            "no line of headings, or one that is not known",
		"length\n310\n":                       "no unit",
		"length\n\"1,5 m\"\n":                 "a comma can mean two things",
		"length\n0 m\n":                       "r.csv:2: length: length: 0 m: must be from 0.01 m",
		"length\n\xff\n":                      "UTF-8",
		"length\n0.5 m\n":                     "length of the route",
		"bend,radius\n90 deg,\"1 m\n":         "quotation marks",
		"bend,radius,plane\n360 deg,5 m,up\n": "beyond upright",
	} {
		_, err := ParseRouteCSV("r.csv", []byte(text))
		require.ErrorContains(t, err, want, "%q", text)
	}
}

func TestPushByProfile(t *testing.T) {
	l := reachLibrary(t)
	text, err := os.ReadFile(filepath.FromSlash("../testdata/covers/profile.toml"))
	require.NoError(t, err)
	dir := filepath.Join(l.Where(), "profiles", "2026-05")
	require.NoError(t, os.MkdirAll(dir, 0o777))
	write := func(pull string) {
		profile := strings.Replace(string(text), "[[attempt]]", pull+"[[attempt]]", 1)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml"), []byte(profile), 0o666))
	}
	byProfile := strings.Replace(reachExample(t), "safe = \"240 N\"", "profile = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"", 1)

	write("")
	_, err = readReach(t, l, byProfile)
	require.ErrorContains(t, err, "its rig card has no pull test")

	write("thrust_per_speed = \"410 N/(m/s)\"\nthrust_offset = \"20 N\"\ntraction_per_grip = \"9.5 N/kPa\"\n")
	r, err := readReach(t, l, byProfile)
	require.NoError(t, err)
	require.InDelta(t, 20+410*95*0.3048/60, float64(r.Push.Safe), 1e-6, "stall thrust at 95 ft/min")
	require.Contains(t, strings.Join(r.Notes, "; "), "safe push by profile 01K7ZQ4C5V8W9X0Y1Z2A3B4C5D, grip pressure 6 psi, belt speed 95 ft/min, and its rig card")
	plan, known := r.Plan.Get()
	require.True(t, known)
	at, within := plan.Reading(r.Push.Safe)
	require.True(t, within)
	require.Equal(t, "95 ft/min", at)
	_, within = plan.Reading(2000)
	require.False(t, within)

	write("thrust_per_speed = \"4100 N/(m/s)\"\ntraction_per_grip = \"3 N/kPa\"\ntraction_offset = \"-10 N\"\n")
	r, err = readReach(t, l, byProfile)
	require.NoError(t, err)
	require.InDelta(t, 3*6*6.894757-10, float64(r.Push.Safe), 1e-4, "the belts hold less: 6 psi")

	// the pull test may stand on the rig's card alone
	write("")
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "rigs"), 0o777))
	card := "format = 1\n[rig]\nname = \"rig 2\"\npush_control = \"belt speed\"\npush_unit = \"ft/min\"\nthrust_per_speed = \"400 N/(m/s)\"\ntraction_per_grip = \"9.5 N/kPa\"\n"
	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), "rigs", "rig-2.toml"), []byte(card), 0o666))
	r, err = readReach(t, l, byProfile)
	require.NoError(t, err)
	require.InDelta(t, 400*95*0.3048/60, float64(r.Push.Safe), 1e-6)

	other := strings.Replace(byProfile, "LT-96 loose tube", "LT-48 loose tube", 1)
	r, err = readReach(t, l, other)
	require.NoError(t, err)
	require.Contains(t, strings.Join(r.Notes, "; "), "of another cable")
}

func TestReachInCustomaryUnits(t *testing.T) {
	text := strings.NewReplacer("\"9 bar\"", "\"130 psi\"", "\"5.2 m³/min\"", "\"185 cfm\"", "\"240 N\"", "\"54 lbf\"", " m\"", " ft\"", "\"18 °C\"", "\"64 F\"").Replace(reachExample(t))
	r, err := readReach(t, reachLibrary(t), text)
	require.NoError(t, err)
	require.Equal(t, reach.Units{Length: "ft", Diameter: "mm", Force: "lbf", Pressure: "psi", Flow: "cfm", Temperature: "°F", Speed: "ft/min"}, r.Units)
	require.InDelta(t, 54*4.4482216, float64(r.Push.Safe), 1e-4, "NIST SP 811, appendix B.8")
}

func TestMinutesText(t *testing.T) {
	for m, want := range map[reach.Minutes]string{0: "0 min", 25: "25 min", 25.2: "26 min", 99: "99 min", 135: "2 h 15 min"} {
		require.Equal(t, want, MinutesText(m))
	}
}

// FuzzParseReach: what is read is written and read again as the same, to the text of
// every quantity; and what is taken for a run can be marched.
func FuzzParseReach(f *testing.F) {
	f.Add(reachExample(f))
	f.Add("format = 1\n[push]\nprofile = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"\n")
	f.Add("format = 1\n[[section]]\nbend = \"90 deg\"\nradius = \"1 m\"\nplane = \"up\"\n")
	f.Add("format = 1\n[friction]\ncoefficient = 1e-3\nlow = 0.5\n[cable]\nmass = \"118 kg/km\"\n")
	l := reachLibrary(f)
	f.Fuzz(func(t *testing.T, text string) {
		file, err := ParseReach(Source{Path: "run.toml", Text: []byte(text)})
		if err != nil {
			require.NotEmpty(t, err.Error())
			require.Nil(t, file)
			return
		}
		printed, err := encode(file)
		require.NoError(t, err)
		again, err := ParseReach(Source{Path: "run.toml", Text: []byte(printed)})
		require.NoError(t, err, printed)
		require.Equal(t, reachText(*file), reachText(*again), printed)
		if file.Route.CSV != "" {
			return
		}
		r, err := file.run(l)
		same, err2 := again.run(l)
		require.Equal(t, err == nil, err2 == nil)
		if err == nil {
			require.NoError(t, r.Job.Check())
			require.Equal(t, r.Job, same.Job)
		}
	})
}

// reachText is a reach file without where its text stood.
func reachText(f ReachFile) string {
	f.from = Source{}
	text, _ := encode(f)
	return text
}

// FuzzParseRouteCSV: what is read is a route of some length, and is the same again as a
// card and as a spreadsheet.
func FuzzParseRouteCSV(f *testing.F) {
	f.Add(routeText)
	f.Add("length (ft);slope deg;bend;radius in;plane\n310;-1;;;\n;;90 deg;40;down\n")
	f.Add("bend,radius\n90 deg,\"1 m\n")
	f.Fuzz(func(t *testing.T, text string) {
		sections, err := ParseRouteCSV("r.csv", []byte(text))
		if err != nil {
			require.Nil(t, sections)
			return
		}
		r, err := NewRoute(sections)
		require.NoError(t, err)
		require.Greater(t, float64(r.Length()), 0.0)

		card, err := routeCardText("r.toml", "r", sections)
		require.NoError(t, err)
		back, err := parseRoute("r.toml", []byte(card))
		require.NoError(t, err)
		require.Equal(t, sections, back.Sections)

		var b strings.Builder
		w := csv.NewWriter(&b)
		require.NoError(t, w.Write([]string{"length", "slope", "bend", "radius", "plane"}))
		for _, s := range sections {
			require.NoError(t, w.Write([]string{s.Length.String(), s.Slope.String(), s.Bend.String(), s.Radius.String(), s.Plane}))
		}
		w.Flush()
		again, err := ParseRouteCSV("r.csv", []byte(b.String()))
		require.NoError(t, err, b.String())
		require.Equal(t, sections, again)
	})
}
