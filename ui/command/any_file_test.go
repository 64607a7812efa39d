package command

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// tangler makes of a good file one that haste, a spreadsheet or a half-known unit makes of
// it: most of it still holds.
type tangler struct{ *rand.Rand }

func oneOf[T any](r tangler, from []T) T { return from[r.IntN(len(from))] }

var (
	quotedValue = regexp.MustCompile(`"[^"\n]*"|= [^"\n]+|,[^,\n]*`)
	numberIn    = regexp.MustCompile(`\d+(\.\d+)?`)
	unitIn      = regexp.MustCompile(`(\d) (m|mm|ft|in|psi|bar|N|lbf|°F|°C|ft/min|m/min|notch|kg/km|N·m²|deg|%)"`)
	units       = strings.Fields("m mm ft in psi bar N lbf °F °C ft/min m/min notch kg/km N·m² deg % km lb/in kPa s")
	oddTexts    = []string{"0", "-5", "1e9", "0.0001", "999999999999", "", "x", "1e-300", "0 psi", "5000 psi", "0 ft", "999 km", "-60 °C", "900 °F", "0 %", "100 %", "0 N", "1e6 N", "0 notch", "1 notch", "0.001 mm", "9 m", "1 N·m²", "true", "1979-05-27", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"}
)

// tangled is a text in which a few lines are.
func (r tangler) tangled(text string) string {
	lines := strings.Split(text, "\n")
	for range 1 + r.IntN(4) {
		i, j := r.IntN(len(lines)), r.IntN(len(lines))
		switch r.IntN(10) {
		case 0:
			lines = slices.Delete(lines, i, i+1)
		case 1:
			lines = slices.Insert(lines, j, lines[i])
		case 2:
			lines[i], lines[j] = lines[j], lines[i]
		case 3:
			lines[i] = unitIn.ReplaceAllString(lines[i], "$1 "+oneOf(r, units)+`"`)
		case 4, 5:
			by := oneOf(r, []float64{0, 0.01, 0.5, 0.9, 1.1, 2, 10, 1000, -1})
			lines[i] = numberIn.ReplaceAllStringFunc(lines[i], func(n string) string {
				v, _ := strconv.ParseFloat(n, 64)
				return strconv.FormatFloat(v*by, 'f', -1, 64)
			})
		case 6, 7:
			if other := quotedValue.FindString(lines[j]); other != "" {
				lines[i] = r.replaced(lines[i], other)
			}
		case 8:
			if key, _, ok := strings.Cut(lines[i], " = "); ok {
				lines[i] = key + " = " + oneOf(r, oddTexts)
			}
		default:
			lines[i] = r.replaced(lines[i], strconv.Quote(oneOf(r, oddTexts)))
		}
		if len(lines) == 0 {
			return ""
		}
	}
	return strings.Join(lines, "\n")
}

// replaced is a line with another value in place of one of its own.
func (r tangler) replaced(line, value string) string {
	found := quotedValue.FindAllStringIndex(line, -1)
	if len(found) == 0 {
		return line
	}
	at := found[r.IntN(len(found))]
	return line[:at[0]] + value + line[at[1]:]
}

// slips are what no sentence has in it, each with the line it is in: numbers that are none or
// that no one can read, values that were printed instead of said, control characters. What
// the files say themselves may have any, and a page to print some.
var (
	slips  = regexp.MustCompile(`.*(NaN|[+-]Inf\b|\de[+-]\d\d|%!|<nil>|0x[0-9a-f]{6}|[^\n\PC]).*`)
	theirs = regexp.MustCompile(`(?s)"[^"\n]*"|1e-300|\S+ is outside 0 to 1|<!DOCTYPE.*`)
)

// looks counts how often a crew's clock was looked at.
var looks atomic.Int64

// crewsClock goes on with every look: pushes that come faster than any crew's carry no setting.
func crewsClock() time.Time {
	return rehearsal.Morning.Add(time.Duration(looks.Add(1)) * 4 * time.Second)
}

// asked runs a command and holds what it says to what every command must keep to.
func asked(t *testing.T, in string, args ...string) exit {
	t.Helper()
	var out, err bytes.Buffer
	began := time.Now()
	code := exit(Program{In: strings.NewReader(in), Out: &out, Err: &err, ExampleJob: readFile(t, "../../testdata/jobs/example.toml"), Clock: crewsClock}.Run(args))
	said := out.String() + err.String()
	require.Contains(t, []exit{0, exitBad, exitUsage, 10, 11}, code, "%q: %s", args, said)
	require.NotContains(t, said, "itself has failed", "%q", args)
	if slices.Contains(args, "--json") && out.Len() > 0 {
		require.True(t, json.Valid(out.Bytes()), "%q: %s", args, said)
		said = err.String()
	}
	require.Empty(t, slips.FindString(theirs.ReplaceAllString(said, "")), "%q", args)
	if code == exitBad && args[0] != "doctor" { // which counts what it finds
		require.Regexp(t, `(?s)^brinkmark: .*\n  .`, err.String(), "%q: without what to do", args)
	}
	require.Less(t, time.Since(began), time.Minute, "%q", args)
	return code
}

func readFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	return data
}

// anyAnswers are what is typed without reading what is asked.
func (r tangler) anyAnswers() string {
	var b strings.Builder
	for range 250 {
		b.WriteString(oneOf(r, []string{"1", "1", "1", "1", "1", "1", "1", "2", "3", "4", "5", "6", "u", "?", "9 psi", "41 °F", "100 ft", "AB", "0"}) + "\n")
	}
	return b.String()
}

