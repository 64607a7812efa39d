package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/profiles/problem"

	"github.com/stretchr/testify/require"
)

func readTestCards(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../testdata/cards", name))
	require.NoError(t, err)
	return data
}

func TestCardsOfAllKinds(t *testing.T) {
	l := cardLibrary(t, t.TempDir())
	imports, err := importNamed(l, "../testdata/cards/all.csv")
	require.NoError(t, err)
	require.Len(t, imports, 10)
	for _, i := range imports {
		require.Equal(t, Added, i.Fate, i.Name)
		require.FileExists(t, i.Path)
	}
	cards := l.Cards()
	require.Empty(t, cards.Unreadable)
	require.Len(t, cards.Cables, 3)
	require.Len(t, cards.Ducts, 2)
	require.Len(t, cards.Rigs, 2)
	require.Len(t, cards.People, 3)
	job := fullJob(t)
	var cable Cable
	for _, c := range cards.Cables {
		if c.Type == job.Cable.Type {
			cable = c
		}
	}
	require.NotEmpty(t, cable.Type)
	for i, v := range values(cable) {
		if want := values(job.Cable)[i]; v.known() {
			require.True(t, sameValue(v, want), "%s: %s, on the job %s", v.key, v.text(), want.text())
		}
	}

	imports, err = importNamed(l, "../testdata/cards/all.csv")
	require.NoError(t, err)
	for _, i := range imports {
		require.Equal(t, Unchanged, i.Fate, i.Name)
	}
}

// The form is RFC 4180's with what spreadsheets make of it: a byte order mark,
// semicolons, tabs, CRLF, cells for the whole used area, blank lines.
func TestFormsOfSpreadsheets(t *testing.T) {
	want := []card{Cable{Make: "Northmoor", Type: "LT-96"}, Cable{Make: "Southfen", Type: `6" x`}}
	for name, text := range map[string]string{
		"commas":              "cable.make,cable.type\nNorthmoor,LT-96\nSouthfen,\"6\"\" x\"\n",
		"no end of line":      "cable.make,cable.type\nNorthmoor,LT-96\nSouthfen,\"6\"\" x\"",
		"semicolons":          "cable.make;cable.type\r\nNorthmoor;LT-96\r\nSouthfen;\"6\"\" x\"\r\n",
		"tabs":                "cable.make\tcable.type\nNorthmoor\tLT-96\nSouthfen\t\"6\"\" x\"\n",
		"byte order mark":     "\ufeffcable.make,cable.type\r\nNorthmoor,LT-96\r\nSouthfen,\"6\"\" x\"\r\n",
		"carriage returns":    "cable.make,cable.type\rNorthmoor,LT-96\rSouthfen,\"6\"\" x\"\r",
		"all quoted":          "\"cable.make\",\"cable.type\"\n\"Northmoor\",\"LT-96\"\n\"Southfen\",\"6\"\" x\"\n",
		"trailing empty":      "cable.make,cable.type,,,\n,,,,\nNorthmoor,LT-96,,,\n\n,,\nSouthfen,\"6\"\" x\",,,,,,\n",
		"comments":            "# ours, of May\n\"# quoted, too\",\ncable.make,cable.type\n#Northmoor,LT-12\nNorthmoor,LT-96\nSouthfen,\"6\"\" x\"\n",
		"case and spaces":     " Cable.Make , CABLE. TYPE\n Northmoor , LT-96 \nSouthfen, \"6\"\" x\"\n",
		"other order":         "cable.type,cable.make\nLT-96,Northmoor\n\"6\"\" x\",Southfen\n",
		"column of one's own": "# ours,cable.make,cable.type\n",
		"same line twice":     "cable.make,cable.type\nNorthmoor,LT-96\nnorth moor,lt-96\nSouthfen,\"6\"\" x\"\n",
		"headings twice":      "cable.make,cable.type\nNorthmoor,LT-96\ncable.type,cable.make\n\"6\"\" x\",Southfen\n",
	} {
		t.Run(name, func(t *testing.T) {
			got, problems := parseSheet("cards.csv", []byte(text))
			if name == "column of one's own" { // the whole line is a comment then
				require.Len(t, problems, 1)
				return
			}
			require.Empty(t, problems)
			require.Len(t, got, 2)
			for i := range want {
				require.Equal(t, want[i], got[i].card)
			}
		})
	}
	got, problems := parseSheet("", readTestCards(t, "semicolons.csv"))
	require.Empty(t, problems)
	require.Len(t, got, 3)
	require.Equal(t, []int{3, 5, 8}, []int{got[0].line, got[1].line, got[2].line})
	require.Equal(t, `"6,5 mm" micro`, got[1].card.(Cable).Type)
}

