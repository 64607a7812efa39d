package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"brinkmark/profiles/journal"
	"brinkmark/profiles/problem"
)

// Action is what a supervisor decided about a profile.
type Action string

// The actions. None deletes a profile or loosens a rule: a withdrawn profile stays
// withdrawn, and the earliest expiry counts.
const (
	Accept   Action = "accept"
	Query    Action = "query"
	Expire   Action = "expire"
	Withdraw Action = "withdraw"
)

var actions = []Action{Accept, Query, Expire, Withdraw}

// UnmarshalText reads an action as it stands in a review.
func (a *Action) UnmarshalText(text []byte) (err error) {
	*a, err = oneOf(text, "action", actions)
	return err
}

// reviewFile is one sitting of a supervisor over the library. It has an id of its own,
// and not a profile's, so that those of two supervisors can never clash in an exchange.
type reviewFile struct {
	Format  int       `toml:"format"`
	ID      string    `toml:"id,omitempty"`
	Kind    string    `toml:"kind"`
	Started time.Time `toml:"started,omitempty"`
	By      string    `toml:"by"`
	Actions []Judged  `toml:"action,omitempty"`
}

// Judged is one action on one profile.
type Judged struct {
	Seq     int       `toml:"seq,omitzero"`
	At      time.Time `toml:"at,omitempty"`
	Of      string    `toml:"of"` // the profile's id
	Action  Action    `toml:"action"`
	Note    string    `toml:"note,omitempty"`
	Expires time.Time `toml:"expires,omitempty"`
	Sum     string    `toml:"sum,omitempty"`  // CRC-32C of the profile's text as it was judged
	Seen    []string  `toml:"seen,omitempty"` // of an acceptance: the actions on the profile that were known, each as "review:seq"

	By     string `toml:"-"` // whose review it stands in
	Sealed bool   `toml:"-"` // and whether that is as it was written

	review string // the id of that review

	since time.Time // At, or that of an earlier action of its review, should the clock have gone back
}

const reviewKind = "review"

// parseReview reads a review strictly. path is used in errors only.
func parseReview(path string, data []byte) (*reviewFile, error) {
	var f reviewFile
	md, err := decode(path, data, &f)
	if err != nil {
		return nil, err
	}
	fail := func(key, wrong, hint string) error {
		return problem.At(path, data, key, wrong, hint)
	}
	switch {
	case !md.IsDefined("format") || f.Format != Format:
		return nil, fail("format", "missing, or not known to this version", fmt.Sprintf("write \"format = %d\" on the first line", Format))
	case f.Kind != reviewKind:
		return nil, fail("kind", "this is no review", "check that this is the right file")
	case f.ID != "" && !ValidID(f.ID):
		return nil, fail("id", fmt.Sprintf("%q is no record id", problem.Clip(f.ID)), "ids are made by the program: 26 capital letters and digits")
	case strings.TrimSpace(f.By) == "":
		return nil, fail("by", "missing", "write who reviewed")
	}
	for i := range f.Actions {
		a := &f.Actions[i]
		key := fmt.Sprintf("action[%d].", i)
		switch {
		case !ValidID(a.Of):
			return nil, fail(key+"of", fmt.Sprintf("%q is no profile id", problem.ShownText(a.Of)), "write the profile's id")
		case a.Action == "":
			return nil, fail(key+"action", "missing", "write accept, query, expire or withdraw")
		case a.Action == Expire && a.Expires.IsZero():
			return nil, fail(key+"expires", "missing", "write when the profile expires")
		case a.Action == Query && strings.TrimSpace(a.Note) == "":
			return nil, fail(key+"note", "missing", "write what is asked")
		}
		a.By = f.By
	}
	return &f, nil
}

