package report

import (
	"bytes"
	"crypto/rand"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
)

var printed = time.Date(2026, 5, 14, 9, 0, 0, 0, time.FixedZone("", -5*3600))

// listedIn puts a profile's text into a library of its own and returns it from there.
func listedIn(t testing.TB, text string) (*profiles.Library, profiles.Review, *profiles.Listed) {
	t.Helper()
	l, err := libraryIn(t.TempDir(), func() time.Time { return printed }, rand.Reader)
	require.NoError(t, err)
	path := filepath.Join(l.Where(), "profiles", "2026-05", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D.toml")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	v, err := l.Review(nil)
	require.NoError(t, err)
	require.Len(t, v.Profiles, 1)
	return l, v, v.Profiles[0]
}

func sheetPageOf(t testing.TB, text string) string {
	t.Helper()
	l, _, p := listedIn(t, text)
	r, _, err := p.Record()
	require.NoError(t, err)
	return sheetFrom(t, l, r, p)
}

func sheetFrom(t testing.TB, l *profiles.Library, r *profiles.Record, p *profiles.Listed) string {
	t.Helper()
	holds, _ := l.Holds(p.ID)
	var b bytes.Buffer
	require.NoError(t, Sheet(&b, SheetOf{Profile: r, Listed: p, Holds: holds, Printed: printed}))
	return b.String()
}

func profileText(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".toml"))
	require.NoError(t, err)
	return string(data)
}

// TestSheetGolden compares whole sheets with those that were looked at in a browser, on
// the screen and in print.
func TestSheetGolden(t *testing.T) {
	for _, name := range []string{"whole", "bare", "metric"} {
		t.Run(name, func(t *testing.T) {
			got := sheetPageOf(t, profileText(t, name))
			path := filepath.Join("testdata", name+".html.golden")
			if os.Getenv("BRINKMARK_UPDATE") != "" {
				require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
		})
	}
}

// TestSheetFetchesNothing: one file, no script, no address.
func TestSheetFetchesNothing(t *testing.T) {
	page := sheetPageOf(t, profileText(t, "whole"))
	require.NotRegexp(t, `(?i)<script|<img|<link|<iframe|<object|url\(|@import|https?:|src=|href=|\son[a-z]+=`, page)
	require.NotRegexp(t, `#(?:[0-9a-f]{3}){1,2}\b`, strings.NewReplacer("#000", "", "#fff", "").Replace(page), "black and white only")
}

// TestSheetEscapes puts hostile texts into every free text of a record: the page has the
// same elements as without, and shows them as they are.
func TestSheetEscapes(t *testing.T) {
	plain := profileText(t, "whole")
	elements := func(page string) []string {
		var list []string
		for _, m := range regexp.MustCompile(`<[/a-zA-Z!][^>]*>`).FindAllString(page, -1) {
			list = append(list, regexp.MustCompile(`^</?[a-zA-Z!]+`).FindString(m))
		}
		return list
	}
	want := elements(sheetPageOf(t, plain))
	for _, hostile := range []string{
		`</td><script>alert(1)</script>`, `<svg/onload=alert(1)>`, `\" onmouseover=\"alert(1)`, `' onfocus='alert(1)`, `--><b>`,
		`{{.Grip}}`, `</style></title>`, `&lt;b&gt;`, `\u202Epsi 06`, `javascript:alert(1)`, strings.Repeat("W", 3000),
	} {
		text := regexp.MustCompile(`(?m)^(make|type|reel|lot|print_legend|head|supply|name|belts|lead|operator|watcher|number|site|note|by|reason|push_control) = ".*"$`).
			ReplaceAllString(plain, `$1 = "`+strings.ReplaceAll(hostile, "$", "$$")+`"`)
		require.NotEqual(t, plain, text)
		page := sheetPageOf(t, text)
		require.Equal(t, want, elements(page), hostile)
		require.NotContains(t, page, "\u202e")
		if strings.HasPrefix(hostile, "<svg") {
			require.Contains(t, page, "&lt;svg/onload=alert(1)&gt;")
		}
	}
}

// TestSheetIsWellFormed reads the picture with a reader of XML.
func TestSheetMapIsWellFormed(t *testing.T) {
	page := sheetPageOf(t, profileText(t, "whole"))
	start, end := strings.Index(page, "<svg"), strings.Index(page, "</svg>")
	d := xml.NewDecoder(strings.NewReader(page[start : end+len("</svg>")]))
	marks := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "circle" {
			marks++
		}
	}
	require.Equal(t, 9, marks, "ten stalls, two of them at one setting")
}

func TestSheetOfWhatIsNoProfile(t *testing.T) {
	require.ErrorContains(t, Sheet(io.Discard, SheetOf{Profile: &profiles.Record{}}), "no install setting")
}

func TestSheetSaysWithdrawn(t *testing.T) {
	l, _, p := listedIn(t, profileText(t, "whole"))
	sitting, err := l.Sit("QS <b>")
	require.NoError(t, err)
	require.NoError(t, sitting.Withdraw(p.ID, "rig was mended"))
	require.NoError(t, sitting.Close())
	v, err := l.Review(nil)
	require.NoError(t, err)
	r, _, err := v.Profiles[0].Record()
	require.NoError(t, err)
	page := sheetFrom(t, l, r, v.Profiles[0])
	require.Contains(t, page, "DO NOT USE: withdrawn")
	require.Contains(t, page, "QS &lt;b&gt;, 2026-05-14 09:00 -05:00: withdraw, rig was mended")
}

