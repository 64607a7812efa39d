package profiles

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// CoverLimits are the numbers in the cover rules. A supervisor may tighten them.
type CoverLimits struct {
	CoveredStiffness, CheckStiffness float64 // |ln| of the ratio of polyethylene's stiffness
	CoveredDegrees, CheckDegrees     float64 // °C
	CheckDiameter, RetestDiameter    float64 // part of the profile's
	CheckAge, RetestAge, Shift       time.Duration
	retest                           map[string]bool // fields whose short checks are retests
}

const day = 24 * time.Hour

// UsualCoverLimits are those without a supervisor's rules file. 365 days are twelve
// months, or a day less.
//
// Source: derived here; no published threshold was found for any.
func UsualCoverLimits() CoverLimits {
	covered, check := session.CoveredBand(), session.CheckedBand()
	return CoverLimits{
		CoveredStiffness: covered.LogRatio, CheckStiffness: check.LogRatio,
		CoveredDegrees: float64(covered.Degrees), CheckDegrees: float64(check.Degrees),
		CheckDiameter: 0.03, RetestDiameter: 0.05,
		CheckAge: 30 * day, RetestAge: 365 * day, Shift: 12 * time.Hour,
	}
}

// covered is how far a setting holds without more, checked how far a short check can still
// confirm it.
func (l *CoverLimits) covered() session.Band {
	return session.Band{LogRatio: l.CoveredStiffness, Degrees: q.Temperature(l.CoveredDegrees)}
}
func (l *CoverLimits) checked() session.Band {
	return session.Band{LogRatio: l.CheckStiffness, Degrees: q.Temperature(l.CheckDegrees)}
}

// together lowers every limit that another, tightened, leaves no sense in: what needs no
// check cannot reach further than what a check may confirm, nor an age without a check
// further than the age at which none will do.
func (l *CoverLimits) together() {
	l.CoveredStiffness = min(l.CoveredStiffness, l.CheckStiffness)
	l.CoveredDegrees = min(l.CoveredDegrees, l.CheckDegrees)
	l.CheckDiameter = min(l.CheckDiameter, l.RetestDiameter)
	l.CheckAge = min(l.CheckAge, l.RetestAge)
	l.Shift = min(l.Shift, l.CheckAge)
}

// Until is when a setting proved at a time needs its next check for that alone: the end
// of its shift or of its day, or an age limit. root is when the trial it rests on was
// made.
func (l CoverLimits) Until(proved, root time.Time) time.Time {
	y, m, d := proved.Date()
	until := time.Date(y, m, d+1, 0, 0, 0, 0, proved.Location())
	for _, end := range []time.Time{proved.Add(l.Shift), proved.Add(l.CheckAge), root.Add(l.RetestAge)} {
		if end.Before(until) { // a root that is not known ends it at once
			until = end
		}
	}
	return until
}

// limitKey is one number of the rules file: where it belongs, how it is read, and how
// its usual value is written.
type limitKey struct {
	key   string
	of    func(*CoverLimits) any // a pointer to a float64 or a duration
	read  func(any) (float64, error)
	usual string
	says  string // what it is, for who writes the file
}

var limitKeys = []limitKey{
	{"covered_stiffness", func(l *CoverLimits) any { return &l.CoveredStiffness }, plainNumber, "0.08", "how far stiffness may differ unchecked, a part"},
	{"check_stiffness", func(l *CoverLimits) any { return &l.CheckStiffness }, plainNumber, "0.25", "and with one"},
	{"covered_degrees", func(l *CoverLimits) any { return &l.CoveredDegrees }, degrees, `"7 °F"`, "how far warmth may differ without a check"},
	{"check_degrees", func(l *CoverLimits) any { return &l.CheckDegrees }, degrees, `"20 °F"`, "and with one"},
	{"check_diameter", func(l *CoverLimits) any { return &l.CheckDiameter }, plainNumber, "0.03", "from which part the diameter asks for a check"},
	{"retest_diameter", func(l *CoverLimits) any { return &l.RetestDiameter }, plainNumber, "0.05", "and for a new trial"},
	{"check_days", func(l *CoverLimits) any { return &l.CheckAge }, times(day), "30", "how old without a check"},
	{"retest_days", func(l *CoverLimits) any { return &l.RetestAge }, times(day), "365", "how old at all"},
	{"shift_hours", func(l *CoverLimits) any { return &l.Shift }, times(time.Hour), "12", "how long a shift is"},
}

// RuleLines are the lines a library's rules.toml may have, each with its usual value and what it
// is: none may be looser.
func RuleLines() []string {
	lines := []string{fmt.Sprintf("format = %d", Format)}
	for _, k := range limitKeys {
		lines = append(lines, fmt.Sprintf("%-25s # %s", k.key+" = "+k.usual, k.says))
	}
	return append(lines, fmt.Sprintf("%-25s # a new trial where these differ or are not said", retestKey+" = [\"cable.reel\"]"))
}

