package profiles

import (
	"path"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"
)

// Pick is a profile to pick by its id: the key it is kept by, as written, and when its
// trial began. The key is empty where finding it would take too long.
type Pick struct {
	ID, Make, Type, Size, Temperature string
	Began                             time.Time
}

// Key is the profile's key in one line, or "".
func (p Pick) Key() string {
	if p.Make == "" {
		return ""
	}
	return strings.Join([]string{p.Make, p.Type, p.Size, p.Temperature}, ", ")
}

const (
	mostPicks = 1000                  // more nobody looks through
	mostRead  = 30                    // files read for a key
	readTime  = 20 * time.Millisecond // and no longer than that: a file takes half a millisecond, or many
	mostIndex = 2 << 20               // bytes of an index that is worth reading for it
)

// Picks returns the newest profiles, the last first, for somebody who is typing an id
// and does not wait: keys come from the index, unchecked since a profile is written
// once, or else from the newest files. Nothing is written, nothing locked; what cannot
// be read has no key.
func (l *Library) Picks() []Pick {
	newest, err := l.newestProfiles(mostPicks)
	if err != nil {
		return nil
	}
	known := parseIndex(l.store.Recall(indexFile, mostIndex))
	var picks []Pick
	read, began := 0, l.now()
	for _, at := range newest {
		p := Pick{ID: at.id, Began: ulid.Time(ulid.MustParseStrict(at.id).Time())}
		if file := at.id + ".toml"; !p.lookUp(known[at.folder], file) && read < mostRead && l.now().Sub(began) < readTime {
			read++
			p.read(l, at.name())
		}
		picks = append(picks, p)
	}
	return picks
}

// profilePlace is a profile's id, and its folder in the library.
type profilePlace struct{ id, folder string }

func (p profilePlace) name() string { return path.Join(p.folder, p.id+".toml") }

// newestProfiles returns where the newest profiles are, the last first. A profile's folder
// is its month and its id begins with its time, so no file is opened, and only the last
// folders are read.
func (l *Library) newestProfiles(most int) ([]profilePlace, error) {
	folders, err := l.indexedFolders()
	if err != nil {
		return nil, err
	}
	var newest []profilePlace
	for _, place := range slices.Backward(folders) {
		if path.Dir(place) != "profiles" || len(newest) >= most {
			continue
		}
		files, _ := l.store.List(place)
		for _, f := range slices.Backward(files) {
			id, named := strings.CutSuffix(f.Name, ".toml")
			if named && ValidID(id) && len(newest) < most {
				newest = append(newest, profilePlace{id, place})
			}
		}
	}
	return newest, nil
}

// lookUp takes the key from a folder's part of the index, which is sorted by file.
func (p *Pick) lookUp(known []entry, file string) bool {
	i, found := slices.BinarySearchFunc(known, file, func(e entry, file string) int { return strings.Compare(e.file, file) })
	var r row
	if !found || !r.readLine(string(known[i].line)) {
		return false
	}
	p.Make, p.Type, p.Size, p.Temperature = r.make, r.cable, r.duct, r.temperature
	return true
}

func (p *Pick) read(l *Library, name string) {
	record, _, err := l.readRecord(name)
	if err != nil {
		return
	}
	now, _, err := record.current() // with its later changes
	if err != nil {
		now = *record
	}
	p.Make, p.Type, p.Size, p.Temperature = now.Cable.Make, now.Cable.Type, now.Duct.Size, now.Conditions.CableTemperature.text
}
