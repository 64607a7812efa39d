package profiles

import (
	"bytes"
	"errors"
	"io/fs"
	"path"
	"regexp"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session"
)

// exchangedKind is a kind of record that travels.
type exchangedKind struct {
	folder string
	// apart is set for what this tablet could go on with or take for its own crew's
	// morning: another's is kept in the folder "received".
	apart bool
	// identify reads a record strictly and returns its id; it says in r whether the
	// record is unfinished.
	identify func(at, name string, data []byte, r *exchangedRecord) (id string, err error)
}

var exchangedKinds = []exchangedKind{
	{"profiles", false, identifyProfile},
	{"reviews", false, identifyReview},
	{"runs", true, identifyRun},
	{"trials", true, identifyTrial},
}

// kindOf is the kind of a record by its name.
func kindOf(name string) exchangedKind {
	place, _, _ := strings.Cut(name, "/")
	for _, k := range exchangedKinds {
		if k.folder == place {
			return k
		}
	}
	panic("profiles: " + name + " is no record's name")
}

// shelf is one side of an exchange: a store with records in the places of a library.
type shelf struct {
	store  store.Store
	places map[string]string // of the records, by their names
	unread map[string]bool   // folders with a card that cannot be read
}

func newShelf(in store.Store) *shelf { return &shelf{store: in, unread: map[string]bool{}} }

// list returns what is in a folder of the shelf, nothing when it is not there. A folder
// that is a link has nothing that counts.
func (s *shelf) list(name string) ([]store.Entry, error) {
	e, err := s.store.Look(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case !e.Folder:
		return nil, s.odd(name, "not a plain folder", "left alone, with all that is in it")
	}
	return s.store.List(name)
}

// home is where a new record is put.
func (s *shelf) home(name string) string {
	if kindOf(name).apart {
		return received(name)
	}
	return name
}

// idTime is the time in the id of a record's name.
func idTime(name string) time.Time {
	return ulid.Time(ulid.MustParseStrict(strings.TrimSuffix(path.Base(name), ".toml")).Time())
}

var monthName = regexp.MustCompile(`^[0-9]{4}-(0[1-9]|1[0-2])$`)

// find notes the places of a shelf's records, and returns what it has that is none. Its
// error is of the disk: then nobody knows what the shelf has.
func (s *shelf) find() (refused []error, err error) {
	s.places = map[string]string{}
	for _, kind := range exchangedKinds {
		folders := []string{kind.folder}
		switch {
		case kind.apart:
			folders = append(folders, path.Join(kind.folder, receivedFolder))
		case kind.folder == "profiles":
			if folders, err = s.months(&refused); err != nil {
				return refused, err
			}
		}
		for _, place := range folders {
			if err := s.findIn(place, &refused); err != nil {
				return refused, err
			}
		}
	}
	return refused, nil
}

// months are the folders of profiles.
func (s *shelf) months(refused *[]error) (folders []string, err error) {
	entries, err := s.listPlain("profiles", refused)
	for _, m := range entries {
		switch {
		case monthName.MatchString(m.Name) && m.Folder:
			folders = append(folders, path.Join("profiles", m.Name))
		case !strings.HasPrefix(m.Name, "."):
			*refused = append(*refused, s.odd(path.Join("profiles", m.Name), "not a month's folder", leftAlone))
		}
	}
	return folders, err
}

// listPlain lists a folder. One that is a link is told, and has nothing that counts.
func (s *shelf) listPlain(place string, refused *[]error) ([]store.Entry, error) {
	entries, err := s.list(place)
	if own := (*problem.FileError)(nil); errors.As(err, &own) {
		*refused = append(*refused, err)
		return nil, nil
	}
	return entries, err
}

func (s *shelf) findIn(place string, refused *[]error) error {
	_ = s.store.Tidy(place, time.Now()) // of copies that were broken off long ago
	entries, err := s.listPlain(place, refused)
	refuse := func(at, wrong, hint string) { *refused = append(*refused, s.odd(at, wrong, hint)) }
	for _, e := range entries {
		at := path.Join(place, e.Name)
		name := path.Join(strings.TrimSuffix(place, "/"+receivedFolder), e.Name)
		id, isTOML := strings.CutSuffix(e.Name, ".toml")
		switch {
		case !isTOML || strings.HasPrefix(e.Name, "."): // ours: locks and torn ends
		case !ValidID(id):
			refuse(at, "not a record's name", "left alone: a record is called by its id, 26 capital letters and digits")
		case !e.Plain:
			refuse(at, "not a plain file", leftAlone)
		case s.places[name] != "":
			refuse(at, "this side has a record of the same id in "+path.Dir(s.places[name]), "left alone: compare the two, and move one away")
		default:
			s.places[name] = at
		}
	}
	return err
}