func reviewRow(from summed, r *row) error {
	f, err := parseReview(from.path, []byte(from.text))
	if err != nil {
		return err
	}
	r.kind, r.operator, r.started = f.Kind, f.By, timeText(f.Started)
	r.actions = packActions(f.Actions)
	switch {
	case from.flaw.Edited: // what it tightens counts all the same
		r.sealed = false
		return &problem.FileError{Path: from.path, Problem: from.flaw.Says, Hint: "what it accepts does not count; what it queries, expires or withdraws does"}
	case from.flaw.Says != "":
		return &problem.FileError{Path: from.path, Problem: from.flaw.Says, Hint: "all that stands before it counts"}
	}
	return nil
}

func packActions(list []Judged) string {
	var parts []string
	for _, a := range list {
		fields := []string{a.Of, string(a.Action), timeText(a.At), timeText(a.Expires), a.Sum, a.By, strconv.Itoa(a.Seq), strings.Join(a.Seen, " "), a.Note}
		for i := range fields {
			fields[i] = unmarked.Replace(fields[i])
		}
		parts = append(parts, strings.Join(fields, fieldMark))
	}
	return strings.Join(parts, listMark)
}

// unpackActions are the actions of a review's row.
func unpackActions(r *row) []Judged {
	var list []Judged
	var since time.Time
	for part := range strings.SplitSeq(r.actions, listMark) {
		if f := strings.Split(part, fieldMark); len(f) == 9 {
			a := Judged{Of: f[0], Action: Action(f[1]), At: when(f[2]), Expires: when(f[3]), Sum: f[4], By: f[5], Seen: strings.Fields(f[7]), Note: f[8], Sealed: r.sealed, review: r.id}
			a.Seq, _ = strconv.Atoi(f[6]) // 0 where a hand has written none
			if a.At.After(since) {
				since = a.At
			}
			a.since = since
			list = append(list, a)
		}
	}
	return list
}

// inOrder sorts actions by time, those of one review as they stand in it.
func inOrder(list []Judged) {
	slices.SortStableFunc(list, func(a, b Judged) int { return a.since.Compare(b.since) })
}

// judged returns all actions of the library by profile, in order of time.
func (x *Index) judged() map[string][]Judged {
	all := map[string][]Judged{}
	for _, r := range x.of("reviews") {
		for _, a := range unpackActions(r) {
			all[a.Of] = append(all[a.Of], a)
		}
	}
	for _, list := range all {
		inOrder(list)
	}
	return all
}

// Sitting is a supervisor at work: what is decided is on disk, in the sitting's own
// sealed journal, when a method returns without an error. The file is made with the
// first action, and another one where needed.
type Sitting struct {
	library *Library
	by      string
	journal *journal.Journal
	seq     int
	seen    bool // the journal's actions say what was seen
}

// Sit begins a sitting. by is who decides; it is an error to leave it empty.
func (l *Library) Sit(by string) (*Sitting, error) {
	if strings.TrimSpace(by) == "" {
		return nil, errors.New("who reviews?\n  give a name or initials: the review keeps them")
	}
	return &Sitting{library: l, by: by}, nil
}

// Accept says that a profile may be trusted, by who knows all that was decided about it in this
// library.
func (s *Sitting) Accept(id, note string) error {
	known, err := s.library.judgedOf(id)
	if err != nil {
		return err
	}
	return s.accept(Judged{Of: id, Action: Accept, Note: note}, known)
}

// AcceptShown is Accept for who was shown p and no more: if the file holds another text by now,
// that text is not what was looked at, and is not accepted.
func (s *Sitting) AcceptShown(p *Listed, note string) error {
	name, err := s.library.profileName(p.ID)
	if err != nil {
		return err
	}
	sum, err := s.library.judgedSum(name)
	if err != nil {
		return err
	}
	if sum != p.row.sumText() {
		return fmt.Errorf("profile %s has changed since it was shown\n  open the review anew and look at it again before you accept it", p.ID)
	}
	return s.accept(Judged{Of: p.ID, Action: Accept, Sum: sum, Note: note}, p.Actions)
}

