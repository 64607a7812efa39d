//go:build !windows

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What a file, a name, an argument or the environment may hold to no avail. The sequences
// are of ECMA-48 and, from OSC on, of xterm; the letters that turn, hide or break a line are
// Unicode's. Whatever begins with forged must never begin a line.
const (
	forged  = "RUN AT 99 PSI"
	drawing = "\x1b[2J\x1b]0;owned\a\x1b]8;;http://x\x1b\\y\x1b]52;c;eA==\a\x1bPq\x1b\\\u009b31m\u0085\u202e\u2066\u200b\u2028\u2029\ufeff\b\t\v\f\r\n" + forged +
		"<script>alert(1)</script></style><img src=x onerror=alert(2)>"
)

// drawn is drawing as a text of TOML, and as the part of a CSV's cell.
var (
	drawn     = func() string { s := strconv.QuoteToASCII(drawing); return tomlEscapes.Replace(s[1 : len(s)-1]) }()
	drawnCell = strings.NewReplacer("\n", " ", "\r", " ", "\"", "").Replace(drawing)

	tomlEscapes = strings.NewReplacer(`\a`, `\u0007`, `\v`, `\u000b`, `\x1b`, `\u001b`)
)

// pairs reports whether a row and a column of a table meet: a sixth of them do, each row
// and each column with some, and all of them where BRINKMARK_HOSTILE says that there is
// time for it, some minutes.
func pairs(row, column int) bool {
	return os.Getenv("BRINKMARK_HOSTILE") != "" || (row+column)%6 == 0
}

// What of a record is a crew's own text, a quantity, a number, a time, an id.
var (
	ownText     = regexp.MustCompile(`(?m)^(number|site|operator|watcher|by|make|type|reel|lot|print_legend|size|name|belts|supply|push_control|note|reason|skip_reason|void_reason|ended_on|value|title|goal|teaches|trainee|lesson) = "([^"\n]*)"`)
	ownList     = regexp.MustCompile(`(?m)^(lines|warnings|gauge_ids) = \["([^"\n]*)"`)
	ownQuantity = regexp.MustCompile(`= "[0-9.]+ ([^"\n]*)"`)
	ownNumber   = regexp.MustCompile(`(?m)= [0-9.]+$`)
	ownTime     = regexp.MustCompile(`[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:]+(Z|[+-][0-9:]+)`)
	ownID       = regexp.MustCompile(`(?m)^id = "[^"]*"`)
	ownSeal     = regexp.MustCompile(`(?m)^# (sealed .*|brinkmark journal 1)\n`)
)

// times writes a text many times.
func times(n int, text string) func(string) string {
	return func(base string) string { return base + strings.Repeat(text, n) }
}

// inPlaceOf writes another thing in place of everything of a kind.
func inPlaceOf(kind *regexp.Regexp, by string) func(string) string {
	return func(base string) string { return kind.ReplaceAllString(base, by) }
}

