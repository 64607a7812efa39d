package report

import (
	"io"
	"time"

	"brinkmark/profiles"
	"brinkmark/profiles/store/folder"
)

// libraryIn opens the library in a folder.
func libraryIn(dir string, now func() time.Time, entropy io.Reader) (*profiles.Library, error) {
	kept, err := folder.Open(dir)
	if err != nil {
		return nil, err
	}
	return profiles.OpenLibrary(kept, now, entropy), nil
}

// source is a file of testdata.
func source(path string) (profiles.Source, error) {
	text, err := folder.ReadNamed(path)
	return profiles.Source{Path: path, Text: text}, err
}

// readFile reads it as a record.
func readFile(path string) (r *profiles.Record, warning string, err error) {
	from, err := source(path)
	if err != nil {
		return nil, "", err
	}
	return from.Record()
}
