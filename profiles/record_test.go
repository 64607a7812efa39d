package profiles

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"sort"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

const recordDir = "../testdata/records"

func readRecord(t *testing.T, name string) *Record {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(recordDir, name))
	require.NoError(t, err)
	record, err := Parse(name, data)
	require.NoError(t, err)
	return record
}

// keysOf lists the keys a type reads: "rig.grip_limit", "setting.drop_to.speed".
func keysOf(t reflect.Type, under string) []string {
	var keys []string
	for i := range t.NumField() {
		field := t.Field(i)
		name, _, _ := strings.Cut(field.Tag.Get("toml"), ",")
		switch {
		case field.Anonymous:
			keys = append(keys, keysOf(field.Type, under)...)
			continue
		case name == "":
			continue
		}
		of := field.Type
		for of.Kind() == reflect.Slice || of.Kind() == reflect.Pointer {
			of = of.Elem()
		}
		var below []string
		if of.Kind() == reflect.Struct {
			below = keysOf(of, under+name+".")
		}
		if len(below) == 0 {
			below = []string{under + name}
		}
		keys = append(keys, below...)
	}
	return keys
}

// keysIn lists the keys of a decoded file in the same form.
func keysIn(table map[string]any, under string) []string {
	var keys []string
	for name, value := range table {
		switch v := value.(type) {
		case map[string]any:
			keys = append(keys, keysIn(v, under+name+".")...)
		case []map[string]any:
			for _, entry := range v {
				keys = append(keys, keysIn(entry, under+name+".")...)
			}
		default:
			keys = append(keys, under+name)
		}
	}
	return keys
}

func TestFullRecordHasEveryKey(t *testing.T) {
	var table map[string]any
	_, err := toml.DecodeFile(filepath.Join(recordDir, "full.toml"), &table)
	require.NoError(t, err)
	require.Subset(t, keysIn(table, ""), keysOf(reflect.TypeFor[Record](), ""))
	require.Subset(t, keysOf(reflect.TypeFor[Record](), ""), keysIn(table, ""))

	r := reflect.ValueOf(*readRecord(t, "full.toml"))
	for _, all := range []reflect.Value{r, r.FieldByName("Entries")} {
		for i := range all.NumField() {
			require.False(t, all.Field(i).IsZero(), "%s was not read", all.Type().Field(i).Name)
		}
	}
}

func TestTextIsKept(t *testing.T) {
	for _, name := range []string{"full.toml", "plain.toml"} {
		record := readRecord(t, name)
		text, err := record.Text()
		require.NoError(t, err)
		again, err := Parse("again.toml", []byte(text))
		require.NoError(t, err)
		require.Equal(t, record, again, name)

		source, err := os.ReadFile(filepath.Join(recordDir, name))
		require.NoError(t, err)
		require.Equal(t, assignments(string(source)), assignments(text), "%s: a text changed", name)
	}
}

// assignments lists the keys of a file that have a text, with it, sorted.
func assignments(text string) []string {
	var values []string
	for _, line := range strings.Split(text, "\n") {
		if i := strings.Index(line, ` = "`); i >= 0 {
			values = append(values, line)
		}
	}
	sort.Strings(values)
	return values
}

func TestPlainKeyboard(t *testing.T) {
	source, err := os.ReadFile(filepath.Join(recordDir, "plain.toml"))
	require.NoError(t, err)
	foreign := strings.IndexFunc(string(source), func(r rune) bool { return r > unicode.MaxASCII })
	require.Equal(t, -1, foreign)

	full, plain := readRecord(t, "full.toml"), readRecord(t, "plain.toml")
	require.NotEqual(t, full, plain)
	plain.Cable.PrintLegend = full.Cable.PrintLegend // a text of its own, no quantity
	plain.Changes[0].Value = full.Changes[0].Value   // kept as written in the log
	a, err := full.Trial()
	require.NoError(t, err)
	b, err := plain.Trial()
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.Equal(t, session.View(a), session.View(b))
}