// spoiled are the contents of hostile files, each made from a good one.
var spoiled = []struct {
	name string
	of   func(base string) string
}{
	{"every text draws", func(base string) string {
		return ownList.ReplaceAllString(ownText.ReplaceAllString(base, `$1 = "$2`+drawn+`"`), `$1 = ["$2`+drawn+`"`)
	}},
	{"raw escape in a text", inPlaceOf(ownText, "$1 = \"$2\x1b[2J\"")},
	{"raw line end in a text", inPlaceOf(ownText, "$1 = \"$2\n"+forged+"\"")},
	{"text over several lines", inPlaceOf(ownText, "$1 = \"\"\"$2\n"+forged+"\"\"\"")},
	{"raw return in a text", inPlaceOf(ownText, "$1 = \"$2\r"+forged+"\"")},
	{"raw C1 in a text", inPlaceOf(ownText, "$1 = \"$2\u009b31m\"")},
	{"runs backwards", inPlaceOf(ownText, "$1 = \"$2\u202e\"")},
	{"texts of 60 000 letters", inPlaceOf(ownText, `$1 = "$2`+strings.Repeat("w ", 30_000)+`"`)},
	{"words of 60 000 letters", inPlaceOf(ownText, `$1 = "$2`+strings.Repeat("w", 60_000)+`"`)},
	{"not UTF-8", inPlaceOf(ownText, "$1 = \"$2\xff\xfe\"")},
	{"NUL", inPlaceOf(ownText, "$1 = \"$2\x00\"")},
	{"key draws", inPlaceOf(regexp.MustCompile(`(?m)^\[[a-z]+\]$`), "$0\n\""+drawn+"\" = 1")},
	{"table draws", times(1, "\n[\""+drawn+"\"]\n")},
	{"word draws", times(1, "\n[[attempt]]\ngrip = \"4 psi\"\nspeed = \"40 ft/min\"\noutcome = \""+drawn+"\"\n")},
	{"quantity draws", inPlaceOf(ownQuantity, `= "1 `+drawn+`"`)},
	{"quantity breaks its line", inPlaceOf(ownQuantity, `= "41\n$1"`)},
	{"lists in lists", func(base string) string {
		return base + "\nx = " + strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000) + "\n"
	}},
	{"tables in tables", func(base string) string {
		return base + "\nx = " + strings.Repeat("{a=", 10_000) + "1" + strings.Repeat("}", 10_000) + "\n"
	}},
	{"dots", times(1, "\n"+strings.Repeat("a.", 10_000)+"a = 1\n["+strings.Repeat("a.", 10_000)+"a]\n")},
	{"10 000 tables", times(10_000, "[[undo]]\nseq = 1\ndrops = 1\n")},
	{"100 000 entries", times(100_000, "[[undo]]\ndrops = 1\n")},
	{"3 MB of a comment", times(3<<20, "#")},
	{"huge quantity", inPlaceOf(ownQuantity, `= "1e400 $1"`)},
	{"large quantity", inPlaceOf(ownQuantity, `= "1e308 $1"`)},
	{"tiny quantity", inPlaceOf(ownQuantity, `= "1e-308 $1"`)},
	{"negative nought", inPlaceOf(ownQuantity, `= "-0 $1"`)},
	{"NaN quantity", inPlaceOf(ownQuantity, `= "NaN $1"`)},
	{"infinite quantity", inPlaceOf(ownQuantity, `= "inf $1"`)},
	{"400 digits", inPlaceOf(ownQuantity, `= "`+strings.Repeat("9", 400)+` $1"`)},
	{"NaN", inPlaceOf(ownNumber, "= nan")},
	{"infinite", inPlaceOf(ownNumber, "= -inf")},
	{"1e308", inPlaceOf(ownNumber, "= 1e308")},
	{"-0.0", inPlaceOf(ownNumber, "= -0.0")},
	{"largest whole number", inPlaceOf(ownNumber, "= 9223372036854775807")},
	{"smallest whole number", inPlaceOf(ownNumber, "= -9223372036854775808")},
	{"year 1", inPlaceOf(ownTime, "0001-01-01T00:00:00Z")},
	{"year 9999", inPlaceOf(ownTime, "9999-12-31T23:59:59-12:00")},
	{"id is a path", inPlaceOf(ownID, `id = "../../x"`)},
	{"id draws", inPlaceOf(ownID, `id = "`+drawn+`"`)},
	{"another's id", inPlaceOf(ownID, `id = "01M8BTVRXC3X0HADS9QQEC0000"`)},
	{"cut within a letter", func(base string) string { return base + "[[attempt]]\nspeed = \"\xc2" }},
	{"empty", func(string) string { return "" }},
	{"byte order mark", func(base string) string { return "\ufeff" + base }},
	{"cells draw", func(string) string { return "length,plane\n\"" + drawnCell + "\",left\n12 m," + drawnCell + "\n" }},
	{"headings draw", func(string) string { return "rig.name," + drawnCell + "\n" + drawnCell + ",1\n" }},
}

// heavy are those that take a tenth of a second to read, so that one of each is enough.
var heavy = []string{"texts of 60 000 letters", "10 000 tables", "100 000 entries", "3 MB of a comment", "50 MB"}

// sealsSpoiled are journals whose seals are not theirs.
var sealsSpoiled = map[string]func(string) string{
	"forged seal":  func(base string) string { return strings.Replace(base, "# sealed 1 ", "# sealed 1 0", 1) },
	"missing seal": func(base string) string { return base[:strings.LastIndex(base, "# sealed")] },
	"foreign seal": func(base string) string { return base + "# sealed 2 12345678\n" },
	"seal draws":   func(base string) string { return base + "# sealed 2 " + drawing + "\n" },
	"only a head":  func(string) string { return "# brinkmark journal 1\n" },
	"a later head": func(base string) string { return strings.Replace(base, "journal 1", "journal 9"+drawing, 1) },
	"cut within a letter": func(base string) string {
		return base[:strings.LastIndex(base, "°")+1]
	},
}

