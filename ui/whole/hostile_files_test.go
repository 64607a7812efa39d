//go:build !windows

package whole

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

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
	supervised(t, program(t), library)
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