// Every bad line is named at once, with its place, its value and what to do.
func TestEveryBadLineIsNamed(t *testing.T) {
	dir := t.TempDir()
	l := cardLibrary(t, filepath.Join(dir, "library"))
	imports, err := importNamed(l, "../testdata/cards/bad.csv")
	require.Empty(t, imports)
	var got strings.Builder
	fmt.Fprintln(&got, strings.ReplaceAll(err.Error(), "../testdata/cards/", ""))
	want := readTestCards(t, "bad.want")
	if os.Getenv("BRINKMARK_UPDATE") != "" {
		require.NoError(t, os.WriteFile("../testdata/cards/bad.want", []byte(got.String()), 0o644))
	} else {
		require.Equal(t, string(want), got.String())
	}
	require.NoDirExists(t, filepath.Join(dir, "library"))
}

func TestBadSheets(t *testing.T) {
	heads := "cable.make,cable.type,cable.mass\n"
	for name, row := range map[string]struct{ text, problem string }{
		"empty":             {"", "no cards in it"},
		"headings alone":    {heads, "no cards in it"},
		"no headings":       {"Northmoor,LT-96\n", "cards.csv:1: values without headings above them"},
		"utf-16":            {"\xff\xfec\x00", "UTF-16"},
		"not utf-8":         {heads + "Northmoor,LT-96,\n\xb0,x\n", "cards.csv:3: the file is not text in UTF-8"},
		"bare quote":        {heads + "Northmoor,6\" x,\n", "cards.csv:2: quotation marks that do not fit"},
		"open quote":        {heads + "Northmoor,\"6 x\n", "cards.csv:2: quotation marks that do not fit"},
		"control character": {heads + "Northmoor,LT\x1b[31m-96,\n", `column B, cable.type: "LT[31m-96" has characters that cannot be shown`},
		"right to left":     {heads + "Northmoor,LT\u202e-96,\n", "characters that cannot be shown"},
		"several lines":     {heads + "Northmoor,\"LT\n-96\",\n", "characters that cannot be shown"},
		"too long":          {heads + "Northmoor," + strings.Repeat("x", 201) + ",\n", "longer than 200 characters"},
		"too many bytes":    {strings.Repeat(heads, maxSheet/len(heads)+1), "bytes is no list of cards"},
		"heading misspelt":  {"cable.make,cable.tpye\n", "write cable.type if that is meant"},
		"heading twice":     {"cable.make,cable.type,Cable.Make\n", "cards.csv:1: column C, cable.make: this heading stands above column A too"},
		"job's own":         {"cable.make,cable.reel\n", "this belongs to one job"},
		"no unit":           {heads + "Northmoor,LT-96,118\n", `column C, cable.mass: "118" is not a mass`},
		"decimal comma":     {heads + "Northmoor,LT-96,\"118,5 kg/km\"\n", "a comma can mean two things, write a decimal point"},
		"name missing":      {heads + "Northmoor,,118 kg/km\n", "cards.csv:2: column B, cable.type: missing"},
		"under no heading":  {"cable.make,cable.type,\nNorthmoor,LT-96,x\n", `column C: "x" stands under no heading`},
		"beside the last":   {heads + "Northmoor,LT-96,,x\n", `column D: "x" stands under no heading`},
		"share":             {"cable.make,cable.type,cable.polyethylene_share\nN,L,50 %\n", `"50 %" is no share from 0 to 1`},
		"share not number":  {"cable.make,cable.type,cable.polyethylene_share\nN,L,NaN\n", `"NaN" is no share from 0 to 1`},
		"mixed units":       {"rig.name,rig.speed_limit,rig.speed_division\nRig 2,220 ft/min,1 notch\n", "column C, rig.speed_division"},
		"said twice":        {heads + "N,L,118 kg/km\nN,L,119 kg/km\n", `cards.csv:3: cable: "N, L" stands in line 2 too, with other values`},
		"said twice, less":  {heads + "N,L,118 kg/km\nN,L,\n", "stands in line 2 too"},
		"role":              {"person.name,person.roles\nAB,boss\n", `"boss" is no role`},
	} {
		t.Run(name, func(t *testing.T) {
			_, problems := parseSheet("cards.csv", []byte(row.text))
			require.NotEmpty(t, problems)
			require.ErrorContains(t, problems[0], row.problem)
			for _, p := range problems {
				var bad *problem.FileError
				require.ErrorAs(t, p, &bad)
				require.NotEmpty(t, bad.Hint)
				require.Equal(t, 1, strings.Count(p.Error(), "\n"), "a problem, and a line what to do")
			}
		})
	}
}