// noFiles are what stands where a file should be.
var noFiles = map[string]func(t *testing.T, at, outside string){
	"50 MB": func(t *testing.T, at, _ string) {
		require.NoError(t, os.WriteFile(at, bytes.Repeat([]byte("# no record\n"), 50<<20/12), 0o666))
	},
	"sparse 5 GB":     func(t *testing.T, at, _ string) { sparse(t, at, 5<<30) },
	"link to a file":  func(t *testing.T, at, outside string) { require.NoError(t, os.Symlink(outside+"/secret.toml", at)) },
	"link to devices": func(t *testing.T, at, _ string) { require.NoError(t, os.Symlink("/dev/zero", at)) },
	"link to itself":  func(t *testing.T, at, _ string) { require.NoError(t, os.Symlink(at, at)) },
	"link above":      func(t *testing.T, at, _ string) { require.NoError(t, os.Symlink("..", at)) },
	"link to nothing": func(t *testing.T, at, outside string) { require.NoError(t, os.Symlink(outside+"/new", at)) },
	"pipe":            func(t *testing.T, at, _ string) { require.NoError(t, syscall.Mkfifo(at, 0o666)) },
	"folder":          func(t *testing.T, at, _ string) { require.NoError(t, os.Mkdir(at, 0o777)) },
	"socket": func(t *testing.T, at, _ string) {
		short := filepath.Join(os.TempDir(), "brinkmark-socket-"+strconv.Itoa(os.Getpid())) // its path has 108 bytes at most
		l, err := net.Listen("unix", short)
		require.NoError(t, err)
		l.(*net.UnixListener).SetUnlinkOnClose(false)
		require.NoError(t, l.Close())
		require.NoError(t, os.Rename(short, at))
	},
}

func sparse(t *testing.T, at string, size int64) {
	f, err := os.Create(at)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(size))
	require.NoError(t, f.Close())
}

// badNames are what a file in a folder may be called, besides an id.
var badNames = []string{
	"\x1b[2J\n" + forged + ".toml", "\xff\xfe.toml", "..\u202elmot.toml", "..toml", "-rf.toml", "*.toml", strings.Repeat("x", 250) + ".toml", ".toml", "~.toml",
	"\x1b]0;owned\a.csv", "CON.toml", "a b\\c.toml", "01M8BTVRXC3X0HADS9QQECAAAA.toml\n" + forged + ".toml", "01M8BTVRXC3X0HADS9QQECAAAA.toml.torn-" + forged,
}

// surroundings are a folder with a library in it, and what nobody may touch.
type surroundings struct{ root, library, stick, outside string }

func newSurroundings(t *testing.T, good string) surroundings {
	root := t.TempDir()
	s := surroundings{root, filepath.Join(root, "library"), filepath.Join(root, "stick"), filepath.Join(root, "outside")}
	require.NoError(t, os.CopyFS(s.library, os.DirFS(good)))
	for _, dir := range []string{s.stick, s.outside} {
		require.NoError(t, os.Mkdir(dir, 0o777))
	}
	require.NoError(t, os.WriteFile(filepath.Join(s.outside, "secret.toml"), []byte("secret = 1\n"), 0o666))
	return s
}

// around is what lies about the library and the stick, with sizes and times.
func (s surroundings) around(t *testing.T) map[string]string {
	found := map[string]string{}
	require.NoError(t, filepath.WalkDir(s.root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == s.root {
			return err
		}
		if path == s.library || path == s.stick {
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		}
		info, err := d.Info()
		found[path] = fmt.Sprint(info.Mode(), info.Size(), info.ModTime())
		return err
	}))
	return found
}

// run runs the real program in the surroundings. Whatever it reads, it ends by itself and
// soon, with a code of its own and little memory, and says nothing but plain lines.
func (s surroundings) run(t *testing.T, input string, args ...string) (said string, code int) {
	t.Helper()
	return s.runIn(t, []string{"HOME=" + s.root, "TMPDIR=" + s.outside}, input, args...)
}

// Far more than anything should take, on a machine that does much else.
const (
	mostTime   = 10 * time.Second
	mostMemory = 150 << 20
)

var notPlain = regexp.MustCompile(`[^\P{C}\n]`) // but for line ends

func (s surroundings) runIn(t *testing.T, env []string, input string, args ...string) (said string, code int) {
	t.Helper()
	cmd := exec.Command(program(t), args...)
	cmd.Env = append(environment(s.library), env...)
	cmd.Dir = s.stick
	cmd.Stdin = strings.NewReader(input)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	began := time.Now()
	require.NoError(t, cmd.Start(), "%q", args)
	memory := memoryOf(cmd.Process)
	ender := time.AfterFunc(3*mostTime, func() { _ = cmd.Process.Kill() })
	_ = cmd.Wait()
	ender.Stop()
	took, most := time.Since(began), memory()
	if len(args) > 0 && args[0] == "__complete" { // no shell shows what it says beside, nor the tab before what it says of a word
		out, errs = *bytes.NewBufferString(strings.ReplaceAll(out.String(), "\t", " ")), bytes.Buffer{}
	}
	said, code = out.String()+errs.String(), cmd.ProcessState.ExitCode()
	used.note(took, most, args)
	require.Less(t, took, mostTime, "%q", args)
	require.Less(t, most, int64(mostMemory), "%q", args)
	require.Contains(t, []int{0, 1, 2, 10, 11}, code, "%q:\n%s", args, said)
	require.NotRegexp(t, `(?m)^(panic:|goroutine \d|fatal error:|runtime: )`, said, "%q", args)
	require.Empty(t, notPlain.FindAllString(said, 5), "%q:\n%q", args, said)
	require.NotContains(t, "\n"+said, "\n"+forged, "%q", args)
	if strings.Contains(strings.Join(args, " "), "--json") && code != 1 && code != 2 {
		require.True(t, json.Valid(out.Bytes()), "%q:\n%s", args, out.String())
	}
	return said, code
}

