package lessons

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/profiles/problem"
	store "brinkmark/profiles/store/folder"
	"brinkmark/profiles/store/folder/disk"
	"brinkmark/session"
	"brinkmark/session/practice"
	q "brinkmark/session/quantity"
)

func builtIn(t *testing.T) []Lesson {
	t.Helper()
	ls, wrong := BuiltIn()
	require.Empty(t, wrong)
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
	long(t)
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
	require.LessOrEqual(t, r.Score, 20)
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
	two := strings.Replace(strings.Replace(own, "soundness = 0.30", "soundness = 30", 1), `kink_radius = "40 mm"`, `kink_radius = "40 km"`, 1)
	folder := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(folder, "dir.toml"), 0o755))
	for name, text := range map[string]string{"b.toml": own, "notes.txt": "no lesson", "c.toml": text, "d.toml": own, "e.toml": "nonsense", "f.toml": two} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	ls, wrong := All(store.On(disk.OS{}, filepath.Dir(folder)), filepath.Base(folder))
	require.Len(t, ls, 13)
	require.Equal(t, "our-own", ls[12].ID)
	var said []string
	for _, err := range wrong {
		said = append(said, strings.TrimPrefix(err.Error(), folder+string(filepath.Separator)))
	}
	require.Equal(t, []string{
		"c.toml: id: there is another lesson \"false-stall\"\n  give it an id of its own",
		"d.toml: id: there is another lesson \"our-own\"\n  give it an id of its own",
		"e.toml:1:8: unexpected EOF; expected key separator '='\n  mend the line, or take it out",
		"f.toml:46:15: hidden.kink_radius: 40000000 mm: must be from 0.25 mm to 100000 mm\n  write a value within that range",
		"f.toml:47:13: hidden.soundness: 30: must be from 0.01 to 1\n  write a value within that range",
	}, said)

	full := []byte(strings.Replace(text, `id = "false-stall"`, `id = "full"`, 1))
	full = append(full, strings.Repeat("#", most-len(full))...)
	for name, file := range map[string][]byte{"g.toml": full, "h.toml": append(full, '#')} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), file, 0o644))
	}
	ls, wrong = All(store.On(disk.OS{}, filepath.Dir(folder)), filepath.Base(folder))
	require.Equal(t, "full", ls[len(ls)-1].ID)
	require.ErrorContains(t, wrong[len(wrong)-1], "h.toml: more than 65536 bytes is no lesson")

	ls, wrong = All(store.On(disk.OS{}, t.TempDir()), "none")
	require.Empty(t, wrong)
	require.Len(t, ls, 12)
}

