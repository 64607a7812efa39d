package profiles

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/store"
	"brinkmark/session/parallel"
)

// Index is what all files of the library say, without reading them anew: a flat file
// beside the records, checked on opening against the size and time of every one of
// them. The records stay the truth: the index can be deleted at any time, and what of
// it is missing, damaged or old is built from them again.
type Index struct {
	store   store.Store
	entries []entry // by folder and file
	Read    int     // how many files were read on opening
	Unsaved error   // why the index could not be kept for the next time; it only costs time then
}

// entry is a file of the library, with its line of the index until somebody asks for it.
type entry struct {
	folder string // "profiles/2026-05"
	stamp
	line []byte
	row  *row
}

const (
	indexFile = "index.tsv"
	// Raise the number with every change of what a row says.
	indexHeader = "# brinkmark index 5: made from the records beside it, may be deleted"
	indexEnd    = "# end "
	folderMark  = '>'
	// worthSaving is how many files must have changed before the index is written anew:
	// reading fewer takes no time, and reading a library should not write to it.
	worthSaving = 100
	// mostIndexed is how large an index may be, in bytes: that of 150 000 files. What is
	// larger is not read, and none is written.
	mostIndexed = 64 << 20
	// settled is how old a file's time must be, so that another change would show. The
	// coarsest clock of a file system is FAT's, two seconds.
	settled = 3 * time.Second
)

// OpenIndex opens the index and checks it against every file. progress, unless nil, is
// told how many of the files that are new or changed have been read. A file that cannot
// be read is a row like any other, and hides nothing.
func (l *Library) OpenIndex(progress func(done, total int)) (*Index, error) {
	began := time.Now() // compared with the disk's times, and not with the library's clock
	x, gone, err := l.readIndex(progress)
	if err == nil && x.Read+gone >= worthSaving {
		x.Unsaved = x.save(began)
	}
	return x, err
}

// readIndex is OpenIndex without keeping the index for the next time. gone is how many
// files of the old one are no more.
func (l *Library) readIndex(progress func(done, total int)) (x *Index, gone int, err error) {
	var known map[string][]entry
	var folders []string
	var found [][]stamp
	parallel.Each(2, func(i int) {
		if i == 0 {
			known = loadIndex(l.store)
		} else if folders, err = l.indexedFolders(); err == nil {
			found, err = stamps(l.store, folders)
		}
	})
	if err != nil {
		return nil, 0, err
	}
	x = &Index{store: l.store}
	files := 0
	for _, list := range found {
		files += len(list)
	}
	x.entries = make([]entry, 0, files)
	for i, place := range folders {
		gone += x.merge(place, known[place], found[i])
	}
	x.Read = x.readNew(progress)
	return x, gone, nil
}

// merge takes the files of a folder, with what the old index knows of those that have
// not changed, and returns how many of the index are no more. Both are sorted.
func (x *Index) merge(place string, old []entry, found []stamp) (gone int) {
	for _, s := range found {
		for len(old) > 0 && old[0].file < s.file {
			old, gone = old[1:], gone+1
		}
		e := entry{folder: place, stamp: s}
		if len(old) > 0 && old[0].file == s.file {
			if old[0].stamp == s && s.mtime != 0 {
				e.line = old[0].line
			}
			old = old[1:]
		}
		x.entries = append(x.entries, e)
	}
	return gone + len(old)
}

// indexedFolders are the folders that hold records, with slashes, in order.
func (l *Library) indexedFolders() ([]string, error) {
	months, err := l.store.List("profiles")
	if err != nil {
		return nil, store.Plain(err)
	}
	var folders []string
	for _, month := range months {
		if month.Folder && !strings.HasPrefix(month.Name, ".") {
			folders = append(folders, path.Join("profiles", month.Name))
		}
	}
	return append(folders, "reviews", "runs", "runs/"+receivedFolder, "trials", "trials/"+receivedFolder), nil
}

// stamp is how a file shows that it has changed.
type stamp struct {
	file        string
	size, mtime int64
}

// stamps looks at every record of the folders.
func stamps(in store.Store, folders []string) ([][]stamp, error) {
	all, errs := make([][]stamp, len(folders)), make([]error, len(folders))
	parallel.Each(len(folders), func(i int) { all[i], errs[i] = folderStamps(in, folders[i]) })
	return all, errors.Join(errs...)
}

func folderStamps(in store.Store, folder string) ([]stamp, error) {
	entries, err := in.List(folder)
	if err != nil {
		return nil, store.Plain(err)
	}
	list := make([]stamp, 0, len(entries))
	for _, e := range entries {
		if e.Name[0] != '.' && strings.HasSuffix(e.Name, ".toml") {
			v := e.Version()
			list = append(list, stamp{e.Name, v.Size, v.Time})
		}
	}
	return list, nil
}

