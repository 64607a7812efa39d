// Package ui shows what package ask asks: full screen, or line by line for slow links,
// scripts and screen readers.
package ui

import (
	"time"

	"github.com/charmbracelet/bubbles/key"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"brinkmark/profiles"
)

// Screens is the full-screen program. Everything it needs from outside is handed
// in; nothing here reads the clock, the disk or the terminal.
type Screens struct {
	Keeper   ask.Keeper
	Now      func() time.Time
	Renderer *lipgloss.Renderer
	Options  profiles.Options
	Slow     bool      // a line on which plain ASCII is drawn until all characters are asked for
	First    *ask.Home // the page to begin on; nil: a keeper without a trial begins at the start page
}

// overlay is a page over the question.
type overlay int

const (
	noOverlay overlay = iota
	makeSafeOverlay
	whyOverlay
	mapOverlay
	optionsOverlay
	entryOverlay
)

// model is the whole state of the screens: where the crew stands, and what lies
// over it. View draws it and nothing else.
type model struct {
	Screens
	home     *ask.Home
	flow     ask.Flow
	trial    ask.Trial // nil at the start
	question ask.Question
	overlay  overlay
	w, h     int
	sized    bool // the terminal has said its size
	page     int  // of a long list, or of what must be read
	seen     bool // all that must be read before a choice was on the screen
	plot     *draw.FoldPlot
	typed    string // the value under way
	failure  string
	told     string // what the last answer did
	busy     bool   // an answer is being written
	theme    *draw.Theme
	last     press
	held     draw.Target // under a finger
	pushes   int         // counts pushes, so that a late timer of an earlier one is ignored
	watch    watch
	waits    int // counts work that is waited for, so that what ends late is ignored
	progress progress
	writer   *writer
}

// press is the last key or touch, to ignore a glove that hits twice.
type press struct {
	key string
	at  time.Time
}

const (
	twice    = 300 * time.Millisecond
	pushTime = 3 * time.Second // hands off for at least so long
)

// pushOverMsg tells that a push has lasted long enough.
type pushOverMsg struct{ push int }

// newModel returns the program at its start page, or in a trial when the keeper has one.
func newModel(s Screens, home *ask.Home) *model {
	m := &model{Screens: s, home: home, w: 80, h: 24, writer: &writer{close: s.Keeper.Close}}
	m.theme = draw.NewTheme(s.Renderer, brightness(s.Options))
	if s.Keeper.Trial != nil {
		m.trial = s.Keeper.Trial
		m.flow = s.Keeper.First()
	}
	m.ask()
	return m
}

func (m *model) Init() tea.Cmd { return m.startWaiting() }

// ask sets the question for where the crew stands now.
func (m *model) ask() {
	m.page, m.seen, m.typed, m.plot, m.held = 0, false, "", nil, draw.Target{}
	if m.trial == nil {
		m.flow.Metric = m.Options.Metric
		m.question = m.home.Question()
		return
	}
	m.flow.Now, m.flow.Metric = m.Now(), m.Options.Metric
	m.question = m.flow.Question()
}

func (m *model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.sized = true
		if m.w, m.h = msg.Width, msg.Height; m.w == 0 || m.h == 0 {
			m.w, m.h = 80, 24 // some terminals do not say
		}
	case tea.KeyMsg:
		return m, m.typedKeys(msg)
	case tea.MouseMsg:
		return m, m.touched(msg)
	case pushOverMsg:
		if msg.push == m.pushes && m.question.ID == "push" && m.question.Scene == nil {
			m.flow, _ = ask.GoTo(ask.StepRead)(m.flow)
			m.ask()
		}
	case frameMsg:
		return m, m.nextFrame(msg)
	case ask.Performed:
		return m, m.written(msg)
	case progressMsg:
		return m, m.progressed(msg)
	case waitedMsg:
		return m, m.waited(msg)
	case lookAgainMsg:
		return m, m.lookAgain(msg)
	case lookedMsg:
		return m, m.looked(msg)
	case optionsSavedMsg:
		if msg.err != nil {
			m.failure = msg.err.Error()
		}
	}
	return m, nil
}

// typedKeys splits keys that arrived together: each counts.
func (m *model) typedKeys(msg tea.KeyMsg) tea.Cmd {
	if msg.Type != tea.KeyRunes || len(msg.Runes) < 2 {
		return m.press(msg, msg.String())
	}
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		one := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		cmds = append(cmds, m.press(one, one.String()))
	}
	return tea.Batch(cmds...)
}

