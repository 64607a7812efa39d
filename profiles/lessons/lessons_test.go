package lessons

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

func builtIn(t *testing.T) []Lesson {
	t.Helper()
	ls, err := BuiltIn()
	require.NoError(t, err)
	return ls
}

func named(t *testing.T, id string) Lesson {
	t.Helper()
	for _, l := range builtIn(t) {
		if l.ID == id {
			return l
		}
	}
	t.Fatalf("no lesson %q", id)
	return Lesson{}
}

// mistakes are the trainees that each lesson is there for: the way to fail it.
var mistakes = map[string]player{
	"first-clean-trial":  {hasty: true},
	"slip-before-fold":   {read: instead(session.Slip, session.Stall)},
	"fold-and-come-back": {read: instead(session.Fold, session.Stall)},
	"false-stall":        {misled: true},
	"plug-crept":         {misled: true},
	"jacket-marked": {read: func(_ int, a session.Attempt) session.Attempt {
		a.JacketDamage = false
		return a
	}},
	"warm-afternoon": {read: instead(session.Fold, session.Stall)},
	"bigger-duct": {end: func(session.Trial, session.Next) session.Answer {
		return session.Answer{Item: session.ItemSetting, State: session.SettingAccepted, Value: "8 psi, 100 ft/min"}
	}},
	"interrupted": {blind: true},
	"relief-limited": {read: func(_ int, a session.Attempt) session.Attempt {
		a.StallReading = q.Maybe[q.Reading]{}
		return a
	}},
	"rig-limit": {most: 5},
}

// Every lesson is passed by a crew that looks and reads right, on five seeds, and failed
// by the mistake it is about.
func TestEveryLessonCanBePassedAndFailed(t *testing.T) {
	for _, l := range builtIn(t) {
		if l.Run != nil {
			continue
		}
		t.Run(l.ID, func(t *testing.T) {
			mistake, ok := mistakes[l.ID]
			require.True(t, ok, "nobody fails it")
			var text strings.Builder
			for seed := range uint64(5) {
				right, wrong := play(t, l, seed, player{}), play(t, l, seed, mistake)
				require.True(t, right.Passed, "seed %d: %q", seed, right.Missing)
				require.False(t, wrong.Passed, "seed %d", seed)
				require.Less(t, wrong.Score, right.Score, "seed %d", seed)
				if seed == 1 {
					fmt.Fprintf(&text, "%s\n\n%s\n", strings.Join(right.Lines(), "\n"), strings.Join(wrong.Lines(), "\n"))
				}
			}
			sameAsGolden(t, l.ID, text.String())
		})
	}
}

func sameAsGolden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if os.Getenv("BRINKMARK_UPDATE") != "" {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o666))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, strings.ReplaceAll(string(want), "\r\n", "\n"), got)
}

func TestRunThatSlows(t *testing.T) {
	l := named(t, "run-slows")
	watch := func(who func(practice.RunState) practice.RunAct) practice.Review {
		b, err := practice.NewRun(l.Lesson, 1)
		require.NoError(t, err)
		for range 2000 {
			before := b.State()
			if before.Ended {
				require.Equal(t, before, b.Do(practice.RunOn), "after the end nothing moves")
				break
			}
			require.GreaterOrEqual(t, b.Do(who(before)).In, before.In)
		}
		return b.Review()
	}
	slow := func(s practice.RunState) bool { return s.Cable < 0.8*s.Reading }
	stop := watch(func(s practice.RunState) practice.RunAct {
		if slow(s) {
			return practice.StopAndLook
		}
		return practice.RunOn
	})
	harder := watch(func(s practice.RunState) practice.RunAct {
		if slow(s) {
			return practice.PushHarder
		}
		return practice.RunOn
	})
	asleep := watch(func(practice.RunState) practice.RunAct { return practice.RunOn })
	timid := watch(func(practice.RunState) practice.RunAct { return practice.StopAndLook })
	require.True(t, stop.Passed, stop.Missing)
	require.False(t, timid.Passed)
	require.False(t, harder.Passed)
	require.True(t, harder.Run.Folded, "a harder push than was proved folds at the snag")
	require.False(t, asleep.Passed)
	require.Less(t, harder.Score, asleep.Score)
	require.Less(t, asleep.Score, stop.Score)
	var text []string
	for _, r := range []practice.Review{stop, harder, asleep} {
		text = append(text, strings.Join(r.Lines(), "\n"), "")
	}
	sameAsGolden(t, l.ID, strings.Join(text, "\n"))
}

// Pushing on with a killer open is unsafe, however well the rest goes.
func TestPushingWithoutLooking(t *testing.T) {
	r := play(t, named(t, "first-clean-trial"), 1, player{sleepy: true})
	require.False(t, r.Passed)
	require.NotEmpty(t, r.Unsafe)
	require.Zero(t, r.Score)
}

// Each wrong reading changes the score, whichever push it is made of.
func TestOneWrongReadingChangesTheScore(t *testing.T) {
	for _, l := range builtIn(t) {
		if l.Run != nil {
			continue
		}
		best := play(t, l, 1, player{})
		worse := play(t, l, 1, player{read: func(n int, a session.Attempt) session.Attempt {
			if n == 1 {
				a.Outcome = map[session.Outcome]session.Outcome{session.Stall: session.Slip, session.Slip: session.Stall, session.Fold: session.Slip, session.Void: session.Stall}[a.Outcome]
			}
			return a
		}})
		require.Less(t, worse.Score, best.Score, l.ID)
	}
}

