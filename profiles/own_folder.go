package profiles

import (
	"io/fs"
	"os"
	"path/filepath"
)

// makeFolder makes a folder of the library, if it is not there.
func (l *Library) makeFolder(dir string) error {
	if err := l.ownFolder(dir); err != nil {
		return err
	}
	return makeFolder(osDisk{}, dir)
}

// ownFolder returns an error if writing to a folder of the library would lead out of it.
// The library itself may be a link: somebody has named it.
func (l *Library) ownFolder(dir string) error {
	for ; dir != l.dir && dir != filepath.Dir(dir); dir = filepath.Dir(dir) {
		if err := noLink(dir); err != nil {
			return err
		}
	}
	return nil
}

// noLink returns an error if a link stands at path: nobody knows where it leads.
func noLink(path string) error {
	if info, err := os.Lstat(path); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return &FileError{Path: path, Problem: "a link, where a folder of the library is needed", Hint: "put the folder itself there: nothing is written outside the library"}
	}
	return nil
}
