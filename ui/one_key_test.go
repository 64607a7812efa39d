package ui

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
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

// stuck is a trial in memory before which a key sticks, or a hand rests.
type stuck struct {
	*driver
	kept  *rehearsal.Trial
	saved int
}

// newStuck is a trial at its first question, with the screens over it.
func newStuck(t *testing.T, change func(*profiles.Record)) *stuck {
	t.Helper()
	s := &stuck{driver: &driver{t: t, clock: rehearsal.Morning}}
	job := begun(t).Record()
	if change != nil {
		change(&job)
	}
	s.kept = &rehearsal.Trial{}
	require.NoError(t, s.kept.ReplaceJob(job))
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	s.show(newModel(Screens{Keeper: ask.Keeper{Trial: s.kept}, Now: func() time.Time { return s.clock }, Renderer: r, Options: profiles.Options{Theme: "plain"}}, nil))
	return s
}

// show has the screens keep what is answered in this trial, and nowhere else.
func (s *stuck) show(m *model) {
	now := func() time.Time { return s.clock }
	s.kept.Now, s.m = now, m
	m.Now, m.trial = now, s.kept
	m.Keeper = ask.Keeper{Trial: s.kept,
		Save: func(session.Setting) (string, error) { s.saved++; return "profile.toml", nil },
		Follow: func(profiles.Record) (ask.Keeper, string, error) {
			return ask.Keeper{}, "", fmt.Errorf("one trial is enough here")
		}}
}

// again is another one at the same place.
func (s *stuck) again() *stuck {
	kept, d := *s.kept, *s.driver
	n := &stuck{driver: &d, kept: &kept, saved: s.saved}
	m := *s.m
	n.show(&m)
	return n
}

// decided is what can no more be as if nothing had been pressed.
func (s *stuck) decided() string {
	trial := s.kept.Session()
	return fmt.Sprint(s.saved, trial.Closed(), trial.StateOf(session.ItemSetting), trial.StateOf(session.ItemSaved))
}

