package profiles

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func kinds(p *Listed) []ExceptionKind {
	list := []ExceptionKind{}
	for _, e := range p.Exceptions {
		list = append(list, e.Kind)
	}
	return list
}

// TestExceptions changes one thing of a good profile at a time.
//
// Source of what a supervisor looks for: common practice, no source.
func TestExceptions(t *testing.T) {
	good := goodSample(t)
	for _, c := range []struct {
		name, old, new string
		want           []ExceptionKind
	}{
		{"good", "number", "number", []ExceptionKind{}},
		{"harder than advised", `advised_speed = "95 ft/min"`, `advised_speed = "90 ft/min"`, []ExceptionKind{AboveAdvice}},
		{"softer than advised", `advised_speed = "95 ft/min"`, `advised_speed = "105 ft/min"`, []ExceptionKind{LowerAccepted}},
		{"above a fold", `speed = "140 ft/min"`, `speed = "95 ft/min"`, []ExceptionKind{AboveFold, NotCarried}},
		{"no bracket", "\"fold\"\nbelts_turning = true\nline_moved = true", "\"stall\"\nbelts_turning = false\nline_moved = false", []ExceptionKind{}}, // the slip is left
		{"jacket", "note = \"kink", "jacket_damage = true\nnote = \"kink", []ExceptionKind{}},                                                          // at a higher grip pressure
		{"jacket at the setting", "outcome = \"slip\"", "outcome = \"slip\"\njacket_damage = true", []ExceptionKind{NotCarried, Damage}},
		{"killer wrong", `state = "nobody, plug end fenced"`, `state = "no fence"`, []ExceptionKind{CheckWrong}},
		{"killer open", `item = "line-of-fire"`, `item = "cautions"`, []ExceptionKind{KillerOpen}},
		{"skipped", `state = "nobody, plug end fenced"`, `skip_reason = "rain"`, []ExceptionKind{CheckSkipped}},
		{"missing", `watcher = "CD"`, "", []ExceptionKind{MissingField}},
		{"clock went back", "at = 2026-05-14T07:46:38", "at = 2026-05-14T07:46:10", []ExceptionKind{ImpossibleTime}},
		{"pushes too fast", "at = 2026-05-14T07:49:48", "at = 2026-05-14T07:48:17", []ExceptionKind{ImpossibleTime}},
		{"outcome and belts", "outcome = \"stall\"\nbelts_turning = false", "outcome = \"stall\"\nbelts_turning = true", []ExceptionKind{Contradiction}},
		{"accepted before the end", "accepted = 2026-05-14T08:40:00", "accepted = 2026-05-14T08:00:00", []ExceptionKind{ImpossibleTime}},
		{"another id", "id = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5D\"", "id = \"01K7ZQ4C5V8W9X0Y1Z2A3B4C5E\"", []ExceptionKind{WrongName}},
		{"no toml", "[setting]", "[setting", []ExceptionKind{Unreadable}},
	} {
		l := reviewLibrary(t)
		writeSample(t, l, good.with(c.old, c.new))
		p := reviewOf(t, l).Profiles[0]
		require.Equal(t, c.want, kinds(p), "%s: %v", c.name, p.Exceptions)
	}
}

// Many entries of one kind are told in one phrase.
func TestEntriesText(t *testing.T) {
	for want, numbers := range map[string][]int{"entry 7": {7}, "entries 31 to 38": {31, 32, 33, 34, 35, 36, 37, 38}, "entries 2, 4 to 5, 9": {2, 4, 5, 9}} {
		require.Equal(t, want, entriesText(numbers))
	}
}

// TestManyChecksInOneException: what was asked is named, not asked again, however many there are.
func TestManyChecksInOneException(t *testing.T) {
	s := goodSample(t)
	for _, id := range []string{"chamber-vented", "guards-on", "stop-tested", "line-of-fire"} {
		s = s.with(`item = "`+id+`"`, `item = "cautions"`)
	}
	s = s.with(`state = "solid, full bore, held"`, `state = "gives under a rod"`)
	l := reviewLibrary(t)
	writeSample(t, l, s)
	var says []string
	for _, e := range reviewOf(t, l).Profiles[0].Exceptions {
		says = append(says, e.Says())
	}
	require.Equal(t, []string{
		"safety check never answered right: Air to the duct-mouth chamber; Guards, hands, sleeves, hair; Stop control, pressed just now; In line with stub and plug",
		"check left in a wrong state: End plug (gives under a rod)",
	}, says)
}
