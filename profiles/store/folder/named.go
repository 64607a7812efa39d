package folder

import (
	"brinkmark/profiles/store"
	"brinkmark/profiles/store/folder/disk"
)

// ReadNamed reads a file that somebody has named, of at most a record's size, through a link too.
// Its error says what to do.
func ReadNamed(path string) ([]byte, error) {
	text, err := readThrough(path)
	return text, store.Plain(reason(err))
}

// CreateNamed writes a new file where somebody wants it, whole or not at all. A file that is
// there already stays as it is, and the error is [fs.ErrExist].
func CreateNamed(path string, text []byte) error {
	return store.Plain(reason(create(disk.OS{}, path, text)))
}
