// Package words puts text into lines that any terminal can show, and phrases together.
package words

import (
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
)

// Wrap breaks text into lines of at most width cells, at spaces where it can.
func Wrap(text string, width int) []string {
	if width < 1 {
		return nil
	}
	var lines []string
	for _, part := range strings.Split(Clean(text), "\n") {
		line := ""
		for _, word := range strings.Fields(part) {
			for { // no wider than a line at a time: a word of a whole file is as quick as many
				head := ClipTo(word, width)
				if head == word {
					break
				}
				if line != "" {
					lines, line = append(lines, line), ""
				}
				lines, word = append(lines, head), word[len(head):]
				if head == "" {
					word = ""
				}
			}
			switch {
			case line == "":
				line = word
			case lipgloss.Width(line)+1+lipgloss.Width(word) <= width:
				line += " " + word
			default:
				lines, line = append(lines, line), word
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// ClipTo returns as much of the beginning of text as fits.
func ClipTo(text string, width int) string {
	used := 0
	for i, r := range text {
		w := CellWidth(r)
		if used+w > width {
			return text[:i]
		}
		used += w
	}
	return text
}

// CellWidth is how many cells of a terminal a character takes: 0, 1 or 2.
func CellWidth(r rune) int {
	if r < utf8.RuneSelf {
		return 1
	}
	return lipgloss.Width(string(r))
}

var asciiWords = strings.NewReplacer("°F", "F", "°C", "C", "°", " deg ", "·", ".", "²", "2", "³", "3", "…", "...", "–", "-", "−", "-", "×", "x", "±", "+-")

// ASCII spells a text in plain letters; what has no spelling becomes a question mark. Degrees
// get no longer by it, so that what was broken into lines is not cut.
func ASCII(text string) string {
	return strings.Map(func(r rune) rune {
		if r > 126 {
			return '?'
		}
		return r
	}, asciiWords.Replace(text))
}