// The same seed is the same lesson; another seed is another rig.
func TestSeeds(t *testing.T) {
	l := named(t, "first-clean-trial")
	require.Equal(t, play(t, l, 3, player{}), play(t, l, 3, player{}))
	settings := map[string]bool{}
	for seed := range uint64(8) {
		s, ok := play(t, l, seed, player{}).Setting.Get()
		require.True(t, ok)
		settings[l.Job.Rig.Show(s)] = true
	}
	require.Greater(t, len(settings), 1)
}

// What the lessons are to teach, and what a trainee may meet, is all there.
func TestLessonsMeetEverything(t *testing.T) {
	ls := builtIn(t)
	require.Len(t, ls, 12)
	troubles, outcomes := map[practice.TroubleKind]bool{}, map[session.Outcome]bool{}
	for _, l := range ls {
		require.Equal(t, profiles.Format, l.Record.Format)
		require.True(t, l.Record.People.Trainee, "a trainee is asked the two questions")
		for _, o := range l.Pass.MustRead {
			outcomes[o] = true
		}
		for _, tr := range l.Rig.Troubles {
			troubles[tr.Kind] = true
		}
	}
	require.Len(t, outcomes, 4)
	require.GreaterOrEqual(t, len(troubles), 5)
}

func lessonText(t *testing.T) string {
	t.Helper()
	text, err := fs.ReadFile(data, "data/04-false-stall.toml")
	require.NoError(t, err)
	return string(text)
}

func TestSupervisorAddsLessons(t *testing.T) {
	text := lessonText(t)
	own := strings.Replace(text, `id = "false-stall"`, `id = "our-own"`, 1)
	ls, err := All(fstest.MapFS{
		"b.toml": {Data: []byte(own)}, "notes.txt": {Data: []byte("no lesson")}, "dir.toml": {Mode: fs.ModeDir},
		"c.toml": {Data: []byte(text)}, "d.toml": {Data: []byte(own)}, "e.toml": {Data: []byte("nonsense")},
	})
	require.Len(t, ls, 13)
	require.Equal(t, "our-own", ls[12].ID)
	require.ErrorContains(t, err, `c.toml: id: there is another lesson "false-stall"`)
	require.ErrorContains(t, err, `d.toml`)
	require.ErrorContains(t, err, `e.toml:1`)

	ls, err = All(os.DirFS(filepath.Join(t.TempDir(), "none")))
	require.NoError(t, err)
	require.Len(t, ls, 12)
}

func TestParseRefuses(t *testing.T) {
	text := lessonText(t)
	_, err := Parse("l.toml", []byte(text))
	require.NoError(t, err)
	for name, tt := range map[string]struct{ from, to, want string }{
		"key":       {"soundness", "sound", "this key is not known"},
		"format":    {"format = 1", "format = 2", "format 2 is not known"},
		"number":    {"soundness = 0.30", `soundness = "much"`, "l.toml"},
		"unit":      {`"26 mm"`, `"26 parsec"`, "hidden.inner_diameter"},
		"missing":   {`kink_radius = "40 mm"`, "", "hidden.kink_radius"},
		"trouble":   {`kind = "ledge"`, `kind = "gremlin"`, "trouble[0].kind"},
		"size":      {`size = "400 mm"`, "size = 0.4", "trouble[0].size"},
		"part":      {"size = 0.6", `size = "a lot"`, "trouble[1].size"},
		"range":     {"size = 0.6", "size = 6.5", "supply cold"},
		"ends":      {`ends = "setting"`, `ends = "well"`, "pass.ends"},
		"find":      {`must_find = ["ledge", "supply cold"]`, `must_find = ["plug creeps"]`, "must_find"},
		"id":        {`id = "false-stall"`, `id = "../x"`, "id"},
		"rig limit": {`speed_limit = "220 ft/min"`, "", "rig.speed_limit"},
		"control":   {`goal = "`, "goal = \"\\u001b", "printable"},
		"pause":     {"[pass]", "[pause]\nafter = 1\nminutes = -5\n[pass]", "pause.minutes"},
		"lines":     {`title = "A stall that is none"`, `title = """x"""`, "several lines"},
		"not utf":   {"format", "\xff", "UTF-8"},
	} {
		t.Run(name, func(t *testing.T) {
			require.Contains(t, text, tt.from)
			_, err := Parse("l.toml", []byte(strings.Replace(text, tt.from, tt.to, 1)))
			var fe *profiles.FileError
			require.ErrorAs(t, err, &fe)
			require.ErrorContains(t, err, tt.want)
			require.NotEmpty(t, fe.Hint)
		})
	}
	_, err = Parse("l.toml", make([]byte, most+1))
	require.Error(t, err)
}

func FuzzParse(f *testing.F) {
	entries, _ := fs.ReadDir(data, "data")
	for _, e := range entries {
		text, _ := fs.ReadFile(data, "data/"+e.Name())
		f.Add(text)
	}
	f.Add([]byte("format = 1\n[run]\nlength = \"1 m\"\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		began := time.Now()
		l, err := Parse("l.toml", text)
		require.Less(t, time.Since(began), 5*time.Second)
		if err != nil {
			var fe *profiles.FileError
			require.ErrorAs(t, err, &fe)
			return
		}
		require.NoError(t, l.Check())
		if l.Run != nil {
			b, err := practice.NewRun(l.Lesson, 1)
			require.NoError(t, err)
			b.Do(practice.PushHarder)
			return
		}
		b, err := practice.NewBench(l.Lesson, 1)
		require.NoError(t, err)
		start, _ := l.Job.Start()
		p, err := b.Push(start)
		if err == nil {
			require.NotZero(t, p.Truth.Outcome)
		}
	})
}