// TestBadRecords reads records with one fault each. What must be said, where, and
// what to do about it stands beside each, in the file of the same name.
func TestBadRecords(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(recordDir, "bad", "*.toml"))
	require.NoError(t, err)
	wants, err := filepath.Glob(filepath.Join(recordDir, "bad", "*.want"))
	require.NoError(t, err)
	require.Len(t, wants, len(files))
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(strings.TrimSuffix(name, ".toml"), func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			want, err := os.ReadFile(strings.TrimSuffix(file, ".toml") + ".want")
			require.NoError(t, err)
			record, err := Parse(name, data)
			require.Nil(t, record)
			require.EqualError(t, err, strings.TrimSuffix(string(want), "\n"))
			requirePrintable(t, err)
		})
	}
}

// requirePrintable holds an error to what a terminal and a reader can take.
func requirePrintable(t *testing.T, err error) {
	t.Helper()
	text := err.Error()
	require.Less(t, len(text), 1000)
	require.True(t, utf8.ValidString(text), "%q", text)
	for _, r := range text {
		require.True(t, r == '\n' || unicode.IsPrint(r), "%q in %q", r, text)
	}
}

func addSeeds(f *testing.F) {
	f.Helper()
	for _, pattern := range []string{"records/*.toml", "records/bad/*.toml", "histories/*.toml", "jobs/*.toml"} {
		files, err := filepath.Glob(filepath.Join("..", "testdata", pattern))
		require.NoError(f, err)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(f, err)
			f.Add(data)
		}
	}
}

func FuzzParse(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		record, err := Parse("fuzz.toml", data)
		if err != nil {
			requirePrintable(t, err)
			return
		}
		text, err := record.Text()
		require.NoError(t, err)
		again, err := Parse("again.toml", []byte(text))
		require.NoError(t, err, text)
		a, err := record.Trial()
		require.NoError(t, err)
		b, err := again.Trial()
		require.NoError(t, err)
		sameTimes(&a, &b)
		require.Equal(t, a, b)
	})
}

// sameTimes makes two trials equal whose times are: a zone may be written two ways.
func sameTimes(a, b *session.Trial) {
	if a.Started.Equal(b.Started) {
		b.Started = a.Started
	}
	for i := range min(len(a.Entries), len(b.Entries)) {
		if a.Entries[i].When().Equal(b.Entries[i].When()) {
			a.Entries[i], b.Entries[i] = undated(a.Entries[i]), undated(b.Entries[i])
		}
	}
}

func undated(e session.Entry) session.Entry {
	switch e := e.(type) {
	case session.Answer:
		e.At = time.Time{}
		return e
	case session.Attempt:
		e.At = time.Time{}
		return e
	case session.Undo:
		e.At = time.Time{}
		return e
	case session.Change:
		e.At = time.Time{}
		return e
	}
	return e
}

func FuzzAdvice(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		record, err := Parse("fuzz.toml", data)
		if err != nil {
			return
		}
		trial, err := record.Trial()
		require.NoError(t, err)
		if trial.Advisable() != nil {
			return
		}
		outlook := session.View(trial)
		for _, chance := range []q.Maybe[float64]{outlook.FoldChance, outlook.FoldChanceHigh, outlook.FoldChanceVaried, outlook.SlipChance} {
			v := chance.Or(0)
			require.True(t, v >= 0 && v <= 1, "a chance of %v", v)
		}
		if r, ok := outlook.FoldSpeed.Get(); ok {
			require.True(t, 0 < r.Low.Value && r.Low.Value <= r.Mid.Value && r.Mid.Value <= r.High.Value && !math.IsInf(r.High.Value, 0), "fold speed %v", r)
		}
		if s, ok := session.SettingOf(outlook.Next); ok {
			speed, grip := trial.Rig.SpeedLimit.Or(q.Reading{}).Value, trial.Rig.GripLimit.Or(0)
			require.True(t, s.Speed.Value > 0 && s.Speed.Value <= speed*(1+1e-9), "speed %v, limit %v", s.Speed, speed)
			require.True(t, s.Grip > 0 && s.Grip <= grip*(1+1e-9), "grip pressure %v, limit %v", s.Grip, grip)
		}
		outlook.Lines(trial, session.Promise{})
	})
}
