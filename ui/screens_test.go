package ui

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/rehearsal"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
)

// TestPressBudget counts every press of a whole trial of twelve pushes on a job
// whose cable, duct and rig are known, and of the second one on the same day, rig,
// reel and stub.
func TestPressBudget(t *testing.T) {
	dir := t.TempDir()
	d := newDriver(t, filepath.Join(dir))
	r := rig{fold: 150, slipPerPSI: 8} // twelve pushes, four slips and a fold among them
	pushes := d.wholeTrial("2", r, d.key)
	require.Equal(t, 12, pushes)
	t.Logf("first trial: %d pushes, %d presses", pushes, d.presses)
	require.LessOrEqual(t, d.presses, 60)

	d.key("1") // to the start page
	d.presses = 0
	pushes = d.wholeTrial("2", r, d.key)
	t.Logf("second trial: %d pushes, %d presses", pushes, d.presses)
	require.Equal(t, 12, pushes)
	require.LessOrEqual(t, d.presses, 46, "one of them the settling push on the stub that was taken off and fitted again")
}

func TestWholeTrialByTouch(t *testing.T) {
	rehearsal.Long(t)
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		for _, left := range []bool{false, true} {
			dir := t.TempDir()
			d := newDriver(t, dir)
			d.m.Options.Left = left
			d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, d.touch)
			files, err := filepath.Glob(filepath.Join(dir, "example", "profiles", "*", "*.toml"))
			require.NoError(t, err)
			require.Len(t, files, 1, "the profile is saved")
		}
	}
}

var sizes = [][2]int{{80, 24}, {60, 20}, {120, 40}}

// TestScreens compares every screen, reached by keys from the start, with its
// golden file. BRINKMARK_UPDATE=1 writes them anew.
func TestScreens(t *testing.T) {
	rehearsal.Long(t)
	toChecks := "2" + strings.Repeat("1", 5) // the cautions are four pages
	toClimb := toChecks[1:] + strings.Repeat("1", 13)
	for _, row := range []struct{ name, keys string }{
		{"start", ""},
		{"job", "2"},
		{"fields", "22"},
		{"field", "224"},
		{"cautions_site", "21"},
		{"cautions_reels", "211"},
		{"cautions", "2111"},
		{"cautions_push", "21111"},
		{"killer", toChecks},
		{"block", toChecks + strings.Repeat("1", 7)},
		{"not_so", toChecks + strings.Repeat("1", 7) + "3"},
		{"block_drive", toChecks + strings.Repeat("1", 8)},
		{"wrong_answer", toChecks + "3"},
		{"settling", "2" + toClimb[1:]},
		{"dial_first", "2" + toClimb},
		{"read", "2" + toClimb + "1"},
		{"dial_next", "2" + toClimb + "11"},
		{"slip", "2" + toClimb + "12"},
		{"used_slip", "2" + toClimb + "124"},
		{"dial_slip", "2" + toClimb + "121"},
		{"fold_isolated", "2" + toClimb + "13"},
		{"fold_clear", "2" + toClimb + "131"},
		{"fold_withdrawn", "2" + toClimb + "1311"},
		{"fold_stuck", "2" + toClimb + "13113"},
		{"used_fold", "2" + toClimb + "13111"},
		{"fold_checks", "2" + toClimb + "13111a"},
		{"void", "2" + toClimb + "14"},
		{"two_questions", "2" + toClimb + "15"},
		{"temperature", "2" + toClimb + "4"},
		{"stop", "2" + toClimb + "5"},
		{"stop_drive", "2" + toClimb + "50"},
		{"stop_air", "2" + toClimb + "501"},
		{"stop_stub", "2" + toClimb + "5011"},
		{"stop_closed", "2" + toClimb + "501110"},
		{"make_safe", "2" + toClimb + "m"},
		{"why", "2" + toClimb + "11?"},
		{"map", "2" + toClimb + "111111g"},
		{"plot", "2" + toClimb + "111111g" + "n"},
		{"options", "2o"},
	} {
		t.Run(row.name, func(t *testing.T) {
			for _, size := range sizes {
				d := newDriver(t, t.TempDir())
				d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				for _, k := range row.keys {
					for d.m.overlay == noOverlay && d.m.draw().Unread && (k == '1' || d.m.question.ID == "cautions") {
						d.key("1")
					}
					d.key(string(k))
				}
				sameScreen(t, fmt.Sprintf("%s/%dx%d", row.name, size[0], size[1]), d.m)
			}
		})
	}
}

