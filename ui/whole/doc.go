// Package whole tests the real program from outside: on terminals, ended at random, refused by
// its disk, handed hostile files.
package whole