// memoryOf follows the most memory that a process has had, until that is asked for: what the
// system tells of an ended one includes the process that began it. Where no /proc says it,
// it is not known, and nothing.
func memoryOf(p *os.Process) (most func() int64) {
	over, last := make(chan struct{}), make(chan int64)
	go func() {
		status, bytes := filepath.Join("/proc", strconv.Itoa(p.Pid), "status"), int64(0)
		for now := time.NewTicker(time.Millisecond); ; {
			if said, err := os.ReadFile(status); err == nil {
				if m := highWater.FindSubmatch(said); m != nil {
					kilobytes, _ := strconv.ParseInt(string(m[1]), 10, 64)
					bytes = kilobytes << 10
				}
			}
			select {
			case <-now.C:
			case <-over:
				now.Stop()
				last <- bytes
				return
			}
		}
	}()
	return func() int64 { close(over); return <-last }
}

var highWater = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// used is what the longest and the largest run took.
var used worst

type worst struct {
	mu             sync.Mutex
	runs           int
	time           time.Duration
	memory         int64
	longest, large string
}

func (w *worst) note(took time.Duration, memory int64, args []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.runs++
	if took > w.time {
		w.time, w.longest = took, fmt.Sprintf("%.60q", args)
	}
	if memory > w.memory {
		w.memory, w.large = memory, fmt.Sprintf("%.60q", args)
	}
}

// goodLibrary is one whose every record was made by the program itself, sealed, from a job
// whose every text draws.
func goodLibrary(t *testing.T) string {
	library := filepath.Join(t.TempDir(), "library")
	require.NoError(t, os.Mkdir(library, 0o777))
	job, err := os.ReadFile(exampleJobFile)
	require.NoError(t, err)
	text := regexp.MustCompile(`(?m)^(make|type|reel|size|site|belts|operator|watcher) = "([^"]*)"`).ReplaceAll(job, []byte(`$1 = "$2`+drawn+`"`))
	require.NoError(t, os.WriteFile(filepath.Join(library, "job"), text, 0o666))
	never := func(*lineTrial, int, bool) bool { return false }
	trial, run := wholeTrial, works[2]
	trial.begin = []string{"trial", "{library}/job", "--plain"}
	require.Equal(t, "run", run.name)
	trial.lead(t, library, plainly(program(t)), never)
	run.lead(t, library, plainly(program(t)), never)
	s := surroundings{library: library, stick: library}
	_, code := s.run(t, "", "review", "query", profileIn(t, library), "--by", "QS", "--note", "why?")
	require.Zero(t, code)
	for at, name := range map[string]string{"practice/lessons": "01-first-clean-trial.toml"} {
		lesson, err := os.ReadFile(filepath.Join("profiles", "lessons", "data", name))
		require.NoError(t, err)
		write(t, filepath.Join(library, at, "own.toml"), strings.Replace(string(lesson), `id = "first-clean-trial"`, `id = "own"`, 1))
	}
	write(t, filepath.Join(library, "practice", "history.toml"), "# brinkmark practice 1: x\n\n[[result]]\nat = 2026-03-04T12:00:00Z\ntrainee = \"AB\"\nlesson = \"own\"\ntitle = \"x\"\nseed = \"1\"\npassed = true\nscore = 80\nattempts = 5\nreadings_right = 4\nreadings_wrong = 1\nunsafe_acts = 0\ncable_used = \"1 m\"\ncable_used_by_rule = \"1 m\"\n")
	write(t, filepath.Join(library, "routes", "mill.toml"), "format = 1\n[route]\nname = \"mill\"\n[[section]]\nlength = \"207 m\"\n")
	write(t, filepath.Join(library, "routes", "lane.csv"), "length,bend,radius,plane\n207 m\n,90 deg,1 m,left\n")
	write(t, filepath.Join(library, "rules.toml"), "format = 1\n")
	write(t, filepath.Join(library, "options.toml"), "format = 1\ntheme = \"light\"\n")
	return library
}

