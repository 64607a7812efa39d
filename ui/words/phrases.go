package words

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Capital begins a phrase with a capital letter.
func Capital(s string) string { return first(s, unicode.ToUpper) }

// LowerFirst begins a phrase with a small letter, to go on within a sentence.
func LowerFirst(s string) string { return first(s, unicode.ToLower) }

// first changes the first letter, which may take several bytes: the crew's own words do.
func first(s string, to func(rune) rune) string {
	letter, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(to(letter)) + s[size:]
}

// Join lists the parts that are not empty, with commas.
func Join(parts ...string) string { return strings.Join(NotEmpty(parts...), ", ") }

// AnyOf lists things of which one is to be taken.
func AnyOf(parts []string) string {
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " or " + parts[n-1]
	}
	return Join(parts...)
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
	return slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s == "" })
}
