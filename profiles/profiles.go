// Package profiles keeps brinkmark's records: trials, the profiles they end in,
// and the library folder that holds them. It is the only package that knows TOML.
//
// A record is plain TOML a foreman can read. Every quantity is text as it was
// written ("6 psi", "41 °F") and is never reformatted; [Record.Trial] turns a
// record into the numbers the engine works on. Reading is strict: a key that is
// not known, a quantity that cannot be read or a missing format is an error that
// says where, what and what to do. A file that could not be read is never written.
//
// A trial is a sealed journal: see the table in journal.go. A profile is written
// once, read back, and never changed again.
package profiles
