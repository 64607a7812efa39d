package profiles

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
)

// The tests name files by their paths: the library and what is beside it lie in folders.

const (
	filePerm   = 0o644
	folderPerm = 0o755
)

func libraryIn(dir string, now func() time.Time, entropy io.Reader) (*Library, error) {
	kept, err := folder.Open(dir)
	if err != nil {
		return nil, err
	}
	return OpenLibrary(kept, now, entropy), nil
}

// inFolder is a folder as a library, to write into it as one would.
func inFolder(dir string) *Library {
	return &Library{store: folder.On(disk.OS{}, dir), now: time.Now}
}

func exchangeWith(l *Library, dir string, progress func(done, total int)) (Exchanged, error) {
	other, err := folder.OpenOther(l.store, dir)
	if err != nil {
		return Exchanged{}, err
	}
	defer func() { _ = other.Close() }()
	return l.Exchange(other, progress)
}

func named(path string) (Source, error) {
	text, err := folder.ReadNamed(path)
	return Source{Path: path, Text: text, Beside: func(name string) (Source, error) {
		return named(filepath.Join(filepath.Dir(path), name))
	}}, err
}

func readNamed(path string) (*Record, string, error) {
	from, err := named(path)
	if err != nil {
		return nil, "", err
	}
	return from.Record()
}

func readRunNamed(path string) (*RunRecord, string, error) {
	from, err := named(path)
	if err != nil {
		return nil, "", err
	}
	return from.Run()
}

func importNamed(l *Library, path string) ([]CardImport, error) {
	sheet, err := named(path)
	if err != nil {
		return nil, err
	}
	return l.ImportCards(sheet)
}

func readReachNamed(l *Library, path string) (Reach, error) {
	from, err := named(path)
	if err != nil {
		return Reach{}, err
	}
	return l.ReadReach(from)
}

func fileText(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func putFile(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), filePerm))
}
