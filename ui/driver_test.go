package ui

import (
	"io"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// driver presses keys on a model and carries its commands out at once, on the same
// goroutine: no sleeps, no timers.
type driver struct {
	t       *testing.T
	m       *model
	clock   time.Time
	presses int
	dir     string // of the library
	seen    func() // called after each key, if set
	left    bool   // the screens were to end
}

func newDriver(t *testing.T, dir string) *driver {
	t.Helper()
	d := &driver{t: t, dir: dir, clock: time.Date(2026, 5, 14, 7, 42, 0, 0, time.UTC)}
	now := func() time.Time { return d.clock }
	library, err := rehearsal.OpenLibrary(dir, now, rand.NewChaCha8([32]byte{}))
	require.NoError(t, err)
	job, err := os.ReadFile("../testdata/jobs/example.toml")
	require.NoError(t, err)
	k := ask.NewKeeper(library, job)
	home, err := k.Home()
	require.NoError(t, err)
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	d.m = newModel(Screens{Keeper: k, Now: now, Renderer: r, Options: profiles.Options{Theme: "plain"}}, home)
	t.Cleanup(func() { // Windows takes no open file away
		if d.m.Keeper.Close != nil {
			_ = d.m.Keeper.Close()
		}
	})
	return d
}

// aPush is how long a crew is at a push, run-up and backing off besides: records whose pushes
// come faster than any crew's can hand out nothing.
const aPush = 20 * time.Second

// run carries out a command and whatever follows from it. The timer of a push is
// let pass.
func (d *driver) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	if d.m.question.ID == "push" && !d.m.busy {
		d.clock = d.clock.Add(aPush)
		d.send(pushOverMsg{d.m.pushes})
		return
	}
	if d.m.question.Again != nil && !d.m.busy { // it waits to look anew
		return
	}
	switch msg := cmd().(type) {
	case tea.BatchMsg:
		for _, c := range msg {
			d.run(c)
		}
	case nil:
	case tea.QuitMsg:
		d.left = true
	default:
		d.send(msg)
	}
}

func (d *driver) send(msg tea.Msg) {
	_, cmd := d.m.Update(msg)
	d.run(cmd)
}

func (d *driver) key(name string) {
	d.turnTo(name)
	d.presses++
	d.clock = d.clock.Add(time.Second)
	switch name {
	case "enter":
		d.send(tea.KeyMsg{Type: tea.KeyEnter})
	case "esc":
		d.send(tea.KeyMsg{Type: tea.KeyEsc})
	default:
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)})
	}
	require.Empty(d.t, d.m.failure, "after %q", name)
	if d.seen != nil {
		d.seen()
	}
}

// turnTo turns to the page of the screen that shows a choice by its key, if another one does.
func (d *driver) turnTo(name string) {
	m := d.m
	if m.overlay != noOverlay || m.asksValue() || len(m.question.Shown()) > mostDigits || !slices.Contains(m.keys(), name) {
		return
	}
	for range 4 {
		if m.chosen(name) >= 0 {
			return
		}
		d.presses++
		d.clock = d.clock.Add(time.Second)
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("n")})
	}
}

// goesOn is the key of the first choice, which is what one comes to a page for.
func (d *driver) goesOn() string {
	if keys := d.m.keys(); len(keys) > 0 {
		return keys[0]
	}
	return "1"
}

// touch presses the target that shows a key, in its middle.
func (d *driver) touch(name string) {
	for _, t := range d.m.draw().Targets {
		if t.Key == name {
			d.presses++
			d.clock = d.clock.Add(time.Second)
			for _, action := range []tea.MouseAction{tea.MouseActionPress, tea.MouseActionRelease} {
				d.send(tea.MouseMsg{X: t.X + t.W/2, Y: t.Y + t.H/2, Action: action, Button: tea.MouseButtonLeft})
			}
			require.Empty(d.t, d.m.failure, "after touching %q", name)
			return
		}
	}
	d.t.Fatalf("no target %q on %q", name, d.m.question.ID)
}

// rig is a drive and cable that answer as the crew would see it.
type rig struct{ fold, slipPerPSI float64 } // ft/min, ft/min per psi

func (r rig) outcome(s session.Setting) session.Outcome {
	speed, psi := q.In(q.Speed(s.Speed.Value), "ft/min"), q.In(s.Grip, "psi")
	switch line := r.slipPerPSI * psi; {
	case min(speed, line)*0.8+speed*0.2 >= r.fold:
		return session.Fold
	case speed > line:
		return session.Slip
	}
	return session.Stall
}

// step answers the present question as the crew would and reports whether the trial
// goes on.
func (d *driver) step(r rig, press func(string)) bool {
	switch d.m.question.ID {
	case "closed":
		return false
	case "read":
		o := r.outcome(*d.setting())
		press(map[session.Outcome]string{session.Stall: "1", session.Slip: "2", session.Fold: "3"}[o])
	default:
		if d.m.asksValue() {
			d.t.Fatalf("a value is asked for: %s", d.m.question.ID)
		}
		press(d.goesOn())
	}
	return true
}

func (d *driver) setting() *session.Setting {
	s, ok := session.SettingOf(d.m.flow.Outlook.Next)
	require.True(d.t, ok)
	return &s
}

// wholeTrial goes from the start page to the closed trial and returns the pushes made.
func (d *driver) wholeTrial(start string, r rig, press func(string)) int {
	press(start)
	for range 300 {
		if !d.step(r, press) {
			return len(d.m.flow.Trial.Attempts())
		}
	}
	d.t.Fatal("the trial does not end")
	return 0
}

func labels(question ask.Question) []string {
	var all []string
	for _, choice := range question.Choices {
		all = append(all, choice.Label)
	}
	return all
}

func (d *driver) at(id string) {
	d.t.Helper()
	require.Equal(d.t, id, d.m.question.ID)
}

func (d *driver) library() *profiles.Library {
	library, err := rehearsal.OpenLibrary(d.dir, func() time.Time { return d.clock }, rand.NewChaCha8([32]byte{1}))
	require.NoError(d.t, err)
	return library
}

// opensAndCloses draws what a key lays over the page, and the page again, as fast as it goes.
func (d *driver) opensAndCloses(name string) {
	for _, key := range []string{name, "b"} {
		d.clock = d.clock.Add(time.Second)
		_, _ = d.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(key)})
		_ = d.m.View()
	}
}