// A file with nothing but mistakes does not fill the disk with messages.
func TestManyBadLines(t *testing.T) {
	_, problems := parseSheet("cards.csv", []byte("cable.make,cable.type\n"+strings.Repeat("x,,y\n", maxLines-1)))
	require.Len(t, problems, mostTold+1)
}

// A known card is completed, never changed: what it says otherwise is told.
func TestKnownCardsAreNotOverwritten(t *testing.T) {
	dir := t.TempDir()
	l := cardLibrary(t, filepath.Join(dir, "library"))
	require.NoError(t, l.SaveCards(fullJob(t)))
	path := filepath.Join(dir, "cards.csv")
	text := "cable.make,cable.type,cable.outer_diameter,cable.mass,cable.kink_radius\n" +
		"NORTHMOOR,lt-96 Loose Tube,0.488 in,,60 mm\n" + // 12.395 mm: the same to four digits
		"rig.name,rig.grip_limit,rig.supply\nrig 2,4 bar,truck\n" +
		"duct.size,duct.lining,duct.inner_diameter\n1-1/4\" SDR 11,smooth,34.5 mm\n" +
		"person.name,person.roles\nab,watcher\n"
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(text, `1-1/4"`, `"1-1/4"""`, 1)), 0o644))
	_, err := importNamed(l, path)
	require.Error(t, err, "a bare quotation mark")
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(text, `1-1/4" SDR 11`, `"1-1/4"" SDR 11"`, 1)), 0o644))
	before, err := os.ReadFile(filepath.Join(l.Where(), "rigs", "rig-2.toml"))
	require.NoError(t, err)
	imports, err := importNamed(l, path)
	require.NoError(t, err)
	require.Equal(t, []Fate{Completed, Differs, Unchanged, Completed}, []Fate{imports[0].Fate, imports[1].Fate, imports[2].Fate, imports[3].Fate})
	require.Equal(t, []string{"cable.kink_radius: 60 mm"}, imports[0].Details)
	require.Equal(t, []string{`rig.grip_limit: the card says "60 psi", the file "4 bar"`}, imports[1].Details)
	after, err := os.ReadFile(filepath.Join(l.Where(), "rigs", "rig-2.toml"))
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
	cards := l.Cards()
	require.Len(t, cards.Cables, 1)
	require.Equal(t, "LT-96 loose tube", cards.Cables[0].Type, "the card's own spelling stays")
	require.Equal(t, "12.4 mm", cards.Cables[0].OuterDiameter.String())
	require.Equal(t, "60 mm", cards.Cables[0].KinkRadius.String())
	require.Len(t, cards.Ducts, 1)
	require.Contains(t, cards.People, Person{"AB", []Role{Operator, Watcher}})
}

// A name near to a known one is taken as it is, and told.
func TestNearNamesOfAnImport(t *testing.T) {
	dir := t.TempDir()
	l := cardLibrary(t, filepath.Join(dir, "library"))
	require.NoError(t, l.SaveCards(fullJob(t)))
	path := filepath.Join(dir, "cards.csv")
	require.NoError(t, os.WriteFile(path, []byte("cable.make,cable.type\nNorthmor,LT-24\nNorthmoor,LT-96 lose tube\nSouthfen,LT-48 loose tube\n"), 0o644))
	imports, err := importNamed(l, path)
	require.NoError(t, err)
	require.Len(t, imports, 3)
	require.Len(t, imports[0].Details, 1)
	require.Contains(t, imports[0].Details[0], "near to a known name: Northmoor.")
	require.Contains(t, imports[1].Details[0], "near to a known name: LT-96 loose tube.")
	require.Empty(t, imports[2].Details)
	require.Len(t, l.Cards().Cables, 4)
}

