package draw

import "strings"

// blockDigits are figures three rows high and three columns wide, to be read at
// arm's length. '#' is a filled cell.
var blockDigits = map[rune][3]string{
	'0': {"█▀█", "█ █", "▀▀▀"},
	'1': {"▄█ ", " █ ", "▀▀▀"},
	'2': {"▀▀█", "█▀▀", "▀▀▀"},
	'3': {"▀▀█", "▀▀█", "▀▀▀"},
	'4': {"█ █", "▀▀█", "  ▀"},
	'5': {"█▀▀", "▀▀█", "▀▀▀"},
	'6': {"█▀▀", "█▀█", "▀▀▀"},
	'7': {"▀▀█", "  █", "  ▀"},
	'8': {"█▀█", "█▀█", "▀▀▀"},
	'9': {"█▀█", "▀▀█", "▀▀▀"},
	'.': {" ", " ", "▀"},
	'-': {"  ", "▀▀", "  "},
	':': {"▄", "▄", " "},
}

var blockDigitsASCII = map[rune][3]string{
	'0': {" _ ", "| |", "|_|"},
	'1': {"   ", "  |", "  |"},
	'2': {" _ ", " _|", "|_ "},
	'3': {" _ ", " _|", " _|"},
	'4': {"   ", "|_|", "  |"},
	'5': {" _ ", "|_ ", " _|"},
	'6': {" _ ", "|_ ", "|_|"},
	'7': {" _ ", "  |", "  |"},
	'8': {" _ ", "|_|", "|_|"},
	'9': {" _ ", "|_|", " _|"},
	'.': {" ", " ", "."},
	'-': {"  ", "__", "  "},
	':': {" ", ".", "."},
}

// Block writes a number and its unit in block digits and returns its width.
func (c *Canvas) Block(x, y int, text string, l Look) int {
	number, unit, _ := strings.Cut(text, " ")
	font := blockDigits
	if c.ascii {
		font = blockDigitsASCII
	}
	start := x
	for _, r := range number {
		rows, ok := font[r]
		if !ok {
			continue
		}
		w := 0
		for i, row := range rows {
			w = max(w, c.Write(x, y+i, c.W, row, l)-x)
		}
		x += w + 1
	}
	x = c.Write(x, y+2, c.W, unit, l)
	return x - start
}
