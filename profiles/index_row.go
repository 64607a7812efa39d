package profiles

import (
	"bytes"
	"math"
	"path"
	"strconv"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// row is what the index keeps of one file: a profile, a trial, a run or a review. Quantities
// are kept as written, and beside them in SI what is compared.
type row struct {
	folder, file string // "profiles/2026-05", "01….toml"
	sum          uint32 // CRC-32C of the record's text
	sealed       bool

	id, kind, of                     string
	started, accepted                string // RFC 3339
	make, cable, duct, temperature   string // the key, as written
	reel, rig, operator, watcher     string
	number, site                     string
	grip, speed                      string // the setting, as written
	unit                             string // of the push control's value
	exceptions                       string // packed, see packExceptions
	actions                          string // of a review, packed, see packActions
	hurts                            string // folds and marked jackets of pushes or of a run, packed, see packHurts
	celsius, pascal, value, diameter float64
	cableUsed                        float64 // m
	pushes, overrides, skipped       int
	failed, closed                   bool // of a trial
	folded, damaged, arrived         bool // of a run
	known                            bool // temperature and setting are known numbers
	problem                          error
}

// texts are the row's texts in the order they stand in the index.
func (r *row) texts() [20]*string {
	return [...]*string{
		&r.id, &r.kind, &r.of, &r.started, &r.accepted, &r.make, &r.cable, &r.duct, &r.temperature,
		&r.reel, &r.rig, &r.operator, &r.watcher, &r.number, &r.site, &r.grip, &r.speed, &r.unit, &r.exceptions, &r.hurts,
	}
}

func (r *row) numbers() [5]*float64 {
	return [...]*float64{&r.celsius, &r.pascal, &r.value, &r.diameter, &r.cableUsed}
}

func (r *row) flags() [7]*bool {
	return [...]*bool{&r.sealed, &r.failed, &r.closed, &r.known, &r.folded, &r.damaged, &r.arrived}
}

// name is what the row's record is kept under, and where is where that is.
func (r *row) name() string                { return path.Join(r.folder, r.file) }
func (r *row) where(in store.Store) string { return in.Where(r.name()) }

// summed is the text of a file with what is the matter with it.
type summed struct {
	in               store.Store
	name, path, text string
	flaw             journal.Flaw
}

// fill takes what a file's text says into the row, by the kind of file: the first part of its
// folder.
func (r *row) fill(kind string, from summed) error {
	switch kind {
	case "profiles":
		return profileRow(from, r)
	case "trials":
		return trialRow(from, r)
	case "reviews":
		return reviewRow(from, r)
	}
	return runRow(from, r)
}

// fileRow reads one file for the index.
func fileRow(in store.Store, e *entry) *row {
	r := row{folder: e.folder, file: e.file}
	kind, _, _ := strings.Cut(r.folder, "/")
	r.id = problem.PrintableOnly(strings.TrimSuffix(r.file, ".toml"))
	from, err := readSummed(in, r.name(), &r)
	if err != nil && kind == "trials" {
		r.kind = session.ShortCheck.String() // what it hides may matter
	}
	if err == nil {
		err = r.fill(kind, from)
	}
	r.problem = err
	return &r
}

// readSummed reads a record's text with its checksum.
func readSummed(in store.Store, name string, r *row) (s summed, err error) {
	s = summed{in: in, name: name}
	from, err := readFrom(in, name)
	if err == nil {
		s.path = from.Path
		s.text, s.flaw, err = journal.TextOf(from.Path, from.Text)
	}
	r.sum, r.sealed = journal.Sum([]byte(s.text)), journal.Begins(s.text)
	return s, err
}

func profileRow(from summed, r *row) error {
	record, err := Parse(from.path, []byte(from.text))
	if err != nil {
		return err
	}
	trial, err := record.Trial()
	if err != nil { // Parse has read it once
		return err
	}
	name := r.id
	r.describe(record)
	r.work(trial)
	found := from.flaw
	if !r.sealed && sealedOnce(from.in, from.name) {
		found = sealsGone
	}
	side, err := candidateOf(from.path, record, found)
	if err != nil {
		return err
	}
	r.result(record, side)
	exceptions := recordExceptions(record, trial, r.sealed)
	if record.ID != "" && record.ID != name {
		exceptions = append(exceptions, Exception{WrongName, record.ID})
	}
	r.exceptions = packExceptions(exceptions)
	return nil
}

// describe fills in what the record says of itself, with its later changes.
func (r *row) describe(record *Record) {
	now, _, err := record.current()
	if err != nil {
		now = *record
	}
	if now.ID != "" {
		r.id = now.ID
	}
	r.kind, r.of = kindText(now.Kind), now.Of
	r.started = timeText(now.Started)
	r.make, r.cable, r.duct, r.temperature = now.Cable.Make, now.Cable.Type, now.Duct.Size, now.Conditions.CableTemperature.text
	r.reel, r.rig, r.operator, r.watcher = now.Cable.Reel, now.Rig.Name, now.People.Operator, now.People.Watcher
	r.number, r.site = now.Job.Number, now.Job.Site
	r.diameter = float64(now.Cable.OuterDiameter.value.Or(0))
	if now.Setting != nil {
		r.grip, r.speed, r.accepted = now.Setting.Grip.text, now.Setting.Speed.text, timeText(now.Setting.Accepted)
	}
}

// work fills in what the trial took.
func (r *row) work(t session.Trial) {
	r.cableUsed, r.pushes = q.In(t.CableUsed(), "m"), len(t.Attempts())
	r.hurts = packHurts(foldsOf(t))
	for _, a := range t.Answers() {
		if a.SkipReason != "" {
			r.skipped++
		}
	}
	r.closed = t.Closed()
}

// result fills in the setting.
func (r *row) result(record *Record, s *side) {
	own := s.setting()
	r.celsius, r.pascal, r.value, r.unit = float64(s.temperature()), float64(own.Grip), own.Speed.Value, own.Speed.Unit
	r.known = true
	if differs(record.Setting) {
		r.overrides++
	}
}

// differs reports whether what was accepted is another setting than was advised.
func differs(s *Setting) bool {
	grip, ok1 := s.AdvisedGrip.value.Get()
	speed, ok2 := s.AdvisedSpeed.value.Get()
	return ok1 && ok2 && (!nearly(float64(grip), float64(s.Grip.value.Or(0))) || !nearly(speed.Value, s.Speed.value.Or(q.Reading{}).Value))
}

func nearly(a, b float64) bool { return a <= b*(1+rounding) && b <= a*(1+rounding) }

func trialRow(from summed, r *row) error {
	if strings.Contains(from.text, session.ShortCheck.String()) {
		r.kind = session.ShortCheck.String() // should it not be understood: what it hides may matter
	}
	record, err := Parse(from.path, []byte(from.text))
	if err != nil {
		return err
	}
	trial, err := record.Trial()
	if err != nil { // Parse has read it once
		return err
	}
	r.describe(record)
	r.work(trial)
	r.failed = trial.Kind == session.ShortCheck && failed(trial)
	if from.flaw.Edited {
		r.exceptions = packExceptions([]Exception{{EditedSinceSealed, from.flaw.Says}})
	}
	return nil
}

// trouble is what is the matter with a row's record: it cannot be read, or it is a trial or run
// that was edited, and may hide what speaks against a setting. What it says against one counts
// all the same.
func (r *row) trouble(in store.Store) error {
	if r.problem != nil || strings.HasPrefix(r.folder, "profiles") {
		return r.problem
	}
	for _, e := range unpackExceptions(r.exceptions) {
		if e.Kind == EditedSinceSealed {
			return &problem.FileError{Path: r.where(in), Problem: e.Detail, Hint: "it may hide what speaks against a setting: put it back from a copy or another tablet"}
		}
	}
	return nil
}

func kindText(k session.Kind) string {
	if k == 0 {
		k = session.Full
	}
	return k.String()
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

// when reads what timeText wrote, zero for the empty text.
func when(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return time.Time{}
	}
	return t
}

// The index is text, a line for each file and a tab between two values.
var (
	toLine   = strings.NewReplacer(`\`, `\\`, "\t", `\t`, "\n", `\n`)
	fromLine = strings.NewReplacer(`\\`, `\`, `\t`, "\t", `\n`, "\n")
)

// appendLine adds the entry's line to the index: size and time of the file, its name,
// and its row.
func (e *entry) appendLine(b []byte) []byte {
	b = append(strconv.AppendInt(b, e.size, 10), '\t')
	b = append(strconv.AppendInt(b, e.mtime, 10), '\t')
	b = append(append(b, toLine.Replace(e.file)...), '\t')
	if e.row == nil {
		return append(b, e.line...)
	}
	return e.row.appendLine(b)
}

// readLine reads what appendLine wrote, but for the row.
func (e *entry) readLine(line []byte) bool {
	size, line, ok1 := bytes.Cut(line, []byte("\t"))
	mtime, line, ok2 := bytes.Cut(line, []byte("\t"))
	file, line, ok3 := bytes.Cut(line, []byte("\t"))
	var err1, err2 error
	e.size, err1 = strconv.ParseInt(string(size), 10, 64)
	e.mtime, err2 = strconv.ParseInt(string(mtime), 10, 64)
	if e.file = string(file); bytes.IndexByte(file, '\\') >= 0 {
		e.file = fromLine.Replace(e.file)
	}
	e.line = line
	return ok1 && ok2 && ok3 && err1 == nil && err2 == nil
}

// appendLine adds the row to a line.
func (r *row) appendLine(b []byte) []byte {
	for _, text := range r.texts() {
		b = append(append(b, toLine.Replace(*text)...), '\t')
	}
	b = append(append(b, toLine.Replace(r.actions)...), '\t')
	for _, x := range r.numbers() {
		b = append(strconv.AppendFloat(b, *x, 'g', -1, 64), '\t')
	}
	for _, n := range [...]int64{int64(r.sum), int64(r.pushes), int64(r.overrides), int64(r.skipped)} {
		b = append(strconv.AppendInt(b, n, 10), '\t')
	}
	for _, f := range r.flags() {
		b = append(b, "01"[btoi(*f)])
	}
	return b
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// readLine reads what appendLine wrote. The row's texts are parts of line, and each is on
// one line, as decode read it.
func (r *row) readLine(line string) bool {
	ok := true
	next := func() string {
		text, rest, found := strings.Cut(line, "\t")
		ok, line = ok && found, rest
		if strings.IndexByte(text, '\\') >= 0 {
			text = fromLine.Replace(text)
			ok = ok && !strings.Contains(text, "\n")
		}
		return text
	}
	for _, text := range r.texts() {
		*text = next()
	}
	r.actions = next()
	for _, x := range r.numbers() {
		if text := next(); text != "0" {
			v, err := strconv.ParseFloat(text, 64)
			ok, *x = ok && err == nil && !math.IsNaN(v) && !math.IsInf(v, 0), v
		}
	}
	var n [4]int64
	for i := range n {
		v, err := strconv.ParseInt(next(), 10, 64)
		ok, n[i] = ok && err == nil, v
	}
	r.sum, r.pushes, r.overrides, r.skipped = uint32(n[0]), int(n[1]), int(n[2]), int(n[3])
	flags := r.flags()
	if len(line) != len(flags) {
		return false
	}
	for i, f := range flags {
		*f = line[i] == '1'
	}
	return ok
}