// Whatever is wrong is told by its line, its key and its value.
func TestParseRefuses(t *testing.T) {
	text := lessonText(t)
	_, err := Parse("l.toml", []byte(text))
	require.NoError(t, err)
	for name, tt := range map[string]struct{ from, to, want string }{
		"key":       {"soundness", "sound", "l.toml:47:9: hidden.sound: this key is not known"},
		"format":    {"format = 1", "format = 2", "l.toml:2:10: format: 2 is not known"},
		"number":    {"soundness = 0.30", `soundness = "much"`, "l.toml:47:13: hidden.soundness: a text where a number is meant"},
		"unit":      {"inner_diameter = \"26 mm\"\nstub_l", "inner_diameter = \"26 parsec\"\nstub_l", `l.toml:48:19: hidden.inner_diameter: "26 parsec" is not a length`},
		"missing":   {`kink_radius = "40 mm"`, "", "l.toml:39: hidden.kink_radius: missing"},
		"wide":      {"inner_diameter = \"26 mm\"\nstub_l", "inner_diameter = \"7 mm\"\nstub_l", "l.toml:48:18: hidden.inner_diameter: 7 mm: must be from 8.1 mm"},
		"trouble":   {`kind = "ledge"`, `kind = "gremlin"`, `l.toml:63:9: trouble.kind: "gremlin" is no trouble that a practice rig can have`},
		"no kind":   {"[pass]", "[[trouble]]\n[pass]", "l.toml:66: trouble[2].kind: missing"},
		"size":      {`size = "400 mm"`, "size = 0.4", `l.toml:61:8: trouble[0].size: this is no size of the trouble "ledge"`},
		"long":      {`size = "400 mm"`, `size = "40 m"`, "l.toml:61:8: trouble[0].size: 40 m: must be from 0.2 m to 2 m"},
		"part":      {"size = 0.6", `size = "a lot"`, `l.toml:65:8: trouble[1].size: this is no size of the trouble "supply cold"`},
		"range":     {"size = 0.6", "size = 6.5", "l.toml:65:8: trouble[1].size: 6.5: must be from 0.2 to 0.95"},
		"from":      {"from = 3", "from = 300", "l.toml:60:8: trouble[0].from: 300: must be from 1 to 100"},
		"ends":      {`ends = "setting"`, `ends = "well"`, `l.toml:67:9: pass.ends: "well" is no end of a trial`},
		"find":      {`must_find = ["ledge", "supply cold"]`, `must_find = ["plug creeps"]`, `l.toml:69:13: pass.must_find: the rig has no trouble "plug creeps"`},
		"find what": {`must_find = ["ledge", "supply cold"]`, `must_find = ["gremlin"]`, `l.toml:69:14: pass.must_find: "gremlin" is no trouble`},
		"wrong":     {"most_wrong = 0", "most_wrong = -1", "l.toml:70:14: pass.most_wrong: -1: must be from 0 to 100"},
		"risk":      {"most_risk = 0.10", "most_risk = 1.1", "l.toml:71:13: pass.most_risk: 1.1: must be from 0 to 1"},
		"id":        {`id = "false-stall"`, `id = "../x"`, `l.toml:3:6: id: "../x": small letters`},
		"rig limit": {`speed_limit = "220 ft/min"`, "", "l.toml:24: rig.speed_limit: missing"},
		"notches":   {"speed_limit = \"220 ft/min\"\ngrip_division = \"1 psi\"\nspeed_division = \"5 ft/min\"", "speed_limit = \"9 notch\"", "l.toml:30:15: rig.speed_limit"},
		"control":   {`goal = "`, "goal = \"\\u001b", "l.toml:5:8: goal: a character that cannot be printed"},
		"pause":     {"[pass]", "[pause]\nafter = 1\nminutes = -5\n[pass]", "l.toml:68:11: pause.minutes: -1: must be from 0 to 1440"},
		"long wait": {"[pass]", "[pause]\nafter = 1\nminutes = 99999999999999\n[pass]", "pause.minutes: 1441: must be from 0 to 1440"},
		"lines":     {`title = "A stall that is none"`, `title = """x"""`, "l.toml:4: a text over several lines"},
		"twice":     {`kink_radius = "40 mm"`, "Kink_radius = \"40 mm\"", "this key is not known"},
		"not utf":   {"format", "\xff", "UTF-8"},
	} {
		t.Run(name, func(t *testing.T) {
			require.Contains(t, text, tt.from)
			_, err := Parse("l.toml", []byte(strings.Replace(text, tt.from, tt.to, 1)))
			var fe *problem.FileError
			require.ErrorAs(t, err, &fe)
			require.ErrorContains(t, err, tt.want)
			require.NotEmpty(t, fe.Hint)
			require.Len(t, practice.Each(err), 1)
		})
	}
	_, err = Parse("l.toml", append([]byte(text), make([]byte, most+1-len(text))...))
	require.ErrorContains(t, err, "more than 65536 bytes")
	_, err = Parse("l.toml", append([]byte(text), strings.Repeat("#", most-len(text))...))
	require.NoError(t, err)
}