func profileIn(t *testing.T, library string) string {
	found := globbed(t, filepath.Join(library, "profiles", "*", "*.toml"))
	require.NotEmpty(t, found)
	return strings.TrimSuffix(filepath.Base(found[0]), ".toml")
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
}

// manyPlaces are where a library keeps files of a kind, any number of them.
var manyPlaces = []string{
	"trials/*.toml", "profiles/*/*.toml", "runs/*.toml", "reviews/*.toml", "cables/*.toml", "ducts/*.toml", "rigs/*.toml", "people/*.toml", "routes/*.toml", "routes/*.csv", "practice/lessons/*.toml",
}

// onePlaces are files of a library of which there is one.
var onePlaces = []string{"rules.toml", "options.toml", "practice/history.toml", "index.tsv", ".lock"}

// fill puts every hostile file into every place of a library, each under a name of its own,
// and returns the names of those that are profiles.
func (s surroundings) fill(t *testing.T, library string) (profiles []string) {
	n := 0
	for _, place := range manyPlaces {
		found := globbed(t, filepath.Join(library, place))
		require.NotEmpty(t, found, place)
		data, err := os.ReadFile(found[0])
		require.NoError(t, err)
		base, dir, ext := string(data), filepath.Dir(found[0]), filepath.Ext(place)
		was := strings.TrimSuffix(filepath.Base(found[0]), ext)
		name := func() string {
			n++
			return fmt.Sprintf("01M8BTVRXC3X0HADS9QQ%06d", n)
		}
		for _, bad := range spoiled {
			if slices.Contains(heavy, bad.name) && !strings.HasPrefix(place, "runs") {
				continue
			}
			id := name()
			write(t, filepath.Join(dir, id+ext), bad.of(strings.ReplaceAll(ownSeal.ReplaceAllString(base, ""), was, id)))
			if strings.HasPrefix(place, "profiles") {
				profiles = append(profiles, id)
			}
		}
		for _, spoil := range sealsSpoiled {
			if strings.Contains(base, "# sealed 1") {
				write(t, filepath.Join(dir, name()+ext), spoil(base))
			}
		}
		for what, stand := range noFiles {
			if slices.Contains(heavy, what) && !strings.HasPrefix(place, "runs") {
				continue
			}
			stand(t, filepath.Join(dir, name()+ext), s.outside)
		}
		for _, bad := range badNames {
			write(t, filepath.Join(dir, bad), base)
		}
		write(t, filepath.Join(dir, was+ext+".holder"), "process 1\nhost "+drawing+"\nsince 2026-03-04T12:00:00Z\n")
		require.NoError(t, syscall.Mkfifo(filepath.Join(dir, was+ext+".lock"), 0o666))
	}
	return profiles
}

// asked are the commands that read a library, with what is typed.
func asked(profile string) [][]string {
	return [][]string{
		{"", "review", "--json"}, {"", "review", "--csv"}, {"", "review", "--weeks"}, {"", "review", "--csv", "--find", "northmoor", "--exceptions"},
		{"1\n1\n?\n2\n3\nu\nq\n", "review", "--plain"}, {"", "doctor"}, {"", "doctor", "--json"},
		{"1\n?\nq\n", "resume", "--plain"}, {"1\n?\nq\n", "run", "--plain"}, {"", "run", profile, "--plain"}, {"", "covers", "../library/job"}, {"", "covers", "../library/job", "--json"},
		{"", "advise", "../library/job", "--earlier", profile}, {"1\n1\n2\n1\nq\n", "practice", "--plain"}, {"q\n", "practice", "--plain", "--lesson", "own"},
		{"r\n1\n1\nq\n"}, {"5\n1\n1\nq\n"}, {"l\n1\nq\n"}, {"s\n1\nq\n"},
		{"1\n1\n1\n1\nq\n", "trial", "--plain"}, {"", "sheet", profile, "-o", "-"}, {"", "__complete", "run", ""}, {"", "__complete", "sheet", "01"},
		{"", "review", "accept", profile, "--by", "QS"},
	}
}

// TestHostileLibrary lets every command read a library, and then a stick, in which every
// place is full of hostile files.
func TestHostileLibrary(t *testing.T) {
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	profile := profileIn(t, s.library)
	spoiledProfiles := s.fill(t, s.library)
	before := s.around(t)
	for _, a := range asked(profile) {
		s.run(t, a[0], a[1:]...)
	}
	for i, id := range spoiledProfiles {
		if i > 0 && !pairs(i, 0) {
			continue
		}
		if page, code := s.run(t, "", "sheet", id, "-o", "-"); code == 0 {
			requirePlainPage(t, page)
		}
		if i < 8 {
			s.run(t, "", "review", "query", id, "--by", "QS", "--note", "x")
		}
	}
	said, _ := s.run(t, "", "doctor", "--json")
	require.Greater(t, strings.Count(said, ".toml"), 300, "each is named")
	require.Equal(t, before, s.around(t))
	t.Logf("%d runs; longest %v: %s; largest %d MB: %s", used.runs, used.time, used.longest, used.memory>>20, used.large)
}

