package ui

import (
	"bytes"
	"io"
	"strconv"
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"brinkmark/ui/draw"
)

// terminal stands between bubbletea, which compares lines, and the terminal, to which it
// sends the cells that differ. What bubbletea is given as a view is a mark; where that is
// written, the newest frame is drawn. Whatever else is written changes how the terminal
// works, and nothing is known of what it shows then.
type terminal struct {
	out    io.Writer
	erases bool // in the colour it draws with

	mu     sync.Mutex
	wanted draw.Frame
	shows  *draw.Frame // nil: not known
	mark   int
}

// beginsMark begins a string that no terminal shows (ECMA-48, "application program
// command").
const beginsMark = "\x1b_"

// view is the mark of a frame that is to be shown.
func (t *terminal) view(f draw.Frame) string {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !f.Same(t.wanted) {
		t.wanted = f
		t.mark++
	}
	return t.lastMark()
}

func (t *terminal) lastMark() string { return beginsMark + strconv.Itoa(t.mark) + "\x1b\\" }

// forget draws the next frame whole: a terminal that was resized shows who knows what.
func (t *terminal) forget() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.shows = nil
}

// Write draws the newest frame, or passes on what is no view.
func (t *terminal) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !bytes.Contains(b, []byte(beginsMark)) {
		if t.shows != nil {
			b = append([]byte(t.shows.LastLine()), b...)
			t.shows = nil
		}
		return t.out.Write(b)
	}
	text := ""
	if t.shows == nil {
		text = t.wanted.Whole(t.erases)
	} else {
		text = t.wanted.Change(*t.shows, t.erases)
	}
	shown := t.wanted
	t.shows = &shown
	if text == "" {
		return len(b), nil
	}
	_, err := io.WriteString(t.out, text)
	return len(b), err
}

// Read, Close and Fd make it a file to bubbletea, which asks it for its size.
func (t *terminal) Read([]byte) (int, error) { return 0, io.EOF }

// Close leaves the terminal open: others write to it afterwards.
func (t *terminal) Close() error { return nil }

// Fd is the terminal's, or no file's.
func (t *terminal) Fd() uintptr {
	if f, ok := t.out.(interface{ Fd() uintptr }); ok {
		return f.Fd()
	}
	return ^uintptr(0)
}

// onTerminal is the model as bubbletea shows it.
type onTerminal struct {
	*model
	to     *terminal
	rest   func() // gives the terminal back until a shell lets the program go on
	faults *faults
}

// Init begins what the model begins with.
func (o onTerminal) Init() tea.Cmd { return o.faults.guard(o.model.Init()) }

// Update takes a message, and after a fault nothing more.
func (o onTerminal) Update(msg tea.Msg) (next tea.Model, cmd tea.Cmd) {
	next = o
	if o.faults.found() != nil {
		return next, nil
	}
	defer o.faults.catch()
	switch msg := msg.(type) {
	case tea.KeyMsg:
		if msg.Type == tea.KeyCtrlZ {
			return o, func() tea.Msg { o.rest(); return nil }
		}
	case tea.ResumeMsg:
		return o, tea.EnableMouseCellMotion // which bubbletea forgets
	case tea.WindowSizeMsg:
		if msg.Width != o.w || msg.Height != o.h || o.sized {
			o.to.forget()
		}
	}
	_, cmd = o.model.Update(msg)
	return o, o.faults.guard(cmd)
}

// View is the mark of what is to be seen: after a fault, of what was seen before.
func (o onTerminal) View() (mark string) {
	mark = o.to.lastMark()
	defer o.faults.catch()
	return o.to.view(o.draw().Frame(o.theme))
}