// goodFiles are files of every kind that a command takes, by kind.
func goodFiles(t *testing.T) map[string][]string {
	t.Helper()
	files := map[string][]string{}
	for kind, pattern := range map[string]string{"job": "jobs/*.toml", "history": "histories/*.toml", "covers": "covers/job.toml", "reach": "jobs/reach_*.toml", "cards": "cards/*.csv", "record": "records/*.toml"} {
		found, err := filepath.Glob(filepath.Join("../../testdata", pattern))
		require.NoError(t, err)
		require.NotEmpty(t, found, kind)
		files[kind] = found
	}
	return files
}

// someLibrary makes a library with a profile in it by answering with the first choice and where that decides nothing by the keys that do, puts
// a run with that profile beside it, and returns the profile's id.
func someLibrary(t *testing.T, dir string) (profile string) {
	t.Helper()
	t.Setenv(libraryVariable, dir)
	require.Zero(t, asked(t, strings.Repeat("1\n", 250)+"7\n0\n"+strings.Repeat("1\n", 60), "trial", "--plain", "../../testdata/jobs/example.toml"))
	found, err := filepath.Glob(filepath.Join(dir, "profiles", "*", "*.toml"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	profile = strings.TrimSuffix(filepath.Base(found[0]), ".toml")
	run := regexp.MustCompile(`(?m)^of = .*$`).ReplaceAllString(string(readFile(t, "../../testdata/runs/scripted.toml")), `of = "`+profile+`"`)
	runs := filepath.Join(dir, "runs")
	require.NoError(t, os.MkdirAll(runs, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(runs, "01M8938VPMQK1QTD27230G35TB.toml"), []byte(run), 0o666))
	return profile
}

// takesFile are the commands that take a file, and of what kind.
var takesFile = map[string][]string{
	"advise": {"job", "history", "record"}, "covers": {"job", "covers"}, "expect": {"job", "history"}, "reach": {"reach"}, "cards": {"cards"}, "trial": {"job", "covers"}, "practice": {"job"},
}

// askedOfFile hands a tangled file to a command that takes one of its kind.
func (r tangler) askedOfFile(t *testing.T, files map[string][]string, dir string) {
	name := oneOf(r, slices.Sorted(maps.Keys(takesFile)))
	from := oneOf(r, files[oneOf(r, takesFile[name])])
	file := filepath.Join(dir, "a"+filepath.Ext(from))
	text := r.tangled(string(readFile(t, from)))
	require.NoError(t, os.WriteFile(file, []byte(text), 0o666))
	args, in := []string{name, file}, ""
	switch {
	case name == "trial" || name == "practice":
		args, in = append(args, "--plain"), r.anyAnswers()
	case name != "cards" && r.IntN(2) == 0:
		args = append(args, "--json")
	}
	defer func() {
		if t.Failed() {
			t.Logf("%s: %q\n%s", from, args, text)
		}
	}()
	asked(t, in, args...)
}

func walks(t *testing.T, walk func(*testing.T, tangler)) {
	rehearsal.Walks(t, 4, func(t *testing.T, seed int) { walk(t, tangler{rand.New(rand.NewPCG(uint64(seed), 5))}) })
}

// TestAnyFile hands files to the commands of which a line or two are not as they should be:
// each answers or says what to do, and what it writes is whole.
func TestAnyFile(t *testing.T) {
	rehearsal.Long(t)
	files := goodFiles(t)
	walks(t, func(t *testing.T, r tangler) {
		dir := t.TempDir()
		someLibrary(t, filepath.Join(dir, "library"))
		for range 40 {
			r.askedOfFile(t, files, dir)
		}
		rehearsal.RequireSound(t, filepath.Join(dir, "library"), crewsClock)
	})
}

// TestAnyLibrary asks of a library in which lines are not as they should be, whatever the
// files that hold them: every command ends with an answer or with what to do.
func TestAnyLibrary(t *testing.T) {
	rehearsal.Long(t)
	walks(t, func(t *testing.T, r tangler) {
		dir := filepath.Join(t.TempDir(), "library")
		profile := someLibrary(t, dir)
		job := "../../testdata/jobs/example.toml"
		for range 20 {
			kept := map[string][]byte{}
			require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
				if err == nil && d.Type().IsRegular() && (r.IntN(5) == 0 || filepath.Ext(path) == ".tsv") {
					kept[path] = readFile(t, path)
					require.NoError(t, os.WriteFile(path, []byte(r.tangled(string(kept[path]))), 0o666))
				}
				return err
			}))
			for range 3 {
				args := oneOf(r, [][]string{
					{"review", "--csv"}, {"review", "--json"}, {"review", "--weeks"}, {"review", "--plain"}, {"sheet", profile, "-o", "-"}, {"run", profile, "--plain"}, {"run", "--plain"},
					{"resume", "--plain"}, {"covers", job}, {"covers", job, "--json"}, {"advise", job, "--earlier", profile}, {"doctor"}, {"doctor", "--json"}, {"review", "query", profile, "--by", "QS", "--note", "why?"},
					{"trial", "--plain"}, {"--plain"}, {"exchange", filepath.Join(dir, "../stick")}, {"practice", "--plain"}, {"cards", "../../testdata/cards/all.csv"},
				})
				asked(t, r.anyAnswers(), args...)
				if t.Failed() {
					t.FailNow()
				}
			}
			for path, data := range kept {
				require.NoError(t, os.WriteFile(path, data, 0o666))
			}
		}
	})
}
