// Package daylog keeps the log of the day of a shoot: readings, ticks, dials set, frames, notes and
// lateness, who and when.
//
// It is one SQLite database in the shoot's folder, to which entries are only ever added. A
// correction is a reversal: an entry that says that another does not hold. An entry is in the
// database for good when Add returns, whatever happens to the program after that.
//
// It must not know what a shoot is: names of setups and points are text here.
package daylog
