package folder

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

// Usual is the library's usual place: the user's data folder.
func Usual() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "brinkmark"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no home folder: %w\n  name a folder with --library", err)
	}
	if config, err := os.UserConfigDir(); err == nil && !strings.HasPrefix(config, filepath.Join(home, ".config")) {
		return filepath.Join(config, "brinkmark"), nil // the data folder of windows and darwin
	}
	return filepath.Join(home, ".local", "share", "brinkmark"), nil
}

// Open opens the store in a folder, made on the first write.
func Open(dir string) (*Folder, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("library %s: %w", dir, err)
	}
	if problem.HasControls(dir) {
		return nil, fmt.Errorf("library %s: its name has characters that cannot be shown\n  name another folder with --library", problem.PrintableOnly(dir))
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return nil, fmt.Errorf("library %s is a file\n  name a folder with --library", dir)
	}
	return &Folder{dir: dir, disk: disk.OS{}}, nil
}

// On is [Open] on another disk, for tests that make it fail.
func On(disk disk.Disk, dir string) *Folder { return &Folder{dir: dir, disk: disk} }

// OpenBelow opens a folder that is not trusted, such as one of a stick: it is there, and nothing
// in it leads out of it. It is to be closed.
func OpenBelow(dir string) (*Folder, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, store.Plain(reason(err))
	}
	return &Folder{dir: dir, disk: disk.Below{Root: root}, rooted: root}, nil
}

// Close lets go of a folder that [OpenBelow] has opened.
func (f *Folder) Close() error { return f.rooted.Close() }

// OpenOther opens a folder to exchange with: one that is there, and neither the store's own nor in
// it. The example's records, for one, must never be taken for the crew's.
func OpenOther(mine store.Store, dir string) (*Folder, error) {
	if err := mayExchange(mine, dir); err != nil {
		return nil, err
	}
	other, err := OpenBelow(dir)
	if err != nil {
		return nil, fmt.Errorf("exchange: %w", err)
	}
	return other, nil
}

func mayExchange(mine store.Store, dir string) error {
	inner, err := os.Stat(dir)
	if err != nil {
		return fmt.Errorf("exchange: %w\n  is the stick in? name a folder that is there", reason(err))
	}
	if !inner.IsDir() {
		return fmt.Errorf("exchange: %s is a file\n  name a folder", problem.PrintableOnly(dir))
	}
	at, err := filepath.EvalSymlinks(dir)
	if err == nil {
		at, err = filepath.Abs(at)
	}
	if err != nil {
		return fmt.Errorf("exchange: %w", store.Plain(reason(err)))
	}
	own, ok := mine.(*Folder)
	if !ok {
		return nil
	}
	if err := own.makeFolder("."); err != nil {
		return store.Plain(err)
	}
	library, err := os.Stat(own.dir)
	for err == nil {
		if place, err := os.Stat(at); err == nil && os.SameFile(library, place) {
			return fmt.Errorf("exchange: %s is the library itself, or in it\n  name the folder of a stick, or a shared one", problem.PrintableOnly(dir))
		}
		if above := filepath.Dir(at); above != at {
			at = above
			continue
		}
		break
	}
	return store.Plain(reason(err))
}
