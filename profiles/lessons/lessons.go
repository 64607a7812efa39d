// Package lessons reads the practice lessons: those built in, and those a supervisor
// adds to the library as files of the same form. A lesson's job has the keys of a
// trial's job, and its [hidden] tables are the rig that the trainee is not told of.
package lessons

import (
	"cmp"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session/practice"
)

// Lesson is a lesson and its job as a record, from which its trial begins.
type Lesson struct {
	practice.Lesson
	Record profiles.Record
}

//go:embed data/*.toml
var data embed.FS

// BuiltIn returns the lessons that come with the program, in the order to take them.
func BuiltIn() ([]Lesson, error) {
	sub, err := fs.Sub(data, "data")
	if err != nil {
		return nil, err
	}
	return read(sub, ".", nil)
}

// All returns the built-in lessons and after them those in a folder of the library,
// by file name. A folder that does not exist adds none. A file that cannot be read as
// a lesson is left out, and is among the errors joined.
func All(library fs.FS) ([]Lesson, error) {
	own, err := BuiltIn()
	if err != nil {
		return nil, err
	}
	added, err := read(library, ".", own)
	return append(own, added...), err
}

// read reads every lesson of a folder whose id is not taken yet.
func read(from fs.FS, dir string, taken []Lesson) ([]Lesson, error) {
	entries, err := fs.ReadDir(from, dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return cmp.Compare(a.Name(), b.Name()) })
	var lessons []Lesson
	var errs []error
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".toml") || !e.Type().IsRegular() {
			continue
		}
		l, err := readOne(from, e.Name())
		if err == nil && slices.ContainsFunc(append(slices.Clone(taken), lessons...), func(o Lesson) bool { return o.ID == l.ID }) {
			err = &profiles.FileError{Path: e.Name(), Key: "id", Problem: fmt.Sprintf("there is another lesson %q", l.ID), Hint: "give it an id of its own"}
		}
		if err != nil {
			errs = append(errs, err)
			continue
		}
		lessons = append(lessons, l)
	}
	return lessons, errors.Join(errs...)
}

// most is how long a lesson's file may be, in bytes.
const most = 64 << 10

func readOne(from fs.FS, name string) (Lesson, error) {
	f, err := from.Open(name)
	if err != nil {
		return Lesson{}, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return Lesson{}, fmt.Errorf("%s: %w", name, err)
	}
	return Parse(name, text)
}