// TestHostileStick exchanges records with a stick in which every place is full of hostile
// files, and lets every command read what came in.
func TestHostileStick(t *testing.T) {
	t.Parallel()
	good := goodLibrary(t)
	s := newSurroundings(t, good)
	require.NoError(t, os.RemoveAll(s.stick))
	require.NoError(t, os.CopyFS(s.stick, os.DirFS(good)))
	s.fill(t, s.stick)
	require.NoError(t, os.RemoveAll(filepath.Join(s.library, "runs"))) // to be brought
	before := s.around(t)
	for range 2 {
		said, code := s.run(t, "", "exchange", s.stick)
		require.Zero(t, code, said)
		require.Contains(t, said, "Left alone:")
	}
	for _, a := range asked(profileIn(t, s.library)) {
		s.run(t, a[0], a[1:]...)
	}
	require.Equal(t, before, s.around(t))
	require.NoError(t, filepath.WalkDir(s.library, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		require.True(t, d.IsDir() || d.Type().IsRegular(), path)
		require.Empty(t, notPlain.FindString(d.Name()), "%q", path)
		return nil
	}))
}

// fileCommands are the commands that take a file.
func fileCommands(file string) [][]string {
	return [][]string{
		{"", "advise", file}, {"", "advise", file, "--json"}, {"", "covers", file}, {"", "expect", file}, {"", "expect", file, "--json"}, {"", "reach", file, "--json"}, {"", "reach", file},
		{"1\n?\n1\nq\n", "trial", file, "--plain"}, {"1\n?\nq\n", "practice", file, "--plain"}, {"", "cards", file}, {"", "advise", "../library/job", "--earlier", file}, {"", "exchange", file},
	}
}

// TestHostileFiles hands every hostile file to every command that takes one. What is
// refused is named, and it is said what to do.
func TestHostileFiles(t *testing.T) {
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	job, err := os.ReadFile(exampleJobFile)
	require.NoError(t, err)
	trial, err := os.ReadFile(globbed(t, filepath.Join(s.library, "trials", "*.toml"))[0])
	require.NoError(t, err)
	route, err := os.ReadFile("testdata/jobs/reach_example.toml")
	require.NoError(t, err)
	given := 0
	give := func(what, name string, put func(at string)) {
		given++
		at := filepath.Join(s.stick, name)
		put(at)
		before := s.around(t)
		info, err := os.Stat(at)
		for i, c := range fileCommands(at) {
			if !pairs(given, i) {
				continue
			}
			if c[1] == "exchange" && err == nil && info.IsDir() {
				continue // with a folder that was named
			}
			said, code := s.run(t, c[0], c[1:]...)
			if code == 1 {
				if c[len(c)-1] != at || c[len(c)-2] != "--earlier" || !strings.Contains(said, "../library/job: ") { // the two do not go together
					require.Contains(t, said, printable(name), "%s: %q", what, c)
				}
				require.Contains(t, said, "\n  ", "%s: %q", what, c)
			}
		}
		require.Equal(t, before, s.around(t), what)
		require.NoError(t, os.RemoveAll(at))
	}
	for _, bad := range spoiled {
		for i, base := range [][]byte{job, trial, route} {
			if i == 0 || !slices.Contains(heavy, bad.name) {
				give(bad.name, "x.toml", func(at string) { write(t, at, bad.of(string(base))) })
			}
		}
	}
	for what, spoil := range sealsSpoiled {
		give(what, "x.toml", func(at string) { write(t, at, spoil(string(trial))) })
	}
	for what, stand := range noFiles {
		give(what, "x.toml", func(at string) { stand(t, at, s.outside) })
	}
	for _, name := range badNames {
		give("its name", name, func(at string) { write(t, at, string(job)) })
	}
	give("its folder", "a\n"+forged+"\x1b[2J/x.toml", func(at string) { write(t, at, string(job)) })
}

// printable is a name as it is shown.
func printable(name string) string {
	return notPlain.ReplaceAllString(strings.ReplaceAll(string([]rune(name)), "\n", ""), "")
}