// TestEndScreens is the same for the screens behind a whole climb.
func TestEndScreens(t *testing.T) {
	rehearsal.Long(t)
	for _, id := range []string{"confirm", "setting", "trial-isolated", "stub-and-plug-out", "far-end-clear", "closed"} {
		for _, size := range sizes {
			d := newDriver(t, t.TempDir())
			d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			d.key("2")
			for n := 0; d.m.question.ID != id; n++ {
				require.Less(t, n, 200)
				d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
			}
			sameScreen(t, fmt.Sprintf("end_%s/%dx%d", id, size[0], size[1]), d.m)
		}
	}
}

func sameScreen(t *testing.T, name string, m *model) {
	t.Helper()
	view := m.View()
	lines := strings.Split(view, "\n")
	require.Len(t, lines, m.h)
	for i, line := range lines {
		require.LessOrEqual(t, lipgloss.Width(line), m.w)
		lines[i] = strings.TrimRight(line, " ")
	}
	require.Equal(t, view, m.View(), "View changes something")
	wholeLabels(t, m)
	requireTargets(t, m)
	requireAnySize(t, m)
	got := strings.Join(lines, "\n") + "\n"
	path := filepath.Join("testdata", "screens", name+".golden")
	if os.Getenv("BRINKMARK_UPDATE") != "" {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "BRINKMARK_UPDATE=1 go test ./ui writes it")
	require.Equal(t, string(want), got)
}

// TestAnySize draws questions at sizes no one should use: nothing overflows and
// nothing panics.
func TestAnySize(t *testing.T) {
	rehearsal.Long(t)
	d := newDriver(t, t.TempDir())
	sweep := func() {
		for w := 1; w <= 60; w++ {
			for h := 3; h <= 20; h++ {
				d.m.w, d.m.h = w, h
				lines := strings.Split(d.m.View(), "\n")
				require.Len(t, lines, h)
				for _, line := range lines {
					require.LessOrEqual(t, lipgloss.Width(line), w)
				}
			}
		}
		d.m.w, d.m.h = 80, 24
	}
	sweep()
	for _, k := range "2" + strings.Repeat("1", 19) + "1" {
		d.key(string(k))
		sweep()
	}
	for _, k := range []string{"?", "b", "g", "b", "o", "b", "m"} {
		d.key(k)
		sweep()
	}
}

// TestEveryChoiceCanBeTouched compares what the digits reach with what can be
// touched, and that no two targets share a cell.
func TestEveryChoiceCanBeTouched(t *testing.T) {
	rehearsal.Long(t)
	d := newDriver(t, t.TempDir())
	check := func() {
		for _, size := range sizes {
			d.m.w, d.m.h = size[0], size[1]
			keysSeen := map[string]bool{}
			for d.m.page = range pagesLooked {
				at := map[[2]int]string{}
				for _, target := range d.m.draw().Targets {
					keysSeen[target.Key] = true
					for y := target.Y; y < target.Y+target.H; y++ {
						for x := target.X; x < target.X+target.W; x++ {
							require.Empty(t, at[[2]int{x, y}], "%s at %v: %q over another", d.m.question.ID, size, target.Key)
							at[[2]int{x, y}] = target.Key
						}
					}
				}
			}
			d.m.page = 0
			if d.m.asksValue() || d.m.question.ID == "push" {
				continue
			}
			for _, key := range d.m.keys() {
				require.True(t, key == "" || keysSeen[key], "%s at %v: %s cannot be touched", d.m.question.ID, size, key)
			}
			require.True(t, keysSeen["m"])
		}
		d.m.w, d.m.h = 80, 24
	}
	check()
	d.key("2")
	for n := 0; d.m.question.ID != "closed"; n++ {
		require.Less(t, n, 200)
		check()
		d.step(rig{fold: 118, slipPerPSI: 12}, d.key)
	}
}

