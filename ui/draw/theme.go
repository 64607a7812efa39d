package draw

import (
	"regexp"
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// Look is what a cell is for; the theme says how that is drawn.
type Look int

const (
	LookText   Look = iota // the ground everything is read on
	LookStrong             // what to do now
	LookBar                // the top line and the keys
	LookButton             // a target
	LookMain               // the target one is here for
	LookStall
	LookSlip
	LookFold
	LookCaution
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
		LookText:    {text: text, ground: ground},
		LookStrong:  {text: text, ground: ground, bold: true},
		LookBar:     {text: ground, ground: text, reverse: true},
		LookButton:  {text: text, ground: ground},
		LookMain:    {text: black, ground: skyBlue, bold: true},
		LookStall:   {text: black, ground: skyBlue, bold: true},
		LookSlip:    {text: black, ground: yellow, bold: true},
		LookFold:    {text: black, ground: orange, bold: true},
		LookCaution: {text: black, ground: orange, bold: true},
	}
}

// Theme is how the looks are drawn on one ground, by the terminal it is for.
type Theme struct {
	inks  [lookEnd]ink
	drawn [lookEnd]drawn
}

// drawn is how a terminal draws a look, as parameters of its control sequence (ECMA-48,
// "select graphic rendition"). Empty: as the terminal does by itself.
type drawn struct {
	bold, reverse bool
	text, ground  string
}

// NewTheme makes a theme for a renderer. Without colour, bold and reverse remain (a VT100
// has them), and every state still has its word and its place.
func NewTheme(r *lipgloss.Renderer, b Brightness) *Theme {
	t := &Theme{inks: inks(b)}
	for l, i := range t.inks {
		d := drawnBy(r.NewStyle().Bold(i.bold).Foreground(lipgloss.Color(i.text)).Background(lipgloss.Color(i.ground)))
		if b == Colourless || d.text == "" {
			d = drawn{bold: i.bold, reverse: i.reverse}
		}
		d.bold = d.bold && d.text != blackOf16
		t.drawn[l] = d
	}
	return t
}

// blackOf16 is black where there are sixteen colours. Many terminals draw it as dark grey
// when it is bold, which cannot be read on a fill.
const blackOf16 = "30"

// parameter is one of a control sequence, with what belongs to it.
var parameter = regexp.MustCompile(`[34]8;(5;\d+|2;\d+;\d+;\d+)|\d+`)

// drawnBy reads from a style what it draws with.
func drawnBy(s lipgloss.Style) (d drawn) {
	sequence, _, _ := strings.Cut(s.Render("x"), "x")
	for _, p := range parameter.FindAllString(sequence, -1) {
		switch {
		case p == "1":
			d.bold = true
		case strings.HasPrefix(p, "4") || strings.HasPrefix(p, "10"):
			d.ground = p
		default:
			d.text = p
		}
	}
	return d
}

// all is the sequence that draws so whatever was drawn before.
func (d drawn) all() string {
	if d == (drawn{}) {
		return "\x1b[m"
	}
	return "\x1b[0;" + strings.Join(d.differing(drawn{}), ";") + "m"
}

// after is the sequence that draws so after another; empty where nothing differs.
func (d drawn) after(before drawn) string {
	changes := d.differing(before)
	switch {
	case len(changes) == 0:
		return ""
	case d.text == "" && before.text != "" || d.ground == "" && before.ground != "":
		return d.all()
	}
	return "\x1b[" + strings.Join(changes, ";") + "m"
}

func (d drawn) differing(before drawn) (parameters []string) {
	if d == before { // most cells look like the one before them
		return nil
	}
	add := func(differs bool, parameter string) {
		if differs {
			parameters = append(parameters, parameter)
		}
	}
	add(d.bold != before.bold, map[bool]string{true: "1", false: "22"}[d.bold])
	add(d.reverse != before.reverse, map[bool]string{true: "7", false: "27"}[d.reverse])
	add(d.text != before.text, d.text)
	add(d.ground != before.ground, d.ground)
	return parameters
}
