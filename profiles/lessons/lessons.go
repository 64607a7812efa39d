// Package lessons reads the practice lessons: those built in, and those a supervisor
// adds to the library as files of the same form. A lesson's job has the keys of a
// trial's job, and its [hidden] tables are the rig that the trainee is not told of.
package lessons

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
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
func BuiltIn() (lessons []Lesson, wrong []error) {
	entries, err := data.ReadDir("data") // by name
	if err != nil {
		return nil, []error{err}
	}
	for _, e := range entries {
		text, err := data.ReadFile("data/" + e.Name())
		lessons, wrong = add(lessons, wrong, e.Name(), text, err)
	}
	return lessons, wrong
}

// All returns the built-in lessons and after them those of a folder, by file name. A
// folder that does not exist adds none. A file that cannot be read as a lesson is left
// out, and what is wrong with it is among the errors.
func All(in store.Store, folder string) (lessons []Lesson, wrong []error) {
	lessons, wrong = BuiltIn()
	entries, err := in.List(folder)
	if err != nil {
		return lessons, append(wrong, store.Plain(err))
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name, ".toml") || !e.Plain {
			continue
		}
		name := path.Join(folder, e.Name)
		text, _, err := in.Read(name)
		lessons, wrong = add(lessons, wrong, in.Where(name), text, store.Plain(err))
	}
	return lessons, wrong
}

// add adds the lesson of a file, unless its id is taken.
func add(lessons []Lesson, wrong []error, where string, text []byte, err error) ([]Lesson, []error) {
	var l Lesson
	if err == nil {
		l, err = Parse(where, text)
	}
	if err == nil && slices.ContainsFunc(lessons, func(o Lesson) bool { return o.ID == l.ID }) {
		err = &problem.FileError{Path: where, Key: "id", Problem: fmt.Sprintf("there is another lesson %q", l.ID), Hint: "give it an id of its own"}
	}
	if err != nil {
		each := practice.Each(err)
		return lessons, append(wrong, each[:min(len(each), mostTold)]...)
	}
	return append(lessons, l), wrong
}

// most is how long a lesson's file may be, in bytes.
const most = 64 << 10
