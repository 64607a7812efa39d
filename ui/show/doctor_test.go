package show

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/profiles/journal"
	"brinkmark/profiles/store"
	q "brinkmark/session/quantity"
	"brinkmark/ui/golden"
)

// well is a device with which nothing is wrong.
func well(env ...string) (Surroundings, profiles.Health) {
	set := map[string]string{"TERM": "xterm-256color", "LANG": "de_DE.UTF-8"}
	for i := 0; i+1 < len(env); i += 2 {
		set[env[i]] = env[i+1]
	}
	s := Surroundings{Program: "brinkmark v1, linux/arm64", Terminal: true, Width: 80, Height: 24, Colours: "ANSI256", System: "linux",
		Env: func(name string) string { return set[name] }, Now: time.Date(2026, 5, 14, 8, 0, 0, 0, time.UTC), LibraryFrom: "--library"}
	h := profiles.Health{Where: "/records", State: store.State{There: true, Writable: q.Known(true), Free: q.Known(uint64(12_340_000_000))},
		Counts: []profiles.Count{{Kind: "profiles", N: 12}, {Kind: "trials", N: 14}}, Newest: time.Date(2026, 5, 13, 8, 0, 0, 0, time.UTC)}
	return s, h
}

func TestCheckupGolden(t *testing.T) {
	show := func(s Surroundings, h profiles.Health) string {
		var out bytes.Buffer
		CheckUp(s, h).Show(&out)
		for _, line := range strings.Split(out.String(), "\n") {
			require.LessOrEqual(t, lipgloss.Width(line), TextWidth, line)
		}
		return out.String()
	}
	golden.Same(t, "doctor_well", show(well()))
	s, h := well("LANG", "C", "TMUX", "/tmp/tmux")
	s.Width, s.Height, s.Now = 38, 20, s.Now.AddDate(-1, 0, 0)
	h.Writable, h.Free, h.SetAside = q.Known(false), q.Known(uint64(4_000_000)), 2
	h.Unreadable = []error{errors.New("/records/trials/a.toml:3: broken\x1b[2J\n  mend it")}
	h.Torn = []profiles.TornEnd{{Path: "/records/trials/01.toml", Recovery: journal.Recovery{SetAside: 7, Line: 40}}}
	h.Held = []*store.LockedError{{Path: "/records/trials/02.toml", Holder: store.Holder{Process: 7, Host: "tablet", Since: s.Now}, At: s.Now}}
	sick := show(s, h)
	golden.Same(t, "doctor_sick", sick)
	require.NotContains(t, sick, "\x1b")
}

// One thing at a time is changed, and that finding changes and no other.
func TestFindings(t *testing.T) {
	rows := []struct {
		about string
		state State
		says  string
		make  func(*Surroundings, *profiles.Health)
	}{
		{"terminal", Fine, "60 x 20", func(s *Surroundings, _ *profiles.Health) { s.Width, s.Height = 60, 20 }},
		{"terminal", Look, "59 x 20", func(s *Surroundings, _ *profiles.Health) { s.Width, s.Height = 59, 20 }},
		{"terminal", Look, "40 x 12", func(s *Surroundings, _ *profiles.Health) { s.Width, s.Height = 40, 12 }},
		{"terminal", Wrong, "39 x 12", func(s *Surroundings, _ *profiles.Health) { s.Width, s.Height = 39, 12 }},
		{"terminal", Look, "does not say its size", func(s *Surroundings, _ *profiles.Health) { s.Width = 0 }},
		{"letters", Fine, "plain ASCII", func(s *Surroundings, _ *profiles.Health) { s.ASCII = true }},
		{"clock", Wrong, "2026-05-13 07:00", func(s *Surroundings, _ *profiles.Health) { s.Now = s.Now.Add(-25 * time.Hour) }},
		{"library", Fine, "none yet", func(_ *Surroundings, h *profiles.Health) { h.There = false }},
		{"library", Wrong, "library x is a file", func(_ *Surroundings, h *profiles.Health) {
			h.Problem = errors.New("library x is a file\n  name a folder with --library")
		}},
		{"writing", Look, "not known", func(_ *Surroundings, h *profiles.Health) { h.Writable = q.Maybe[bool]{} }},
		{"writing", Wrong, "may not", func(_ *Surroundings, h *profiles.Health) { h.Writable = q.Known(false) }},
		{"space", Look, "not known", func(_ *Surroundings, h *profiles.Health) { h.Free = q.Maybe[uint64]{} }},
		{"space", Look, "99.0 MB", func(_ *Surroundings, h *profiles.Health) { h.Free = q.Known(uint64(99e6)) }},
		{"space", Wrong, "19.0 MB", func(_ *Surroundings, h *profiles.Health) { h.Free = q.Known(uint64(19e6)) }},
		{"records", Wrong, "cannot be read: 1", func(_ *Surroundings, h *profiles.Health) { h.Unreadable = []error{errors.New("bad")} }},
		{"ends", Look, "not fully written: 1", func(_ *Surroundings, h *profiles.Health) { h.Torn = make([]profiles.TornEnd, 1) }},
		{"open", Look, "another window", func(_ *Surroundings, h *profiles.Health) { h.Held = []*store.LockedError{{}} }},
	}
	usual := CheckUp(well())
	require.Zero(t, usual.Code())
	for _, row := range rows {
		s, h := well()
		row.make(&s, &h)
		c := CheckUp(s, h)
		require.Equal(t, row.state == Wrong, c.Code() == 1, row.says)
		for _, f := range c.Findings {
			if f.About != row.about {
				require.Contains(t, usual.Findings, f, row.says)
				continue
			}
			require.Equal(t, row.state, f.State, row.says)
			require.Contains(t, f.Says, row.says)
			require.Equal(t, f.State == Fine, f.Do == "", "what is not ok says what to do: %s", row.says)
		}
	}
}

// The first variable that is set counts, an empty one is not set.
// Source: POSIX.1-2017, Base Definitions, 8.2.
func TestLetters(t *testing.T) {
	for _, row := range []struct {
		env  []string
		want State
		says string
	}{
		{[]string{"LANG", "en_US.UTF-8"}, Fine, "LANG=en_US.UTF-8"},
		{[]string{"LANG", "C.utf8"}, Fine, "LANG=C.utf8"},
		{[]string{"LC_ALL", "C", "LANG", "en_US.UTF-8"}, Look, "LC_ALL=C is not"},
		{[]string{"LC_ALL", "", "LC_CTYPE", "en_GB.utf-8", "LANG", "C"}, Fine, "LC_CTYPE=en_GB.utf-8"},
		{[]string{"LANG", ""}, Look, "no locale is set"},
	} {
		s, _ := well(row.env...)
		f := s.letters()
		require.Equal(t, row.want, f.State, row.env)
		require.Contains(t, f.Says, row.says)
	}
}

// What is no terminal is asked nothing and told so.
func TestLookAtNoTerminal(t *testing.T) {
	var s Surroundings
	s.LookAt(&bytes.Buffer{})
	require.Zero(t, s.Width)
	require.False(t, s.Terminal)
	s.Env = func(string) string { return "" }
	require.Equal(t, Look, s.terminal().State)
}

func TestSizeText(t *testing.T) {
	// Source: IEC 80000-13, 4: decimal prefixes are powers of 1000.
	for bytes, want := range map[uint64]string{0: "0.0 MB", 1_500_000: "1.5 MB", 999_000_000: "999.0 MB", 1_000_000_000: "1.0 GB", 12_340_000_000: "12.3 GB"} {
		require.Equal(t, want, sizeText(bytes))
	}
}
