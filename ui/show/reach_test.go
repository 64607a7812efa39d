package show

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/draw"
	"brinkmark/ui/rehearsal"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
	"brinkmark/ui/golden"
)

// reachOf works out the example's run after some of its text is replaced.
func reachOf(t *testing.T, oldNew ...string) (Reach, error) {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash("../../testdata/jobs/reach_example.toml"))
	require.NoError(t, err)
	for i := 0; i+1 < len(oldNew); i += 2 {
		require.Contains(t, string(text), oldNew[i])
	}
	from := profiles.Source{Path: filepath.Join(t.TempDir(), "run.toml"), Text: []byte(strings.NewReplacer(oldNew...).Replace(string(text)))}
	library, err := rehearsal.OpenLibrary(filepath.Join(t.TempDir(), "library"), time.Now, nil)
	require.NoError(t, err)
	return ReadReach(library, from, nil)
}

func reachShown(t *testing.T, oldNew ...string) (Reach, string) {
	t.Helper()
	x, err := reachOf(t, oldNew...)
	require.NoError(t, err)
	var out bytes.Buffer
	x.Show(&out)
	for _, line := range strings.Split(out.String(), "\n") {
		require.LessOrEqual(t, lipgloss.Width(line), TextWidth, line)
		require.Equal(t, strings.TrimRight(line, " "), line)
	}
	return x, out.String()
}

var (
	dry       = []string{"coefficient = 0.13", "coefficient = 0.2", "low = 0.10", "low = 0.15", "high = 0.17", "high = 0.25"}
	customary = []string{"\"9 bar\"", "\"130 psi\"", "\"5.2 m³/min\"", "\"375 cfm\"", "\"240 N\"", "\"54 lbf\"", "\"320 N\"", "\"72 lbf\"", "\"18 °C\"", "\"64 °F\"",
		"\"310 m\"", "\"1000 ft\"", "\"420 m\"", "\"1400 ft\"", "\"12 bar\"", "\"175 psi\"", "\"14 bar\"", "\"200 psi\"", "\"16 bar\"", "\"232 psi\"", "\"22 °C\"", "\"86 °F\""}
)

func TestShowReachGolden(t *testing.T) {
	rehearsal.Long(t)
	for name, changes := range map[string][]string{"reach_example": nil, "reach_stuck": dry, "reach_customary": append(append([]string{}, customary...), dry...)} {
		t.Run(name, func(t *testing.T) {
			x, got := reachShown(t, changes...)
			golden.Same(t, name, got)
			require.Equal(t, map[bool]int{true: 0, false: 10}[strings.HasPrefix(got, "REACHES")], x.Code())
			require.Equal(t, x.Code() == 0, x.Form().ReachesEnd)
		})
	}
}

// The answer stands first, in one sentence, and says only what was worked out.
func TestReachVerdicts(t *testing.T) {
	at := func(r reach.Result, share float64) string {
		r.End = 1500
		x := Reach{Run: profiles.Reach{Job: reach.Job{Push: reach.Push{Safe: 250, Drive: 300}}, Units: reach.Units{Length: "m", Force: "N"}}, Result: r}
		x.spread.EndShare = share
		require.Equal(t, 1, strings.Count(x.Verdict(), "."), "one sentence")
		return x.Verdict()
	}
	require.Equal(t, "REACHES the end, 1500 m, with no more than 250 N.", at(reach.Result{ReachesEnd: true, Reach: 1500}, 0.95))
	require.Equal(t, "REACHES the end, 1500 m, BUT NOT SURELY: in 62 of 100 cases.", at(reach.Result{ReachesEnd: true, Reach: 1500}, 0.62))
	locks := reach.Stuck{Head: 813.3, Locks: q.Known(q.Length(856.2))}
	require.Equal(t, "STOPS at 813 m of 1500 m: the cable locks, and past 856 m no push helps.", at(reach.Result{Reach: 813.3, Stuck: q.Known(locks)}, 0))
	require.Equal(t, "STOPS at 813 m of 1500 m: beyond it needs more push than 250 N.", at(reach.Result{Reach: 813.3, Stuck: q.Known(reach.Stuck{Head: 813.3})}, 0))
	require.Equal(t, "DOES NOT START: at the seal the air pushes back with 290 N, and the drive may give no more than 250 N.",
		at(reach.Result{Entry: 290, Stuck: q.Known(reach.Stuck{Seal: true})}, 0))
}