// accept writes an acceptance with all that its supervisor has seen. What nobody can lift is
// said instead.
func (s *Sitting) accept(a Judged, known []Judged) error {
	if err := forGood(a.Of, known, s.library.now()); err != nil {
		return err
	}
	mine := ""
	if s.journal != nil {
		mine = strings.TrimSuffix(path.Base(s.journal.Name()), ".toml")
	}
	for _, k := range known {
		if k.review != mine { // else it stands before this one
			a.Seen = append(a.Seen, k.ref())
		}
	}
	return s.act(a)
}

// Query asks the crew something about a profile.
func (s *Sitting) Query(id, note string) error {
	return s.act(Judged{Of: id, Action: Query, Note: note})
}

// Expire sets the day from which a profile covers nothing. An earlier one stands.
func (s *Sitting) Expire(id string, on time.Time, note string) error {
	return s.act(Judged{Of: id, Action: Expire, Expires: on, Note: note})
}

// Withdraw ends what a profile covers, for good. The profile stays in the library.
func (s *Sitting) Withdraw(id, note string) error {
	return s.act(Judged{Of: id, Action: Withdraw, Note: note})
}

// Path is where the sitting's last action is, "" before the first.
func (s *Sitting) Path() string {
	if s.journal == nil {
		return ""
	}
	return s.journal.Where()
}

// Close ends the sitting.
func (s *Sitting) Close() error {
	if s.journal == nil {
		return nil
	}
	return s.journal.Close()
}

func (s *Sitting) act(a Judged) error {
	name, err := s.library.profileName(a.Of)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("profile %s is not in this library\n  the review list shows the ids", a.Of)
	}
	if err != nil {
		return err
	}
	if a.Sum == "" {
		if a.Sum, err = s.library.judgedSum(name); err != nil && a.Action == Accept {
			return err // what cannot be read can be withdrawn, not accepted
		}
	}
	// Versions that know no "seen" cannot read a review that has it: what tightens is never in
	// the same file.
	if s.journal != nil && s.seen != (len(a.Seen) > 0) {
		if err := s.journal.Close(); err != nil {
			return err
		}
		s.journal, s.seq = nil, 0
	}
	s.seen = len(a.Seen) > 0
	a.Seq, a.At = s.seq+1, s.library.now().Truncate(time.Second)
	block, err := encode(struct {
		Actions []Judged `toml:"action"`
	}{[]Judged{a}})
	if err != nil {
		return err
	}
	if err := problem.ShortEnough(block); err != nil { // before a journal is begun for it
		return err
	}
	if s.journal == nil {
		if err := s.begin(block); err != nil {
			return err
		}
	}
	if _, err := parseReview(s.journal.Where(), []byte(s.journal.Text()+block)); err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	if err := s.journal.Append(block); err != nil {
		return err
	}
	s.seq++
	return nil
}

// judgedSum is the checksum of a profile's text, "" of one that is not there. Its error is
// what keeps the profile from being read.
func (l *Library) judgedSum(name string) (sum string, err error) {
	var r row
	from, err := readSummed(l.store, name, &r)
	if err != nil {
		return "", err
	}
	_, err = Parse(from.path, []byte(from.text))
	return r.sumText(), err
}

// sumText is the row's checksum as reviews keep it.
func (r *row) sumText() string { return fmt.Sprintf("%08x", r.sum) }

// begin makes the sitting's journal, once it is sure that its first action fits.
func (s *Sitting) begin(block string) error {
	id, err := NewID(s.library.now(), s.library.entropy, "")
	if err != nil {
		return err
	}
	head, err := encode(reviewFile{Format: Format, ID: id, Kind: reviewKind, Started: s.library.now().Truncate(time.Second), By: s.by})
	if err != nil {
		return err
	}
	name := path.Join("reviews", id+".toml")
	if _, err := parseReview(s.library.store.Where(name), []byte(head+block)); err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	s.journal, err = journal.Create(s.library.store, name, head)
	return err
}
