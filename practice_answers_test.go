package main

import (
	"strings"
	"unicode"

	"brinkmark/session/practice"
)

// learner answers a lesson line by line: checks by what is seen, pushes by the last
// picture of them. It misreads and hurries where told to.
type learner struct{ picture string }

// answer is the answer to a question of practice, and whether it used up what it was told:
// MISREAD takes belts and line the other way round, HASTY reaches in before it stops.
func (l *learner) answer(question, told string) (answer string, used bool) {
	for _, line := range strings.Split(question, "\n") {
		if strings.Contains(line, "Belt chalk") {
			l.picture = line
		}
	}
	yes := func(v bool) string { return pressFor(question, map[bool]string{true: "Yes", false: "No"}[v]) }
	switch {
	case seenOn(question) != "":
		return pressFor(question, seenOn(question)), false
	case strings.Contains(question, "keep turning?"):
		return yes(strings.Contains(l.picture, "goes round") != (told == "MISREAD")), false
	case strings.Contains(question, "past the pointer?"):
		return yes(strings.Contains(l.picture, "past the allowance line") != (told == "MISREAD")), told == "MISREAD"
	case strings.Contains(question, "What first?"):
		if told == "HASTY" {
			return pressFor(question, "Open the belts"), true
		}
		return pressFor(question, "Press stop"), false
	case strings.Contains(question, "How much is it?"):
		return "5 ft", false
	}
	return "", false
}

// seenOn is the answer to a check by what is seen there, as lines or a screen have it:
// broken over lines, between frames. It is "" where no check is asked.
func seenOn(screen string) string {
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
