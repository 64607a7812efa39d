package show

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/term"

	"brinkmark/profiles"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// State is how a finding of a checkup stands.
type State string

// The states, best first.
const (
	Fine  State = "ok"
	Look  State = "look" // works, but not as well as it could, or nobody can know
	Wrong State = "wrong"
)

// Finding is one thing a checkup looked at.
type Finding struct {
	About string `json:"about"`
	State State  `json:"state"`
	Says  string `json:"says"`
	Do    string `json:"do"` // empty where nothing needs to be done
}

// Checkup says whether the program can work well where it is.
type Checkup struct {
	Findings   []Finding `json:"findings"`
	Look       int       `json:"look"`
	Wrong      int       `json:"wrong"`
	Unreadable []string  `json:"unreadable"`        // every record that cannot be read, and why
	SealsOff   []string  `json:"seals_off"`         // every profile whose seals were taken off
	Nothing    []string  `json:"hands_out_nothing"` // every other profile that hands out nothing
}

// Surroundings are what a checkup knows of the place the program runs in.
type Surroundings struct {
	Program       string // version and platform
	Terminal      bool
	Width, Height int    // of the terminal; zero when it does not say
	Colours       string // how many it can show, by its name
	System        string // GOOS
	Env           func(name string) string
	Now           time.Time
	LibraryFrom   string // who named its folder
	ASCII         bool   // the option
}

// LookAt fills in what the system knows of a terminal. The terminal itself is asked
// nothing: its answer could be taken for keys.
func (s *Surroundings) LookAt(out io.Writer) {
	file, ok := out.(interface{ Fd() uintptr })
	if !ok || !term.IsTerminal(file.Fd()) {
		return
	}
	s.Terminal = true
	s.Colours = lipgloss.NewRenderer(out).ColorProfile().Name()
	if w, h, err := term.GetSize(file.Fd()); err == nil {
		s.Width, s.Height = w, h
	}
}

// CheckUp looks at the surroundings and a library.
func CheckUp(s Surroundings, h profiles.Health) Checkup {
	c := Checkup{Findings: []Finding{{"program", Fine, s.Program, ""}, s.terminal()}, Unreadable: []string{},
		SealsOff: append([]string{}, h.SealsOff...), Nothing: append([]string{}, h.Nothing...)}
	if s.Terminal {
		c.Findings = append(c.Findings, s.colours(), s.touch())
	}
	c.Findings = append(c.Findings, s.letters(), s.clock(h))
	c.Findings = append(c.Findings, libraryFindings(s, h)...)
	for _, err := range h.Unreadable {
		c.Unreadable = append(c.Unreadable, words.Clean(err.Error()))
	}
	for _, f := range c.Findings {
		switch f.State {
		case Look:
			c.Look++
		case Wrong:
			c.Wrong++
		}
	}
	return c
}

// Code is 1 when something is wrong.
func (c Checkup) Code() int { return min(c.Wrong, 1) }

// Show writes the findings, what to do below each.
func (c Checkup) Show(out io.Writer) {
	out = words.Printable(out)
	const column = 17
	for _, f := range c.Findings {
		text := words.Wrap(f.Says, TextWidth-column)
		if f.Do != "" {
			text = append(text, words.Wrap("> "+f.Do, TextWidth-column)...)
		}
		for i, line := range text {
			head := ""
			if i == 0 {
				head = fmt.Sprintf("%-5s  %-8s", f.State, f.About)
			}
			fmt.Fprintf(out, "%-*s%s\n", column, head, line)
		}
	}
	switch {
	case c.Wrong > 0:
		fmt.Fprintf(out, "\nWrong: %d. What to do stands after each >.\n", c.Wrong)
	case c.Look > 0:
		fmt.Fprintf(out, "\nNothing is wrong. Worth a look: %d.\n", c.Look)
	default:
		fmt.Fprint(out, "\nNothing is wrong.\n")
	}
}

