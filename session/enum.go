package session

import (
	"fmt"
	"strings"
)

// enumText returns the name of value v; names[0] belongs to the invalid zero.
func enumText[E ~int](v E, names []string) (string, error) {
	if v < 1 || int(v) >= len(names) {
		return "", fmt.Errorf("session: no name for value %d", int(v))
	}
	return names[v], nil
}

func parseEnum[E ~int](text, what string, names []string) (E, error) {
	for i := 1; i < len(names); i++ {
		if text == names[i] {
			return E(i), nil
		}
	}
	return 0, fmt.Errorf("%q is no %s; use %s", clip(text), what, orList(names[1:]))
}

func orList(names []string) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = fmt.Sprintf("%q", n)
	}
	if len(quoted) == 1 {
		return quoted[0]
	}
	last := len(quoted) - 1
	return strings.Join(quoted[:last], ", ") + " or " + quoted[last]
}

// clip keeps a hostile text from filling the screen.
func clip(text string) string {
	const most = 60
	r := []rune(text)
	if len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
