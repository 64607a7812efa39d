package ui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/profiles"
)

func brightness(o profiles.Options) Brightness {
	switch o.Theme {
	case "dark":
		return Dark
	case "plain":
		return Colourless
	}
	return Light
}

// optionRow is one option: its name, how it stands, and what a press makes of it.
type optionRow struct {
	name  string
	state func(profiles.Options) string
	next  func(*profiles.Options)
}

func yesNo(v bool, yes, no string) string {
	if v {
		return yes
	}
	return no
}

var optionRows = []optionRow{
	{"Screen", func(o profiles.Options) string {
		return map[string]string{"dark": "white on black", "plain": "the terminal's own"}[o.Theme] + yesNo(o.Theme == "light" || o.Theme == "", "black on white, for the sun", "")
	}, func(o *profiles.Options) {
		o.Theme = map[string]string{"": "dark", "light": "dark", "dark": "plain", "plain": "light"}[o.Theme]
	}},
	{"Hand", func(o profiles.Options) string { return yesNo(o.Left, "left", "right") }, func(o *profiles.Options) { o.Left = !o.Left }},
	{"Characters", func(o profiles.Options) string { return yesNo(o.ASCII, "plain ASCII", "all") }, func(o *profiles.Options) { o.ASCII = !o.ASCII }},
	{"Units offered", func(o profiles.Options) string { return yesNo(o.Metric, "bar, m, °C", "psi, ft, °F") }, func(o *profiles.Options) { o.Metric = !o.Metric }},
	{"Practice pushes", func(o profiles.Options) string {
		return yesNo(o.Still, "before and after, for slow terminals", "moving")
	}, func(o *profiles.Options) { o.Still = !o.Still }},
	{"New trials are by a trainee", func(o profiles.Options) string { return yesNo(o.Trainee, "yes", "no") }, func(o *profiles.Options) { o.Trainee = !o.Trainee }},
}

// toggle changes an option on the screen at once and saves it beside.
func (m *model) toggle(i int) tea.Cmd {
	if i >= len(optionRows) {
		return nil
	}
	optionRows[i].next(&m.Options)
	m.theme = newTheme(m.Renderer, brightness(m.Options))
	save, options := m.Keeper.SaveOptions, m.Options
	if save == nil {
		return nil
	}
	return func() tea.Msg { return optionsSavedMsg{save(options)} }
}

type optionsSavedMsg struct{ err error }

func (m *model) drawOptions(c *canvas, r rect) {
	rest := m.backButton(c, r)
	width := r.w - safeWidth
	x := rest.x
	if m.Options.Left {
		x += safeWidth
	}
	height := min(max(rest.h/len(optionRows), 1), 3)
	for i, row := range optionRows {
		c.button(rect{x, rest.y + i*height, width, height}, fmt.Sprint(i+1), row.name+": "+row.state(m.Options), lookButton)
	}
}
