package words

import (
	"fmt"
	"slices"
	"strings"
)

// Capital begins a phrase with a capital letter.
func Capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// LowerFirst begins a phrase with a small letter, to go on within a sentence.
func LowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// Join lists the parts that are not empty, with commas.
func Join(parts ...string) string {
	var said []string
	for _, p := range parts {
		if p != "" {
			said = append(said, p)
		}
	}
	return strings.Join(said, ", ")
}

// Count is a number of things, in the plural but for one.
func Count(n int, of string) string {
	if n != 1 {
		of += "s"
	}
	return fmt.Sprintf("%d %s", n, of)
}

// YesNo is one of two texts.
func YesNo(v bool, yes, no string) string {
	if v {
		return yes
	}
	return no
}

// FirstSentence is the first thing of several that are to be done.
func FirstSentence(text string) string {
	if i := strings.Index(text, ". "); i >= 0 {
		return text[:i]
	}
	return strings.TrimSuffix(text, ".")
}

// NotEmpty are the texts that are not empty.
func NotEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}