// A full spreadsheet is taken in a moment.
func BenchmarkImportCards(b *testing.B) {
	var text strings.Builder
	text.WriteString("cable.make,cable.type,cable.outer_diameter\n")
	for i := range 2000 {
		fmt.Fprintf(&text, "Northmoor,LT-%d loose tube,12.4 mm\n", i)
	}
	for b.Loop() {
		_, problems := parseSheet("cards.csv", []byte(text.String()))
		require.Empty(b, problems)
	}
}

// A card that cannot be read is written over by no import.
func TestImportBesideUnreadableCard(t *testing.T) {
	dir := t.TempDir()
	l := cardLibrary(t, filepath.Join(dir, "library"))
	require.NoError(t, os.MkdirAll(filepath.Join(l.Where(), "people"), folderPerm))
	broken := filepath.Join(l.Where(), "people", "ab.toml")
	require.NoError(t, os.WriteFile(broken, []byte("not a card"), 0o644))
	path := filepath.Join(dir, "cards.csv")
	require.NoError(t, os.WriteFile(path, []byte("person.name\nAB\n../../CD\nCON\n"), 0o644))
	imports, err := importNamed(l, path)
	require.NoError(t, err)
	for _, i := range imports {
		require.Equal(t, filepath.Join(l.Where(), "people"), filepath.Dir(i.Path))
	}
	text, err := os.ReadFile(broken)
	require.NoError(t, err)
	require.Equal(t, "not a card", string(text))
	require.Len(t, l.Cards().People, 3)
}

// The template is empty as it comes; with its examples taken in it is a file that can be
// read, and every heading has one.
func TestCardTemplate(t *testing.T) {
	template := CardTemplate()
	_, problems := parseSheet("template.csv", []byte(template))
	require.Len(t, problems, 1)
	require.ErrorContains(t, problems[0], "no cards in it")
	for _, key := range sheetKeyOrder {
		require.NotEmpty(t, sheetExamples[key], key)
		require.Contains(t, template, key)
	}
	for _, comma := range []string{",", ";"} {
		text := strings.ReplaceAll(template, ",", comma)
		for _, first := range []string{"Northmoor", "1.25 in", "Rig 2", "AB"} {
			text = strings.ReplaceAll(text, "# "+first, first)
		}
		cards, problems := parseSheet("template.csv", []byte(text))
		require.Empty(t, problems)
		require.Len(t, cards, len(cardKinds))
		for _, c := range cards {
			for _, v := range values(c.card) {
				require.Equal(t, !sheetKeys[v.key], v.known(), v.key)
			}
		}
	}
}

func TestColumnLetters(t *testing.T) {
	for column, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		require.Equal(t, want, letters(column))
	}
}

// Whatever a spreadsheet holds, reading it ends, every problem is one that can be shown,
// and what is taken comes back from its card as it was.
func FuzzCardSheet(f *testing.F) {
	for _, name := range []string{"all.csv", "semicolons.csv", "bad.csv"} {
		data, err := os.ReadFile(filepath.Join("../testdata/cards", name))
		require.NoError(f, err)
		f.Add(data)
	}
	for _, text := range []string{CardTemplate(), "", "\xff\xfe", "\ufeffrig.name\nx", "cable.make\tcable.type\n\t\"", "person.name,person.roles\nAB,operator/watcher\n", "rig.name,duct.size\nx,y\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		cards, problems := parseSheet("cards.csv", data)
		for _, p := range problems {
			require.False(t, unshowable(strings.ReplaceAll(p.Error(), "\n", "")), "%q", p.Error())
		}
		if len(problems) > 0 {
			return
		}
		for _, c := range cards {
			text, err := cardText("card.toml", c.card)
			require.NoError(t, err)
			back, err := parseCard("card.toml", []byte(text), c.card)
			require.NoError(t, err, text)
			require.Equal(t, c.card, back)
		}
	})
}