// TestHostilePlaces puts every hostile file where a library has one of its kind only.
func TestHostilePlaces(t *testing.T) {
	t.Parallel()
	good := goodLibrary(t)
	tried := 0
	try := func(what string, put func(at, base string, s surroundings)) {
		tried++
		s := newSurroundings(t, good)
		for _, place := range onePlaces {
			at := filepath.Join(s.library, place)
			base, err := os.ReadFile(at)
			require.True(t, err == nil || os.IsNotExist(err))
			require.NoError(t, os.RemoveAll(at))
			put(at, string(base), s)
		}
		before := s.around(t)
		for i, c := range [][]string{
			{"", "doctor", "--json"}, {"", "review", "--csv"}, {"1\nq\n", "practice", "--plain"}, {"1\nq\n", "trial", "--plain"}, {"", "covers", "../library/job"},
			{"", "sheet", profileIn(t, good), "-o", "-"}, {"1\n1\nq\n", "resume", "--plain"}, {"", "review", "query", profileIn(t, good), "--by", "QS", "--note", "x"}, {"", "exchange", s.stick},
		} {
			if pairs(tried, i) {
				s.run(t, c[0], c[1:]...)
			}
		}
		require.Equal(t, before, s.around(t), what)
		require.NoError(t, os.RemoveAll(s.root))
	}
	for _, bad := range spoiled {
		try(bad.name, func(at, base string, _ surroundings) { write(t, at, bad.of(base)) })
	}
	for what, stand := range noFiles {
		try(what, func(at, _ string, s surroundings) { stand(t, at, s.outside) })
	}
}

// libraryFolders are those of a library.
var libraryFolders = []string{
	"", "trials", "trials/received", "profiles", "profiles/2026-03", "runs", "runs/received", "reviews", "cables", "ducts", "rigs", "people", "routes", "practice", "practice/lessons", "differing", "example",
}

// TestHostileFolders puts a link that leads out, or no folder at all, in the place of each
// of a library's folders: whatever is begun, nothing is written outside.
func TestHostileFolders(t *testing.T) {
	t.Parallel()
	good := goodLibrary(t)
	stands := maps.Clone(noFiles)
	stands["link to a folder"] = func(t *testing.T, at, outside string) { require.NoError(t, os.Symlink(outside, at)) }
	for _, what := range []string{"50 MB", "sparse 5 GB", "folder"} {
		delete(stands, what)
	}
	for i, folder := range libraryFolders {
		for j, what := range slices.Sorted(maps.Keys(stands)) {
			stand := stands[what]
			if what != "link to a folder" && !pairs(i, j) {
				continue
			}
			if folder == "" && strings.HasPrefix(what, "link") {
				continue // the library itself may be one: it was named
			}
			s := newSurroundings(t, good)
			require.NoError(t, os.RemoveAll(filepath.Join(s.stick)))
			require.NoError(t, os.CopyFS(s.stick, os.DirFS(good)))
			at := filepath.Join(s.library, folder)
			require.NoError(t, os.RemoveAll(at))
			require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o777))
			stand(t, at, s.outside)
			before := s.around(t)
			for _, c := range [][]string{
				{"", "doctor", "--json"}, {"", "review", "--csv"}, {"1\n1\nq\n", "trial", "../stick/job", "--plain"}, {"q\n", "run", profileIn(t, good), "--plain"},
				{"", "review", "query", profileIn(t, good), "--by", "QS", "--note", "x"}, {"", "exchange", s.stick}, {"1\n1\nq\n"}, {"q\n", "practice", "--plain"},
			} {
				s.run(t, c[0], c[1:]...)
			}
			require.Equal(t, before, s.around(t), "%s: %s", folder, what)
			require.NoError(t, os.RemoveAll(s.root))
		}
	}
}