// A glove that hits twice within 300 ms presses once.
func TestDoublePress(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.key("2")
	d.key("1")
	id := d.m.question.Title
	press := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")}
	d.clock = d.clock.Add(time.Second)
	d.send(press)
	first := d.m.question.Title
	require.NotEqual(t, id, first)
	d.clock = d.clock.Add(200 * time.Millisecond)
	d.send(press)
	require.Equal(t, first, d.m.question.Title)
	d.clock = d.clock.Add(400 * time.Millisecond)
	d.send(press)
	require.NotEqual(t, first, d.m.question.Title)
}

// While a push is made, nothing but the make-safe card answers.
func TestHandsOffDuringPush(t *testing.T) {
	d := newDriver(t, t.TempDir())
	for _, k := range "2" + strings.Repeat("1", 18) {
		d.key(string(k))
	}
	require.Equal(t, "dial", d.m.question.ID)
	d.clock = d.clock.Add(time.Second)
	_, _ = d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")})
	require.Equal(t, "push", d.m.question.ID)
	for _, k := range "123456789?ugoqeb" {
		d.clock = d.clock.Add(time.Second)
		_, cmd := d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{k}})
		require.Nil(t, cmd)
		require.Equal(t, "push", d.m.question.ID)
	}
	d.key("m")
	require.Equal(t, makeSafeOverlay, d.m.overlay)
	heading, _ := session.MakeSafe()
	require.Contains(t, d.m.View(), strings.ToUpper(heading))
}

// A failed write leaves the question where it was and says what to do.
func TestFailedWriteStays(t *testing.T) {
	d := newDriver(t, t.TempDir())
	d.key("2")
	d.m.Keeper.Trial = brokenTrial{d.m.Keeper.Trial}
	id := d.m.question.ID
	d.clock = d.clock.Add(time.Second)
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")})
	require.Equal(t, id, d.m.question.ID)
	require.Contains(t, d.m.View(), "the disk is full")
}

type brokenTrial struct{ ask.Trial }

func (brokenTrial) Append(...profiles.Entry) error {
	return fmt.Errorf("the disk is full: free some space and do it again")
}

func BenchmarkKey(b *testing.B) {
	d := newDriver(&testing.T{}, b.TempDir())
	for _, k := range "2" + strings.Repeat("1", 19) + "1" {
		d.key(string(k))
	}
	d.m.w, d.m.h = 120, 40
	d.m.theme = draw.NewTheme(lipgloss.NewRenderer(io.Discard), draw.Light)
	for b.Loop() {
		d.opensAndCloses("g")
	}
}

// In ASCII mode nothing else is drawn, on any screen of a whole trial.
func TestASCII(t *testing.T) {
	rehearsal.Long(t)
	d := newDriver(t, t.TempDir())
	d.m.Options.ASCII = true
	plain := func() {
		for _, r := range d.m.View() {
			require.True(t, r == '\n' || r >= ' ' && r <= '~', "%q on %s", r, d.m.question.ID)
		}
	}
	d.wholeTrial("2", rig{fold: 118, slipPerPSI: 12}, func(key string) {
		plain()
		d.key(key)
		for _, over := range []string{"?", "g", "o"} {
			d.clock = d.clock.Add(time.Second)
			d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(over)})
			plain()
			d.clock = d.clock.Add(time.Second)
			d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("b")})
		}
	})
	sameScreen(t, "ascii_closed/80x24", d.m)
	d = newDriver(t, t.TempDir())
	d.m.Options.ASCII = true
	for _, k := range "2" + strings.Repeat("1", 20) {
		d.key(string(k))
	}
	for _, size := range sizes {
		d.m.w, d.m.h = size[0], size[1]
		sameScreen(t, fmt.Sprintf("ascii_dial/%dx%d", size[0], size[1]), d.m)
	}
}
