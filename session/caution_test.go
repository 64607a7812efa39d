package session

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func cautionByID(t *testing.T, id string) Caution {
	t.Helper()
	for _, c := range cautions {
		if c.ID == id {
			return c
		}
	}
	require.Fail(t, "no such caution", id)
	return Caution{}
}

func TestCautionsAreCompleteAndShort(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range cautions {
		require.Regexp(t, `^[a-z]+(-[a-z]+)*$`, c.ID)
		require.False(t, seen[c.ID], c.ID)
		seen[c.ID] = true
		require.NotEmpty(t, c.When.String(), c.ID)
		requireShown(t, c.Say, 110)
		require.NotEmpty(t, c.Authority, c.ID)
		require.NotRegexp(t, `(?i)compl(y|iant|iance)|certif|approved`, c.Say+c.Authority, "no claim of compliance")
	}
	total := 0
	for m := WorkingOnSite; m <= BeforeOpening; m++ {
		shown := Cautions(m)
		require.NotEmpty(t, shown, m.String())
		require.LessOrEqual(t, len(shown), 7, m.String())
		total += len(shown)
	}
	require.Equal(t, len(cautions), total)
	require.Empty(t, Cautions(0))
	require.Equal(t, "local-first", Cautions(BeforeTrial)[0].ID)
}

// A section of the code of federal regulations whose text has not been seen must
// say so.
func TestUnseenAuthoritiesSaySo(t *testing.T) {
	seen := map[string]string{ // whole text or table seen; or seen in a copy
		"1910.242(b)":    "",
		"1910.95":        "",
		"1926.651(b)":    inCopies,
		"1926.302(b)(1)": inCopies,
		"1910.268(o)":    inCopies,
	}
	section := regexp.MustCompile(`\d{4}\.\d+(\([a-z0-9]+\))*`)
	for _, c := range cautions {
		for _, at := range section.FindAllStringIndex(c.Authority, -1) {
			how, known := seen[c.Authority[at[0]:at[1]]]
			if known {
				require.True(t, strings.HasPrefix(c.Authority[at[1]:], how), c.Authority)
				continue
			}
			require.Contains(t, c.Authority[:at[0]], fromMemory, c.ID)
		}
	}
}

// Source: 29 CFR 1910.95 Table G-16 (90 dBA 8 h; 95 4 h; 100 2 h; 105 1 h) and its
// rule, from memory, T = 8 / 2^((L − 90)/5). 1910.242(b): less than 30 psi.
func TestCautionFigures(t *testing.T) {
	pairs := regexp.MustCompile(`(\d+)(?: dBA)? (\d+) h`).FindAllStringSubmatch(cautionByID(t, "ears").Say, -1)
	require.Len(t, pairs, 4)
	for _, p := range pairs {
		level, err := strconv.ParseFloat(p[1], 64)
		require.NoError(t, err)
		hours, err := strconv.ParseFloat(p[2], 64)
		require.NoError(t, err)
		require.InDelta(t, 8/math.Pow(2, (level-90)/5), hours, 1e-9)
	}
	require.Contains(t, cautionByID(t, "air-at-people").Say, "under 30 psi")
}

func TestMakeSafe(t *testing.T) {
	heading, steps := MakeSafe()
	require.Equal(t, "This screen does not stop the machine", heading)
	require.Len(t, steps, 6)
	for i, word := range []string{"drive", "supply", "air at its source", "Vent", "zero", "far end"} {
		requireShown(t, steps[i], 40)
		require.Contains(t, steps[i], word)
	}
	steps[0] = "painted over"
	_, again := MakeSafe()
	require.Equal(t, "Stop the drive.", again[0])
}

// Source: common practice, no source: hands only after isolation, the control set
// before the belts close, the push gone before they open.
func TestPushStepsInOrder(t *testing.T) {
	steps := PushSteps()
	require.LessOrEqual(t, len(steps), 10)
	for _, s := range steps {
		requireShown(t, s, 76)
	}
	all := strings.Join(steps, "\n")
	at := -1
	for _, word := range []string{"braked", "isolated", "back the cable off", "everyone clear", "Belts open: set",
		"Close the belts", "Push.", "fall to zero", "open the belts", "plug and stub", "withdraw"} {
		next := strings.Index(all, word)
		require.Greater(t, next, at, word)
		at = next
	}
}

// The words on the read screen must lead to the outcome that the two questions
// imply.
func TestSignsAgreeWithTheTwoQuestions(t *testing.T) {
	var order []string
	for _, s := range Signs() {
		for _, text := range []string{s.Belts, s.Line, s.Sound, s.Reading, s.Jacket, s.Where} {
			requireShown(t, text, 60)
		}
		turning := strings.Contains(s.Belts, "turning")
		moved := !strings.HasPrefix(s.Line, "held")
		outcome, _ := Implied(turning, moved, true)
		require.Equal(t, outcome.String(), s.Outcome)
		order = append(order, s.Outcome)
	}
	require.Equal(t, []string{"stall", "slip", "fold", "void"}, order)
}

func TestDoubts(t *testing.T) {
	count := map[string]int{}
	for _, d := range Doubts() {
		requireShown(t, d.Because, 76)
		requireShown(t, d.Check, 76)
		count[d.Looks]++
	}
	require.Equal(t, map[string]int{"stall": 8, "slip": 4, "fold": 5}, count)
	Doubts()[0].Because = "painted over"
	require.NotEqual(t, "painted over", Doubts()[0].Because)
}