// TestHostileWords gives every command words, and the environment values, that draw.
func TestHostileWords(t *testing.T) {
	t.Parallel()
	s := newSurroundings(t, goodLibrary(t))
	profile, job := profileIn(t, s.library), "../library/job"
	texts := []string{drawing, "a\n" + forged, "a\n" + forged + "\x1b[2J/x.toml", "../../" + forged, "\xff", strings.Repeat("9", 5000), strings.Repeat("x", 100_000), "--" + drawing, "-" + drawing, "", "1e400 m", "NaN m", "-0 m", "%s%n"}
	before := s.around(t)
	for i, text := range texts {
		for j, c := range [][]string{
			{text}, {"help", text}, {"advise", text}, {"advise", job, text}, {"advise", job, "--earlier", text}, {"covers", text}, {"expect", text}, {"reach", text}, {"trial", text, "--plain"}, {"practice", text, "--plain"},
			{"practice", "--lesson", text, "--plain"}, {"practice", "--lesson", "1", "--seed", text, "--plain"}, {"run", text, "--plain"}, {"sheet", text}, {"sheet", profile, "-o", text}, {"cards", text}, {"completion", text},
			{"exchange", text}, {"review", text}, {"review", "accept", text, "--by", "QS"}, {"review", "accept", profile, text}, {"review", "query", profile, "--by", text, "--note", text}, {"review", "expire", profile, "--by", "QS", "--on", text},
			{"review", "--csv", "--find", text, "--crew", text}, {"review", "--json", "--rig", text, "--job", text}, {"review", "--csv", "--state", text}, {"doctor", "--library", text}, {"review", "--csv", "--library", text},
			{"droop", "--overhang", text, "--drop", "250 mm", "--mass", "118 kg/km"}, {"droop", "--overhang", "1 m", "--drop", text, "--drop-turned", text, "--mass", text}, {"droop", "--overhang", "1 m", "--drop", "250 mm", "--mass", "118 kg/km", "--temperature", text},
			{"version", text}, {"doctor", "--json=" + text}, {"__complete", text, ""},
		} {
			if i < 2 || pairs(i, j) {
				s.run(t, "q\n", c...)
			}
		}
		for j, name := range []string{"HOME", "BRINKMARK_LIBRARY", "XDG_DATA_HOME", "TERM", "LANG", "LC_ALL", "NO_COLOR", "COLORTERM", "TMPDIR", "TZ", "TMUX"} {
			for _, value := range []string{text, "/" + text} {
				if len(value) < 1<<16 && pairs(i, j) {
					for _, c := range [][]string{{"doctor"}, {"doctor", "--json"}, {"review", "--csv"}} {
						s.runIn(t, []string{"HOME=" + s.root, "TMPDIR=" + s.outside, name + "=" + value}, "q\n", c...)
					}
				}
			}
		}
		for _, typed := range []string{text + "\n", "1\n" + text + "\nq\n"} {
			for j, c := range [][]string{{"trial", "--plain"}, {"practice", "--plain"}, {}, {"resume", "--plain"}} {
				if pairs(i, j) {
					s.run(t, typed, c...)
				}
			}
		}
	}
	require.Equal(t, before, s.around(t))
}

// requirePlainPage requires that no text of a record is a tag of its page.
func requirePlainPage(t *testing.T, page string) {
	t.Helper()
	require.Contains(t, page, "</html>")
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "<img")
	require.Equal(t, 1, strings.Count(page, "</style>"))
}

// drawnBy are the control sequences that the program itself draws with: ECMA-48's cursor
// and erase functions and its colours, and the modes of xterm for the cursor, the mouse, the
// alternate screen and bracketed paste.
var drawnBy = regexp.MustCompile(`\x1b\[([0-9]*[BCX]|[0-9;]*H|2J|K|[0-9;]*m)|\x1b\[\?(25|1002|1006|1049|2004)[hl]|[\r\n]`)

// TestHostileScreens opens every page that shows a record, each of whose texts draws, and
// compares the bytes sent with what the program draws with.
func TestHostileScreens(t *testing.T) {
	t.Parallel()
	good := goodLibrary(t)
	profile := profileIn(t, good)
	for _, walk := range []struct {
		args []string
		keys []string // each after the screen has changed
	}{
		{nil, []string{"1", "1", "\x1b", "n", "1"}},
		{[]string{"review"}, []string{"1", "1", "n", "\x1b", "2", "?", "\x1b", "3"}},
		{[]string{"run", profile}, []string{"1", "1", "m"}},
		{[]string{"trial", filepath.Join(good, "job")}, []string{"?", "1", "1", "1"}},
		{[]string{"practice"}, []string{"n", "1"}},
	} {
		t.Run(strings.Join(append([]string{"brinkmark"}, walk.args[:min(1, len(walk.args))]...), " "), func(t *testing.T) {
			t.Parallel()
			s := newSurroundings(t, good)
			if len(walk.args) < 2 { // lists, and what could not be read
				s.fill(t, s.library)
			}
			tab := newTablet(t, s.library, walk.args...)
			last := ""
			for _, key := range walk.keys {
				last = tab.rested(last)
				tab.send(key)
			}
			tab.rested(last)
			tab.mu.Lock()
			raw := tab.raw.String()
			tab.mu.Unlock()
			require.Regexp(t, `RUN AT|<script>`, raw, "%q", walk.args)
			rest := drawnBy.ReplaceAllString(raw, "")
			require.Empty(t, notPlain.FindAllString(rest, 5), "%q:\n%q", walk.args, rest)
		})
	}
}

// rested waits for a screen that is another than before, if the key did anything, and stays.
func (tab *tablet) rested(before string) string {
	tab.t.Helper()
	screen := before
	for deadline := time.Now().Add(2 * time.Second); time.Now().Before(deadline); {
		time.Sleep(100 * time.Millisecond)
		now := tab.text()
		if now == screen && now != before && strings.TrimSpace(now) != "" {
			break
		}
		screen = now
	}
	return screen
}