func (s Surroundings) terminal() Finding {
	f := Finding{About: "terminal", State: Fine, Says: fmt.Sprintf("%d x %d", s.Width, s.Height)}
	larger := "make the window larger, or its letters smaller"
	switch {
	case !s.Terminal:
		return Finding{"terminal", Look, "what is printed goes to no terminal, and screens need one", "ask again on the device and in the window the trial will run in"}
	case s.Env("TERM") == "dumb":
		return Finding{"terminal", Look, "TERM is dumb: everything goes line by line, as with --plain", "for screens use a terminal that can draw"}
	case s.Width <= 0 || s.Height <= 0:
		return Finding{"terminal", Look, "it does not say its size: 80 x 24 is taken", "if screens are cut off, use --plain"}
	case s.Width < draw.LeastWidth || s.Height < draw.LeastHeight:
		f.State, f.Says, f.Do = Wrong, f.Says+fmt.Sprintf(": screens need %d x %d", draw.LeastWidth, draw.LeastHeight), larger
	case s.Width < 60 || s.Height < 20:
		f.State, f.Says, f.Do = Look, f.Says+": some choices are a page further; 60 x 20 is better", larger
	}
	return f
}

// colourWords say how many colours a terminal can show.
var colourWords = map[string]string{"TrueColor": "16 million", "ANSI256": "256", "ANSI": "16"}

func (s Surroundings) colours() Finding {
	says := cmp.Or(colourWords[s.Colours], "none: state is a word and a place first, so nothing is lost")
	if s.Env("NO_COLOR") != "" {
		says = "none, since NO_COLOR is set: state is a word and a place first"
	}
	return Finding{"colours", Fine, says, ""}
}

// touch says what can be known: whether taps arrive only a tap can tell.
func (s Surroundings) touch() Finding {
	const digits = "every action has a digit or a letter too"
	switch {
	case s.Env("TERM") == "linux":
		return Finding{"touch", Look, "the console of Linux sends no taps", digits}
	case s.Env("TMUX") != "":
		return Finding{"touch", Look, "tmux passes taps on only with its mouse option on", "in tmux: set -g mouse on; " + digits}
	}
	return Finding{"touch", Look, "only a tap can tell whether taps arrive", "tap a button of the start page; " + digits}
}

// letters says whether more than ASCII can be shown. The first of the three variables
// that is set counts. Source: POSIX.1-2017, Base Definitions, 8.2.
func (s Surroundings) letters() Finding {
	const plain = "turn plain ASCII on in the options (o)"
	name := ""
	for _, n := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if s.Env(n) != "" {
			name = n
			break
		}
	}
	value := s.Env(name)
	folded := strings.ReplaceAll(strings.ToLower(value), "-", "")
	switch {
	case s.ASCII:
		return Finding{"letters", Fine, "plain ASCII, by the options", ""}
	case strings.Contains(folded, "utf8"):
		return Finding{"letters", Fine, name + "=" + value, ""}
	case s.System == "windows":
		return Finding{"letters", Look, "Windows does not say which letters its window shows", "if lines and ° look wrong, " + plain}
	case name == "":
		return Finding{"letters", Look, "no locale is set: lines and ° may look wrong", "set LANG=C.UTF-8, or " + plain}
	}
	return Finding{"letters", Look, name + "=" + value + " is not UTF-8: lines and ° may look wrong", "set " + name + "=C.UTF-8, or " + plain}
}

func (s Surroundings) clock(h profiles.Health) Finding {
	if err := h.ClockError(s.Now); err != nil {
		return Finding{"clock", Wrong, err.Error(), "set the clock of this device: by it checks fall due"}
	}
	says := s.Now.Format("2006-01-02 15:04 -07:00")
	if !h.Newest.IsZero() {
		says += "; the newest record was begun " + h.Newest.In(s.Now.Location()).Format("2006-01-02 15:04")
	}
	return Finding{"clock", Fine, says, ""}
}