const leftAlone = "it was left alone"

func (s *shelf) odd(at, wrong, hint string) error {
	return &problem.FileError{Path: s.at(at), Problem: wrong, Hint: hint}
}

// at is the whole path of a place, fit to be shown.
func (s *shelf) at(place string) string { return s.store.Where(place) }

// exchangedRecord is a record on a shelf. It is zero when there is none.
type exchangedRecord struct {
	text   []byte
	sealed bool
	open   bool // an unfinished trial or run
	fold   bool // of an unfinished one: the cable folded in it
	mark   bool // or its jacket was marked
}

// growsInto reports whether the other is this journal with more entries.
func (r exchangedRecord) growsInto(longer exchangedRecord) bool {
	return r.sealed && longer.sealed && bytes.HasPrefix(longer.text, r.text)
}

// load reads the bytes of a record, nil when the shelf has none of the name. A
// [FileError] says that it is none.
func (s *shelf) load(name string) ([]byte, error) {
	at, ok := s.places[name]
	if !ok {
		return nil, nil
	}
	data, _, err := s.store.Read(at)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if own := (*problem.FileError)(nil); errors.As(err, &own) {
		err = s.shownAt(at, own)
	}
	return data, err
}

// judge reads a record as strictly as it can be read. Its error is a [FileError] that
// says why it cannot be taken.
func (s *shelf) judge(name string, data []byte) (r exchangedRecord, err error) {
	if data == nil {
		return r, nil
	}
	at := s.at(s.places[name])
	fail := func(err error) (exchangedRecord, error) { return exchangedRecord{}, ownError(at, err) }
	if r.sealed, err = journal.IsJournal(at, data); err != nil {
		return fail(err)
	}
	if r.sealed {
		_, torn, err := journal.Unseal(at, data)
		if err != nil {
			return fail(err)
		}
		if len(torn) > 0 {
			return fail(&problem.FileError{Path: at, Problem: "its last entry is not whole: it is being written, or was broken off", Hint: leftAlone})
		}
	}
	r.text = data
	id, err := kindOf(name).identify(at, name, data, &r)
	if err != nil {
		return fail(err)
	}
	if id != strings.TrimSuffix(path.Base(name), ".toml") {
		return fail(&problem.FileError{Path: at, Problem: "its id is not its name", Hint: leftAlone})
	}
	return r, nil
}

// ownError makes sure that what is wrong with a record is not taken for a failing disk.
func ownError(at string, err error) error {
	var own *problem.FileError
	if errors.As(err, &own) {
		return err
	}
	return &problem.FileError{Path: at, Problem: problem.PrintableOnly(err.Error()), Hint: leftAlone}
}

func identifyReview(at, _ string, data []byte, _ *exchangedRecord) (id string, err error) {
	f, err := parseReview(at, data)
	if err != nil {
		return "", err
	}
	return f.ID, nil
}

func identifyProfile(at, name string, data []byte, _ *exchangedRecord) (id string, err error) {
	record, err := Parse(at, data)
	if err != nil {
		return "", err
	}
	if _, err := candidateOf(at, record, journal.Flaw{}); err != nil {
		return "", err
	}
	if month := record.Started.Format("2006-01"); path.Base(path.Dir(name)) != month {
		return "", &problem.FileError{Path: at, Problem: "not in the folder of the month it was begun in", Hint: "left alone: move it to profiles/" + month}
	}
	return record.ID, nil
}

func identifyTrial(at, _ string, data []byte, r *exchangedRecord) (id string, err error) {
	record, err := Parse(at, data)
	if err != nil {
		return "", err
	}
	t, err := record.Trial()
	if err != nil {
		return "", err
	}
	if r.open = !t.Closed(); r.open {
		for _, a := range t.Attempts() {
			r.fold, r.mark = r.fold || a.Outcome == session.Fold, r.mark || a.JacketDamage
		}
	}
	return record.ID, nil
}
