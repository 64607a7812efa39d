package profiles

import (
	"errors"
	"io/fs"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// Options are how this tablet shows things. They change no record.
type Options struct {
	Format  int    `toml:"format"`
	Theme   string `toml:"theme,omitempty"` // "light", "dark" or "plain"
	Left    bool   `toml:"left_hand,omitempty"`
	ASCII   bool   `toml:"ascii,omitempty"`
	Metric  bool   `toml:"metric,omitempty"`
	Trainee bool   `toml:"trainee,omitempty"`
	Still   bool   `toml:"still_practice,omitempty"`
}

const optionsName = "options.toml"

// Options returns the saved options, or the usual ones when there are none. A file
// that cannot be read is an error; the usual ones are returned beside it.
func (l *Library) Options() (Options, error) {
	usual := Options{Format: Format, Theme: "light"}
	data, _, err := l.store.Read(optionsName)
	if errors.Is(err, fs.ErrNotExist) {
		return usual, nil
	}
	if err != nil {
		return usual, store.Plain(err)
	}
	var o Options
	if _, err := decode(l.store.Where(optionsName), data, &o); err != nil {
		return usual, err
	}
	if o.Format != Format {
		return usual, &problem.FileError{Path: l.store.Where(optionsName), Problem: "these options are not known to this version", Hint: "take the file away: the usual ones are used"}
	}
	return o, nil
}

// SaveOptions writes the options.
func (l *Library) SaveOptions(o Options) error {
	o.Format = Format
	text, err := encode(o)
	if err != nil {
		return err
	}
	return store.Plain(l.put(optionsName, []byte(text)))
}
