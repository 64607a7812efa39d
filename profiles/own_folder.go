package profiles

import (
	"brinkmark/profiles/problem"
	"fmt"
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

// refuses says why nothing can be written to a folder of the library, which need not be there
// yet; nil where something can, or where only a write would show it.
func (l *Library) refuses(dir string) error {
	if err := l.ownFolder(dir); err != nil {
		return err
	}
	place := nearestFolder(dir)
	if may, known := mayWrite(place).Get(); may || !known {
		return nil
	}
	return fmt.Errorf("make the library: %w\n  check the folder's rights, or name another with --library", &fs.PathError{Op: "write to", Path: problem.PrintableOnly(place), Err: fs.ErrPermission})
}

// nearestFolder is the folder itself, or the nearest above it that exists.
func nearestFolder(dir string) string {
	for {
		if info, err := os.Stat(dir); err == nil && info.IsDir() || filepath.Dir(dir) == dir {
			return dir
		}
		dir = filepath.Dir(dir)
	}
}
