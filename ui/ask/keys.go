package ask

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
)

// keyMap is every key of the screens. Choices have their digits besides; a value
// is typed as it is written.
type keyMap struct {
	MakeSafe, Why, Undo, Map, Plot, Enter, More, Options, Back, Other, Leave, Delete, Accept key.Binding
}

// Keys are those that do the same on every page.
var Keys = keyMap{
	MakeSafe: bind("make safe", "m", "!"), // "!" also while a value is typed
	Why:      bind("why", "?"),
	Undo:     bind("undo", "u"),
	Map:      bind("map", "g"),
	Plot:     bind("plot", "g"), // of a run, where there is no map
	Enter:    bind("type it", "e"),
	More:     bind("more", "n"),
	Options:  bind("options", "o"),
	Back:     bind("back", "b", "esc"),
	Other:    bind("other way", "esc"),
	Leave:    bind("leave", "q", "ctrl+c"),
	Delete:   bind("delete", "backspace"),
	Accept:   bind("done", "enter"),
}

func bind(does string, names ...string) key.Binding {
	return key.NewBinding(key.WithKeys(names...), key.WithHelp(names[0], does))
}

// KeyTable lists every key and what it does, for the README.
func KeyTable() [][2]string {
	rows := [][2]string{
		{"1 to 9", "the choice of that number; where a number can be typed, that number, and choices have letters"},
		{EndKey, "what writes for good or ends: it stands under the headline"},
	}
	for _, b := range []key.Binding{Keys.MakeSafe, Keys.Why, Keys.Undo, Keys.Map, Keys.Plot, Keys.Enter, Keys.More, Keys.Options, Keys.Back, Keys.Other, Keys.Leave, Keys.Delete, Keys.Accept} {
		rows = append(rows, [2]string{strings.Join(b.Keys(), " or "), b.Help().Desc})
	}
	return rows
}
