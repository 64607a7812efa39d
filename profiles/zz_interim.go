package profiles

import (
	"io"
	"os"
	"regexp"
	"time"

	"github.com/oklog/ulid/v2"
)

type Journal struct {
	f    *os.File
	text string
	path string
}
type Recovery struct{}

func (Recovery) String() string { return "" }

var idRe = regexp.MustCompile(`^[0-7][0-9A-HJKMNP-TV-Z]{25}$`)

func ValidID(s string) bool { return idRe.MatchString(s) }
func NewID(now time.Time, e io.Reader, after string) (string, error) {
	id, err := ulid.New(ulid.Timestamp(now), e)
	return id.String(), err
}
func CreateJournal(path, head string) (*Journal, error) {
	j := &Journal{text: head, path: path}
	return j, os.WriteFile(path, []byte(head), 0o644)
}
func OpenJournal(path string) (*Journal, Recovery, error) {
	b, err := os.ReadFile(path)
	return &Journal{text: string(b), path: path}, Recovery{}, err
}
func (j *Journal) Path() string { return j.path }
func (j *Journal) Text() string { return j.text }
func (j *Journal) Close() error { return nil }
func (j *Journal) ReplaceHead(h string) error {
	j.text = h
	return os.WriteFile(j.path, []byte(j.text), 0o644)
}
func (j *Journal) Append(b string) error {
	j.text += b
	return os.WriteFile(j.path, []byte(j.text), 0o644)
}
func readText(path string) (string, string, error) {
	b, err := os.ReadFile(path)
	return string(b), "", err
}
func (l *Library) createProfile(path, text string) error { return os.WriteFile(path, []byte(text), 0o644) }
