package ui

import (
	"github.com/charmbracelet/lipgloss"
)

// look is what a cell is for; the theme says how that is drawn.
type look int

const (
	lookText   look = iota // the ground everything is read on
	lookStrong             // what to do now
	lookBar                // the top line and the keys
	lookButton             // a target
	lookMain               // the target one is here for
	lookStall
	lookSlip
	lookFold
	lookCaution
	lookEnd
)

// Brightness is a choice of ground.
type Brightness int

// The grounds. Plain leaves the colours to the terminal.
const (
	Light Brightness = iota + 1
	Dark
	Colourless
)

// The fills behind black text are hues of the palette by Okabe and Ito, "Color
// Universal Design" (2008), that most eyes tell apart; those of it that do not
// reach 7:1 behind black are not used.
const (
	black   = "#000000"
	white   = "#FFFFFF"
	orange  = "#E69F00"
	skyBlue = "#56B4E9"
	yellow  = "#F0E442"
)

// ink is the colours of a look.
type ink struct {
	text, ground string
	bold         bool
	reverse      bool // without colour
}

func inks(b Brightness) [lookEnd]ink {
	text, ground := black, white
	if b == Dark {
		text, ground = white, black
	}
	return [lookEnd]ink{
		lookText:    {text: text, ground: ground},
		lookStrong:  {text: text, ground: ground, bold: true},
		lookBar:     {text: ground, ground: text, reverse: true},
		lookButton:  {text: text, ground: ground},
		lookMain:    {text: black, ground: skyBlue, bold: true, reverse: true},
		lookStall:   {text: black, ground: skyBlue, bold: true},
		lookSlip:    {text: black, ground: yellow, bold: true},
		lookFold:    {text: black, ground: orange, bold: true},
		lookCaution: {text: black, ground: orange, bold: true},
	}
}

// theme paints text in the looks of one ground.
type theme struct {
	styles [lookEnd]lipgloss.Style
	inks   [lookEnd]ink
}

// newTheme makes a theme for a renderer. Without colour, bold and reverse remain,
// and every state still has its word and its place.
func newTheme(r *lipgloss.Renderer, b Brightness) *theme {
	t := &theme{inks: inks(b)}
	for l, i := range t.inks {
		s := r.NewStyle().Bold(i.bold)
		if b == Colourless {
			s = s.Reverse(i.reverse)
		} else {
			s = s.Foreground(lipgloss.Color(i.text)).Background(lipgloss.Color(i.ground))
		}
		t.styles[l] = s
	}
	return t
}

func (t *theme) paint(text string, l look) string { return t.styles[l].Render(text) }