// readNew reads the files that the index says nothing of, and returns how many.
func (x *Index) readNew(progress func(done, total int)) int {
	const often = 64
	var unread []*entry
	for i := range x.entries {
		if x.entries[i].line == nil {
			unread = append(unread, &x.entries[i])
		}
	}
	var lock sync.Mutex
	done := 0
	parallel.Each((len(unread)+often-1)/often, func(i int) {
		part := unread[i*often : min((i+1)*often, len(unread))]
		for _, e := range part {
			if e.row = fileRow(x.store, e); e.row.problem == nil {
				e.line, e.row = e.row.appendLine(nil), nil // its texts would keep the whole file in memory
			}
		}
		lock.Lock()
		defer lock.Unlock()
		if done += len(part); progress != nil {
			progress(done, len(unread))
		}
	})
	return len(unread)
}

// save writes the index for the next time. Rows that another look might find changed
// are written so that they are read again.
func (x *Index) save(began time.Time) error {
	return x.store.Alone(func() error {
		text := indexText(x.entries, began.Add(-settled).UnixNano())
		if len(text) > mostIndexed {
			return fmt.Errorf("%d files are too many for it", len(x.entries))
		}
		return store.Plain(x.store.Keep(indexFile, text))
	})
}

// indexText is the index as its file. What was changed after trusted is written without
// its time.
func indexText(entries []entry, trusted int64) []byte {
	b := append(make([]byte, 0, 400*len(entries)), indexHeader+"\n"...)
	place := ""
	for _, e := range entries {
		if e.row != nil && e.row.problem != nil { // what keeps a file from being read may pass without a trace on it
			continue
		}
		if e.folder != place {
			place = e.folder
			b = append(append(append(b, folderMark), toLine.Replace(place)...), '\n')
		}
		if e.mtime > trusted {
			e.mtime = 0
		}
		b = append(e.appendLine(b), '\n')
	}
	return fmt.Appendf(b, "%s%08x\n", indexEnd, journal.Sum(b))
}

// loadIndex reads an index by folder. One that is missing or not as it was written is
// an empty one.
func loadIndex(in store.Store) map[string][]entry {
	return parseIndex(in.Recall(indexFile, mostIndexed))
}

func parseIndex(data []byte) map[string][]entry {
	end := len(data) - len(indexEnd) - 9
	if end < len(indexHeader)+1 || string(data[:len(indexHeader)+1]) != indexHeader+"\n" || string(data[end:end+len(indexEnd)]) != indexEnd {
		return nil
	}
	sum, err := strconv.ParseUint(strings.TrimSuffix(string(data[end+len(indexEnd):]), "\n"), 16, 32)
	if err != nil || journal.Sum(data[:end]) != uint32(sum) {
		return nil
	}
	folders, place := map[string][]entry{}, ""
	for line := range bytes.Lines(data[len(indexHeader)+1 : end]) {
		line = bytes.TrimSuffix(line, []byte("\n"))
		if len(line) > 0 && line[0] == folderMark {
			place = fromLine.Replace(string(line[1:]))
			continue
		}
		e := entry{folder: place}
		if !e.readLine(line) {
			return nil
		}
		folders[place] = append(folders[place], e)
	}
	for _, list := range folders {
		if byFile := func(a, b entry) int { return cmp.Compare(a.file, b.file) }; !slices.IsSortedFunc(list, byFile) {
			slices.SortFunc(list, byFile)
		}
	}
	return folders
}

// of returns the rows of one kind of file: "profiles", "trials", "runs" or "reviews".
func (x *Index) of(kind string) []*row {
	from, _ := slices.BinarySearchFunc(x.entries, kind, func(e entry, kind string) int { return strings.Compare(e.folder, kind) })
	to := from
	for to < len(x.entries) && (x.entries[to].folder == kind || strings.HasPrefix(x.entries[to].folder, kind+"/")) {
		to++
	}
	return x.rowsOf(x.entries[from:to])
}

// rowsOf reads the lines of entries, where nobody has yet.
func (x *Index) rowsOf(entries []entry) []*row {
	const often = 1024
	rows := make([]*row, len(entries))
	parallel.Each((len(entries)+often-1)/often, func(i int) {
		for at := i * often; at < min((i+1)*often, len(entries)); at++ {
			e := &entries[at]
			if e.row == nil {
				e.row = &row{folder: e.folder, file: e.file}
				if !e.row.readLine(string(e.line)) { // its sum was right: another version's, perhaps
					e.row = fileRow(x.store, e)
				}
				e.line = nil // a part of the whole index, which is so set free
			}
			rows[at] = e.row
		}
	})
	return rows
}
