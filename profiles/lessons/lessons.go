// Package lessons reads the practice lessons: those built in, and those a supervisor
// adds to the library as files of the same form. A lesson's job has the keys of a
// trial's job, and its [hidden] tables are the rig that the trainee is not told of.
package lessons

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"brinkmark/profiles"
	"brinkmark/profiles/problem"
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
func BuiltIn() ([]Lesson, []error) {
	built, err := fs.Sub(data, "data")
	if err != nil {
		return nil, []error{err}
	}
	return readAll(built, "", nil)
}

// All returns the built-in lessons and after them those of a folder, by file name. A
// folder that does not exist adds none. A file that cannot be read as a lesson is left
// out, and what is wrong with it is among the errors.
func All(folder string) ([]Lesson, []error) {
	own, wrong := BuiltIn()
	all, more := readAll(os.DirFS(folder), folder, own)
	return all, append(wrong, more...)
}

// readAll adds every lesson of a folder whose id is not taken yet.
func readAll(from fs.FS, folder string, lessons []Lesson) ([]Lesson, []error) {
	entries, err := fs.ReadDir(from, ".") // by name
	if errors.Is(err, fs.ErrNotExist) {
		return lessons, nil
	}
	if err != nil {
		return lessons, []error{err}
	}
	var wrong []error
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".toml") || !e.Type().IsRegular() {
			continue
		}
		l, err := readOne(from, folder, e.Name())
		if err == nil && slices.ContainsFunc(lessons, func(o Lesson) bool { return o.ID == l.ID }) {
			err = &problem.FileError{Path: filepath.Join(folder, e.Name()), Key: "id", Problem: fmt.Sprintf("there is another lesson %q", l.ID), Hint: "give it an id of its own"}
		}
		if err != nil {
			each := practice.Each(err)
			wrong = append(wrong, each[:min(len(each), mostTold)]...)
			continue
		}
		lessons = append(lessons, l)
	}
	return lessons, wrong
}

// most is how long a lesson's file may be, in bytes.
const most = 64 << 10

func readOne(from fs.FS, folder, name string) (Lesson, error) {
	if strings.ContainsFunc(name, unicode.IsControl) {
		return Lesson{}, &problem.FileError{Path: filepath.Join(folder, name), Problem: "its name has characters that cannot be shown", Hint: "rename it"}
	}
	f, err := from.Open(name)
	if err != nil {
		return Lesson{}, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return Lesson{}, fmt.Errorf("%s: %w", filepath.Join(folder, name), err)
	}
	return Parse(filepath.Join(folder, name), text)
}
