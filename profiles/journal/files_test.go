package journal

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
)

// The tests name journals by the paths of their files, in folders.

const (
	filePerm   = 0o644
	folderPerm = 0o755
)

func create(d disk.Disk, path, head string) (*Journal, error) {
	return Create(folder.On(d, filepath.Dir(path)), filepath.Base(path), head)
}

func open(d disk.Disk, path string) (*Journal, Recovery, error) {
	return Open(folder.On(d, filepath.Dir(path)), filepath.Base(path))
}

func readText(path string) (text string, found Flaw, err error) {
	data, err := folder.ReadNamed(path)
	if err != nil {
		return "", Flaw{}, err
	}
	return TextOf(path, data)
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
