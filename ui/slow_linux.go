package ui

import "golang.org/x/sys/unix"

// slow reports whether a terminal is at the end of a serial line of 19 200 bits a second or
// less, on which a frame of drawn lines takes a second. Whatever has no such line says 38 400.
func slow(terminal int) bool {
	settings, err := unix.IoctlGetTermios(terminal, unix.TCGETS)
	if err != nil {
		return false
	}
	speed := settings.Cflag & unix.CBAUD
	return speed != unix.B0 && speed <= unix.B19200 // in the order of their speeds, up to 38 400
}