// TestSheetKeepsToTightenedRules: the sheet says no more than the library allows. The
// profile was made at 41 °F; the usual rules give 47 °F, and short checks up to 61 °F.
func TestSheetKeepsToTightenedRules(t *testing.T) {
	l, _, p := listedIn(t, profileText(t, "whole"))
	r, _, err := p.Record()
	require.NoError(t, err)
	usual := sheetFrom(t, l, r, p)
	require.Contains(t, usual, "up to <b>47 °F</b>")
	require.Contains(t, usual, "<td>56 °F</td>")
	require.Contains(t, usual, "12 h")
	require.NoError(t, os.WriteFile(filepath.Join(l.Where(), "rules.toml"), []byte("format = 1\ncovered_degrees = \"3 °F\"\ncheck_degrees = \"12 °F\"\nshift_hours = 6\nretest_diameter = 0.04\nretest = [\"cable.reel\"]\n"), 0o644))
	tight := sheetFrom(t, l, r, p)
	require.Contains(t, tight, "up to <b>44 °F</b>")
	require.Contains(t, tight, "<td>46 °F</td>")
	require.Contains(t, tight, "<td>53 °F</td>", "the row up to 56 °F ends where a new trial is asked for")
	require.NotContains(t, tight, "<td>56 °F</td>")
	require.NotContains(t, tight, "<td>61 °F</td>")
	require.Contains(t, tight, "more than 12 °F from the trial")
	require.Contains(t, tight, "6 h")
	require.Contains(t, tight, "cable diameter by over 4 %")
	retest, check, _ := strings.Cut(tight, "Short check first")
	require.Contains(t, retest, " reel;")
	require.NotContains(t, check[:400], " reel;")
}

// TestSheetOfAnEditedProfile says so above all.
func TestSheetOfAnEditedProfile(t *testing.T) {
	l, _, _ := listedIn(t, "# brinkmark journal 1\n"+profileText(t, "whole")+"# sealed 0 00000000\n")
	v, err := l.Review(nil)
	require.NoError(t, err)
	r, _, err := v.Profiles[0].Record()
	require.NoError(t, err)
	page := sheetFrom(t, l, r, v.Profiles[0])
	require.Contains(t, page, "DO NOT USE: edited after it was sealed")
	require.Contains(t, page, "Nothing, as it is: a new trial is needed.")
}

// TestTicks: four to eight of them, whatever the top.
func TestTicks(t *testing.T) {
	for top := 1e-3; top < 1e6; top *= 1.013 {
		list := ticks(top)
		require.GreaterOrEqual(t, len(list), 4, top)
		require.LessOrEqual(t, len(list), 8, top)
		require.Greater(t, list[len(list)-1], top)
	}
}

// TestReviewJSON: key, setting, state and exceptions of each, and null where nothing is
// known.
func TestReviewJSON(t *testing.T) {
	_, v, _ := listedIn(t, profileText(t, "whole"))
	data, err := JSON(ReviewJSON(v, v.Profiles, v.Weeks()))
	require.NoError(t, err)
	var out struct {
		Profiles []struct {
			Key        map[string]any                `json:"key"`
			Setting    map[string]Quantity           `json:"setting"`
			State      string                        `json:"state"`
			Exceptions []struct{ Kind, Text string } `json:"exceptions"`
		} `json:"profiles"`
		Weeks []struct {
			Monday string
			Pushes int
			Cable  Quantity
		}
	}
	require.NoError(t, json.Unmarshal(data, &out))
	p := out.Profiles[0]
	require.Equal(t, "Northmoor", p.Key["cable_make"])
	require.Equal(t, "1.25 in SDR 11", p.Key["duct_size"])
	require.InDelta(t, 5, p.Key["cable_temperature"].(map[string]any)["value"], 1e-9) // (41-32)/1.8
	require.InDelta(t, 41.36854, p.Setting["grip"].Value, 1e-4)                       // 6 psi: NIST SP 811, B.8
	require.InDelta(t, 28.956, p.Setting["speed"].Value, 1e-9)                        // 95 × 0.3048 m
	require.Equal(t, "m/min", p.Setting["speed"].Unit)
	require.Equal(t, "new", p.State)
	require.NotEmpty(t, p.Exceptions)
	require.Equal(t, "2026-05-11", out.Weeks[0].Monday)
	require.Equal(t, 12, out.Weeks[0].Pushes)

	_, v, _ = listedIn(t, "format = 1\nbroken")
	data, err = JSON(ReviewJSON(v, v.Profiles, v.Weeks()))
	require.NoError(t, err)
	require.Contains(t, string(data), `"setting": null`)
	require.Contains(t, string(data), `"kind": "unreadable"`)
}

// TestReviewCSV: read back by the standard reader; no cell is a formula.
func TestReviewCSV(t *testing.T) {
	text := strings.Replace(profileText(t, "whole"), `site = "`, `site = "=HYPERLINK(\"x\")`, 1)
	text = strings.Replace(text, `cable_temperature = "41 °F"`, `cable_temperature = "-5 °C"`, 1)
	_, v, _ := listedIn(t, text)
	var b bytes.Buffer
	require.NoError(t, ReviewCSV(&b, v.Profiles, []error{errors.New("trials/x.toml: no record")}))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	require.Equal(t, "-5 °C", rows[1][6])
	require.Equal(t, []string{"-5.00", "41.37", "28.96", "m/min", ""}, rows[1][19:]) // 6 psi and 95 ft/min: NIST SP 811, B.8
	require.Equal(t, "trials/x.toml: no record", rows[2][17])
	require.True(t, strings.HasPrefix(rows[1][16], "'=HYPERLINK"), rows[1][16])
	b.Reset()
	require.NoError(t, WeeksCSV(&b, v.Weeks()))
	require.Contains(t, b.String(), "2026-05-11,AB,Rig 2,1,12,2.4,0.00,1.00", "a check that was left out is no override")
}
