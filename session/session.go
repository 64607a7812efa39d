// Package session is the engine of brinkmark: a trial as plain data, and pure
// functions of it.
//
// A crew pushes a few metres of cable against a plug and sees it fold, slip or
// stall. A [Trial] holds what is known of the job and every [Entry] made so far.
// From that record alone
//
//   - [Decide] says what to try next, what to install with, or that no setting
//     can be given and why;
//   - [Trial.Stage] says where in the trial the crew stands;
//   - [DueChecks] says which checks are open.
//
// Nothing here has a clock, a disk, a terminal or randomness, so the same record
// gives the same advice on every tablet and every day. Nothing is stored that can
// be derived: undo is an entry, and a resumed trial is a record read again.
//
// The words: a setting is a pair of grip pressure and speed. Speed stands for
// whatever the crew turns to make this drive push harder, in its own unit. All
// numbers are SI, but for a push control whose unit is no unit of speed: that one
// keeps its own. Only ratios of speeds enter the rule, so the unit changes nothing.
package session