// stuckKeys are all a keyboard has, as far as a terminal tells.
func stuckKeys() (all []tea.KeyMsg) {
	for r := '!'; r <= '~'; r++ {
		all = append(all, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	for _, k := range []tea.KeyType{tea.KeyEnter, tea.KeySpace, tea.KeyTab, tea.KeyShiftTab, tea.KeyEsc, tea.KeyBackspace, tea.KeyDelete, tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight, tea.KeyHome, tea.KeyEnd, tea.KeyPgUp, tea.KeyPgDown, tea.KeyF1, tea.KeyF5} {
		msg := tea.KeyMsg{Type: k}
		if k == tea.KeySpace {
			msg.Runes = []rune{' '}
		}
		all = append(all, msg)
	}
	return all
}

// press presses what sticks, again and again, until nothing comes of it any more. It reports
// what was decided on another page than the one where it began: there the key stands beside
// what it does, and one may press it.
func (s *stuck) press(most int, every time.Duration, msgs ...tea.Msg) (decided string) {
	began, idle := s.m.question.ID, 0
	elsewhere := false
	for n := 0; n < most && idle < len(msgs); n++ {
		was, before, entries := s.decided(), fmt.Sprint(s.m.question.ID, s.m.overlay, s.m.page, s.m.typed), len(s.kept.Session().Entries)
		id := s.m.question.ID
		s.clock = s.clock.Add(every)
		s.send(msgs[n%len(msgs)])
		if now := s.decided(); now != was && now != fmt.Sprint(s.saved, false, "", "") { // what is taken back leaves all open
			if elsewhere {
				return fmt.Sprintf("press %d, on %q, after beginning on %q: %s", n+1, id, began, s.decided())
			}
			return ""
		}
		if idle++; fmt.Sprint(s.m.question.ID, s.m.overlay, s.m.page, s.m.typed) != before || len(s.kept.Session().Entries) != entries {
			idle = 0
		}
		elsewhere = elsewhere || s.m.question.ID != began
	}
	return ""
}

type stuckTrial struct {
	name     string
	change   func(*profiles.Record)
	outcomes string // s stall, l slip, f fold, v void; the last again and again
	end      string // what is chosen where a setting is offered, or a trial is to be stopped
}

// stuckTrials are trials of every kind and end, and what their pushes come to.
var stuckTrials = []stuckTrial{
	{"accepted", nil, "sslfs", "Accept"},
	{"refused", nil, "s", "Refuse it"},
	{"lower", nil, "s", "Choose a lower speed"},
	{"never proved", nil, "f", ""},
	{"stopped", nil, "v", "Stop, no setting"},
	{"short check", planned(session.ShortCheck), "s", "Accept"},
	{"failed check", planned(session.ShortCheck), "f", ""},
	{"enough", planned(session.Enough), "s", "Accept"},
}

func planned(kind session.Kind) func(*profiles.Record) {
	return func(r *profiles.Record) {
		r.Kind = kind
		if kind == session.ShortCheck {
			r.Of = "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"
		}
		r.Plan.Grip, _ = profiles.NewQuantity[q.Pressure]("8 psi")
		r.Plan.Speed, _ = profiles.NewReading("60 ft/min")
	}
}

// eachPage leads a trial to its end and stops once on every page on the way, a dial page
// after each outcome.
func eachPage(t *testing.T, seen map[string]bool, row stuckTrial, at func(*stuck)) {
	s := newStuck(t, row.change)
	outcomes, end := row.outcomes, row.end
	for n := 0; s.m.question.ID != "closed"; n++ {
		require.Less(t, n, 200)
		page := s.m.question.ID + labels(s.m.question)[0] + strings.Join(s.m.question.Keys(), "")
		if stage := s.m.question.Stage; stage == session.ClimbStage || stage == session.SettingStage {
			page = row.name + page // the checks and cautions are those of every trial
		}
		if !seen[page] {
			seen[page] = true
			at(s.again())
		}
		label := ""
		switch id := s.m.question.ID; {
		case id == "read":
			label = map[byte]string{'s': "STALL", 'l': "SLIP", 'f': "FOLD", 'v': "VOID"}[outcomes[0]]
			outcomes = outcomes[min(1, len(outcomes)-1):]
		case id == "setting" && end != "" && n < 190:
			label, end = end, "Accept"
		case id == "dial" && end == "Stop, no setting" && n > 30:
			label = end
		default:
			label = labels(s.m.question)[0]
		}
		for _, c := range s.m.question.Choices {
			if strings.HasPrefix(c.Label, label) {
				s.clock = s.clock.Add(time.Second)
				s.run(s.m.do(c.Do(s.m.flow)))
				break
			}
		}
	}
}

// everySize is whether all sizes and both speeds are walked, not the usual ones only.
func everySize() bool { return os.Getenv("BRINKMARK_WALKS") != "" }

// TestOneKeyDecidesNothing presses each key of the keyboard again and again, slowly and faster
// than a glove that hits twice, from every page of trials of every kind: no profile is
// written, no setting accepted or refused, no trial closed, but by the key of the page one is
// on.
func TestOneKeyDecidesNothing(t *testing.T) {
	rehearsal.Long(t)
	speeds := []time.Duration{time.Second, 100 * time.Millisecond}
	seen := map[string]bool{}
	for i, row := range stuckTrials {
		t.Run(row.name, func(t *testing.T) {
			at := sizes[i%len(sizes) : i%len(sizes)+1]
			if everySize() {
				at = append([][2]int{{40, 12}, {100, 30}}, sizes...)
			}
			pages := 0
			eachPage(t, seen, row, func(s *stuck) {
				pages++
				for _, size := range at {
					s.m.w, s.m.h = size[0], size[1]
					shown := "0123456789 enter esc "
					for _, target := range s.m.draw().Targets {
						shown += target.Key + " "
					}
					for _, key := range stuckKeys() {
						if !everySize() && i > 0 && !strings.Contains(shown, key.String()+" ") { // which does nothing: requireNoOtherKeys
							continue
						}
						for _, every := range speeds {
							require.Empty(t, s.again().press(20, every, key), "%q at %v, every %v", key.String(), size, every)
						}
					}
				}
			})
			t.Logf("%d pages", pages)
		})
	}
}

// The same with two keys in turn: what a hand does that wants to get on.
func TestOneKeyAndAnother(t *testing.T) {
	rehearsal.Long(t)
	one, enter, space := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")}, tea.KeyMsg{Type: tea.KeyEnter}, tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	seen := map[string]bool{}
	for _, row := range stuckTrials {
		eachPage(t, seen, row, func(s *stuck) {
			for _, pair := range [][]tea.Msg{{one, enter}, {enter, one}, {one, space}, {space, enter}} {
				require.Empty(t, s.again().press(40, time.Second, pair...), "%s: %v on %s", row.name, pair, s.m.question.ID)
			}
		})
	}
}

// And with a finger that stays where it is.
func TestOneSpotDecidesNothing(t *testing.T) {
	rehearsal.Long(t)
	seen := map[string]bool{}
	for i, row := range stuckTrials {
		at := sizes[(i+1)%len(sizes) : (i+1)%len(sizes)+1]
		if everySize() {
			at = append([][2]int{{40, 12}, {100, 30}}, sizes...)
		}
		eachPage(t, seen, row, func(s *stuck) {
			for _, size := range at {
				for _, left := range []bool{i%2 == 1, i%2 == 0}[:1+min(1, len(at)-1)] {
					s.m.w, s.m.h, s.m.Options.Left = size[0], size[1], left
					for _, target := range s.m.draw().Targets {
						for _, x := range []int{target.X, target.X + target.W/2, target.X + target.W - 1} {
							y := target.Y + target.H/2
							down := tea.MouseMsg{X: x, Y: y, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft}
							up := tea.MouseMsg{X: x, Y: y, Action: tea.MouseActionRelease, Button: tea.MouseButtonLeft}
							require.Empty(t, s.again().press(16, 400*time.Millisecond, down, up), "%s: at %d, %d of %v, left hand %v", row.name, x, y, size, left)
						}
					}
				}
			}
		})
	}
}

// Line by line too: one line again and again.
func TestOneKeyPlain(t *testing.T) {
	rehearsal.Long(t)
	seen := map[string]bool{}
	for _, row := range stuckTrials {
		eachPage(t, seen, row, func(s *stuck) {
			lines := append(s.m.question.Keys(), "", " ", "0", "1", "2", "7", "9", "a", "u", "e", "55")
			if everySize() {
				for _, key := range stuckKeys() {
					lines = append(lines, key.String())
				}
			}
			for _, line := range lines {
				n := s.again()
				p := Plain{Out: io.Discard, Now: n.m.Now, Keeper: n.m.Keeper}
				flow, began, elsewhere := n.m.flow, n.m.question.ID, false
				for range 20 {
					flow.Now = n.clock
					asked := flow.Question()
					if elsewhere = elsewhere || asked.ID != began; asked.ID == "closed" {
						break
					}
					n.clock = n.clock.Add(time.Second)
					was := n.decided()
					next, err := p.turn(flow, asked, bufio.NewScanner(strings.NewReader(line+"\n")))
					if flow = next; err != nil {
						break
					}
					if n.decided() != was {
						if asked.ID == "declined" && n.kept.Session().StateOf(session.ItemSetting) == "" {
							continue // taken back, and open again
						}
						require.False(t, elsewhere, "%s: %q on %s decided, after beginning on %s", row.name, line, asked.ID, began)
						break
					}
				}
			}
		})
	}
}

// What writes for good or ends stands apart, by the keys that only such choices have on any
// page before, and is on the screen at every size as soon as it answers.
func TestOneKeyForWhatEnds(t *testing.T) {
	rehearsal.Long(t)
	seen := map[string]bool{}
	for _, row := range stuckTrials {
		eachPage(t, seen, row, func(s *stuck) {
			asked := s.m.question
			for i, c := range asked.Choices {
				next := s.again()
				was := next.decided()
				next.run(next.m.do(c.Do(next.m.flow)))
				if decides := next.decided() != was; decides && c.Label != "Take it back: the setting again" {
					require.Equal(t, ask.Ending, c.Rank, "%s: %s", asked.ID, c.Label)
				}
				require.Equal(t, c.Rank == ask.Ending && asked.Keys()[i] != "9", asked.Keys()[i] == ask.EndKey, "%s: %s", asked.ID, c.Label)
			}
			for _, size := range append([][2]int{{40, 12}}, sizes...) {
				s.m.w, s.m.h = size[0], size[1]
				shown := map[string]bool{}
				for _, target := range s.m.draw().Targets {
					shown[target.Key] = true
				}
				for i, key := range asked.Keys() {
					if asked.Choices[i].Rank == ask.Ending {
						require.True(t, shown[key], "%s at %v: %s", asked.ID, size, asked.Choices[i].Label)
					}
				}
			}
		})
	}
}
