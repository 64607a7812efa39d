package whole

import (
	"regexp"
	"strings"
	"unicode"

	"brinkmark/session/practice"
)

// Learner answers a lesson line by line: checks by what is seen, pushes by the last
// picture of them. It misreads and hurries where told to.
type Learner struct{ picture string }

// Answer is the answer to a question of practice, and whether it used up what it was told:
// MISREAD takes belts and line the other way round, HASTY reaches in before it stops.
func (l *Learner) Answer(question, told string) (answer string, used bool) {
	for _, line := range strings.Split(question, "\n") {
		if strings.Contains(line, "Belt chalk") {
			l.picture = line
		}
	}
	yes := func(v bool) string { return PressFor(question, map[bool]string{true: "Yes", false: "No"}[v]) }
	switch {
	case SeenOn(question) != "":
		return PressFor(question, SeenOn(question)), false
	case strings.Contains(question, "keep turning?"):
		return yes(strings.Contains(l.picture, "goes round") != (told == "MISREAD")), false
	case strings.Contains(question, "past the pointer?"):
		return yes(strings.Contains(l.picture, "past the allowance line") != (told == "MISREAD")), told == "MISREAD"
	case strings.Contains(question, "What first?"):
		if told == "HASTY" {
			return PressFor(question, "Open the belts"), true
		}
		return PressFor(question, "Press stop"), false
	case strings.Contains(question, "How much is it?"):
		return "5 ft", false
	}
	return "", false
}

// SeenOn is the answer to a check by what is seen there, as lines or a screen have it:
// broken over lines, between frames. It is "" where no check is asked.
func SeenOn(screen string) string {
	plain := func(text string) string {
		return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '│' || unicode.IsSpace(r) }), " ")
	}
	text := plain(screen)
	for _, s := range practice.Sights() {
		if strings.Contains(text, "You see: "+plain(s.Seen)) || strings.Contains(text, "put right. You see: "+plain(s.Seen)) {
			return s.State
		}
	}
	return ""
}

// FirstKey is what stands before the first choice of the last question.
func FirstKey(question string) string {
	question = question[strings.LastIndex(question, "\n[")+1:]
	if m := regexp.MustCompile(`(?m)^  ([0-9]|[a-pr-z])  \S`).FindStringSubmatch(question); m != nil {
		return m[1]
	}
	return "1"
}

// PressFor is the number of the choice that begins with a text, or q to leave.
func PressFor(question, label string) string {
	if m := regexp.MustCompile(`(?m)^  (\S+)  ` + regexp.QuoteMeta(label)).FindStringSubmatch(question); m != nil {
		return m[1]
	}
	return "q"
}
