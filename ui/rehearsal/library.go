package rehearsal

import (
	"io"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
)

// OpenLibrary opens the library in a folder.
func OpenLibrary(dir string, now func() time.Time, entropy io.Reader) (*profiles.Library, error) {
	kept, err := folder.Open(dir)
	if err != nil {
		return nil, err
	}
	return profiles.OpenLibrary(kept, now, entropy), nil
}

// Practised are the results that a library's history of practice has.
func Practised(dir string) ([]lessons.Result, []error) {
	return lessons.History(folder.On(disk.OS{}, dir), "practice/history.toml")
}

// Source is a file, of testdata or made for a test.
func Source(path string) (profiles.Source, error) {
	text, err := folder.ReadNamed(path)
	return profiles.Source{Path: path, Text: text}, err
}

// ReadFile reads it as a record.
func ReadFile(path string) (r *profiles.Record, warning string, err error) {
	from, err := Source(path)
	if err != nil {
		return nil, "", err
	}
	return from.Record()
}

// ReadRunFile reads it as a run's record.
func ReadRunFile(path string) (r *profiles.RunRecord, warning string, err error) {
	from, err := Source(path)
	if err != nil {
		return nil, "", err
	}
	return from.Run()
}
