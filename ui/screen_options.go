package ui

import (
	"fmt"

	"brinkmark/ui/draw"
	"brinkmark/ui/words"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/profiles"
)

func brightness(o profiles.Options) draw.Brightness {
	switch o.Theme {
	case "dark":
		return draw.Dark
	case "plain":
		return draw.Colourless
	}
	return draw.Light
}

// optionRow is one option: its name, how it stands, and what a press makes of it.
type optionRow struct {
	name  string
	state func(profiles.Options) string
	next  func(*profiles.Options)
}

var optionRows = []optionRow{
	{"Screen", func(o profiles.Options) string {
		return map[string]string{"dark": "white on black", "plain": "the terminal's own"}[o.Theme] + words.YesNo(o.Theme == "light" || o.Theme == "", "black on white, for the sun", "")
	}, func(o *profiles.Options) {
		o.Theme = map[string]string{"": "dark", "light": "dark", "dark": "plain", "plain": "light"}[o.Theme]
	}},
	{"Hand", func(o profiles.Options) string { return words.YesNo(o.Left, "left", "right") }, func(o *profiles.Options) { o.Left = !o.Left }},
	{"Characters", func(o profiles.Options) string { return words.YesNo(o.ASCII, "plain ASCII", "all") }, func(o *profiles.Options) { o.ASCII = !o.ASCII }},
	{"Units offered", func(o profiles.Options) string { return words.YesNo(o.Metric, "bar, m, °C", "psi, ft, °F") }, func(o *profiles.Options) { o.Metric = !o.Metric }},
	{"Practice pushes", func(o profiles.Options) string {
		return words.YesNo(o.Still, "before and after, for slow terminals", "moving")
	}, func(o *profiles.Options) { o.Still = !o.Still }},
	{"New trials are by a trainee", func(o profiles.Options) string { return words.YesNo(o.Trainee, "yes", "no") }, func(o *profiles.Options) { o.Trainee = !o.Trainee }},
}

// shown are the options as they are drawn with.
func (m *model) shown() profiles.Options {
	o := m.Options
	o.ASCII = o.ASCII || m.Slow
	return o
}

// toggle changes an option on the screen at once and saves it beside.
func (m *model) toggle(i int) tea.Cmd {
	if i >= len(optionRows) {
		return nil
	}
	was, now := m.shown(), m.shown()
	if optionRows[i].next(&now); now.ASCII != was.ASCII {
		m.Slow = false
	} else { // a slow line is not what this tablet likes
		now.ASCII = m.Options.ASCII
	}
	m.Options = now
	m.theme = draw.NewTheme(m.Renderer, brightness(m.Options))
	save, options := m.Keeper.SaveOptions, m.Options
	if save == nil {
		return nil
	}
	return m.writer.saving(func() error { return save(options) })
}

type optionsSavedMsg struct{ err error }

func (m *model) drawOptions(c *draw.Canvas, r draw.Rect) {
	rest := m.backButton(c, r)
	width := r.W - safeWidth
	x := rest.X
	if m.Options.Left {
		x += safeWidth
	}
	height := min(max(rest.H/len(optionRows), 1), 3)
	for i, row := range optionRows {
		c.Button(draw.Area(x, rest.Y+i*height, width, height), fmt.Sprint(i+1), row.name+": "+row.state(m.shown()), draw.LookButton)
	}
}