// retestKey lists fields whose short checks the supervisor wants as full trials.
const retestKey = "retest"

func plainNumber(v any) (float64, error) {
	switch v := v.(type) {
	case int64:
		return float64(v), nil
	case float64:
		return v, nil
	}
	return 0, errors.New("not a number")
}

func times(unit time.Duration) func(any) (float64, error) {
	return func(v any) (float64, error) {
		x, err := plainNumber(v)
		return x * float64(unit), err
	}
}

// degrees reads a difference of temperatures.
func degrees(v any) (float64, error) {
	text, ok := v.(string)
	if !ok {
		return 0, errors.New("not a text in quotes, with its unit")
	}
	unit, err := q.Unit[q.Temperature](text)
	if err != nil {
		return 0, err
	}
	t, err := q.Parse[q.Temperature](text)
	return float64(t - q.From[q.Temperature](0, unit)), err
}

const rulesName = "rules.toml"

// CoverLimits returns the numbers of the cover rules as the supervisor's rules.toml in
// the library tightens them; without that file the usual ones. A file that cannot be
// read, has an unknown key or would loosen a rule is an error.
func (l *Library) CoverLimits() (CoverLimits, error) {
	data, _, err := l.store.Read(rulesName)
	if errors.Is(err, fs.ErrNotExist) {
		return UsualCoverLimits(), nil
	}
	if err != nil {
		return CoverLimits{}, fmt.Errorf("%w\n  without the supervisor's rules nothing is judged", store.Plain(err))
	}
	return parseCoverLimits(l.store.Where(rulesName), data)
}

func parseCoverLimits(path string, data []byte) (CoverLimits, error) {
	limits := UsualCoverLimits()
	if line := firstBadLine(data); line > 0 {
		return limits, &problem.FileError{Path: path, Line: line, Problem: "the file is not text in UTF-8", Hint: "save it as UTF-8 text"}
	}
	if line, wrong, hint := problem.Scan(data, problem.MaxLetters); wrong != "" {
		return limits, &problem.FileError{Path: path, Line: line, Problem: wrong, Hint: hint}
	}
	values := map[string]any{}
	if _, err := toml.Decode(problem.OnOneLine(data), &values); err != nil {
		return limits, problem.TomlError(path, data, err)
	}
	if format, ok := values["format"].(int64); !ok || format != Format {
		return limits, problem.At(path, data, "format", "missing, or not known to this version", fmt.Sprintf("write \"format = %d\" on the first line", Format))
	}
	delete(values, "format")
	keys := make([]string, 0, len(values))
	for key := range values {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	for _, key := range keys {
		if wrong, hint := limits.tighten(key, values[key]); wrong != "" {
			return limits, problem.At(path, data, key, wrong, hint)
		}
	}
	limits.together()
	return limits, nil
}

// tighten sets one rule, or says what is wrong with it.
func (l *CoverLimits) tighten(key string, value any) (wrong, hint string) {
	if key == retestKey {
		return l.tightenFields(value)
	}
	i := slices.IndexFunc(limitKeys, func(k limitKey) bool { return k.key == key })
	if i < 0 {
		return "this key is not known", "check its spelling, or take the line out"
	}
	k := limitKeys[i]
	hint = "write " + k.usual + " or less: a supervisor may tighten a rule, never loosen it"
	v, err := k.read(value)
	if err != nil {
		return err.Error(), hint
	}
	var usual float64
	limit := k.of(l)
	switch limit := limit.(type) {
	case *float64:
		usual = *limit
	case *time.Duration:
		usual = float64(*limit)
	}
	if !(v >= 0) {
		return fmt.Sprintf("%v is below zero, or no number", value), hint
	}
	if v > usual*(1+1e-9) {
		return fmt.Sprintf("%v is looser than the usual %s", value, strings.Trim(k.usual, `"`)), hint
	}
	switch limit := limit.(type) {
	case *float64:
		*limit = min(v, usual)
	case *time.Duration:
		*limit = time.Duration(min(v, usual))
	}
	return "", ""
}

func (l *CoverLimits) tightenFields(value any) (wrong, hint string) {
	hint = "write a list of record keys, such as [\"cable.reel\", \"cable.lot\"]"
	list, ok := value.([]any)
	if !ok {
		return "not a list", hint
	}
	l.retest = map[string]bool{}
	for _, item := range list {
		key, _ := item.(string)
		if !slices.ContainsFunc(coverRules, func(f coverField) bool { return f.key == key }) {
			return fmt.Sprintf("%q is compared by no rule", problem.ShownText(fmt.Sprint(item))), hint
		}
		l.retest[key] = true
	}
	return "", ""
}