func TestShowReachWarns(t *testing.T) {
	rehearsal.Long(t)
	oneLine := func(oldNew ...string) string {
		_, got := reachShown(t, oldNew...)
		return strings.Join(strings.Fields(got), " ")
	}
	hot := oneLine("temperature = \"18 °C\"", "temperature = \"65 °C\"")
	require.Contains(t, hot, "! Air of 65 °C softens duct and cable: above 60 °C never blow.")
	steep := oneLine("length = \"310 m\"", "length = \"310 m\"\nslope = \"-25 deg\"", "\"9 bar\"", "\"2 bar\"")
	require.Contains(t, steep, "the drive must hold it back with up to")
	require.Contains(t, steep, "a bend between them is missing and is not counted")
	weak := oneLine("compressor = \"12 bar\"", "compressor = \"7 bar\"")
	require.Contains(t, weak, "! The inlet pressure is above what the compressor bears here, 7 bar: never.")
	unrated := oneLine(append([]string{"compressor = \"12 bar\"", "", "hose = \"14 bar\"", "", "coupling = \"12 bar\"", "", "duct = \"16 bar\"", ""}, dry...)...)
	require.Contains(t, unrated, "More pressure: not worked out, since no rating")
	require.Contains(t, unrated, "! No pressure rating of compressor, hose, coupling or duct is given")
	warm := oneLine(append([]string{"duct_temperature = \"22 °C\"", "duct_temperature = \"50 °C\"", "free_air = \"5.2 m³/min\"", "free_air = \"20 m³/min\""}, dry...)...)
	require.Contains(t, warm, "10.72 bar, which is all the duct bears here", "16 bar · 0.67, the warm duct is the weakest link")
	require.NotContains(t, warm, "12 bar")
}

func TestRaised(t *testing.T) {
	for v, want := range map[float64]float64{6.316: 6.35, 6.5: 6.5, 10.01: 10.5, 117.2: 120, 0: 0, 98.03: 98.5} {
		require.InDelta(t, want, float64(Raised(q.Force(v), "N")), 1e-9, "%v", v)
	}
}

func TestReadReachErrors(t *testing.T) {
	_, err := reachOf(t, "outer_diameter = \"12.4 mm\"", "outer_diameter = \"40 mm\"")
	require.ErrorContains(t, err, "duct.inner_diameter: inner diameter: 34.5 mm: must be from 40.1 mm")
}

func TestReachProgress(t *testing.T) {
	var out bytes.Buffer
	tell := ReachProgress(&out)
	for i := range 1000 {
		tell(i+1, 1000)
	}
	require.Equal(t, 11, strings.Count(out.String(), "working out"), "once for every tenth")
	require.True(t, strings.HasSuffix(out.String(), "\r\x1b[K"), "and it is gone at the end")
}

func TestPlots(t *testing.T) {
	x, err := reachOf(t, dry...)
	require.NoError(t, err)
	for _, size := range [][2]int{{76, 14}, {40, 8}, {24, 7}, {23, 14}, {60, 6}, {0, 0}, {120, 40}} {
		w, h := size[0], size[1]
		for _, lines := range [][]string{draw.PlotAlong(x.Result, x.Run.Units, w, h), draw.PlotHeads(x.Result, x.Run.Units, w, h)} {
			if w < 24 || h-1 < 6 {
				require.Empty(t, lines)
				continue
			}
			require.Len(t, lines, h)
			for _, line := range lines {
				require.LessOrEqual(t, lipgloss.Width(line), w)
			}
			require.Contains(t, strings.Join(lines[1:], ""), "o")
		}
	}
	require.Empty(t, draw.PlotAlong(reach.Result{}, x.Run.Units, 76, 14), "a cable that never started")
}