// A set-up that was found right has nothing wrong with it from the start, but for what
// only a killer finds.
func TestSetUpWasFoundRight(t *testing.T) {
	set := strings.Replace(lessonText(t), "format = 1", "format = 1\nset_up = true", 1)
	_, err := Parse("l.toml", []byte(set))
	require.NoError(t, err)
	_, err = Parse("l.toml", []byte(strings.Replace(set, "from = 3", "from = 1", 1)))
	require.ErrorContains(t, err, "l.toml:61:8: trouble[0].from: from the start")
	killer := strings.Replace(set, "kind = \"ledge\"\nfrom = 3\nsize = \"400 mm\"", "kind = \"no fence\"", 1)
	killer = strings.Replace(killer, `must_find = ["ledge", "supply cold"]`, "", 1)
	l, err := Parse("l.toml", []byte(killer))
	require.NoError(t, err)
	require.Equal(t, practice.Trouble{Kind: practice.NoFence, From: 1}, l.Rig.Troubles[0])
	_, err = Parse("l.toml", []byte(strings.Replace(killer, `kind = "no fence"`, "kind = \"no fence\"\nsize = 0.5", 1)))
	require.ErrorContains(t, err, "trouble[0].size: this is no size of the trouble \"no fence\"")
}

// A gauge that gains 6 kPa a kilonewton gains 6 Pa a newton.
func TestGaugePerPush(t *testing.T) {
	text := strings.Replace(lessonText(t), "[hidden]\n", "[hidden]\ngauge_per_kilonewton = \"6 kPa\"\n", 1)
	l, err := Parse("l.toml", []byte(text))
	require.NoError(t, err)
	require.InDelta(t, 6, float64(l.Rig.Drive.GaugePerPush.Or(0)), 1e-12)
}

// printed is a lesson's file as this program would write it.
func printed(t *testing.T, f file) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, toml.NewEncoder(&b).Encode(f))
	return b.Bytes()
}

// What is read, written and read again is the same lesson and the same text.
func requireRoundTrip(t *testing.T, text []byte, l Lesson) {
	t.Helper()
	f, err := read(profiles.Source{Path: "l.toml", Text: text})
	require.NoError(t, err)
	again := printed(t, f)
	if len(again) > most {
		return
	}
	back, err := Parse("again.toml", again)
	require.NoError(t, err, "%s", again)
	require.Equal(t, l, back)
	f, err = read(profiles.Source{Path: "again.toml", Text: again})
	require.NoError(t, err)
	require.Equal(t, string(again), string(printed(t, f)))
}

// Each error of a lesson says where it is, in text that may be drawn, and what to do.
func requireTold(t *testing.T, err error, text []byte) {
	t.Helper()
	lines := bytes.Count(text, []byte("\n")) + 1
	for _, e := range practice.Each(err) {
		var fe *problem.FileError
		require.ErrorAs(t, e, &fe)
		require.Equal(t, "l.toml", fe.Path)
		require.LessOrEqual(t, fe.Line, lines)
		require.NotEmpty(t, fe.Problem)
		require.NotEmpty(t, fe.Hint)
		require.Less(t, len([]rune(e.Error())), 700)
		require.NotRegexp(t, `[\x00-\x09\x0b-\x1f\x7f]`, e.Error())
	}
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
			require.Equal(t, Lesson{}, l)
			requireTold(t, err, text)
			return
		}
		require.LessOrEqual(t, len(text), most)
		requireRoundTrip(t, text, l)
		if l.Run != nil {
			b, err := practice.NewRun(l.Lesson, 1)
			require.NoError(t, err)
			require.Greater(t, b.Do(practice.PushHarder).Reading, l.Run.Speed)
			return
		}
		b, err := practice.NewBench(l.Lesson, 1)
		require.NoError(t, err)
		start, _ := l.Job.Start()
		p, err := b.Push(start)
		if err == nil {
			require.NotZero(t, p.Truth.Outcome)
			require.NotEmpty(t, p.Truth.GaveAway)
		}
	})
}