// press does what a key does here. name is the key's name; a touch has the name of
// the key its target shows.
func (m *model) press(msg tea.KeyMsg, name string) tea.Cmd {
	if msg.Type == tea.KeyRunes && len(msg.Runes) > 0 {
		name = string(msg.Runes)
	}
	m.held = draw.Target{}
	now := m.Now()
	again := name == m.last.key && now.Sub(m.last.at) < twice && now.Sub(m.last.at) >= 0
	m.last = press{name, now}
	is := func(b key.Binding) bool { return key.Matches(msg, b) || contains(b.Keys(), name) }
	switch {
	case name == m.safeKey() || name == ask.Keys.MakeSafe.Keys()[1]:
		m.overlay = makeSafeOverlay
		return nil
	case m.overlay == makeSafeOverlay:
		return m.pressOverlay(name, is)
	case m.busy || m.handsOff() && m.overlay == noOverlay:
		return nil
	case m.entering():
		return m.pressEntry(msg, name, is, again)
	case m.overlay != noOverlay:
		return m.pressOverlay(name, is)
	case again:
		return nil
	}
	return m.pressQuestion(name, is)
}

func (m *model) pressQuestion(name string, is func(key.Binding) bool) tea.Cmd {
	m.failure = ""
	if m.choosesUnread(name) {
		m.turnPage()
		return nil
	}
	for i, c := range m.question.Choices {
		if c.Also != nil && is(*c.Also) && !(c.Also == &ask.Keys.More && m.draw().Paged) {
			return m.choose(i)
		}
	}
	switch {
	case is(ask.Keys.Leave):
		return tea.Quit
	case is(ask.Keys.Why):
		m.overlay = whyOverlay
	case is(ask.Keys.Map) && m.trial != nil:
		m.overlay = mapOverlay
	case is(ask.Keys.Options):
		m.overlay = optionsOverlay
	case is(ask.Keys.More):
		m.turnPage()
	case is(ask.Keys.Enter) && m.question.Enter != nil:
		m.overlay, m.typed = entryOverlay, ""
	case is(ask.Keys.Undo) && m.trial != nil:
		flow, effect := m.flow.Undo()
		return m.do(flow, effect)
	case len(name) == 1 && name[0] >= '1' && name[0] <= '9':
		return m.choose(m.place(int(name[0] - '1')))
	}
	return nil
}

// choosesUnread reports whether a key would choose what one comes here to do before all that
// must be read first has been on the screen: a warning, or a check. While a run goes on no key
// waits for that: a stop must not.
func (m *model) choosesUnread(name string) bool {
	if len(name) != 1 || name[0] < '1' || name[0] > '9' || m.seen || m.question.Big != nil || !m.draw().Unread {
		return false
	}
	i := m.place(int(name[0] - '1'))
	return i >= 0 && m.question.Choices[i].Rank == ask.Major
}

// turnPage shows the next page. What was seen once may be answered from any page.
func (m *model) turnPage() {
	m.page++
	m.seen = m.seen || !m.draw().Unread
}

func (m *model) choose(i int) tea.Cmd {
	if i < 0 || i >= len(m.question.Choices) {
		return nil
	}
	flow, effect := m.question.Choices[i].Do(m.flow)
	return m.do(flow, effect)
}

// do goes on with a flow whose effect, if it has one, is carried out outside
// Update. Until it is on disk the question stays.
func (m *model) do(flow ask.Flow, effect ask.Effect) tea.Cmd {
	switch effect.(type) {
	case ask.None:
		m.flow = flow
		m.ask()
		if m.question.ID == "push" {
			return m.startPush()
		}
		return nil
	case ask.Leave:
		return tea.Quit
	}
	if b, ok := effect.(ask.Begin); ok {
		b.Trainee = m.Options.Trainee
		effect = b
	}
	m.busy = true
	k, before := m.Keeper, m.flow
	return func() tea.Msg { return m.writer.perform(k, before, flow, effect) }
}

func (m *model) startPush() tea.Cmd {
	m.pushes++
	push := m.pushes
	if m.question.Scene != nil {
		return m.startWatching()
	}
	return tea.Tick(pushTime, func(time.Time) tea.Msg { return pushOverMsg{push} })
}

func (m *model) written(msg ask.Performed) tea.Cmd {
	m.busy = false
	if msg.Err != nil {
		m.failure = msg.Err.Error()
		if m.trial != nil { // part of it may be written: ask what the record now asks
			m.flow = msg.Flow
			m.ask()
		}
		return nil
	}
	if m.overlay != makeSafeOverlay { // that one stays until it is put away
		m.overlay = noOverlay
	}
	m.flow, m.trial, m.told = msg.Flow, msg.Trial, msg.Told
	if msg.Keeper != nil {
		m.Keeper = *msg.Keeper
	}
	if msg.Home != nil {
		m.home = msg.Home
	}
	m.ask()
	if m.question.ID == "push" {
		return m.startPush()
	}
	return m.startWaiting()
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
